"""The numbers printed along an axis.

Comes in: words beside a frame. Goes out: TickLabels: what each says and where its middle is. Places nothing:
labels do not stand at their lines.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.charts.figures import Figure, text_to_number, words_to_figures
from extract.charts.ink import Box
from extract.charts.separators import figures_in_one_way
from extract.charts.turned import turned_to_figures
from extract.charts.wording import Word, is_level, is_upright

BELOW_PT, BESIDE_PT = 24.0, 48.0  # tick labels stand no farther from their axis
_SAME_ROW_PT = 4.0
_LEAST_COLUMN = 3  # so many numbers above each other are those of the upright axis
_CORNER = 0.8  # of its height: numbers of one column stand farther apart


@dataclass(frozen=True, slots=True)
class TickLabel:
    """A printed number and the place of its middle along the axis; in A or s if `has_unit`."""

    value: float
    at: float
    has_unit: bool = False


def words_to_ticks(words: Sequence[Word], frame: Box) -> tuple[tuple[TickLabel, ...], tuple[TickLabel, ...]]:
    """The numbers below a frame (else above it), and those at its left (else at its right)."""
    figures = _figures_near(words, frame)
    left = max(_beside(figures, frame), _read_upwards(words, frame), key=len)
    left = _without_corner(left) if len(left) > _LEAST_COLUMN else left
    taken = {id(figure) for figure in left} if len(left) >= _LEAST_COLUMN else set()
    below = _below([figure for figure in figures if id(figure) not in taken], frame)
    below = max(below, _turned_below(words, frame), key=len)
    return _to_labels(below, 0, left), _to_labels(left, 1, below)


def _to_labels(figures: Sequence[Figure], along: int, others: Sequence[Figure]) -> tuple[TickLabel, ...]:
    ordered = sorted(figures, key=lambda figure: figure.word.mid[along])
    return tuple(
        TickLabel(f.value, f.word.mid[along], f.has_unit) for f in figures_in_one_way(ordered, others)
    )


def _figures_near(words: Sequence[Word], frame: Box) -> list[Figure]:
    """The level words around a frame that are numbers."""
    x0, top, x1, bottom = frame
    around = (x0 - 60, top - 30, x1 + 60, bottom + 30)
    return words_to_figures([w for w in words if is_level(w.angle) and _is_in(w, around)])


def _is_in(word: Word, box: Box) -> bool:
    """Whether the middle of a word lies in a box."""
    x, y = word.mid
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def _beside(figures: Sequence[Figure], frame: Box) -> list[Figure]:
    """The numbers in a column at the left of a frame, else at its right."""
    x0, top, x1, bottom = frame
    high = [f for f in figures if top - 10 <= f.word.mid[1] <= bottom + 10]
    left = [f for f in high if x0 - BESIDE_PT <= f.word.box[2] <= x0 + 4]
    right = [f for f in high if x1 - 4 <= f.word.box[0] <= x1 + BESIDE_PT]
    return _column(left, True) or _column(right, False)


def _without_corner(left: Sequence[Figure]) -> list[Figure]:
    """A column without its lowest number, if that stands right beside the next one, or is the only one that
    breaks their order: it is the first of the level axis."""
    ordered = sorted(left, key=lambda figure: figure.word.mid[1])
    above, lowest = ordered[-2].word, ordered[-1].word
    is_beside = lowest.mid[1] - above.mid[1] < _CORNER * lowest.size
    repeats = ordered[-1].value == ordered[-2].value  # no axis prints a number twice
    breaks = (repeats or not _runs_one_way(ordered, 1)) and _runs_one_way(ordered[:-1], 1)
    return ordered[:-1] if is_beside or breaks else ordered


def _read_upwards(words: Sequence[Word], frame: Box) -> list[Figure]:
    """The numbers at the left of a frame that are read upwards, as some programs print them."""
    x0, top, _, bottom = frame
    upright = [w for w in words if is_upright(w.angle) and x0 - BESIDE_PT <= w.box[2] <= x0 + 4]
    figures = turned_to_figures([w for w in upright if top - 10 <= w.mid[1] <= bottom + 10])
    return _column(figures, True)


def _turned_below(words: Sequence[Word], frame: Box) -> list[Figure]:
    """The numbers below a frame that are read upwards, downwards or aslant, all beginning at one height."""
    x0, _, x1, bottom = frame
    turned = [w for w in words if not is_level(w.angle) and 0.0 <= w.box[1] - bottom <= BELOW_PT]
    along = [w for w in turned if x0 - 15 <= w.mid[0] <= x1 + 15 and text_to_number(w.text) is not None]
    nearest = min((w.box[1] for w in along), default=0.0)
    row = [w for w in along if w.box[1] - nearest < _SAME_ROW_PT or abs(w.box[3] - along[0].box[3]) < 1.0]
    return [Figure(w, n) for w in row if (n := text_to_number(w.text)) is not None]


def _below(figures: Sequence[Figure], frame: Box) -> list[Figure]:
    """The numbers in a row below a frame, else above it."""
    x0, top, x1, bottom = frame
    foot = _row(figures, (x0, bottom - 1, x1, bottom + BELOW_PT))
    head = _row(figures, (x0, top - BELOW_PT, x1, top + 1))
    return _nearest_row(foot) or _nearest_row(head[::-1])


def _row(figures: Sequence[Figure], band: Box) -> list[Figure]:
    """The numbers in a band along the level axis, those on a line with one clear of the upright axis."""
    x0, low, x1, high = band
    clear = [f.word.mid[1] for f in figures if _is_in(f.word, (x0 + 6, low, x1 + 15, high))]
    along = [f for f in figures if _is_in(f.word, (x0 - 15, low, x1 + 15, high))]
    return [f for f in along if any(abs(f.word.mid[1] - y) < _SAME_ROW_PT for y in clear)]


def _nearest_row(found: list[Figure]) -> list[Figure]:
    """The line of labels with the most numbers that rise or fall all along; else the one with the most."""
    rows: list[list[Figure]] = []
    for figure in sorted(found, key=lambda figure: figure.word.mid[1]):
        if rows and abs(rows[-1][0].word.mid[1] - figure.word.mid[1]) < _SAME_ROW_PT:
            rows[-1].append(figure)
        else:
            rows.append([figure])
    ordered = [row for row in rows if _runs_one_way(row)]
    return max(ordered or rows, key=len) if rows else []


def _runs_one_way(row: Sequence[Figure], along: int = 0) -> bool:
    """Whether numbers rise or fall all along their row, or their column."""
    numbers = [figure.value for figure in sorted(row, key=lambda figure: figure.word.mid[along])]
    return len({b > a for a, b in pairwise(numbers) if a != b}) == 1


def _column(found: list[Figure], left: bool) -> list[Figure]:
    """The labels that are aligned at one edge, or at their middles."""
    best: list[Figure] = []
    edges: tuple[Callable[[Word], float], ...] = (lambda w: w.box[2], lambda w: w.mid[0], lambda w: w.box[0])
    for edge in edges:
        for anchor in found:
            aligned = [f for f in found if abs(edge(f.word) - edge(anchor.word)) < 3.5]
            if len(aligned) > len(best):
                best = aligned
    return best if left or len(best) >= 2 else []
