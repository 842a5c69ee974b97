"""What stands in a cell or over two columns is taken apart in the order that the print gives."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.quantities import cell_to_numbers
from extract.schema import Kind, Quantity, Status
from sample_tables.generate.blocks import Cell, Grid, Text, cells
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read, values
from tests.extract.model.test_titles_and_blocks import blocks_to_readings

TIMES = ("2.7 @ 1.25", "3.0 @ 2", "3.4 @ 2.5")


@pytest.mark.parametrize("head", ["Time to trip secs. @ amps.", "Time to trip"])
def test_what_stands_behind_at_is_the_current(make_sheet: Draw, head: str) -> None:
    """ "2.7 @ 1.25" is a time at a current, whatever the heading's units; it is never read the other way."""
    rows = [(*row[:4], time) for row, time in zip(ROWS, TIMES, strict=True)]
    readings = read(make_sheet([(*HEADING[:4], head), *rows], [STILL_AIR]))
    timed = [r for r in readings if r.quantity is Quantity.TIME_TO_TRIP and r.status is not Status.DISPUTED]
    wanted = {(2.7, 1.25), (3.0, 2.0), (3.4, 2.5)}
    assert {(r.value, r.test_current_a) for r in timed} <= wanted
    assert head == "Time to trip" or {(r.value, r.test_current_a) for r in timed} == wanted


def test_an_r_behind_a_decimal_number_is_ohms() -> None:
    """ "1.69 R" is 1.69 ohm, as "1R69" is (marking code of resistors, IEC 60062)."""
    one, other = (cell_to_numbers(text).numbers for text in ("1.69 R", "1R69"))
    assert [(n.value, n.unit) for n in one] == [(n.value, n.unit) for n in other]
    assert not cell_to_numbers("QRM 1.69").numbers


def test_a_unit_before_its_limit(make_sheet: Draw) -> None:
    """ "P trip mW max" is in milliwatts."""
    rows = [(*row, power) for row, power in zip(ROWS, ("600", "700", "800"), strict=True)]
    readings = read(make_sheet([(*HEADING, "P trip mW max"), *rows], [STILL_AIR]))
    assert values(readings, Quantity.TRIPPED_POWER) == {"TQ-050": 0.6, "TQ-075": 0.7, "TQ-110": 0.8}


def test_a_heading_of_two_ends_over_two_columns(tmp_path: Path) -> None:
    """ "min. - max." over the two halves of ranges: the left is the least, the right the largest."""
    head = (*cells(*HEADING[:5]), Cell("Resistance, ohms min. - max.", across=2), *cells("R1max (Ohm)"))
    body = tuple(
        cells(*row[:5], row[5], "- " + top, row[6])
        for row, top in zip(ROWS, ("0.30", "0.18", "0.12"), strict=True)
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Grid((head,), body))
    largest = {r.part_number: r.value for r in readings if r.kind is Kind.MAX}
    least = {r.part_number: r.value for r in readings if r.kind is Kind.MIN}
    assert least == {"TQ-050": 0.15, "TQ-075": 0.09, "TQ-110": 0.06}
    assert set(largest.items()) <= {("TQ-050", 0.3), ("TQ-075", 0.18), ("TQ-110", 0.12)}


def test_pairs_under_a_title_that_names_them_in_order(tmp_path: Path) -> None:
    """ "Hold / trip current" over pairs at ambients without a room temperature: the first is the hold
    current."""
    blocks = (
        Text("3. HOLD / TRIP CURRENT, AMPERES, AT OTHER AMBIENTS."),
        Grid(
            (cells("Part number", "-40 °C", "0 °C", "40 °C"),),
            tuple(_pairs(row[0], (1.5, 1.2, 0.8)) for row in ROWS),
        ),
    )
    readings = blocks_to_readings(
        tmp_path, Text(STILL_AIR), Grid((cells(*HEADING),), tuple(cells(*r) for r in ROWS)), *blocks
    )
    cold = {(r.part_number, r.quantity.value, r.value) for r in readings if r.ambient_c == -40}
    assert cold == {
        (name, quantity, value)
        for name, hold in (("TQ-050", 0.75), ("TQ-075", 1.12), ("TQ-110", 1.65))
        for quantity, value in (("hold_current", hold), ("trip_current", round(2 * hold, 2)))
    }


def _pairs(name: str, shares: tuple[float, ...]) -> tuple[Cell, ...]:
    """A row of hold and trip currents as shares of the rating, trip twice hold."""
    hold = float({row[0]: row[1] for row in ROWS}[name])
    holds = [int(100 * hold * share + 0.01) / 100 for share in shares]
    return cells(name, *(f"{value:.2f} / {2 * value:.2f}" for value in holds))


def test_signs_below_the_beginning_of_a_name(make_sheet: Draw) -> None:
    """A sign "as above" below "TQ60" with the end beside it is the name with its own end."""
    rows = [("TQ60-010", *ROWS[0][1:]), ('"  -017', *ROWS[1][1:]), ('"  -025', *ROWS[2][1:])]
    readings = read(make_sheet([HEADING, *rows], [STILL_AIR]))
    assert values(readings, Quantity.HOLD_CURRENT) == {"TQ60-010": 0.5, "TQ60-017": 0.75, "TQ60-025": 1.1}


def test_the_wrapped_name_of_the_last_row(make_sheet: Draw) -> None:
    """Names that a narrow cell breaks are whole in the last row too; a name cut short is never sure."""
    rows = [(f"TQ1206P0\n{end}", *row[1:]) for end, row in zip(("05", "10", "16"), ROWS, strict=True)]
    readings = read(
        make_sheet([HEADING, *rows, ("TQ1206P0\n20", "1.50", "3.00", "16", "40", "0.04", "0.20")])
    )
    names = {name.replace(" ", "") for name in values(readings, Quantity.HOLD_CURRENT)}
    assert names == {"TQ1206P005", "TQ1206P010", "TQ1206P016", "TQ1206P020"}
