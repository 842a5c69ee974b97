"""The sheet Trip curves: the drawn times to trip of the best parts on log paper, with what is asked.

Comes in: cases of the candidates, the best first. Goes out: the sheet with one chart, the curves' places and
the numbers drawn; nothing where no part has a usable curve. Draws nothing beyond the ends of a curve. The two
points asked follow the inputs of Summary; curves, tabulated times and the band are those of the datasheets.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.axis import ChartLines
from openpyxl.chart.legend import Legend
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import XYSeries
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.drawing.line import LineProperties
from openpyxl.worksheet.worksheet import Worksheet

from compare.corners import Case
from compare.drawn_times import CURVE_NOTE
from compare.records import Candidate
from compare.trip_plot import case_to_band, case_to_lines
from compare.workbook_corners import Corners
from compare.workbook_inputs import input_name
from compare.workbook_look import (
    HEADING,
    NOT_AVAILABLE,
    RULE_GREY,
    STRONG,
    Column,
    Formula,
    LiveBook,
    Value,
    at,
    put,
    put_head,
    put_row,
    put_table,
    put_title,
    set_page,
)

TITLE = "Trip curves"
MOST_PARTS = 6
LOOKS = (("1F6F5C", "solid"), ("9C3D22", "dash"), ("5B4A8A", "sysDot"), ("22384A", "lgDash"),
         ("B8860B", "dashDot"), ("2F6DB5", "sysDash"))
"""Colour and dashes of each part, so that a grey print says the same."""
BAND_GREY, ASKED = "7D95A6", "22384A"
CHART_ROW, PLACES_ROW = 5, 40
PLACES = (
    Column("Part", 22), Column("Rank as stated", 10, "0"), Column("Verdict as stated", 13),
    Column("Datasheet", 26), Column("Page", 9, "0"),
    Column("Label in the chart", 16), Column("Status", 11), Column("Kind", 9),
    Column("Ambient, °C", 12, "General"), Column("From, A", 10, "0.000"), Column("To, A", 10, "0.000"),
    Column("Error of the current", 10, "0.0%"), Column("Error of the time", 10, "0.0%"),
)
NUMBER_WIDTH, NUMBER = 12.0, "0.0000"
AT_EDGE = 0.04
"""Of a decade: a mark so near the edge of the paper gets another decade."""
Mark = Literal["none", "circle", "square", "diamond"]


class Shown(NamedTuple):
    """A part of the sheet: its rank and verdict for the requirement as stated, and its case."""

    rank: int
    verdict: str
    case: Case


class Drawn(NamedTuple):
    """One series of the chart: its name, its points (A, s), how it looks; without a dash marks alone."""

    name: str
    points: Sequence[tuple[Value, Value]]
    colour: str
    dash: str = ""
    mark: Mark = "none"


def add_trip_curves(book: LiveBook, candidates: Sequence[Candidate], cases: Sequence[Case],
                    corners: Corners) -> None:
    """Write the sheet for the best parts that have a usable curve; `cases` are those of the candidates."""
    ranked = enumerate(zip(candidates, cases, strict=True), 1)
    shown = [Shown(rank, one.verdict.value, case) for rank, (one, case) in ranked
             if case_to_lines(case)][:MOST_PARTS]
    if not shown:
        return
    sheet = book.create_sheet(TITLE)
    put_title(sheet, TITLE,
              f"As the datasheets draw them; each ends where its chart ends it. A {CURVE_NOTE}.")
    if shown[0].rank > 1:
        best = cases[0].numbers.part.part_number
        put(at(sheet, 3, 1), f"{best}, the best part as stated, has no curve that "
            f"may be used; of those that have one these are the best {len(shown)}.", font=STRONG)
    drawn = [*_curves(shown), *_tabulated(shown), *_band(shown), *_asked(cases[0], corners)]
    last_place = put_table(sheet, PLACES_ROW, PLACES, _places(shown))
    first = last_place + 4
    put(at(sheet, first - 2, 1), "The numbers drawn", font=HEADING)
    _put_numbers(sheet, first, drawn)
    sheet.add_chart(_chart(sheet, first, drawn), f"A{CHART_ROW}")
    set_page(sheet)
    sheet.page_setup.fitToHeight = 1
    sheet.print_area = f"A1:M{last_place}"


def _curves(shown: Sequence[Shown]) -> Iterator[Drawn]:
    """The curves of each part."""
    for (_, _, case), (colour, dash) in zip(shown, LOOKS, strict=False):
        for line in case_to_lines(case):
            yield Drawn(f"{case.numbers.part.part_number}, typical", line.points, colour, dash)


def _tabulated(shown: Sequence[Shown]) -> Iterator[Drawn]:
    """The longest times that the tables of the same parts print."""
    for (_, _, case), (colour, _) in zip(shown, LOOKS, strict=False):
        told = [(point.current_a, point.time_s) for point in case.trip_times.points]
        if told:
            yield Drawn(f"{case.numbers.part.part_number}, table", told, colour, mark="circle")


def _band(shown: Sequence[Shown]) -> Iterator[Drawn]:
    """The band of the best part at the coldest ambient, for the requirement as stated."""
    best = shown[0].case
    name, coldest_c = best.numbers.part.part_number, best.requirement.coldest_c
    for word, edge in zip(("from", "to"), case_to_band(best), strict=True):
        if len(edge) > 1:
            yield Drawn(f"{name} at {coldest_c:g} °C, {word} (model)", edge, BAND_GREY, "sysDot")


def _asked(best: Case, corners: Corners) -> Iterator[Drawn]:
    """Must trip by, at the lowest fault current of the best part; must not trip before."""
    asked, fault_a = best.requirement, best.lowest_fault.value
    if asked.trip_time_max_s is not None:
        fault, known = corners.cell("fault_low", 0), NOT_AVAILABLE if fault_a is None else fault_a
        current = Formula(f"=IF(ISNUMBER({fault}),{fault},NA())", known)
        time = Formula(f"={input_name('trip_time_max_s')}", asked.trip_time_max_s)
        yield Drawn("must trip by", ((current, time),), ASKED, mark="square")
    if asked.peak_current_a is not None and asked.peak_duration_s is not None:
        peak = (Formula(f"={input_name('peak_current_a')}", asked.peak_current_a),
                Formula(f"={input_name('peak_duration_s')}", asked.peak_duration_s))
        yield Drawn("must not trip before", (peak,), ASKED, mark="diamond")


def _places(shown: Sequence[Shown]) -> Iterator[list[Value]]:
    """Where each curve stands and what it is worth."""
    for rank, verdict, case in shown:
        for line in case_to_lines(case):
            yield [case.numbers.part.part_number, rank, verdict, line.document, line.place.page, line.label,
                   line.status.value, line.kind.value, line.ambient_c, line.points[0][0], line.points[-1][0],
                   line.x_error, line.y_error]


def _put_numbers(sheet: Worksheet, first: int, drawn: Sequence[Drawn]) -> None:
    """Two columns for each series: current and time."""
    widths = [column.width for column in PLACES]
    heads = [f"{one.name}: {word}" for one in drawn for word in ("A", "s")]
    widths += [NUMBER_WIDTH] * max(0, len(heads) - len(widths))
    columns = [Column(head, width, NUMBER) for head, width in zip(heads, widths, strict=False)]
    put_head(sheet, first, columns)
    sheet.row_dimensions[first].height = 64
    for step in range(max(len(one.points) for one in drawn)):
        row = [value for one in drawn
               for value in (one.points[step] if step < len(one.points) else (None, None))]
        put_row(sheet, first + 1 + step, columns, row, first + 1, sparse=True)


def _chart(sheet: Worksheet, first: int, drawn: Sequence[Drawn]) -> ScatterChart:
    """Both axes logarithmic, whole decades."""
    chart = ScatterChart()
    chart.title, chart.style, chart.height, chart.width = "Typical times to trip: no limits", 2, 16.5, 27
    for axis, title, place in ((chart.x_axis, "fault current, A", 0), (chart.y_axis, "time to trip, s", 1)):
        axis.title, axis.delete, axis.number_format = title, False, "General"
        axis.scaling.logBase = 10
        axis.scaling.min, axis.scaling.max = _decades([_known(p[place]) for one in drawn for p in one.points])
        axis.crosses, axis.tickLblPos = "min", "low"
        axis.majorGridlines, axis.minorGridlines = _lines(RULE_GREY), _lines("DDE3E7")
    for number, one in enumerate(drawn):
        chart.series.append(_series(sheet, first, 2 * number + 1, one))
    chart.legend = Legend(legendPos="r")
    return chart


def _series(sheet: Worksheet, first: int, column: int, one: Drawn) -> XYSeries:
    times, currents = (Reference(sheet, min_col=at_column, min_row=first + 1, max_row=first + len(one.points))
                       for at_column in (column + 1, column))
    series: XYSeries = Series(times, currents, title=one.name)
    series.smooth = False
    series.marker = Marker(symbol=one.mark)
    if one.dash:
        series.graphicalProperties.line.solidFill = one.colour
        series.graphicalProperties.line.dashStyle = one.dash
        series.graphicalProperties.line.width = 19000
        return series
    series.graphicalProperties.line.noFill = True
    series.marker.size = 8
    series.marker.graphicalProperties = GraphicalProperties(solidFill=one.colour)
    series.marker.graphicalProperties.line.solidFill = one.colour
    return series


def _lines(colour: str) -> ChartLines:
    return ChartLines(spPr=GraphicalProperties(ln=LineProperties(solidFill=colour, w=6000)))


def _known(value: Value) -> float:
    """What a cell is known to show; not a number where it shows none."""
    known = value.known if isinstance(value, Formula) else value
    return float(known) if isinstance(known, int | float) else math.nan


def _decades(values: Sequence[float]) -> tuple[float, float]:
    """The whole decades around values, no value at their edge."""
    logs = [math.log10(value) for value in values if value > 0.0 and math.isfinite(value)]
    low, high = math.floor(min(logs) - AT_EDGE), math.ceil(max(logs) + AT_EDGE)
    return 10.0**low, 10.0 ** max(high, low + 1)
