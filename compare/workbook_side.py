"""Parts side by side as a workbook: traits as rows, parts as columns, the better marked, derating overlaid.

Comes in: a `SideBySide`. Goes out: an XLSX file without macros or formulas. Does not compare.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.styles import PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from compare.derating import Derating
from compare.part_numbers import part_to_numbers
from compare.side_by_side import SideBySide, SideRow
from compare.traits import trait_to_source
from compare.workbook_look import (
    SENSIBLE,
    STRONG,
    Column,
    LiveBook,
    Value,
    at,
    finish,
    put_table,
    put_title,
    set_page,
)
from extract.schema import Part, Quantity

WRITER = "holdtrip: side by side"
BEST_FILL = PatternFill("solid", fgColor="D5EADB")
COLOURS = ("1B6CA8", "C8511B", "2E7D4F", "7A4FA3", "8A6D1D", "55636D")
"""Far enough apart in hue and in grey for six lines."""
FIRST_PART = 4
"""Column of the first part: title, unit and limit stand before."""


def side_by_side_to_workbook(found: SideBySide, path: Path) -> None:
    """Write the workbook. Raises OSError where the file cannot be written."""
    book = LiveBook()
    _add_traits(book, found)
    _add_derating(book, found.parts)
    _add_sources(book, found)
    book.properties.lastModifiedBy = WRITER
    book.save(path)


def _add_traits(book: LiveBook, found: SideBySide) -> None:
    sheet: Worksheet = book.create_sheet("Side by side")
    head = put_title(
        sheet,
        "Parts side by side",
        "Bold on green: the better value of a row. What a sheet does not say"
        " is left blank; the sheet Sources says where each number stands.",
    )
    columns = [
        Column("Trait", 34),
        Column("Unit", 7),
        Column("Asked", 18),
        *(Column(f"{part.part_number} ({part.document})", 20, SENSIBLE) for part in found.parts),
    ]
    rows: list[Sequence[Value]] = [_row_to_values(row) for row in found.rows]
    if found.verdicts:
        rows.append(["Verdict", "", "", *(verdict.value for verdict in found.verdicts)])
    put_table(sheet, head, columns, rows)
    for number, row in enumerate(found.rows, head + 1):
        for column in row.best:
            cell = at(sheet, number, FIRST_PART + column)
            cell.font, cell.fill = STRONG, BEST_FILL
    finish(sheet, head, len(columns), filtered=False)


def _row_to_values(row: SideRow) -> list[Value]:
    return [row.title, row.unit, row.limit, *(trait.number.value for trait in row.traits)]


def _add_derating(book: LiveBook, parts: Sequence[Part]) -> None:
    """Hold current against ambient of every part, as a table and as one chart."""
    sheet: Worksheet = book.create_sheet("Derating")
    head = put_title(
        sheet,
        "Hold current against ambient",
        "At the ambients the sheets tabulate; straight between them. Blank: beyond a part's own table.",
    )
    deratings = [Derating(part_to_numbers(part)) for part in parts]
    ambients = sorted({c for part in parts for c in _tabulated(part)})
    columns = [Column("Ambient, °C", 12, "0"), *(Column(part.part_number, 18, SENSIBLE) for part in parts)]
    last = put_table(sheet, head, columns, [[c, *(one.hold(c).value for one in deratings)] for c in ambients])
    set_page(sheet)
    if not ambients:
        return
    chart = ScatterChart()
    chart.title, chart.height, chart.width = "Hold current, A, against ambient, °C", 9.5, 17
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.crosses = chart.y_axis.crosses = "min"
    for column in range(2, 2 + len(parts)):
        series = Series(
            Reference(sheet, min_col=column, min_row=head + 1, max_row=last),
            Reference(sheet, min_col=1, min_row=head + 1, max_row=last),
            title=parts[column - 2].part_number,
        )
        series.marker.symbol = "circle"
        series.smooth = False
        colour = COLOURS[(column - 2) % len(COLOURS)]
        series.graphicalProperties.line.solidFill = colour
        series.marker.graphicalProperties.solidFill = colour
        chart.series.append(series)
    sheet.add_chart(chart, f"{get_column_letter(len(parts) + 3)}{head}")


def _tabulated(part: Part) -> list[float]:
    numbers = part_to_numbers(part)
    return [
        c
        for quantity in (Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO)
        for c, _ in numbers.rows.get(quantity, ())
    ]


def _add_sources(book: LiveBook, found: SideBySide) -> None:
    """Where each number stands, or why there is none."""
    sheet: Worksheet = book.create_sheet("Sources")
    head = put_title(
        sheet, "Sources", "Document, page and printed text of every number; or why there is none."
    )
    columns = [
        Column("Trait", 34),
        Column("Part", 20),
        Column("Source", 70, wrap=True),
        Column("Assumed, or why there is none", 50, wrap=True),
    ]
    rows = [
        [
            row.title,
            part.part_number,
            trait_to_source(trait),
            "; ".join((*trait.number.assumed, trait.number.note)).strip("; "),
        ]
        for row in found.rows
        for part, trait in zip(found.parts, row.traits, strict=True)
    ]
    put_table(sheet, head, columns, rows)
    finish(sheet, head, len(columns))
