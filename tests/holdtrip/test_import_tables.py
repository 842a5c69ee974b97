"""A long or wide table that was exported is imported elsewhere with the same numbers."""

from collections import Counter
from pathlib import Path

import pytest

from extract.long_table import read_long_table
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import open_library

SAMPLES = Path(__file__).parents[2] / "sample_tables"


@pytest.mark.parametrize("form", ["--long", "--wide"])
def test_a_table_goes_out_and_comes_in(form: str, tmp_path: Path) -> None:
    """Every number with status, place and printed text; whoever imports stands for what is accepted."""
    here, there, path = tmp_path / "here.sqlite", tmp_path / "there.sqlite", tmp_path / "numbers.csv"
    run(holdtrip, ["import", str(SAMPLES / "trosnavik_tnv.pdf"), "--library", str(here), "--who", "ann"])
    with open_library(here) as library:
        looked_at = frozenset(one.number_id for one in library.numbers_of("TNV068"))
        library.accept(Target("TNV068", number_ids=looked_at), Signature("ann"))
    assert run(holdtrip, ["export", str(path), form, "--library", str(here)]) == 0
    assert run(holdtrip, ["import", str(path), "--library", str(there), "--who", "eve"]) == 0
    tables = []
    for library_path in (here, there):
        out = tmp_path / f"{library_path.stem}.csv"
        assert run(holdtrip, ["export", str(out), "--long", "--library", str(library_path)]) == 0
        tables.append(Counter(read_long_table(out)))
    assert tables[0] == tables[1]
    with open_library(there) as library:
        said = {one.decision.who for one in library.numbers_of("TNV068") if one.decision}
    assert said == {"eve"}


def test_a_typed_table_is_not_imported(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Its numbers have no source: one line says what such a table is for."""
    path = tmp_path / "typed.csv"
    path.write_text("Part,Ihold (A)\nQX050,0.5\n", encoding="utf-8")
    assert run(holdtrip, ["import", str(path), "--library", str(tmp_path / "parts.sqlite")]) == 2
    told = capsys.readouterr().err
    assert "does not say where its numbers are from" in told
    assert "holdtrip check" in told
    assert not (tmp_path / "parts.sqlite").exists()
