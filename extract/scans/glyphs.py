"""A recognised line of text becomes glyphs where its ink stands.

Comes in: a line with its box, and the page's ink without rules. Goes out: glyphs in points. Changes no
character
but one: a small digit that stands high is a raised digit, a footnote's mark.

    ink     ##  #  ##      three clusters, three characters: each gets its cluster
    text    1   .  5
Where clusters and characters differ in number (letters that touch, signs of several strokes), the ink's
width is
shared out by the usual widths of the characters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy
from numpy.typing import NDArray

from extract.page import Glyph
from extract.raised_digits import RAISED
from extract.scans.picture import DPI
from extract.scans.recognisers import Dots, SeenLine

PT = DPI / 72
Ink = NDArray[numpy.bool_]
NARROW, USUAL, WIDE = 0.3, 0.56, 0.85  # of the type size; common practice, no source
THIN_SIGNS = frozenset(".,:;'|!ilIj1()[] ·")
LOW_SHARE, RAISED_SHARE = 0.72, 0.35  # a raised digit is lower than this, and its foot this far up
CAP_HEIGHT, X_HEIGHT, ASCENT, DESCENT = 0.72, 0.52, 0.78, 0.22
"""Of the type size, as most types are cut: capitals and digits, small letters, room above and below the line.
Common practice, no source."""
LOW_SIGNS = frozenset("acemnorsuvwxz.,:-–· ")
DEEP_SIGNS = frozenset("gjpqy()[]{}|;,Q")
APART_SHARE = 0.5  # of the lower box's height: closer, two boxes are two views of one line
NEAR_EM = 0.7  # of the line's height: characters of one word stand no farther apart
TWICE_EM, ROW_PT = 0.25, 5.0  # one sign read in two boxes stands no farther apart
APART_UNIT = 0.35  # of the line's height: letters of a unit that belong to the number's word stand closer
BEARING_EM = 0.06  # of the line's height: paper that belongs to a letter beside its ink; common practice
BLANK_EM = 1.0  # a recognised blank wider than this is a gap between cells, not a printed blank


def lines_to_parted(lines: Sequence[SeenLine]) -> list[SeenLine]:
    """Lines one above the other whose boxes overlap, cut apart in the middle: found boxes are wider than
    their ink,
    and a subscript reaches into the line below."""
    boxes = [list(line.box) for line in lines]
    order = sorted(range(len(boxes)), key=lambda n: boxes[n][1])
    for place, upper in enumerate(order):
        for lower in order[place + 1 :]:
            above, below = boxes[upper], boxes[lower]
            if below[1] >= above[3]:
                break
            apart = (below[1] + below[3] - above[1] - above[3]) / 2
            least = min(above[3] - above[1], below[3] - below[1])
            if min(above[2], below[2]) > max(above[0], below[0]) and apart > APART_SHARE * least:
                above[3] = below[1] = (above[3] + below[1]) // 2
    return [replace(line, box=(b[0], b[1], b[2], b[3])) for line, b in zip(lines, boxes, strict=True)]


def lines_to_single(lines: Sequence[Sequence[Glyph]]) -> tuple[Glyph, ...]:
    """The glyphs of lines, each sign once: where two found boxes share an end, its sign was read in both. Two
    thin signs of one line (ll) are two."""
    kept: list[Glyph] = []
    places: dict[tuple[str, int], list[Glyph]] = {}
    for line in lines:
        own = [glyph for glyph in line if not _is_among(glyph, places)]
        for glyph in own:
            places.setdefault((glyph.text, round(glyph.mid_y / ROW_PT)), []).append(glyph)
        kept += own
    return tuple(kept)


def _is_among(glyph: Glyph, places: Mapping[tuple[str, int], Sequence[Glyph]]) -> bool:
    at, reach = round(glyph.mid_y / ROW_PT), TWICE_EM * glyph.size
    near = [other for row in (at - 1, at, at + 1) for other in places.get((glyph.text, row), ())]
    return any(abs(g.mid_x - glyph.mid_x) < reach and abs(g.mid_y - glyph.mid_y) < reach for g in near)


def line_to_glyphs(line: SeenLine, ink: Ink) -> list[Glyph]:
    """The glyphs of a line, left to right; none where its box holds no ink."""
    box = box_to_inked(line.box, ink)
    text = " ".join(unicodedata.normalize("NFC", line.text).replace("°℃", "℃").split())
    if box is None or not text:
        return []
    spans, inked = _text_to_spans(text, box, ink)
    placed = enumerate(zip(text, spans, strict=True))
    glyphs = [_glyph(sign, span, box, ink, n >= inked) for n, (sign, span) in placed]
    return _as_typed(_as_set(_without_wide_blanks(glyphs)))


def box_to_inked(box: Dots, ink: Ink) -> Dots | None:
    """The box shrunk to the rows and columns of its own line's ink."""
    x0, top, x1, bottom = box
    part = ink[top:bottom, x0:x1]
    rows = ink_to_runs(numpy.asarray(part.any(axis=1)), gap=round(0.12 * (bottom - top)))
    if not rows:
        return None
    middle = (bottom - top) / 2
    high, low = min(rows, key=lambda r: (not r[0] <= middle <= r[1], -(r[1] - r[0])))
    columns = numpy.flatnonzero(part[high:low].any(axis=0))
    if columns.size == 0:
        return None
    return x0 + int(columns[0]), top + high, x0 + int(columns[-1]) + 1, top + low


def ink_to_runs(filled: NDArray[numpy.bool_], gap: int = 0) -> list[tuple[int, int]]:
    """Start and end of each run of True; runs that stand no farther apart than `gap` are one."""
    edges = numpy.flatnonzero(numpy.diff(numpy.concatenate(([0], filled.astype(numpy.int8), [0]))))
    runs: list[tuple[int, int]] = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if runs and start - runs[-1][1] <= gap:
            runs[-1] = runs[-1][0], int(end)
        else:
            runs.append((int(start), int(end)))
    return runs


def _text_to_spans(text: str, box: Dots, ink: Ink) -> tuple[list[tuple[float, float]], int]:
    """Left and right of each character, in dots, and from which on each has ink of its own; a blank's is the
    gap it stands for."""
    x0, top, x1, bottom = box
    clusters = [(x0 + a, x0 + b) for a, b in ink_to_runs(numpy.asarray(ink[top:bottom, x0:x1].any(axis=0)))]
    signs = [sign for sign in text if not sign.isspace()]
    if len(clusters) == len(signs):
        return _spans_with_blanks(text, clusters), 0
    words = text.split()
    by_word = _clusters_to_words(clusters, len(words))
    if by_word is None:
        return _shared_out(text, (x0, x1)), len(text)
    spans: list[tuple[float, float]] = []
    for n, word in enumerate(words):
        if n:
            spans.append((by_word[n - 1][-1][1], by_word[n][0][0]))
        own = by_word[n]
        spans += own if len(own) == len(word) else _shared_out(word, (own[0][0], own[-1][1]))
    tail = _tail_of_ink(text, clusters)
    spans[len(text) - tail :] = [(float(a), float(b)) for a, b in clusters[len(clusters) - tail :]]
    return spans, len(text) - tail


def _tail_of_ink(text: str, clusters: Sequence[tuple[int, int]]) -> int:
    """How many last characters have the last ink, whatever touches before them: a footnote's mark, "1)"."""
    tail = 2 if text.endswith(")") and "(" not in text else 1
    return tail if len(clusters) > tail and text[-tail:].strip() == text[-tail:] else 0


def _spans_with_blanks(text: str, clusters: Sequence[tuple[int, int]]) -> list[tuple[float, float]]:
    spans: list[tuple[float, float]] = []
    left = iter(clusters)
    ahead = list(clusters)
    used = 0
    for sign in text:
        if sign.isspace():
            spans.append((ahead[used - 1][1], ahead[used][0]))
        else:
            spans.append(next(left))
            used += 1
    return spans


def _clusters_to_words(
    clusters: Sequence[tuple[int, int]], count: int
) -> list[list[tuple[float, float]]] | None:
    """The clusters parted at their widest gaps into so many words; None where there are too few."""
    if len(clusters) < count or count == 0:
        return None
    gaps = sorted(range(1, len(clusters)), key=lambda n: clusters[n - 1][1] - clusters[n][0])
    cuts = [0, *sorted(gaps[: count - 1]), len(clusters)]
    return [[(float(a), float(b)) for a, b in clusters[cuts[n] : cuts[n + 1]]] for n in range(count)]


def _shared_out(text: str, span: tuple[float, float]) -> list[tuple[float, float]]:
    """A width shared out over characters by their usual widths."""
    widths = [_usual_width(sign) for sign in text]
    scale = (span[1] - span[0]) / sum(widths)
    edges = span[0] + scale * numpy.concatenate(([0.0], numpy.cumsum(widths)))
    return [(float(a), float(b)) for a, b in pairwise(edges)]


def _usual_width(sign: str) -> float:
    if sign in THIN_SIGNS:
        return NARROW
    return WIDE if sign in "MWmw%@" or unicodedata.east_asian_width(sign) in "WF" else USUAL


def _glyph(sign: str, span: tuple[float, float], box: Dots, ink: Ink, from_ink: bool) -> Glyph:
    """One glyph as high as its line; a small digit that stands high becomes a raised one."""
    top, bottom = box[1], box[3]
    if from_ink and sign in RAISED:
        first, last = int(span[0]), max(int(span[0]) + 1, int(span[1]))
        rows = numpy.flatnonzero(ink[top:bottom, first:last].any(axis=1))
        height = bottom - top
        low = rows.size and (rows[-1] - rows[0] + 1) < LOW_SHARE * height
        if low and height - 1 - rows[-1] > RAISED_SHARE * height:
            sign = RAISED[sign]
    size = (bottom - top) / PT
    return Glyph(sign, span[0] / PT, top / PT, span[1] / PT, bottom / PT, size)


def _as_set(glyphs: Sequence[Glyph]) -> list[Glyph]:
    """Neighbours without a blank between them meet halfway, as type is set: the ink of a 1 is much narrower
    than
    its place in a number."""
    glyphs = _with_blank_before_units(glyphs)
    room = BEARING_EM * glyphs[0].size if glyphs else 0.0
    edges = [(g.x0, g.x1) if g.text.isspace() else (g.x0 - room, g.x1 + room) for g in glyphs]
    for n, (left, right) in enumerate(pairwise(glyphs)):
        if right.x0 - left.x1 < NEAR_EM * left.size and not (left.text.isspace() or right.text.isspace()):
            middle = (left.x1 + right.x0) / 2
            edges[n], edges[n + 1] = (edges[n][0], middle), (middle, edges[n + 1][1])
    return [replace(g, x0=x0, x1=x1) for g, (x0, x1) in zip(glyphs, edges, strict=True)]


def _with_blank_before_units(glyphs: Sequence[Glyph]) -> list[Glyph]:
    """The glyphs with a blank where a letter stands apart from the digit before it: "5 A" is printed so, and
    often read "5A"."""
    filled = list(glyphs[:1])
    for left, right in pairwise(glyphs):
        apart = APART_UNIT < (right.x0 - left.x1) / left.size < NEAR_EM
        if apart and left.text.isdecimal() and right.text.isalpha():
            filled.append(replace(left, text=" ", x0=left.x1, x1=right.x0))
        filled.append(right)
    return filled


def _as_typed(glyphs: Sequence[Glyph]) -> list[Glyph]:
    """Glyphs as high as their type, not as their ink: readers measure gaps by the size of the type."""
    if not glyphs:
        return []
    signs = {sign for glyph in glyphs for sign in glyph.text}
    above = X_HEIGHT if signs <= LOW_SIGNS else CAP_HEIGHT
    below = DESCENT if signs & DEEP_SIGNS else 0.0
    top, bottom = glyphs[0].top, glyphs[0].bottom
    size = (bottom - top) / (above + below)
    base = bottom - below * size
    return [replace(g, top=base - ASCENT * size, bottom=base + DESCENT * size, size=size) for g in glyphs]


def _without_wide_blanks(glyphs: Sequence[Glyph]) -> list[Glyph]:
    return [g for g in glyphs if not (g.text.isspace() and g.x1 - g.x0 > BLANK_EM * g.size)]
