"""Second pairs of current and time, and values over several parts: taken only where the sheet says so."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.schema import Quantity, Status
from sample_tables.generate.blocks import Grid, Text, cells
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read
from tests.extract.model.test_titles_and_blocks import blocks_to_readings

FIRST = ("Test current (A)", "Time to trip (s)")
ACROSS = (
    ("Parameter", *(row[0] for row in ROWS)),
    ("Hold current (A)", "0.50", "0.75", "1.10"),
    ("Trip current (A)", "1.00", "1.50", "2.20"),
    ("Maximum voltage (V)", "24", "24", "16"),
    ("Interrupt voltage (V)", "", "60", ""),
    ("Minimum resistance (Ohm)", "0.15", "0.09", "0.06"),
)


def times(make_sheet: Draw, second: tuple[str, str], values: tuple[str, str]) -> dict[float | None, bool]:
    """Test current -> whether a time at it waits, of a table with two pairs of current and time."""
    heading = (*HEADING[:4], *FIRST, *second)
    readings = read(make_sheet([heading, *((*row[:4], "5", "1.6", *values) for row in ROWS)], [STILL_AIR]))
    timed = [r for r in readings if r.quantity is Quantity.TIME_TO_TRIP and r.value != 1.6]
    return {r.test_current_a: r.status is Status.DISPUTED for r in timed}


@pytest.mark.parametrize(
    ("second", "values"),
    [
        (("Inrush current (A)", "Time (s)"), ("40", "0.1")),
        (("Surge current (A)", "Time (s)"), ("40", "0.1")),
        (("Pulse current (A)", "Pulse time (s)"), ("40", "0.1")),
        (("Reset current (A)", "Reset time (s)"), ("0.1", "60")),
    ],
)
def test_another_pair_of_current_and_time_is_no_time_to_trip(
    make_sheet: Draw, second: tuple[str, str], values: tuple[str, str]
) -> None:
    """A pair under other words than the first, none of them of tripping, gives no undoubted time."""
    assert all(times(make_sheet, second, values).values())


def test_a_second_pair_under_the_same_words_is_one_more_time(make_sheet: Draw) -> None:
    """The same headings, or headings that speak of tripping, go on: a time at another test current."""
    numbered = ("Test current 2 (A)", "Time to trip 2 (s)")
    assert times(make_sheet, numbered, ("8", "0.1")) == {8.0: False}


@pytest.mark.parametrize("rules", ["none", "outer", "horizontal"])
def test_a_frame_says_nothing_of_the_columns_within(tmp_path: Path, rules: str) -> None:
    """A value under the middle part of three: without rules between the parts it may be one's alone, and
    rules around the table part none of them."""
    grid = Grid((cells(*ACROSS[0]),), tuple(cells(*row) for row in ACROSS[1:]), rules=rules)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), grid)
    spread = [r for r in readings if r.quantity is Quantity.MAX_INTERRUPT_VOLTAGE]
    assert {r.part_number for r in spread if r.status is not Status.DISPUTED} == {"TQ-075"}


def test_a_value_between_rules_is_one_parts_alone(tmp_path: Path) -> None:
    """With rules between all parts the same value is the middle part's."""
    grid = Grid((cells(*ACROSS[0]),), tuple(cells(*row) for row in ACROSS[1:]), rules="full")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), grid)
    spread = [r for r in readings if r.quantity is Quantity.MAX_INTERRUPT_VOLTAGE]
    assert {(r.part_number, r.value) for r in spread} == {("TQ-075", 60.0)}
