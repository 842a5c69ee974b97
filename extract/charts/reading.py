"""The curves of a sheet: its pages walked, its charts read, its parts named.

Comes in: an open document and the readings of its tables. Goes out: Curves and findings. Changes no number of
a table and fills no gap of one.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from extract.charts.by_order import named_by_order
from extract.charts.chart import Chart, ink_to_charts
from extract.charts.crowded import most_strokes, page_to_crowded
from extract.charts.drawn import Drawn
from extract.charts.geometry import is_within, length_of, to_box
from extract.charts.ink import Ink, InkLimits, page_to_drawing, with_letters
from extract.charts.kinds import ChartKind, names
from extract.charts.labels import HOLD_LABEL, LabelSource, quantity_labels
from extract.charts.legend import table_to_keys, words_to_explained, words_to_keys
from extract.charts.loose_frames import ink_to_any_frames
from extract.charts.naming import Naming, PartFacts, readings_to_facts, squeeze
from extract.charts.naming_curves import NamedCurve, chart_to_named_curves, chart_to_quantities
from extract.charts.outlined_texts import Worded, curves_in_doubt, ink_to_worded
from extract.charts.outlines import resample
from extract.charts.quick_look import could_hold_curve
from extract.charts.tracing import PagePicture, drawn_is_seen
from extract.charts.viewed_ink import ViewedPicture, curves_back, ink_to_viewed
from extract.charts.witness import Named, Word, curves_to_words
from extract.charts.wording import letters_to_words
from extract.document import Document, open_pdfium
from extract.schema import WHOLE_SERIES, ChartName, Curve, Finding, Kind, Place, Reading, Status

_LN10 = math.log(10)
LEAST_SLANT_PT, OTHER_LINE = 0.8, 0.25  # of a frame's width: slanted lines so long in sum could be a curve
STEP_PT = 2.0  # vertices of a curve on paper with one log axis stand so near each other
NEAR_PT = 16.0  # letters that name curves stand so near their frame
_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9./\-]{3,}")


@dataclass(frozen=True, slots=True)
class ChartOptions:
    """limits: what is taken from a page; second_way: whether each curve is traced on the page as rendered."""

    limits: InkLimits = field(default_factory=InkLimits)
    second_way: bool = True


@dataclass(frozen=True, slots=True)
class KnownSheet:
    """What is known of a sheet before its charts are read."""

    document: Document
    facts: tuple[PartFacts, ...]
    keys: Mapping[str, Naming]
    names: frozenset[str]


def document_to_curves(
    document: Document, readings: Iterable[Reading], options: ChartOptions
) -> tuple[Curve, ...]:
    """Every curve of the sheet's vector charts, each for the parts its label names."""
    return document_to_drawn_curves(document, readings, options)[0]


def document_to_drawn_curves(
    document: Document, readings: Iterable[Reading], options: ChartOptions
) -> tuple[tuple[Curve, ...], tuple[Finding, ...]]:
    """Every curve of the sheet's vector charts, and a note for each page that was given up."""
    facts = readings_to_facts(readings)
    curves: list[Curve] = []
    with open_pdfium(document.source, document.name) as pdf:
        inks, crowded = _pages_to_inks(pdf, options.limits)
        given_up = tuple(page_to_crowded(number, document.name) for number in crowded)
        if not inks:
            return (), given_up
        sheet = to_known_sheet(pdf, document, facts, [worded.ink for worded in inks.values()])
        for number, worded in inks.items():
            page, ink = pdf[number - 1], worded.ink
            picture = PagePicture(page, ink.width, ink.height) if options.second_way else None
            found: list[Curve] = []
            for chart in ink_to_charts(ink, frames=worded.frames):
                found += chart_to_curves(chart, ink, sheet, picture)
            found += _viewed_to_curves(worded, sheet, picture, found)
            curves += curves_in_doubt(found, worded)
    return tuple(curves), given_up


def _viewed_to_curves(
    worded: Worded, sheet: KnownSheet, picture: PagePicture | None, found: Sequence[Curve]
) -> list[Curve]:
    """The curves of the frames in which none was found and that stand turned, or are very large."""
    curves: list[Curve] = []
    for viewed in ink_to_viewed(worded.ink, worded.frames):
        middles = [((c.place.x0 + c.place.x1) / 2, (c.place.top + c.place.bottom) / 2) for c in found]
        if any(to_box(middle, viewed.frame) == 0.0 for middle in middles):
            continue
        seen = ViewedPicture(picture, viewed.view) if picture is not None else None
        for chart in ink_to_charts(viewed.ink):
            curves += curves_back(chart_to_curves(chart, viewed.ink, sheet, seen), viewed.view)
    return curves


def to_known_sheet(
    pdf: Any, document: Document, facts: tuple[PartFacts, ...], inks: Iterable[Ink]
) -> KnownSheet:
    """What the tables and texts of a sheet say before its charts, with this ink, are read."""
    keys = _pages_to_keys(pdf, document, facts) if _want_keys(inks, facts) else {}
    return KnownSheet(document, facts, keys, _texts_to_names(document.page_texts))


def _pages_to_inks(pdf: Any, limits: InkLimits) -> tuple[dict[int, Worded], list[int]]:
    """The ink of the pages that hold a chart, with its texts; and the pages that hold too much to be read."""
    inks: dict[int, Worded] = {}
    crowded = []
    for number in range(1, len(pdf) + 1):
        page = pdf[number - 1]
        if not could_hold_curve(page):
            continue
        ink = page_to_drawing(page, number, limits)
        if ink.left_out or len(ink.strokes) > most_strokes():
            crowded.append(number)
        elif frames := ink_to_any_frames(ink):
            inks[number] = ink_to_worded(with_letters(ink, page), frames)
    return inks, crowded


def _want_keys(inks: Iterable[Ink], facts: Sequence[PartFacts]) -> bool:
    """Whether a page with a chart prints single letters that nothing on it explains."""
    for ink in inks:
        words = letters_to_words(ink.letters)
        letters = [word for word in words if len(word.text) == 1 and word.text.isalpha()]
        boxes = [frame.box for frame in ink_to_any_frames(ink)] if len(letters) >= 3 else []
        single = {word.text for word in letters if any(to_box(word.mid, b) < NEAR_PT for b in boxes)}
        if len(single) >= 3 and not words_to_keys(words, facts):
            return True
    return False


def _pages_to_keys(pdf: Any, document: Document, facts: Sequence[PartFacts]) -> dict[str, Naming]:
    """Keys explained in a column of a table, on whatever page names parts."""
    best: dict[str, Naming] = {}
    names_of = [squeeze(fact.part_number) for fact in facts]
    for number in range(1, len(pdf) + 1):
        page = pdf[number - 1]
        text = squeeze(document.page_texts[number - 1]) if number <= len(document.page_texts) else ""
        if text and not any(name in text for name in names_of):
            continue
        words = letters_to_words(with_letters(Ink(number, 0, 0, (), (), ()), page).letters)
        keys = table_to_keys(words, facts)
        best = keys if len(keys) > len(best) else best
    return best


def _texts_to_names(texts: Sequence[str]) -> frozenset[str]:
    """Words with digits that a sheet prints more than once: what a label may be called though no table holds
    it."""
    counts = Counter(squeeze(word) for text in texts for word in _WORD.findall(text))
    return frozenset(name for name, count in counts.items() if count > 1 and any(c.isdigit() for c in name))


def chart_to_curves(chart: Chart, ink: Ink, sheet: KnownSheet, picture: PagePicture | None) -> list[Curve]:
    """The curves of a chart, each for the parts its label names; `picture` is the second way to a line."""
    source = chart_to_source(chart, ink, sheet)
    named = named_by_order(chart, chart_to_named_curves(chart, ink.strokes, source), source)
    named = named or _whole_series(chart, ink)
    words_of = _named_to_words(named, chart, sheet.facts)
    curves: list[Curve] = []
    for one, word in zip(_swaps_to_doubts(named, words_of), words_of, strict=True):
        curves += named_to_curves(one, word, chart, ink, (sheet, picture))
    return curves


def chart_to_source(chart: Chart, ink: Ink, sheet: KnownSheet) -> LabelSource:
    """What the labels of a chart are understood by."""
    words = letters_to_words(ink.letters)
    own = words_to_keys(words, sheet.facts)
    explained = words_to_explained(words, sheet.facts) if own else frozenset()
    return LabelSource(own or sheet.keys, sheet.facts, chart.title, sheet.names, explained)


def _whole_series(chart: Chart, ink: Ink) -> tuple[NamedCurve, ...]:
    """The only curve of a derating chart without names of parts stands for the whole series, and so do one
    of the hold and one of the trip current."""
    if chart.kind is not ChartKind.DERATING:
        return ()
    if len(chart.lines.curves) == 1:
        labels = quantity_labels(chart.words, chart.frame.box, chart.box)
        said = {label.naming.parts[0] for label in labels}
        if len(said) > 1 or _has_other_lines(chart):
            return ()  # another line is told or drawn, and only one was found
        return (NamedCurve(0, "", (WHOLE_SERIES,), (), next(iter(said), "")),)
    found = chart_to_quantities(chart, ink.strokes) if len(chart.lines.curves) == 2 else ()
    return tuple(replace(one, quantity=one.parts[0], parts=(WHOLE_SERIES,)) for one in found)


def _has_other_lines(chart: Chart) -> bool:
    """Whether slanted lines that are no curve, together as long as one, lie within a chart's frame."""
    x0, top, x1, bottom = chart.frame.box
    around = (x0 - 2, top - 2, x1 + 2, bottom + 2)
    inside = [line.box for line in chart.lines.leaders if is_within(line.box, around)]
    slanted = sum(b[2] - b[0] for b in inside if b[3] - b[1] > LEAST_SLANT_PT)
    return slanted > OTHER_LINE * (x1 - x0)


def _named_to_words(
    named: Sequence[NamedCurve], chart: Chart, facts: Sequence[PartFacts]
) -> tuple[Word, ...]:
    """What the hold currents of the tables say of each named curve."""
    if chart.kind is not ChartKind.TIME_TO_TRIP or chart.in_holds:
        return (Word.SILENT if chart.kind is ChartKind.TIME_TO_TRIP else Word.BORNE_OUT,) * len(named)
    drawn = [chart.lines.curves[one.curve].points for one in named]
    least = [chart.x_axis.value(points[0][0]) * chart.x_factor for points in drawn]
    holds = {fact.part_number: fact.hold_a for fact in facts if fact.hold_a is not None}
    return curves_to_words(
        [Named(points, a, one.parts) for points, a, one in zip(drawn, least, named, strict=True)], holds
    )


def _swaps_to_doubts(named: Sequence[NamedCurve], words: Sequence[Word]) -> list[NamedCurve]:
    """The named curves, those that may have taken each other's label in doubt."""
    swapped = [one.label for one, word in zip(named, words, strict=True) if word is Word.SWAPPED]
    found = []
    for one, word in zip(named, words, strict=True):
        others = " or ".join(f"'{label}'" for label in swapped if label != one.label)
        doubt = f"under the label {others} both would stand in the order of their hold currents"
        found.append(replace(one, doubts=(*one.doubts, doubt)) if word is Word.SWAPPED else one)
    return found


def named_to_curves(
    named: NamedCurve, word: Word, chart: Chart, ink: Ink, known: tuple[KnownSheet, PagePicture | None]
) -> list[Curve]:
    """The curve of each part and each chart it stands for. Agreed are line and part: the rendered page shows
    the line, the tables bear out the part."""
    sheet, picture = known
    drawn = chart.lines.curves[named.curve]
    seen = picture is not None and drawn_is_seen(drawn, picture)
    doubts = [*named.doubts, *_axes_to_doubts(chart)]
    if word is Word.CONTRADICTED:
        doubts.append("it trips at currents that the tables say its part holds")
    agreed = seen and word is Word.BORNE_OUT
    status = Status.DISPUTED if doubts else Status.AGREED if agreed else Status.SINGLE
    holds = {fact.part_number: fact.hold_a for fact in sheet.facts}
    x_error, y_error = _to_errors(chart, drawn)
    place = Place(ink.number, *(round(edge, 1) for edge in chart.frame.box))
    kind = Kind.TYP if chart.is_typical else Kind.NONE
    ambient = chart.ambient_c if chart.kind is ChartKind.TIME_TO_TRIP else None
    curves = []
    for part in named.parts:
        points, on_page = _to_points(chart, drawn.points, holds.get(part))
        if chart.in_holds and not holds.get(part):
            continue  # multiples of what nobody knows
        curves += [
            Curve(
                sheet.document.name, sheet.document.sha256, part, name, kind, ambient,
                points, status, place, named.label, x_error, y_error, tuple(doubts),
                on_page,
            )
            for name in _chart_names(chart, named.quantity)
        ]  # fmt: skip
    return curves


def _chart_names(chart: Chart, quantity: str) -> tuple[ChartName, ...]:
    """What a chart's curves show: trip times; or the hold current, the trip current or both over the
    ambient."""
    if chart.kind is ChartKind.TIME_TO_TRIP:
        return (ChartName.TIME_TO_TRIP,)
    if quantity:
        return (ChartName.HOLD_RATIO if quantity == HOLD_LABEL else ChartName.TRIP_RATIO,)
    text = chart.y_title
    trip, hold = names("title", "trip", text), names("title", "hold", text)
    if trip and not hold:
        return (ChartName.TRIP_RATIO,)
    return (ChartName.HOLD_RATIO, ChartName.TRIP_RATIO) if trip else (ChartName.HOLD_RATIO,)


def _axes_to_doubts(chart: Chart) -> list[str]:
    return [
        *chart.doubts,
        *(
            f"the grid of the {name} axis fits no regular scale well enough"
            for name, axis in (("x", chart.x_axis), ("y", chart.y_axis))
            if axis.is_disputed
        ),
    ]


def _to_points(
    chart: Chart, points: Sequence[tuple[float, float]], hold_a: float | None
) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Vertices in the units of the axes, from left to right, equal ones once, multiples of the hold current
    in A; and where each stands on the page."""
    factor = hold_a if chart.in_holds and hold_a else chart.x_factor
    found: list[tuple[float, float]] = []
    on_page: list[tuple[float, float]] = []
    for x, y in _as_drawn(chart, points):
        value = (chart.x_axis.value(x) * factor, chart.y_axis.value(y) * chart.y_factor)
        if chart.kind is ChartKind.TIME_TO_TRIP and value[0] <= 0:
            continue  # left of the zero of a plain scale
        if not found or value != found[-1]:
            found.append(value)
            on_page.append((round(x, 2), round(y, 2)))
    return tuple(found), tuple(on_page)


def _as_drawn(chart: Chart, points: Sequence[tuple[float, float]]) -> Sequence[tuple[float, float]]:
    """Vertices; on paper with one log axis so many that the way between two is straight on log-log paper
    too."""
    if chart.x_axis.is_log == chart.y_axis.is_log:
        return points
    return resample(points, max(len(points), math.ceil(length_of(points) / STEP_PT)))


def _to_errors(chart: Chart, drawn: Drawn) -> tuple[float, float]:
    """The relative errors of x and y: how well the lines fit their scale, never less than half the curve's
    width. Of a ratio: of the rating itself; of a temperature: of the axis' span; of a current on a plain
    scale: at the curve's least."""
    half = max(drawn.width, 0.5) / 2
    x, y = chart.x_axis, chart.y_axis
    if y.is_log:
        least = min((v for px, _ in drawn.points if (v := x.value(px)) > 0), default=1.0)
        in_x = x.error + half / abs(x.unit)
        return in_x * (_LN10 if x.is_log else 1 / least), (y.error + half / abs(y.unit)) * _LN10
    span = abs(x.value(chart.frame.box[2]) - x.value(chart.frame.box[0]))
    return (x.error + half / abs(x.unit)) / span, (y.error + half / abs(y.unit)) * chart.y_factor
