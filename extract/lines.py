"""Glyphs become runs (pieces of text without a wide gap) and lines; raised marks are set apart.

Comes in: the glyphs of a page or of a cell. Goes out: Runs with text, box and footnote marks, and
lines of runs. Does not know what a text means.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, groupby
from operator import attrgetter, itemgetter
from statistics import median

from extract.boxes import Boxed
from extract.page import Glyph, PageContent, sideways_box

BREAK_EM = 0.62  # a wider gap parts two runs; a blank is about 0.28 em
BLANK_EM = 0.17  # a wider gap inside a run is a blank
FILLED_EM = 0.03  # a printed blank leaves no more than this of a gap it fills
RAISED_EM = 0.16  # a small glyph whose foot is higher than this is a superscript
SMALL = 0.82  # a glyph below this share of the run's size is small
LARGEST = 0.95  # glyphs from this share of the run's size on show where its foot is
_DECIMAL = re.compile(r"\d*[.,]\d+")
_SIZE = attrgetter("size")


@dataclass(frozen=True, slots=True)
class Word:
    """A piece of a run between blanks. `after_blank`: one printed blank fills the gap before it, so that it
    goes on with the text left of it."""

    text: str
    x0: float
    x1: float
    after_blank: bool = False


@dataclass(frozen=True, slots=True)
class Run(Boxed):
    """A piece of text in one line without a wide gap. `marks` are raised footnote marks; `words` are
    its pieces between blanks."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    size: float
    marks: tuple[str, ...] = ()
    words: tuple[Word, ...] = ()


def glyphs_to_runs(glyphs: Iterable[Glyph], break_em: float = BREAK_EM) -> tuple[Run, ...]:
    """Group glyphs that stand side by side, sub- and superscripts included; sorted top to bottom."""
    glyphs = tuple(glyphs)
    printed = sorted((g for g in glyphs if g.text.strip()), key=lambda g: (g.x0, g.top))
    blanks = _glyphs_to_blanks(glyphs)
    reach = break_em * max((glyph.size for glyph in printed), default=0.0)
    all_runs: list[list[Glyph]] = []
    by_row: dict[int, list[list[Glyph]]] = {}
    for glyph in printed:
        rows = range(int(glyph.top // 8) - 1, int(glyph.bottom // 8) + 2)
        near = [homes for row in rows if (homes := by_row.get(row))]
        best = _nearest_run(glyph, near, break_em)
        row = int(glyph.mid_y // 8)
        if best is None:
            best = []
            all_runs.append(best)
        elif int(best[-1].mid_y // 8) == row:
            best.append(glyph)  # still in reach, so still listed in this row
            continue
        best.append(glyph)
        homes = by_row.get(row, [])
        if not any(home is best for home in homes):
            # A run that ends too far left is out of reach of every later glyph, and is let go.
            by_row[row] = [*(home for home in homes if glyph.x0 - home[-1].x1 <= reach), best]
    runs = [_glyphs_to_run(run, blanks) for run in all_runs]
    return tuple(sorted(runs, key=lambda run: (run.top, run.x0)))


def content_to_sideways_runs(content: PageContent) -> tuple[Run, ...]:
    """Runs of text that runs across the page's main direction, boxes in its main coordinates."""
    runs = []
    for run in glyphs_to_runs(content.sideways):
        x0, top, x1, bottom = sideways_box(content, run.box)
        runs.append(replace(run, x0=x0, top=top, x1=x1, bottom=bottom))
    return tuple(runs)


def _nearest_run(glyph: Glyph, rows: Sequence[Sequence[list[Glyph]]], break_em: float) -> list[Glyph] | None:
    best, best_gap = None, float("inf")
    own_size, x0 = glyph.size, glyph.x0
    for run in chain.from_iterable(rows):
        last = run[-1]
        size = own_size if own_size >= last.size else last.size
        gap = x0 - last.x1
        if gap > break_em * size or gap < -0.9 * size or abs(gap) >= best_gap:
            continue
        if _stand_in_line(glyph, max(run[-6:], key=_SIZE)):
            best, best_gap = run, abs(gap)
    return best


def _stand_in_line(a: Glyph, b: Glyph) -> bool:
    """Level with each other; a small glyph beside a large one may be lowered or raised further."""
    overlap = min(a.bottom, b.bottom) - max(a.top, b.top)
    sizes = sorted((a.size, b.size))
    needed = 0.5 if sizes[0] >= SMALL * sizes[1] else 0.22
    return overlap >= needed * min(a.bottom - a.top, b.bottom - b.top)


def _glyphs_to_blanks(glyphs: Iterable[Glyph]) -> dict[int, list[Glyph]]:
    """The printed blanks by the whole points at their right edge."""
    blanks: dict[int, list[Glyph]] = {}
    for glyph in glyphs:
        if glyph.text.isspace():
            blanks.setdefault(int(glyph.x1), []).append(glyph)
    return blanks


def _is_filled(left: Glyph, right: Glyph, blanks: Mapping[int, Sequence[Glyph]]) -> bool:
    """Whether one printed blank fills the gap between two glyphs."""
    reach = FILLED_EM * right.size
    return any(
        abs(blank.x1 - right.x0) <= reach
        and abs(blank.x0 - left.x1) <= reach
        and blank.top <= right.mid_y <= blank.bottom
        for whole in (int(right.x0 - reach), int(right.x0 + reach))
        for blank in blanks.get(whole, ())
    )


def _glyphs_to_run(glyphs: list[Glyph], blanks: Mapping[int, Sequence[Glyph]]) -> Run:
    size = max(glyph.size for glyph in glyphs)
    full = [glyph for glyph in glyphs if glyph.size >= SMALL * size]
    foot = median(glyph.bottom for glyph in glyphs if glyph.size >= LARGEST * size)
    is_mark = [False, *(_is_mark(glyph, size, foot) for glyph in glyphs[1:])]
    words = _glyphs_to_words(glyphs, is_mark, BLANK_EM * size, blanks)
    pieces = groupby(zip(glyphs, is_mark, strict=True), key=itemgetter(1))
    marks = tuple("".join(g.text for g, _ in piece) for raised, piece in pieces if raised)
    return Run(
        " ".join(word.text for word in words),
        min(g.x0 for g in glyphs),
        min(g.top for g in full),
        max(g.x1 for g in glyphs),
        max(g.bottom for g in full),
        size,
        marks,
        words,
    )


def _glyphs_to_words(
    glyphs: Sequence[Glyph], is_mark: Sequence[bool], blank: float, blanks: Mapping[int, Sequence[Glyph]]
) -> tuple[Word, ...]:
    """The words of a run, its raised marks left out; `blank`: the gap, in points, that parts two words."""
    words: list[Word] = []
    previous: Glyph | None = None
    for glyph, raised in zip(glyphs, is_mark, strict=True):
        if not raised:
            gap = glyph.x0 - previous.x1 if previous is not None else 0.0
            if words and gap <= blank:
                last = words[-1]
                words[-1] = Word(last.text + glyph.text, last.x0, glyph.x1, last.after_blank)
            else:
                filled = previous is not None and _is_filled(previous, glyph, blanks)
                words.append(Word(glyph.text, glyph.x0, glyph.x1, filled))
        previous = glyph
    return tuple(words)


def _is_mark(glyph: Glyph, size: float, foot: float) -> bool:
    """Whether a glyph is a raised mark of a footnote."""
    if glyph.text == "o" or not re.fullmatch(r"[\d*†‡§()a-z,]", glyph.text):
        return False
    return _is_raised(glyph, size, foot)


def _is_raised(glyph: Glyph, size: float, foot: float) -> bool:
    lift = foot - glyph.bottom
    if glyph.size < SMALL * size:
        return lift > RAISED_EM * size
    return lift > 0.27 * size


def runs_to_lines(runs: Iterable[Run]) -> tuple[tuple[Run, ...], ...]:
    """Runs whose middles stand level form a line; lines top to bottom, runs left to right."""
    lines: list[list[Run]] = []
    for run in sorted(runs, key=lambda r: r.mid_y):
        home = next((line for line in reversed(lines[-3:]) if _is_level(run, line)), None)
        if home is None:
            lines.append([run])
        else:
            home.append(run)
    return tuple(tuple(sorted(line, key=lambda r: r.x0)) for line in lines)


def _is_level(run: Run, line: list[Run]) -> bool:
    tallest = max(line, key=lambda r: r.size)
    overlap = min(run.bottom, tallest.bottom) - max(run.top, tallest.top)
    return overlap >= 0.55 * min(run.bottom - run.top, tallest.bottom - tallest.top)
