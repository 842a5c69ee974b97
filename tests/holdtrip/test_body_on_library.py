"""What a part is beside its ratings decides in a comparison of a library's parts too."""

import json
from pathlib import Path

import pytest

from holdtrip.commands import holdtrip
from holdtrip.exits import run

SAMPLES = Path(__file__).parents[2] / "sample_tables"
REQUIREMENT = """
title = "Charger of a cordless lamp"
supply = "dc"
supply_voltage_v = 12
normal_current_a = 0.15
ambient_cold_c = 20
ambient_hot_c = 30
fault_current_min_a = 8
fault_current_max_a = 20
"""


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with one sheet of four parts: marks of approvals and sizes with tolerances."""
    path = tmp_path_factory.mktemp("library") / "parts.sqlite"
    assert run(holdtrip, ["import", str(SAMPLES / "nettlecroft_ntv.pdf"), "--library", str(path)]) == 0
    return path


def verdicts(library: Path, folder: Path, name: str, asked: str) -> dict[str, str]:
    """Part number to the verdict of one margin."""
    wanted, out = folder / "lamp.toml", folder / "out.json"
    wanted.write_text(REQUIREMENT + asked, encoding="utf-8")
    code = run(holdtrip, ["compare", str(wanted), "--parts", str(library), "--unreviewed",
                          "--json", str(out)])
    assert code in (0, 1)
    return {
        candidate["part_number"]: margin["verdict"]
        for candidate in json.loads(out.read_text(encoding="utf-8"))
        for margin in candidate["margins"] if margin["name"] == name
    }


def test_an_approval_counts_where_the_parts_own_row_marks_it(library: Path, tmp_path: Path) -> None:
    """Three parts are marked under UL, one has a dash though the sheet names a UL file."""
    found = verdicts(library, tmp_path, "approvals", 'approvals = ["UL"]\n')
    assert found == {"NTV040": "fits", "NTV065": "fits", "NTV110": "fits", "NTV185": "fails"}


def test_the_largest_length_of_a_tolerance_counts(library: Path, tmp_path: Path) -> None:
    """9.1 ± 0.5 mm may be 9.6 mm long: it fits 9.6, not 9.5."""
    for limit, verdict in ((9.6, "fits"), (9.5, "fails")):
        found = verdicts(library, tmp_path, "body_length", f"length_max_mm = {limit}\n")
        assert found["NTV065"] == verdict
