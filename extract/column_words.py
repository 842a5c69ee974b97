"""The words printed over a column of numbers, or beside a row of them: what a person who answers has seen.

Comes in: readings of a sheet, the runs of its pages. Goes out: for each page, quantity, kind and condition
the words of its heading, folded. Understands none of them: they are compared with those of another sheet.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from extract.lines import Run
from extract.schema import ColumnWords, Kind, Quantity, Reading
from extract.vocabulary import fold

FIRST_GAP_PT = 36.0  # a heading's last line is no further above the first number than this
LINE_GAP_PT = 14.0  # a heading's next line is no further away than this
SLACK_PT = 1.0
_Column = tuple[int, Quantity, Kind, float | None, float | None]


def readings_to_column_words(
    readings: Iterable[Reading], runs: Mapping[int, Sequence[Run]]
) -> tuple[ColumnWords, ...]:
    """The words of every column that readings stand in; a column without any is left out."""
    columns: dict[_Column, list[Reading]] = defaultdict(list)
    for r in readings:
        columns[r.place.page, r.quantity, r.kind, r.ambient_c, r.test_current_a].append(r)
    parts = {fold(r.part_number) for own in columns.values() for r in own}
    found: dict[ColumnWords, None] = {}
    for (page, quantity, kind, _, _), own in columns.items():
        printed = [run for run in runs.get(page, ()) if fold(run.text.strip()) not in parts]
        words = _above(own, printed) or _beside(own, printed)
        if words:
            found[ColumnWords(page, quantity, kind, words)] = None
    return tuple(found)


def _above(own: Sequence[Reading], printed: Sequence[Run]) -> str:
    """The lines over the topmost number, as far as they follow each other; those of mere numbers left out."""
    x0, x1 = min(r.place.x0 for r in own), max(r.place.x1 for r in own)
    foot = min(r.place.top for r in own)
    over = [run for run in printed if run.x0 <= x1 and run.x1 >= x0 and run.mid_y < foot]
    lines: list[Run] = []
    for run in sorted(over, key=lambda run: -run.bottom):
        if foot - run.bottom > (LINE_GAP_PT if lines else FIRST_GAP_PT):
            break
        foot = min(foot, run.top)
        lines.append(run)
    return _joined(lines)


def _beside(own: Sequence[Reading], printed: Sequence[Run]) -> str:
    """The words left of the leftmost number, in its line: the heading of a row."""
    first = min(own, key=lambda r: (r.place.x0, r.place.top)).place
    beside = [run for run in printed if first.top <= run.mid_y <= first.bottom]
    return _joined(run for run in beside if run.x1 <= first.x0 + SLACK_PT)


def _joined(runs: Iterable[Run]) -> str:
    """Texts with a letter, in reading order, folded, one blank between words."""
    ordered = sorted(runs, key=lambda run: (round(run.top), run.x0))
    texts = [fold(run.text) for run in ordered if any(letter.isalpha() for letter in run.text)]
    return " ".join(" ".join(texts).split())
