"""What must not become a silent wrong number: headings and rows that could be read two ways."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from extract.headings import Role, heading_to_meaning
from extract.schema import Kind, Quantity, SheetReading, Status
from extract.sheet import ReadOptions, read_sheet
from extract.temperatures import text_to_ambient

QUICK = ReadOptions(second_reading=False)
STILL_AIR = "All ratings in still air at 23 C."
HEADING = (
    "Part number",
    "Ihold (A)",
    "Itrip (A)",
    "Vmax (V)",
    "Imax (A)",
    "Rmin (Ohm)",
    "R1max (Ohm)",
    "Pd typ. (W)",
)
ROW = ("TQ050", "0.50", "1.00", "24", "40", "0.15", "0.70", "0.70")
OTHER_ROW = ("TQ075", "0.75", "1.50", "24", "40", "0.09", "0.40", "0.80")


def _statuses(sheet: SheetReading, quantity: Quantity) -> set[Status]:
    return {reading.status for reading in sheet.readings if reading.quantity is quantity}


@pytest.mark.parametrize(
    "levels",
    [
        ("Power", "typ. max. (W)"),
        ("30 °C 40 °C",),
        ("Current (A) Time (s)",),
        ("Ihold Itrip Imax", "(A)"),
    ],
)
def test_a_heading_with_two_meanings_has_none(levels: tuple[str, ...]) -> None:
    """Two limits, two temperatures or two units over one column: the column is not read."""
    assert heading_to_meaning(levels).role is Role.UNKNOWN


def test_a_heading_from_a_least_to_a_largest_wants_two_numbers() -> None:
    """One number under "Min. - Max." is neither: both limits are expected in each cell."""
    meaning = heading_to_meaning(("Resistance", "Min. - Max. (Ω)"))
    assert [half.kind for half in meaning.pair] == [Kind.MIN, Kind.MAX]


def test_two_temperatures_in_one_text_are_none() -> None:
    """Which of "30 °C 40 °C" is meant cannot be told."""
    assert text_to_ambient("30 °C 40 °C") is None


def test_numbers_without_a_heading_are_doubted(make_sheet: Callable[..., Path]) -> None:
    """A column of numbers without heading: what they are is a guess, and disputed; those beside it stand
    under their own headings, as the second eye sees."""
    heading = (*HEADING[:2], "", *HEADING[3:])
    sheet = read_sheet(make_sheet([heading, ROW, OTHER_ROW], [STILL_AIR]))
    assert _statuses(sheet, Quantity.HOLD_CURRENT) == {Status.AGREED}
    assert _statuses(sheet, Quantity.TRIP_CURRENT) == {Status.DISPUTED}


def test_swapped_columns_are_disputed_by_the_checks(make_sheet: Callable[..., Path]) -> None:
    """Trip below hold cannot be: a sheet whose headings are swapped does not pass for agreed."""
    heading = ("Part number", "Itrip (A)", "Ihold (A)", *HEADING[3:])
    sheet = read_sheet(make_sheet([heading, ROW, OTHER_ROW], [STILL_AIR]), QUICK)
    assert Status.DISPUTED in _statuses(sheet, Quantity.TRIP_CURRENT) | _statuses(
        sheet, Quantity.HOLD_CURRENT
    )


def test_tables_set_side_by_side_keep_their_parts_apart(make_sheet: Callable[..., Path]) -> None:
    """Two tables in one: the right half's numbers belong to the right half's parts."""
    half = HEADING[:4]
    rows = [
        (*half, *half),
        (*ROW[:4], "TQ110", "1.10", "2.20", "16"),
        (*OTHER_ROW[:4], "TQ160", "1.60", "3.20", "16"),
    ]
    sheet = read_sheet(make_sheet(rows, [STILL_AIR, "Maximum voltage and power dissipation."]), QUICK)
    hold = {r.part_number: r.value for r in sheet.readings if r.quantity is Quantity.HOLD_CURRENT}
    assert hold == {"TQ050": 0.5, "TQ075": 0.75, "TQ110": 1.1, "TQ160": 1.6}


def test_a_short_name_of_two_parts_is_disputed(make_sheet: Callable[..., Path]) -> None:
    """A derating row named TQ050 may mean TQ050-24 or TQ050-16: both get it, disputed, but for a part whose
    rating
    equals the row's reference column."""
    rows = [
        HEADING,
        ("TQ050-24", *ROW[1:]),
        ("TQ050-16", "0.45", "0.90", "16", *ROW[4:]),
        ("TQ075-24", *OTHER_ROW[1:]),
    ]
    derating = [
        ("Part", "-40 C", "0 C", "23 C", "60 C", "85 C"),
        ("TQ050", "0.76", "0.60", "0.50", "0.33", "0.20"),
        ("TQ075", "1.14", "0.90", "0.75", "0.50", "0.30"),
    ]
    first = read_sheet(make_sheet([*rows], [STILL_AIR], "ratings.pdf"), QUICK)
    assert {r.part_number for r in first.readings} == {"TQ050-24", "TQ050-16", "TQ075-24"}
    both = read_sheet(_two_tables(make_sheet, rows, derating), QUICK)
    cold = {
        r.part_number: r.status
        for r in both.readings
        if r.quantity is Quantity.HOLD_CURRENT and r.ambient_c == -40
    }
    assert cold["TQ050-24"] is Status.SINGLE
    assert cold["TQ050-16"] is Status.DISPUTED
    assert cold["TQ075-24"] is Status.SINGLE


def _two_tables(
    make_sheet: Callable[..., Path], first: list[tuple[str, ...]], second: list[tuple[str, ...]]
) -> Path:
    """Both tables in one PDF, one below the other."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Paragraph, SimpleDocTemplate, Spacer, Table

    path = make_sheet(first).parent / "both.pdf"
    body = getSampleStyleSheet()["BodyText"]
    grid = [("GRID", (0, 0), (-1, -1), 0.5, "black")]
    story = [
        Paragraph(STILL_AIR, body),
        Table(first, style=grid),
        Spacer(1, 40),
        Paragraph("Hold current (A) at ambient", body),
        Table(second, style=grid),
    ]
    SimpleDocTemplate(str(path), pagesize=A4).build(story)
    return path


def test_a_single_resistance_kind_is_kept(make_sheet: Callable[..., Path]) -> None:
    """Rmin stays min and R1max stays post-trip: the two are never merged."""
    sheet = read_sheet(make_sheet([HEADING, ROW, OTHER_ROW], [STILL_AIR]), QUICK)
    kinds = {r.kind for r in sheet.readings if r.quantity is Quantity.RESISTANCE}
    assert kinds == {Kind.MIN, Kind.POST_TRIP_MAX}
