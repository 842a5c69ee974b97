"""One part for all ports of a hub beside a part for each port."""

from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from compare.ports import RankedArrangement, arrangements_to_lines, rank_arrangements
from compare.ranking import parts_to_ranking
from compare.records import Verdict
from compare.requirement_file import text_to_arrangements, text_to_requirement
from compare.workbook import ranking_to_workbook
from extract.schema import Part
from holdtrip.commands import holdtrip

HUB = """
supply_voltage_min_v = 5.0
ambient_cold_c = 23
ambient_hot_c = 23
fault_current_min_a = 8
fault_current_max_a = 20
allow_model = true
[usb_port]
standard = "usb2"
ports = 4
parts = "{}"
"""


@pytest.fixture
def ranked(make_part: Callable[..., Part]) -> tuple[RankedArrangement, ...]:
    """A part of 0.6 A, which holds one port, and one of 2.1 A, which holds four: 4 × 0.5 A."""
    parts = [make_part("SMALL", hold=0.6, trip=1.2, r_1max=0.3),
             make_part("LARGE", hold=2.1, trip=4.2, r_1max=0.1)]
    return rank_arrangements(text_to_arrangements(HUB.format("each")),
                             lambda asked: (parts_to_ranking(parts, asked), True))


@pytest.mark.parametrize("stated", ["one", "each"])
def test_both_arrangements_come_of_either_file(stated: str) -> None:
    """2.0 A and 0.5 A, whichever the file states; the one stated is the requirement itself."""
    found = text_to_arrangements(HUB.format(stated))
    assert [(one.each, one.requirement and one.requirement.normal_current_a) for one in found] == [
        (False, 2.0), (True, 0.5)]
    assert text_to_requirement(HUB.format(stated)) in [one.requirement for one in found]


def test_a_lone_port_has_no_arrangements() -> None:
    """Only a hub is asked twice."""
    assert text_to_arrangements(HUB.format("one").replace("ports = 4", "ports = 1")) == ()


def test_a_file_that_goes_with_one_arrangement_only_says_so() -> None:
    """0.6 A stated is more than one port draws and less than four do: less severe than the preset for all."""
    one, each = text_to_arrangements("normal_current_a = 0.6" + HUB.format("each"))
    assert one.requirement is None
    assert "less severe" in one.why_not
    assert each.requirement is not None
    lines = dict(arrangements_to_lines(rank_arrangements((one, each), lambda asked: (
        parts_to_ranking((), asked), True))))
    assert lines["parts that fit"][0].startswith("not judged: ")


def test_what_tells_them_apart(ranked: tuple[RankedArrangement, ...]) -> None:
    """Parts needed, load of each, what a fault takes down, which part does it."""
    lines = dict(arrangements_to_lines(ranked))
    assert lines["parts on the board"] == ("1", "4")
    assert lines["current of a part for long"] == ("2 A", "0.5 A")
    assert "every port" in lines["a fault at one port"][0]
    assert ranked[0].best[0].part_number == "LARGE"
    assert all(candidate.verdict is not Verdict.FITS for candidate in ranked[0].best
               if candidate.part_number == "SMALL")


def test_the_workbook_shows_them_side_by_side(
    ranked: tuple[RankedArrangement, ...], make_part: Callable[..., Part], tmp_path: Path
) -> None:
    """A sheet of its own after the summary."""
    out = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking([make_part()], text_to_requirement(HUB.format("one"))), out,
                        ports=ranked)
    book = openpyxl.load_workbook(out)
    assert book.sheetnames[:2] == ["Summary", "Ports"]
    rows = [[cell.value for cell in row] for row in book["Ports"].iter_rows(min_row=4)]
    assert rows[0] == ["Question", "One part for 4 ports", "A part for each port"]
    assert ["parts on the board", "1", "4"] in rows


def test_one_command_shows_both(tmp_path: Path) -> None:
    """`holdtrip compare` needs no option for it."""
    path = tmp_path / "hub.toml"
    path.write_text(HUB.format("each"), encoding="utf-8")
    table = tmp_path / "parts.csv"
    table.write_text("Part number,I hold (A) at 23 °C,I trip (A) at 23 °C,V max (Vdc),I max (A)\n"
                     "TY110,1.1,2.2,16,40\n", encoding="utf-8")
    said = CliRunner().invoke(holdtrip, ["compare", str(path), "--parts", str(table)])
    assert "one part for 4 ports" in said.output
    assert "a part for each port" in said.output
