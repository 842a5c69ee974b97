"""What can stand in for a part, and parts side by side."""

from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import load_workbook

from compare.records import Verdict
from compare.replacement import Change, StandIn, part_to_stand_ins
from compare.requirement import Requirement
from compare.side_by_side import SideBySide, parts_to_side_by_side
from compare.workbook_side import side_by_side_to_workbook
from extract.errors import InputError
from extract.schema import Part
from extract.standing import Standing

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]


def stand_in(own: Part, other: Part) -> StandIn:
    """The other part in the place of this one."""
    (found,) = part_to_stand_ins(own, [own, other])
    return found


def changed(found: StandIn, change: Change) -> set[str]:
    """Titles of the traits that changed so."""
    return {one.own.title for one in found.of(change)}


def test_a_part_of_higher_voltage_and_the_same_currents_can_stand_in(make_part: MakePart) -> None:
    """30 V for 16 V, all else the same: nothing is worse."""
    found = stand_in(make_part("A"), make_part("B", max_voltage=30.0))
    assert found.can_stand_in
    assert changed(found, Change.BETTER) == {"Rated voltage, DC"}
    assert found.standing is Standing.AGREED


@pytest.mark.parametrize(("other", "worse"), [
    ({"max_voltage": 12.0}, "Rated voltage, DC"),
    ({"hold": 0.5}, "Hold current at 23 °C"),
    ({"trip": 1.8}, "Trip current at 23 °C"),
    ({"r_1max": 0.5}, "Largest resistance after a trip"),
    ({"max_current": 20.0}, "Rated fault current, DC"),
    ({"power_typ": 1.0}, "Tripped power"),
    ({"time": (8.0, 0.5)}, "Longest time to trip at 8 A, 23 °C"),
])
def test_each_trait_can_be_the_one_that_gets_worse(
    other: dict[str, float], worse: str, make_part: MakePart
) -> None:
    """A lower rating, a larger trip current, resistance, power or time: no stand-in, and it is named."""
    found = stand_in(make_part("A"), make_part("B", **other))
    assert found.can_stand_in is False
    assert changed(found, Change.WORSE) == {worse}


def test_hot_hold_counts_too(
    make_part: MakePart, row_a: dict[float, float], row_b: dict[float, float]
) -> None:
    """Same rating at 23 °C; at 85 °C row A holds 30 %, row B 48 % (published vendor data)."""
    steep, flat = make_part("A", ratios=row_a), make_part("B", ratios=row_b)
    assert changed(stand_in(flat, steep), Change.WORSE) == {"Hold current at 85 °C"}
    assert changed(stand_in(steep, flat), Change.WORSE) == set()


def test_what_a_sheet_does_not_say_is_never_as_good(make_part: MakePart) -> None:
    """No post-trip resistance: cannot be told."""
    found = stand_in(make_part("A"), make_part("B", r_1max=0.0))
    assert found.can_stand_in is None
    assert changed(found, Change.UNKNOWN) == {"Largest resistance after a trip"}


def test_a_larger_body_gets_worse(make_part: MakePart) -> None:
    """2920 in place of 1812 (published vendor data) is longer and wider."""
    found = stand_in(make_part("A", package="1812"), make_part("B", package="2920"))
    assert changed(found, Change.WORSE) == {"Body length, largest", "Body width, largest"}


def test_stand_ins_come_first(make_part: MakePart) -> None:
    """Those that can, then those that cannot be told, then by what gets worse."""
    parts = [make_part("A"), make_part("WORSE", max_voltage=6.0), make_part("UNTOLD", r_1max=0.0),
             make_part("GOOD", max_voltage=30.0)]
    assert [one.part.part_number for one in part_to_stand_ins(parts[0], parts)] == ["GOOD", "UNTOLD", "WORSE"]


def side(make_part: MakePart, requirement: Requirement | None = None) -> SideBySide:
    """Two parts that differ in hold, voltage and resistance."""
    return parts_to_side_by_side([make_part("A"), make_part("B", hold=0.9, max_voltage=12.0, r_1max=0.2)],
                                 requirement)


def test_the_better_of_each_row_is_marked(make_part: MakePart) -> None:
    """Higher hold and voltage, lower resistance; equal rows mark nobody."""
    best = {row.title: row.best for row in side(make_part).rows}
    assert best["Hold current at 23 °C"] == {1}
    assert best["Rated voltage, DC"] == {0}
    assert best["Largest resistance after a trip"] == {1}
    assert best["Trip current at 23 °C"] == frozenset()


def test_a_requirement_brings_limits_and_verdicts(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """14 V asked: A (16 V) fits, B (12 V) fails; the row says at least 14 V."""
    found = side(make_part, make_requirement(supply_voltage_v=14.0))
    assert found.verdicts[1] is Verdict.FAILS
    assert {row.title: row.limit for row in found.rows}["Rated voltage, DC"] == "at least 14 V"


def test_one_part_or_seven_are_refused(make_part: MakePart) -> None:
    """Two to six columns."""
    for count in (1, 7):
        with pytest.raises(InputError, match="2 to 6"):
            parts_to_side_by_side([make_part(f"P{n}") for n in range(count)])


def test_the_workbook_holds_the_numbers_and_marks_the_better(tmp_path: Path, make_part: MakePart) -> None:
    """Values as numbers, the better in bold, sources beside; a part number is never a formula."""
    found = parts_to_side_by_side([make_part("=1+1"), make_part("B", max_voltage=12.0)])
    side_by_side_to_workbook(found, tmp_path / "side.xlsx")
    book = load_workbook(tmp_path / "side.xlsx")
    assert book.sheetnames == ["Side by side", "Derating", "Sources"]
    rows = {row[0].value: row for row in book["Side by side"].iter_rows()}
    volts = rows["Rated voltage, DC"]
    assert (volts[3].value, volts[4].value) == (16.0, 12.0)
    assert volts[3].font.bold
    assert not volts[4].font.bold
    assert not [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
