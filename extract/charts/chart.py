"""One chart of a page: its frame, its axes, its curves, its words.

Comes in: the ink of a page. Goes out: Charts of the kinds that are read. Gives no curve a name.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from extract.charts.axes import Axis, labels_to_axis
from extract.charts.curves import ChartLines, strokes_to_chart_lines
from extract.charts.frames import Frame
from extract.charts.ink import Box, Ink, Stroke
from extract.charts.kinds import (
    ChartKind,
    Surroundings,
    box_to_surroundings,
    names,
    surroundings_to_kind,
    to_other_sides,
)
from extract.charts.loose_frames import ink_to_any_frames
from extract.charts.numbers import TickLabel, words_to_ticks
from extract.charts.regions import frame_to_region_box
from extract.charts.samples import lines_to_sample_boxes
from extract.charts.units import AxisUnit, labels_to_unit, texts_to_unit, words_to_factors
from extract.charts.wording import Word, is_upright, letters_to_words, words_to_phrases
from extract.temperatures import text_to_ambient
from extract.vocabulary import fold

TellLines = Callable[[Frame, Sequence[Stroke]], ChartLines]
_TITLE_LINES = 3
NO_ROOM_PT, SAME_EDGE_PT = 18.0, 0.5  # numbers need more room; edges at one place differ by less
FEW_NUMBERS = 2  # below a frame make no axis: one may stand in a title
NEXT_BELOW_PT = 80.0  # a chart stands no farther below another whose axis is its own
LEAST_PLAIN = 4  # so many numbers prove a plain scale of currents
_WORD, _VALUE = re.compile(r"[^\W\d_]{3}"), re.compile(r"\d\.\d")
_LOG = re.compile(r"\blog(?:10|arit\w*|arith\w*)?\b")
_PLAIN_LOG = ("the title of the x axis speaks of logarithms, its numbers stand on a plain scale",)
_HOLD_MULTIPLE = re.compile(
    r"(?:[x×*]|times|multipl\w*|vielfach\w*|fach\w*)\s*(?:of\s+|von\s+|des\s+|de\s+|of\s+the\s+|the\s+)*"
    r"(?:rated\s+)?(?:i\s*_?h|hold|halte)|i\s*/\s*i?\s*_?h",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart as drawn. `x_factor`, `y_factor` turn what its axes say into A, s or fractions; `in_holds` if
    its currents are multiples of the hold current; `box` holds it with all its texts; `doubts` say what of
    its axes is not sure."""

    kind: ChartKind
    frame: Frame
    box: Box
    x_axis: Axis
    y_axis: Axis
    x_factor: float
    y_factor: float
    in_holds: bool
    lines: ChartLines
    title: str
    y_title: str
    words: tuple[Word, ...]
    doubts: tuple[str, ...] = ()

    @property
    def is_typical(self) -> bool:
        """Whether the chart says that it shows typical or average values."""
        return names("title", "typical", self.title)

    @property
    def ambient_c(self) -> float | None:
        """The ambient its title names."""
        ambient = text_to_ambient(self.title)
        return ambient if ambient is not None and -50 <= ambient <= 150 else None


def ink_to_charts(
    ink: Ink, tell: TellLines | None = None, frames: Sequence[Frame] | None = None
) -> tuple[Chart, ...]:
    """The charts of trip times and of derating on a page, with their axes and curves. `tell` parts the curves
    of a frame from its other strokes where they are no drawn ones; `frames` are its frames, where they are
    known."""
    frames = ink_to_any_frames(ink) if frames is None else frames
    words = letters_to_words(ink.letters)
    phrases = words_to_phrases(words)
    boxes = [frame.box for frame in frames]
    charts = []
    for frame in frames:
        around = box_to_surroundings(frame.box, phrases, boxes)
        beside = next((other for other in frames if _lends_upright(other, frame)), frame)
        below = next((other for other in frames if _lends_level(other, frame, words)), frame)
        if beside is not frame:
            around = replace(around, left=box_to_surroundings(beside.box, phrases, boxes).left)
        if below is not frame:
            around = replace(around, below=box_to_surroundings(below.box, phrases, boxes).below)
        kind = surroundings_to_kind(around)
        if kind is ChartKind.OTHER:
            around = to_other_sides(around)
            kind = surroundings_to_kind(around)
        if kind in (ChartKind.TIME_TO_TRIP, ChartKind.DERATING):
            chart = _frame_to_chart((frame, below, beside), kind, around, words, (ink, tell))
            charts += [chart] if chart is not None else []
    return tuple(charts)


def _lends_level(other: Frame, frame: Frame, words: Sequence[Word]) -> bool:
    """Whether a frame stands below another without numbers of its own, as wide and with the same lines: its
    level axis is that of both."""
    gap = other.box[1] - frame.box[3]
    own, others = (*frame.columns, *frame.ticks_x), (*other.columns, *other.ticks_x)
    is_same = all(abs(frame.box[at] - other.box[at]) < SAME_EDGE_PT for at in (0, 2)) and len(own) == len(
        others
    )
    if not 0.0 < gap < NEXT_BELOW_PT or not is_same:
        return False
    at_places = all(abs(a - b) < SAME_EDGE_PT for a, b in zip(sorted(own), sorted(others), strict=True))
    return at_places and len(words_to_ticks(words, frame.box)[0]) < FEW_NUMBERS


def _lends_upright(other: Frame, frame: Frame) -> bool:
    """Whether a frame stands so close at the left of another, of its height and with the same lines, that
    its upright axis is that of both: no numbers find room between them."""
    gap = frame.box[0] - other.box[2]
    is_level = all(abs(frame.box[at] - other.box[at]) < SAME_EDGE_PT for at in (1, 3))
    own, others = (frame.rows, frame.ticks_y), (other.rows, other.ticks_y)
    return 0.0 < gap < NO_ROOM_PT and is_level and tuple(map(len, own)) == tuple(map(len, others))


def _frame_to_chart(
    framed: tuple[Frame, Frame, Frame],
    kind: ChartKind,
    around: Surroundings,
    words: Sequence[Word],
    drawn: tuple[Ink, TellLines | None],
) -> Chart | None:
    """A chart, or None if its axes have no scale of its kind. `framed`: its frame, the one below which its
    level axis stands, and the one at whose left its upright axis does."""
    (frame, below_it, beside_it), (ink, tell) = framed, drawn
    is_trip = kind is ChartKind.TIME_TO_TRIP
    x_labels, y_labels = words_to_ticks(words, frame.box)
    x_labels = x_labels if below_it is frame else words_to_ticks(words, below_it.box)[0]
    y_labels = y_labels if beside_it is frame else words_to_ticks(words, beside_it.box)[1]
    axes = _labels_to_axes(x_labels, y_labels, frame, is_trip)
    if axes is None:
        return None
    below = [p.text for p in around.below]
    upright = [p.text for p in around.left if is_upright(p.angle)]
    left = upright or [p.text for p in around.left]
    title = surroundings_to_title(around)
    in_holds = is_trip and _HOLD_MULTIPLE.search(fold(" ".join(below))) is not None
    x_unit = (
        labels_to_unit(x_labels, texts_to_unit(below, "current")) if is_trip and not in_holds else AxisUnit()
    )
    y_unit = labels_to_unit(y_labels, texts_to_unit(left, "time", title)) if is_trip else AxisUnit()
    lines = tell(frame, ink.strokes) if tell else strokes_to_chart_lines(frame, ink.strokes, not is_trip)
    largest = max(label.value for label in y_labels)
    return Chart(
        kind,
        frame,
        frame_to_region_box(
            frame.box,
            words,
            [line.box for line in lines.leaders],
            lines_to_sample_boxes(lines, ink.strokes, frame.box),
        ),
        *axes,
        x_unit.factor,
        y_unit.factor if is_trip else (0.01 if largest > 5 else 1.0),
        in_holds,
        lines,
        title,
        " ".join(left),
        tuple(words),
        (
            *(unit.doubt for unit in (x_unit, y_unit) if unit.doubt),
            *(_PLAIN_LOG if is_trip and not axes[0].is_log and _LOG.search(fold(" ".join(below))) else ()),
            *(
                f"a factor '{text}' stands at the end of an axis"
                for text in words_to_factors(words, frame.box)
            ),
        ),
    )


def _labels_to_axes(
    x_labels: Sequence[TickLabel], y_labels: Sequence[TickLabel], frame: Frame, is_trip: bool
) -> tuple[Axis, Axis] | None:
    """Both axes, values rising to the right and upwards; None unless both have such a scale. The current of a
    chart of trip times may be on a plain scale."""
    x0, top, x1, bottom = frame.box
    x_axis = labels_to_axis(x_labels, (*frame.columns, *frame.ticks_x), (x0, x1), is_trip)
    y_axis = labels_to_axis(y_labels, (*frame.rows, *frame.ticks_y), (top, bottom), is_trip)
    if x_axis is None or y_axis is None:
        return None
    is_scaled = y_axis.is_log == is_trip and (x_axis.is_log == is_trip or _is_plain(x_axis, x_labels))
    return (x_axis, y_axis) if is_scaled and x_axis.unit > 0 > y_axis.unit else None


def _is_plain(axis: Axis, labels: Sequence[TickLabel]) -> bool:
    """Whether a plain scale is beyond doubt: enough numbers, each at its line."""
    return not axis.is_disputed and axis.lines >= LEAST_PLAIN and axis.lines == len({n.value for n in labels})


def surroundings_to_title(around: Surroundings) -> str:
    """The nearest lines above a chart that are words."""
    lines = [
        p.text
        for p in around.above
        if sum(c.isalpha() for c in p.text) >= 6 and _WORD.search(p.text) and not _VALUE.search(p.text)
    ]
    return " | ".join(lines[:_TITLE_LINES])
