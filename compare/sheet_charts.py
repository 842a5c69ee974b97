"""The sheet Charts: hold and trip of one candidate against ambient with the operating point, and its margins.

Comes in: candidates with their rows of Lines. Goes out: the sheet with two charts; the candidate is
chosen by its rank in one cell. Draws the pieces of Lines, nothing between them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from openpyxl.chart import BarChart, Reference, ScatterChart, Series
from openpyxl.chart.legend import Legend
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from compare.corners import Case
from compare.derating_lines import Piece, hold_to_pieces, trip_to_pieces
from compare.explain import margin_title
from compare.records import Candidate, Margin
from compare.sheet_candidates import order_column
from compare.sheet_lines import LineRows
from compare.sheet_margins import HEAD_ROW as MARGINS_HEAD
from compare.sheet_margins import candidate_rows
from compare.workbook_corners import Corners
from compare.workbook_inputs import COLDEST, HOTTEST, NEEDED_HOLD
from compare.workbook_look import (
    ASIDE,
    BOX,
    INPUT_FILL,
    MARGIN_FORMAT,
    NOT_AVAILABLE,
    RULE_GREY,
    SENSIBLE,
    STRONG,
    UNSEEN,
    Column,
    Formula,
    LiveBook,
    Value,
    at,
    put,
    put_head,
    put_row,
    put_title,
    set_page,
)

HOLD, TRIP, ASKED = "1F6F5C", "9C3D22", "22384A"
LONGEST_BAR = 10
DATA_ROW = 36
"""Below the charts: the numbers they draw."""
DATA_COLUMNS = (
    Column("Ambient, °C", 12, "General"), Column("Hold, A", 12, SENSIBLE),
    Column("Ambient, °C", 12, "General"), Column("Trip, A", 12, SENSIBLE), Column("Margin of", 46),
    Column("Times the need, bars end at 10", 14, MARGIN_FORMAT),
)
RANK, CHOSEN = "$B$4", "$P$4"
PLACE_COLUMN = 20
"""Where the rows of every candidate are listed: T to X."""


def add_charts(book: LiveBook, candidates: Sequence[Candidate], best: Case, lines: Sequence[LineRows],
               corners: Corners) -> None:
    """Write the sheet; `best` is the case of the first candidate, which it shows until another is chosen."""
    sheet = book.create_sheet("Charts")
    put_title(sheet, "Charts", "Type a rank into the framed cell: the charts show that part for the inputs "
              "as they stand on Summary.")
    _put_choice(sheet, candidates)
    _put_places(sheet, candidates, lines)
    longest = max(max(rows.hold[1] - rows.hold[0], rows.trip[1] - rows.trip[0]) for rows in lines) + 1
    count = len(candidates[0].margins)
    put_head(sheet, DATA_ROW, DATA_COLUMNS)
    pieces = (hold_to_pieces(best.numbers, best.derating), trip_to_pieces(best.numbers, best.derating))
    for step in range(max(longest, count)):
        drawn = [*_curves(step, longest, pieces), *_margin(step, candidates[0].margins)]
        put_row(sheet, DATA_ROW + 1 + step, DATA_COLUMNS, drawn, DATA_ROW + 1)
    _put_asked(sheet, corners, best)
    sheet.add_chart(_derating_chart(sheet, longest), "A6")
    sheet.add_chart(_margin_chart(sheet, count), "F6")
    set_page(sheet)
    sheet.page_setup.fitToHeight = 1
    last = DATA_ROW + max(longest, count)
    blank = Font(color=RULE_GREY)
    sheet.conditional_formatting.add(
        f"A{DATA_ROW + 1}:D{last}", FormulaRule([f"ISNA(A{DATA_ROW + 1})"], font=blank))  # type: ignore[no-untyped-call]
    sheet.print_area = f"A1:P{DATA_ROW - 1}"


def _put_choice(sheet: Worksheet, candidates: Sequence[Candidate]) -> None:
    last = MARGINS_HEAD + len(candidates)
    put(at(sheet, 4, 1), "Rank shown", font=STRONG)
    cell = at(sheet, 4, 2)
    put(cell, 1, "0", STRONG)
    cell.fill, cell.border = INPUT_FILL, BOX
    whole = DataValidation(type="whole", operator="between", formula1="1", formula2=str(len(candidates)),
                           showErrorMessage=True)
    sheet.add_data_validation(whole)
    whole.add("B4")
    first = candidates[0]
    known = (first.part_number, first.verdict.value, first.part.document)
    for column, letter, value in zip((3, 5, 6), "BCG", known, strict=True):
        formula = f"=INDEX(Candidates!${letter}:${letter},{CHOSEN}+{MARGINS_HEAD})"
        put(at(sheet, 4, column), Formula(formula, value), font=STRONG)
    order = order_column(candidates)
    chosen = f"=MATCH({RANK},Candidates!${order}${MARGINS_HEAD + 1}:${order}${last},0)"
    put(at(sheet, 4, 16), Formula(chosen, 1.0), UNSEEN, ASIDE)


def _put_places(sheet: Worksheet, candidates: Sequence[Candidate], lines: Sequence[LineRows]) -> None:
    """Rows of every candidate: hold and trip in Lines (first, last), first in Margins."""
    titles = ("Hold from row", "Hold to row", "Trip from row", "Trip to row", "Margins from row")
    rows: list[tuple[Value, ...]] = [titles, *((*place.hold, *place.trip, first) for place, (first, _)
                      in zip(lines, candidate_rows(candidates), strict=True))]
    for row, values in enumerate(rows, MARGINS_HEAD):
        for column, value in enumerate(values, PLACE_COLUMN):
            put(at(sheet, row, column), value, font=ASIDE)


def _place(letter: str) -> str:
    return f"INDEX(${letter}:${letter},{CHOSEN}+{MARGINS_HEAD})"


def _curves(step: int, longest: int, courses: tuple[tuple[Piece, ...], ...]) -> Iterator[Value]:
    """One row of the curves drawn: ambient and current of hold and of trip; #N/A leaves a gap."""
    for first, last, pieces in (("T", "U", courses[0]), ("V", "W", courses[1])):
        row = f"{_place(first)}+{step}"
        inside = f"{row}<={_place(last)}"
        starts = (pieces[step].from_c, pieces[step].from_a) if step < len(pieces) else (None, None)
        for column, known in zip("DF", starts, strict=True):
            found = f"INDEX(Lines!${column}:${column},{row})"
            formula = f"=IF({inside},IF(ISNUMBER({found}),{found},NA()),NA())"
            shown = known if known is not None and math.isfinite(known) else NOT_AVAILABLE
            yield Formula(formula, shown) if step < longest else None


def _margin(step: int, margins: Sequence[Margin]) -> Iterator[Value]:
    """Name and bar of one margin; no bar without a number."""
    if step >= len(margins):
        yield from (None, None)
        return
    row, ratio = f"{_place('X')}+{step}", margins[step].margin
    bar = min(ratio, float(LONGEST_BAR)) if ratio is not None else 0.0
    margin = f"INDEX(Margins!$I:$I,{row})"
    cut = f'IF({margin}>{LONGEST_BAR},", bar cut at {LONGEST_BAR}","")'
    name = f'=INDEX(Margins!$C:$C,{row})&": "&IF(ISNUMBER({margin}),ROUND({margin},2)&{cut},"no number")'
    yield Formula(name, _bar_name(margins[step]))
    yield Formula(f"=IF(ISNUMBER({margin}),MIN({margin},{LONGEST_BAR}),0)", bar)


def _bar_name(margin: Margin) -> str:
    """Title and number of a bar, and whether it is cut: a label beside it would tell the length drawn."""
    title = margin_title(margin.name)
    if margin.margin is None or not math.isfinite(margin.margin):
        return f"{title}: no number"
    cut = f", bar cut at {LONGEST_BAR}" if margin.margin > LONGEST_BAR else ""
    return f"{title}: {round(margin.margin, 2):g}{cut}"


def _put_asked(sheet: Worksheet, corners: Corners, best: Case) -> None:
    """The two points asked: must hold at the hottest, must trip at the coldest."""
    fault = f"INDEX(Corners!${corners.columns['fault_low']}:${corners.columns['fault_low']}," \
            f"{CHOSEN}+{corners.first_row - 1})"
    asked, fault_a = best.requirement, best.lowest_fault.value
    needed_a = asked.normal_current_a * asked.hold_factor
    trips = Formula(f"=IF(ISNUMBER({fault}),{fault},NA())", NOT_AVAILABLE if fault_a is None else fault_a)
    for row, (words, ambient, current) in enumerate((
            ("must hold", Formula(f"={HOTTEST}", asked.hottest_c), Formula(f"={NEEDED_HOLD}", needed_a)),
            ("must trip", Formula(f"={COLDEST}", asked.coldest_c), trips)), DATA_ROW - 2):
        put(at(sheet, row, 1), words, font=STRONG)
        put(at(sheet, row, 2), ambient, "General")
        put(at(sheet, row, 3), current, "General")


def _derating_chart(sheet: Worksheet, longest: int) -> ScatterChart:
    chart = ScatterChart()
    chart.title, chart.style, chart.height, chart.width = "Hold and trip against ambient", 2, 13.5, 17
    chart.x_axis.title, chart.y_axis.title = "ambient at the part, °C", "current, A"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.x_axis.number_format = chart.y_axis.number_format = "General"
    chart.x_axis.tickLblPos = chart.y_axis.tickLblPos = "low"
    chart.y_axis.crosses = "min"
    last = DATA_ROW + longest
    for column, title, colour, dash in ((1, "hold", HOLD, "solid"), (3, "trip", TRIP, "dash")):
        series = Series(Reference(sheet, min_col=column + 1, min_row=DATA_ROW + 1, max_row=last),
                        Reference(sheet, min_col=column, min_row=DATA_ROW + 1, max_row=last), title=title)
        series.smooth = False
        series.graphicalProperties.line.solidFill = colour
        series.graphicalProperties.line.dashStyle = dash
        series.graphicalProperties.line.width = 22000
        series.marker.symbol = "none"
        chart.series.append(series)
    for row, title, symbol in ((DATA_ROW - 2, "must hold", "square"), (DATA_ROW - 1, "must trip", "diamond")):
        series = Series(Reference(sheet, min_col=3, min_row=row), Reference(sheet, min_col=2, min_row=row),
                        title=title)
        series.marker.symbol, series.marker.size = symbol, 9
        series.marker.graphicalProperties.solidFill = ASKED
        series.graphicalProperties.line.noFill = True
        chart.series.append(series)
    chart.legend = Legend(legendPos="b")
    return chart


def _margin_chart(sheet: Worksheet, count: int) -> BarChart:
    chart = BarChart()
    chart.type, chart.style, chart.height, chart.width = "bar", 2, 13.5, 19
    chart.title = f"Margins: 1 is just met; longer bars are cut at {LONGEST_BAR}"
    values = Reference(sheet, min_col=6, min_row=DATA_ROW + 1, max_row=DATA_ROW + count)
    series = Series(values, title="times the need")
    series.graphicalProperties.solidFill = HOLD
    chart.series.append(series)
    chart.set_categories(Reference(sheet, min_col=5, min_row=DATA_ROW + 1, max_row=DATA_ROW + count))
    chart.x_axis.scaling.orientation = "maxMin"
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, LONGEST_BAR
    chart.y_axis.majorUnit, chart.y_axis.number_format = 1, "General"
    chart.legend = None
    chart.gapWidth = 60
    return chart

