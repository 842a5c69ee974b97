"""Repairs worth trying on a grid: what one slip of the hand does to many cells, undone.

Comes in: a view and which places are wrong in it. Goes out: trials: a repair with the words to tell it in.
Generates only: hypotheses.py tries them and keeps what settles most.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from extract.checks import codes
from extract.parts_table.grid import Entry, Place, Repair, View
from extract.parts_table.heading_repairs import wrong_to_heading_trials
from extract.parts_table.trials import MOST_PAIRS, IsWrong, Trial, Wrong

_MOST_CELLS = 400
_MOST_IN_LINE = 6
"""Wrong cells of a row or a column beyond which it is not two of them that were exchanged."""


def view_to_trials(
    view: View, wrong: Wrong, is_wrong: IsWrong, ambients: Sequence[float] = ()
) -> Iterator[Trial]:
    """Every repair that the wrong places make worth trying; `ambients` are those the source has."""
    yield from wrong_to_heading_trials(view, wrong, ambients)
    yield from _slid_blocks(view, wrong, is_wrong)
    yield from _moved_sideways(view, wrong, is_wrong)
    yield from _exchanged_rows(view, wrong)
    yield from _other_parts(view, wrong, is_wrong)
    yield from _exchanged_cells(view, wrong)


# Blocks that slid up or down


def _slid_blocks(view: View, wrong: Wrong, is_wrong: IsWrong) -> Iterator[Trial]:
    """Cells of neighbouring rows, in one column or many, that belong to the row above or below."""
    rows = list(view.rows())
    near = _crowded(rows, wrong)
    if not near:
        return
    columns = sorted({index for (_, index), is_so in wrong.items() if is_so})
    for step in (1, -1, 2, -2):
        gains = {
            index: _column_gains(view, rows, near, (index, step), (wrong, is_wrong)) for index in columns
        }
        yield from _blocks(view, rows, gains, step)


def _crowded(rows: Sequence[int], wrong: Wrong) -> set[int]:
    """Places of rows near two wrong cells of one column that stand close: only there a block has slid."""
    bad: dict[int, list[int]] = {}
    place_of = {row: n for n, row in enumerate(rows)}
    for (row, index), is_so in wrong.items():
        if is_so:
            bad.setdefault(index, []).append(place_of[row])
    near: set[int] = set()
    for places in bad.values():
        places.sort()
        for a, b in pairwise(places):
            if b - a <= _CLOSE:
                near |= set(range(max(0, a - 3), min(len(rows), b + 4)))
    return near


_CLOSE = 4


def _column_gains(
    view: View, rows: Sequence[int], near: set[int], move: tuple[int, int], judge: tuple[Wrong, IsWrong]
) -> list[int]:
    """For each row of a column (and step): what taking the cell `step` rows on would settle (1), spoil (-1)
    or leave (0); where nothing is wrong near by it would only spoil."""
    gains = []
    index, step = move
    wrong, is_wrong = judge
    for n, row in enumerate(rows):
        if n not in near:
            gains.append(-1)
            continue
        entry = view.entry((rows[n + step], index)) if 0 <= n + step < len(rows) else None
        now = wrong.get((row, index))
        if entry is None or now is None:
            gains.append(0)
            continue
        after = is_wrong(view.under(Repair({(row, index): entry})), (row, index))
        gains.append(0 if after is None else int(now) - int(after))
    return gains


def _blocks(view: View, rows: Sequence[int], gains: Mapping[int, list[int]], step: int) -> Iterator[Trial]:
    seen: set[tuple[int, int, frozenset[int]]] = set()
    groups = [frozenset(gains), *(frozenset({index}) for index in gains)]
    for group in groups:
        total = [sum(gains[index][n] for index in group) for n in range(len(rows))]
        first, last, worth = best_run(total)
        if worth < 2:
            continue
        chosen = frozenset(index for index in gains if sum(gains[index][first : last + 1]) > 0)
        whole = frozenset(view.grid.columns)
        for columns in (whole, chosen) if len(chosen) > 2 else (chosen,):
            run = with_empty_ends(view, rows, (first, last), sorted(columns), step)
            if (*run, columns) in seen or not columns or last == first:
                continue
            seen.add((*run, columns))
            yield _block_to_trial(view, rows, run, columns, step)


def best_run(values: Sequence[int]) -> tuple[int, int, int]:
    """First and last place of the neighbouring values with the largest sum, and the sum (Kadane)."""
    best, start, here, found = 0, 0, 0, (0, 0)
    for n, value in enumerate(values):
        if here <= 0:
            here, start = 0, n
        here += value
        if here > best:
            best, found = here, (start, n)
    return (*found, best)


def with_empty_ends(
    view: View, rows: Sequence[int], run: tuple[int, int], columns: Sequence[int], step: int
) -> tuple[int, int]:
    """The block with the rows beside it that stand empty and would be filled."""
    first, last = run

    def is_empty(n: int) -> bool:
        return (
            0 <= n < len(rows)
            and 0 <= n + step < len(rows)
            and all(view.entry((rows[n], index)) is None for index in columns)
        )

    while is_empty(last + 1):
        last += 1
    while is_empty(first - 1):
        first -= 1
    return first, last


def moved_entries(
    view: View, rows: Sequence[int], run: tuple[int, int], columns: Sequence[int], step: int
) -> dict[Place, Entry | None]:
    """The cells of a block taken from `step` rows on; what they leave outside the block is left empty: what
    belonged there is lost."""
    entries: dict[Place, Entry | None] = {}
    for n in range(run[0], run[1] + 1):
        there = rows[n + step] if 0 <= n + step < len(rows) else None
        for index in columns:
            entries[rows[n], index] = view.entry((there, index)) if there is not None else None
    left = [
        n + step
        for n in range(run[0], run[1] + 1)
        if not run[0] <= n + step <= run[1] and 0 <= n + step < len(rows)
    ]
    for n in left:
        entries |= {(rows[n], index): None for index in columns}
    return entries


def _block_to_trial(
    view: View, rows: Sequence[int], run: tuple[int, int], chosen: frozenset[int], step: int
) -> Trial:
    first, last = run
    entries = moved_entries(view, rows, run, sorted(chosen), step)
    far = "one row" if abs(step) == 1 else f"{abs(step)} rows"
    stand = f"{far} {'lower' if step > 0 else 'higher'}"
    mark = (rows[first], min(chosen))
    if len(chosen) == 1:
        heading = view.column(min(chosen)).heading
        message = f"the cells of '{heading}' of the parts in rows {rows[first]} to {rows[last]} stand {stand}"
        expected = f"the cells {stand} belong here"
        return Trial(codes.COLUMN_SHIFTED, Repair(entries), mark, message, expected, 3)
    what = "all cells" if len(chosen) == len(view.grid.columns) else f"the cells of {len(chosen)} columns"
    message = f"{what} of the parts in rows {rows[first]} to {rows[last]} stand {stand}"
    return Trial(codes.ROWS_SLID, Repair(entries), mark, message, f"the cells {stand} belong here", 3)


# Cells moved sideways


def _moved_sideways(view: View, wrong: Wrong, is_wrong: IsWrong) -> Iterator[Trial]:
    """Rows whose cells stand one column aside, from some column to another."""
    order = sorted(view.grid.columns)
    bad = [row for row in view.rows() if sum(wrong.get((row, index), False) for index in order) >= 2]
    for step in (1, -1):
        runs: dict[tuple[int, int], list[int]] = {}
        for row in bad:
            gains = [
                _side_gain(view, (row, order[n]), _beside(order, n, step), wrong, is_wrong)
                for n in range(len(order))
            ]
            first, last, worth = best_run(gains)
            if worth >= 2 and last > first:
                runs.setdefault((first, last), []).append(row)
        for (first, last), rows in runs.items():
            yield _side_to_trial(view, order, (first, last), rows, step)


def _beside(order: Sequence[int], n: int, step: int) -> int | None:
    return order[n + step] if 0 <= n + step < len(order) else None


def _side_gain(view: View, place: Place, beside: int | None, wrong: Wrong, is_wrong: IsWrong) -> int:
    now = wrong.get(place)
    entry = view.entry((place[0], beside)) if beside is not None else None
    if now is None or entry is None:
        return 0
    after = is_wrong(view.under(Repair({place: entry})), place)
    return 0 if after is None else int(now) - int(after)


def _side_to_trial(
    view: View, order: Sequence[int], run: tuple[int, int], rows: Sequence[int], step: int
) -> Trial:
    first, last = run
    entries: dict[Place, Entry | None] = {}
    for row in rows:
        for n in range(first, last + 1):
            there = _beside(order, n, step)
            if there is not None and not first <= n + step <= last:
                entries[row, there] = None  # what belonged there is lost
            entries[row, order[n]] = view.entry((row, there)) if there is not None else None
    side = "right" if step > 0 else "left"
    mark = min((place for place in entries if place[0] == rows[0]), key=lambda place: place[1])
    where = f"row {rows[0]}" if len(rows) == 1 else f"{len(rows)} rows"
    message = (
        f"in {where} the cells from '{view.column(order[first]).heading}' to"
        f" '{view.column(order[last]).heading}' stand one column too far {side}"
    )
    return Trial(
        codes.ROW_SHIFTED, Repair(entries), mark, message, f"the cells one column to the {side} belong here"
    )


# Exchanges


def _exchanged_rows(view: View, wrong: Wrong) -> Iterator[Trial]:
    count: dict[int, int] = {}
    for (row, _), is_so in wrong.items():
        count[row] = count.get(row, 0) + is_so
    bad = [row for row, times in count.items() if times >= 2][:20]
    for one, other in list(combinations(bad, 2))[:MOST_PAIRS]:
        parts = {one: view.part(other), other: view.part(one)}
        yield Trial(
            codes.ROWS_SWAPPED,
            Repair(parts=parts),
            (one, 0),
            f"the part numbers of rows {one} and {other}, or all their cells, are exchanged",
            f"'{view.part(other)}' here, '{view.part(one)}' in row {other}",
            3,
        )


_NEAREST_PARTS = 12
_MOST_ROWS = 60


def _other_parts(view: View, wrong: Wrong, is_wrong: IsWrong) -> Iterator[Trial]:
    """Rows of which three cells or more are right for another part near by: typed from its line. Where that
    many rows are wrong a block has slid."""
    rows = list(view.rows())
    by_row: dict[int, list[Place]] = {row: [] for row in rows}
    for place, is_so in wrong.items():
        if is_so:
            by_row[place[0]].append(place)
    suspects = [(n, row, by_row[row]) for n, row in enumerate(rows) if len(by_row[row]) >= 3]
    for n, row, bad in suspects[:_MOST_ROWS]:
        near = sorted(range(len(rows)), key=lambda m: abs(m - n))[1 : _NEAREST_PARTS + 1]
        for other in near:
            name = view.part(rows[other])
            after = view.under(Repair(parts={row: name}))
            judged = [is_wrong(after, place) for place in bad]
            if name == view.part(row) or True in judged or judged.count(False) < 3:
                continue
            heading = view.column(bad[0][1]).heading
            yield Trial(
                codes.ROW_OF_OTHER_PART,
                Repair(dict.fromkeys(bad)),
                min(bad),
                f"{len(bad)} cells of row {row} from '{heading}' on are those of '{name}'",
                f"the cells of '{view.part(row)}'",
                3,
                removes=True,
            )
            break


def _exchanged_cells(view: View, wrong: Wrong) -> Iterator[Trial]:
    bad = sorted(place for place, is_so in wrong.items() if is_so)
    in_row, in_column = Counter(row for row, _ in bad), Counter(index for _, index in bad)
    pairs = [
        (a, b)
        for a, b in combinations(bad[:_MOST_CELLS], 2)
        if (a[0] == b[0] and in_row[a[0]] <= _MOST_IN_LINE)
        != (a[1] == b[1] and in_column[a[1]] <= _MOST_IN_LINE)
    ]
    for a, b in pairs[:MOST_PAIRS]:
        one, other = view.entry(a), view.entry(b)
        if one is None or other is None:
            continue
        told = f"rows {a[0]} and {b[0]} of '{view.column(a[1]).heading}'"
        if a[0] == b[0]:
            told = f"'{view.column(a[1]).heading}' and '{view.column(b[1]).heading}' of row {a[0]}"
        converted = {a: _in_unit_of(view, other, b, a), b: _in_unit_of(view, one, a, b)}
        for entries in (converted, {a: other, b: one}):
            yield Trial(
                codes.CELLS_SWAPPED,
                Repair(entries),
                a,
                f"the cells of {told} are exchanged",
                f"{other.raw} here, {one.raw} there",
            )


def _in_unit_of(view: View, entry: Entry, here: Place, there: Place) -> Entry:
    """An entry as it would be typed in another column: converted where both measure the same."""
    mine, theirs = view.column(here[1]), view.column(there[1])
    a, b = mine.unit or mine.assumed, theirs.unit or theirs.assumed
    if a is None or b is None or a.base != b.base:
        return entry
    factor = float(a.factor / b.factor)
    return replace(entry, number=entry.number * factor, step=entry.step * factor)
