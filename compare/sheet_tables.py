"""The sheets of what the datasheets tabulate: hold and trip against ambient, times to trip.

Comes in: candidates with their sorted numbers. Goes out: two sheets of plain values, one line for each
printed cell. Interpolates nothing (see `derating_lines`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from openpyxl import Workbook

from compare.derating import Derating
from compare.derating_lines import row_ambients
from compare.part_numbers import PartNumbers
from compare.records import readings_to_source
from compare.workbook_look import (
    PRINTED,
    SENSIBLE,
    Column,
    Value,
    finish,
    print_rows,
    put_table,
    put_title,
)
from extract.schema import Kind, Quantity

DERATING_COLUMNS = (
    Column("Part", 20), Column("Datasheet", 26), Column("Current", 9), Column("Ambient, °C", 10, "General"),
    Column("Current, A", 11, SENSIBLE), Column("Share of the rating", 11, "0.0%"), Column("Basis", 13),
    Column("Source", 58, wrap=True), Column("Assumed, or why there is no number", 52, wrap=True),
)
TIME_COLUMNS = (
    Column("Part", 20), Column("Datasheet", 26), Column("Test current, A", 11, "General"),
    Column("Time to trip, s", 11, "General"), Column("Kind", 10), Column("Ambient, °C", 10, "General"),
    Column("Source", 44, wrap=True), Column("Why it is not used", 50, wrap=True),
)


def _last_printed(head: int, parts: Sequence[tuple[PartNumbers, Derating]],
                  rows: Sequence[Sequence[Value]]) -> int:
    """The last row of the best parts, which stand first."""
    best = {(numbers.part.part_number, numbers.part.document) for numbers, _ in parts[:PRINTED]}
    return head + max(1, sum((row[0], row[1]) in best for row in rows))


def add_derating(book: Workbook, parts: Sequence[tuple[PartNumbers, Derating]]) -> None:
    """Hold and trip at every tabulated ambient."""
    sheet = book.create_sheet("Derating")
    row = put_title(sheet, "Derating", "Hold and trip current at the ambients the datasheets tabulate; "
                    "between them the straight line (sheet Lines), beyond them no number.")
    rows = [line for numbers, derating in parts for line in _derating_rows(numbers, derating)]
    put_table(sheet, row, DERATING_COLUMNS, rows)
    finish(sheet, row, len(DERATING_COLUMNS))
    print_rows(sheet, len(DERATING_COLUMNS), _last_printed(row, parts, rows))


def _derating_rows(numbers: PartNumbers, derating: Derating) -> Iterator[list[Value]]:
    questions = (("hold", Quantity.HOLD_CURRENT, derating.hold, derating.rated_hold()[1].value),
                 ("trip", Quantity.TRIP_CURRENT, derating.trip, derating.rated_trip()[1].value))
    for name, quantity, at, rated_a in questions:
        for ambient_c in row_ambients(numbers, quantity):
            number = at(ambient_c)
            share = number.value / rated_a if number.value is not None and rated_a else None
            yield [numbers.part.part_number, numbers.part.document, name, ambient_c, number.value, share,
                   number.basis.value if number.value is not None else "",
                   readings_to_source(number.readings), number.note or "; ".join(number.assumed)]


def add_trip_times(book: Workbook, parts: Sequence[tuple[PartNumbers, Derating]]) -> None:
    """Every tabulated time to trip with its test current; a time without one means nothing."""
    sheet = book.create_sheet("Trip times")
    row = put_title(sheet, "Trip times", "As tabulated: the longest time at one current and ambient. Typical "
                    "curves guarantee nothing and are marked typ.")
    rows = [line for numbers, _ in parts for line in _time_rows(numbers)]
    put_table(sheet, row, TIME_COLUMNS, rows)
    finish(sheet, row, len(TIME_COLUMNS))
    print_rows(sheet, len(TIME_COLUMNS), _last_printed(row, parts, rows))


def _time_rows(numbers: PartNumbers) -> Iterator[list[Value]]:
    for point in numbers.trip_points:
        yield [numbers.part.part_number, numbers.part.document, point.current_a, point.time_s,
               "typ" if point.kind is Kind.TYP else "max", point.ambient_c,
               readings_to_source(point.number.readings), point.number.note]
