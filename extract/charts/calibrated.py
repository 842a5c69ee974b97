"""A chart that is a picture, read by the scale that a person marked: two marks on each axis.

Comes in: a document, what its tables say of parts, where two values of each axis stand on a page. Goes out:
the curves of the picture around the marks, single at best; a line that no label names is nobody's yet.
Nothing here reads a number of an axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from extract.charts.axes import Axis
from extract.charts.chart import Chart, surroundings_to_title
from extract.charts.frames import Frame, ink_to_frames
from extract.charts.geometry import Box, Point, to_box
from extract.charts.ink import Ink, page_to_drawing, with_letters
from extract.charts.kinds import ChartKind, box_to_surroundings
from extract.charts.naming import PartFacts
from extract.charts.naming_curves import NamedCurve
from extract.charts.picture_charts import FROM_PIXELS
from extract.charts.pixels import can_read_pixels
from extract.charts.reading import KnownSheet, chart_to_curves, named_to_curves, to_known_sheet
from extract.charts.witness import Word
from extract.charts.wording import letters_to_words, words_to_phrases
from extract.document import Document, open_pdfium
from extract.errors import InputError
from extract.schema import ChartName, Curve, Status

NOBODY = "?"  # the part of a line that no label names
NO_LABEL = "no label names this line: say whose it is"
MARKED = "the scale was marked by hand"
CLICK_PT = 0.75  # a mark is placed no better
LEAST_APART_PT = 20.0  # two marks of one axis


@dataclass(frozen=True, slots=True)
class AxisMarks:
    """Two places along an axis, in points from the page's left or top, and the values that stand there;
    whether its scale is logarithmic, if that was said: else as charts of its kind are."""

    places: tuple[float, float]
    values: tuple[float, float]
    is_log: bool | None = None


@dataclass(frozen=True, slots=True)
class Calibration:
    """What a person marked: the page (from 1), what the chart shows, both axes. Currents in A, times in s,
    temperatures in °C, shares in percent."""

    page: int
    chart: ChartName
    x: AxisMarks
    y: AxisMarks


def document_to_calibrated_curves(
    document: Document, facts: tuple[PartFacts, ...], marked: Calibration
) -> tuple[Curve, ...]:
    """Every line of the picture at the marks, by the scale they give. Raises InputError where that cannot
    be."""
    is_log = marked.chart is ChartName.TIME_TO_TRIP
    x_axis, y_axis = (
        marks_to_axis(marks, is_log if marks.is_log is None else marks.is_log, name)
        for marks, name in ((marked.x, "x"), (marked.y, "y"))
    )
    if x_axis.unit <= 0 or y_axis.unit >= 0:
        raise InputError("marks", "an axis runs the wrong way", "values that rise to the right and upwards")
    if not can_read_pixels():
        raise InputError("charts that are pictures", "not readable here", 'the extra: pip install ".[scans]"')
    with open_pdfium(document.source, document.name) as pdf:
        if not 1 <= marked.page <= len(pdf):
            raise InputError("marks", f"no page {marked.page}", f"a page from 1 to {len(pdf)}")
        chart, ink = _marked_to_chart(
            pdf[marked.page - 1], marked, (x_axis, y_axis), [fact.part_number for fact in facts]
        )
        sheet = to_known_sheet(pdf, document, facts, [ink])
    return _chart_to_curves(chart, ink, sheet, marked.chart)


def marks_to_axis(marks: AxisMarks, is_log: bool, name: str) -> Axis:
    """The scale through two marks; its error is that of a click."""
    (one, other), values = marks.places, marks.values
    if abs(other - one) < LEAST_APART_PT:
        raise InputError("marks", f"the marks of the {name} axis stand too close", "two far apart")
    if values[0] == values[1] or (is_log and min(values) <= 0):
        raise InputError("marks", f"no scale through {values[0]:g} and {values[1]:g}", "two different values")
    first, second = (math.log10(value) if is_log else value for value in values)
    unit = (other - one) / (second - first)
    return Axis(is_log, one - unit * first, unit, CLICK_PT / abs(unit), False, 2)


def _marked_to_chart(
    page: Any, marked: Calibration, axes: tuple[Axis, Axis], names: Sequence[str]
) -> tuple[Chart, Ink]:
    """The chart of the picture that holds the marks."""
    from extract.charts.pixels.picture_ink import picture_to_ink

    ink = with_letters(page_to_drawing(page, marked.page), page)
    middle = (sum(marked.x.places) / 2, sum(marked.y.places) / 2)
    box = next((box for box in ink.pictures if to_box(middle, box) == 0.0), None)
    pictured = None if box is None else picture_to_ink(page, ink, box, names)
    if box is None or pictured is None:
        raise InputError(f"page {marked.page}", "no picture with a grid at the marks", "marks on a chart")
    frame = _frame_at(middle, pictured.ink, marked)
    words = letters_to_words(pictured.ink.letters)
    around = box_to_surroundings(frame.box, words_to_phrases(words))
    is_trip = marked.chart is ChartName.TIME_TO_TRIP
    chart = Chart(
        ChartKind.TIME_TO_TRIP if is_trip else ChartKind.DERATING,
        frame, box, *axes, 1.0, 1.0 if is_trip else 0.01, False,
        pictured.tell_lines(frame, pictured.ink.strokes), surroundings_to_title(around), "", tuple(words),
    )  # fmt: skip
    return chart, pictured.ink


def _frame_at(middle: Point, ink: Ink, marked: Calibration) -> Frame:
    """The frame around the marks; that of the marks themselves where none is seen."""
    own: Box = (min(marked.x.places), min(marked.y.places), max(marked.x.places), max(marked.y.places))
    frames: Sequence[Frame] = ink_to_frames(ink)
    return next((one for one in frames if to_box(middle, one.box) == 0.0), Frame(own, (), ()))


def _chart_to_curves(chart: Chart, ink: Ink, sheet: KnownSheet, name: ChartName) -> tuple[Curve, ...]:
    """The curves that labels name, and the other lines of the chart for nobody yet."""
    named = chart_to_curves(chart, ink, sheet, None)
    taken = {curve.on_page[:2] for curve in named}
    rest: list[Curve] = []
    for number in range(len(chart.lines.curves)):
        nobody = NamedCurve(number, "", (NOBODY,), (NO_LABEL,))
        rest += [
            curve
            for curve in named_to_curves(nobody, Word.SILENT, chart, ink, (sheet, None))
            if curve.on_page[:2] not in taken
        ]
    doubts = (f"{len(rest)} lines of this picture have no label",) if rest else ()
    found = [replace(curve, notes=(*curve.notes, *doubts)) for curve in named] + rest
    return tuple(
        replace(curve, chart=name, status=Status.DISPUTED if curve.notes else Status.SINGLE,
                notes=(*curve.notes, MARKED, FROM_PIXELS))
        for curve in found
    )  # fmt: skip
