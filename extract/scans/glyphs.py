"""A recognised line of text becomes glyphs where its ink stands.

Comes in: a line with its box, and the page's ink without rules. Goes out: glyphs in points. Changes no character
but one: a small digit that stands high is a raised digit, a footnote's mark.

    ink     ##  #  ##      three clusters, three characters: each gets its cluster
    text    1   .  5
Where clusters and characters differ in number (letters that touch, signs of several strokes), the ink's width is
shared out by the usual widths of the characters.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

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
LOW_SHARE, RAISED_SHARE = 0.72, 0.35  # a raised digit is lower than this, and its foot this far off the ground
BLANK_EM = 1.0  # a recognised blank wider than this is a gap between cells, not a printed blank


def line_to_glyphs(line: SeenLine, ink: Ink) -> list[Glyph]:
    """The glyphs of a line, left to right; none where its box holds no ink."""
    box = _box_to_inked(line.box, ink)
    text = unicodedata.normalize("NFC", line.text.strip())
    if box is None or not text:
        return []
    spans = _text_to_spans(text, box, ink)
    glyphs = [_glyph(sign, span, box, ink) for sign, span in zip(text, spans, strict=True)]
    return _without_wide_blanks(glyphs)


def _box_to_inked(box: Dots, ink: Ink) -> Dots | None:
    """The box shrunk to the rows and columns of its own line's ink."""
    x0, top, x1, bottom = box
    part = ink[top:bottom, x0:x1]
    rows = _runs(part.any(axis=1), gap=round(0.12 * (bottom - top)))
    if not rows:
        return None
    middle = (bottom - top) / 2
    high, low = min(rows, key=lambda r: (not r[0] <= middle <= r[1], -(r[1] - r[0])))
    columns = numpy.flatnonzero(part[high:low].any(axis=0))
    if columns.size == 0:
        return None
    return x0 + int(columns[0]), top + high, x0 + int(columns[-1]) + 1, top + low


def _runs(filled: NDArray[numpy.bool_], gap: int = 0) -> list[tuple[int, int]]:
    """Start and end of each run of True; runs that stand no farther apart than `gap` are one."""
    edges = numpy.flatnonzero(numpy.diff(numpy.concatenate(([0], filled.astype(numpy.int8), [0]))))
    runs: list[tuple[int, int]] = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if runs and start - runs[-1][1] <= gap:
            runs[-1] = runs[-1][0], int(end)
        else:
            runs.append((int(start), int(end)))
    return runs


def _text_to_spans(text: str, box: Dots, ink: Ink) -> list[tuple[float, float]]:
    """Left and right of each character, in dots; a blank's is the gap it stands for."""
    x0, top, x1, bottom = box
    clusters = [(x0 + a, x0 + b) for a, b in _runs(ink[top:bottom, x0:x1].any(axis=0))]
    signs = [sign for sign in text if not sign.isspace()]
    if len(clusters) == len(signs):
        return _spans_with_blanks(text, clusters)
    words = text.split()
    by_word = _clusters_to_words(clusters, len(words))
    if by_word is None:
        return _shared_out(text, (x0, x1))
    spans: list[tuple[float, float]] = []
    for n, word in enumerate(words):
        if n:
            spans.append((by_word[n - 1][-1][1], by_word[n][0][0]))
        own = by_word[n]
        spans += own if len(own) == len(word) else _shared_out(word, (own[0][0], own[-1][1]))
    return spans


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
    return [(float(a), float(b)) for a, b in zip(edges[:-1], edges[1:], strict=True)]


def _usual_width(sign: str) -> float:
    if sign in THIN_SIGNS:
        return NARROW
    return WIDE if sign in "MWmw%@" or unicodedata.east_asian_width(sign) in "WF" else USUAL


def _glyph(sign: str, span: tuple[float, float], box: Dots, ink: Ink) -> Glyph:
    """One glyph as high as its line; a small digit that stands high becomes a raised one."""
    top, bottom = box[1], box[3]
    if sign in RAISED:
        rows = numpy.flatnonzero(ink[top:bottom, int(span[0]) : max(int(span[0]) + 1, int(span[1]))].any(axis=1))
        height = bottom - top
        low = rows.size and (rows[-1] - rows[0] + 1) < LOW_SHARE * height
        if low and height - 1 - rows[-1] > RAISED_SHARE * height:
            sign = RAISED[sign]
    size = (bottom - top) / PT
    return Glyph(sign, span[0] / PT, top / PT, span[1] / PT, bottom / PT, size)


def _without_wide_blanks(glyphs: Sequence[Glyph]) -> list[Glyph]:
    return [g for g in glyphs if not (g.text.isspace() and g.x1 - g.x0 > BLANK_EM * g.size)]
