"""The lines of a heading become cells over a table's columns.

Comes in: heading lines, the table's columns. Goes out: heading cells with spans, one grid row for each
line. Reads no word but units, limits and temperatures.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.grid import Cell, runs_to_cell
from extract.lines import Run, Word
from extract.temperatures import texts_are_temperatures
from extract.vocabulary import fold, scan, spelling_to_unit
from extract.walls import words_to_run

Columns = Sequence[tuple[float, float]]
ASIDE_PT = 10.0  # a heading this far beside its numbers is not centred over them
SAME_MIDDLE_PT = 1.0
WIDE_BLANK_EM = 0.34  # words of one heading stand closer


def lines_to_cells(lines: Sequence[Sequence[Run]], columns: Columns) -> tuple[Cell, ...]:
    """Heading cells: grid row = line; a run spans the columns it stands over.

    Numbers at one edge of wide columns leave centred headings beside them. Where a column gets no
    heading that way, or a heading stands over no column, and the headings themselves form as many
    columns, those are matched in order.
    """
    printed = any(word.after_blank for line in lines for run in line for word in run.words)
    lines = [[p for run in line for p in _split_over_columns(run, columns, printed)] for line in lines]
    cells = _place_lines(lines, _widen_columns(lines, columns))
    headed = {n for c in cells if c.text for n in range(c.column, c.column + c.column_span)}
    beside = any(columns_under(run, columns) == 0 for line in lines for run in line)
    if len(headed) < len(columns) or beside:
        clusters = _lines_to_clusters(lines, len(columns))
        if len(clusters) == len(columns) and _stand_beside(clusters, columns):
            return _place_lines(lines, clusters)
    return cells


def _lines_to_clusters(lines: Sequence[Sequence[Run]], wanted: int) -> list[tuple[float, float]]:
    """The columns that headings form among themselves, from the lowest line up; a run over several of
    them is a common heading and forms none. Where that makes more than are wanted, lone runs between
    headings that begin lower are common headings too: a short one stands over their gap."""
    clusters: list[tuple[float, float]] = []
    lowest: dict[float, tuple[int, int]] = {}  # by left edge: lowest line, number of runs
    upwards = list(enumerate(lines))[::-1]
    for row, run in ((row, run) for row, line in upwards for run in line):
        over = [n for n, (x0, x1) in enumerate(clusters) if min(run.x1, x1) - max(run.x0, x0) > 0.5]
        if not over:
            clusters.append((run.x0, run.x1))
            lowest[run.x0] = (row, 1)
        elif len(over) == 1:
            x0, x1 = clusters[over[0]]
            clusters[over[0]] = (min(x0, run.x0), max(x1, run.x1))
            row_below, count = lowest.pop(x0)
            lowest[min(x0, run.x0)] = (row_below, count + 1)
    clusters.sort()
    feet = [lowest[x0] for x0, _ in clusters]
    common = [
        n
        for n in range(1, len(clusters) - 1)
        if feet[n][1] == 1 and feet[n - 1][0] > feet[n][0] < feet[n + 1][0]
    ]
    if len(clusters) - wanted == len(common):
        return [cluster for n, cluster in enumerate(clusters) if n not in common]
    return [] if common else clusters  # a common heading and a missing one would make the number right


def _stand_beside(clusters: Columns, columns: Columns) -> bool:
    """Whether each heading column lies nearer to its own data column than that column's neighbours do, no
    two heading columns overlap, and all but the first and last stand on the same side of their numbers:
    where some stand left and some right, one is missing and the others have moved up."""
    middles = [(x0 + x1) / 2 for x0, x1 in columns]
    asides = [(c[0] + c[1]) / 2 - middle for c, middle in zip(clusters, middles, strict=True)][1:-1]
    if asides and min(asides) < -ASIDE_PT and max(asides) > ASIDE_PT:
        return False
    for n, (x0, x1) in enumerate(clusters):
        near = [abs(middles[m] - middles[n]) for m in (n - 1, n + 1) if 0 <= m < len(middles)]
        if abs((x0 + x1) / 2 - middles[n]) >= min(near) or (n and clusters[n - 1][1] > x0):
            return False
    return True


def _place_lines(lines: Sequence[Sequence[Run]], columns: Columns) -> tuple[Cell, ...]:
    cells: list[Cell] = []
    all_spans = _follow_neighbours(lines, [_line_to_spans(line, columns) for line in lines], columns)
    for row, (line, spans) in enumerate(zip(lines, all_spans, strict=True)):
        by_span: dict[tuple[int, int], list[Run]] = {}
        for run, span in zip(line, spans, strict=True):
            by_span.setdefault(span, []).append(run)
        covered: set[int] = set()
        for (first, last), members in sorted(by_span.items()):
            if any(column in covered for column in range(first, last + 1)):
                first = last = next((c for c in range(first, last + 1) if c not in covered), first)
            if first in covered:
                continue
            covered.update(range(first, last + 1))
            cells.append(_to_cell(row, first, last, members))
        cells += [
            _to_cell(row, column, column, [], columns, line)
            for column in range(len(columns))
            if column not in covered
        ]
    return tuple(cells)


def _follow_neighbours(
    lines: Sequence[Sequence[Run]], all_spans: Sequence[list[tuple[int, int]]], columns: Columns
) -> list[list[tuple[int, int]]]:
    """A run over the gap between two columns belongs to the column of the run next above or below it,
    where that one has a single column: the unit under a centred heading whose numbers stand at one edge. It
    goes on with the run above of the same middle where that one has several: the last word of a heading."""
    fixed = [list(spans) for spans in all_spans]
    for row, line in enumerate(lines):
        for number, run in enumerate(line):
            first, last = all_spans[row][number]
            if first == last and abs(run.mid_x - sum(columns[first]) / 2) > ASIDE_PT:
                fixed[row][number] = _span_above(run, lines[:row], fixed) or (first, last)
            if first == last or columns_under(run, columns):
                continue
            distances = sorted((abs(other - row), other) for other in range(len(lines)) if other != row)
            for _, other in distances:
                stacked = zip(lines[other], all_spans[other], strict=True)
                near = [span for beside, span in stacked if _is_stacked(run, beside)]
                if near:
                    fixed[row][number] = near[0] if near[0][0] == near[0][1] else (first, last)
                    break
    return fixed


def _span_above(
    run: Run, above: Sequence[Sequence[Run]], spans: Sequence[Sequence[tuple[int, int]]]
) -> tuple[int, int] | None:
    """The span of the next run above if both are centred on one middle."""
    for line, own in reversed(list(zip(above, spans, strict=False))):
        for other, span in zip(line, own, strict=True):
            if _is_stacked(run, other):
                return span if abs(run.mid_x - other.mid_x) <= SAME_MIDDLE_PT else None
    return None


def _is_stacked(run: Run, other: Run) -> bool:
    shared = min(run.x1, other.x1) - max(run.x0, other.x0)
    return shared > 0.5 * min(run.x1 - run.x0, other.x1 - other.x0)


def _split_over_columns(run: Run, columns: Columns, printed: bool) -> list[Run]:
    """Headings set so close that they look like one, cut after units or at wide blanks where each piece
    stands over columns of its own. `printed`: the heading's blanks are printed, so that a gap without one
    parts two headings whatever they say."""
    over = [column for column in columns if min(run.x1, column[1]) - max(run.x0, column[0]) > 0.5]
    pieces = _split_after_units(run)
    if len(over) == len(pieces) > 1:
        return pieces
    pieces = _split_at_wide_blanks(run)
    under = [{n for n, c in enumerate(columns) if min(p.x1, c[1]) - max(p.x0, c[0]) > 0.5} for p in pieces]
    if len(pieces) < 2 or not all(under) or len(set().union(*under)) < sum(map(len, under)):
        return [run]
    if printed:
        return pieces
    limits = [all(_is_limit(word.text) for word in piece.words) for piece in pieces]
    if any(limits) and not all(limits):
        return [run]  # "Max. time" is one heading, "MIN MAX" are two
    return pieces


def _is_limit(text: str) -> bool:
    return any(hit.sense == "kind" for hit in scan(fold(text)))


def _split_at_wide_blanks(run: Run) -> list[Run]:
    groups: list[list[Word]] = []
    for word in run.words:
        if groups and (word.after_blank or word.x0 - groups[-1][-1].x1 < WIDE_BLANK_EM * run.size):
            groups[-1].append(word)
        else:
            groups.append([word])
    return [words_to_run(run, group, group is groups[-1]) for group in groups]


def _split_after_units(run: Run) -> list[Run]:
    """A run cut after each unit: "IH [A] IT [A]" is two headings set close together, so is "A ms"."""
    groups: list[list[Word]] = [[]]
    for word in run.words:
        groups[-1].append(word)
        bare = re.fullmatch(r"[(\[]([^()\[\]]+)[)\]]", word.text)
        if spelling_to_unit(bare[1] if bare else word.text) is not None:
            groups.append([])
    if groups.pop() or len(groups) < 2:
        return [run]
    return [words_to_run(run, group, group is groups[-1]) for group in groups]


def _widen_columns(lines: Sequence[Sequence[Run]], columns: Columns) -> list[tuple[float, float]]:
    """Columns as wide as the headings that stand over them alone: numbers to the right under a wide,
    centred heading leave the rest of the heading beside their own column."""
    wide = list(columns)
    for row, run in ((row, run) for row, line in enumerate(lines) for run in line):
        over = [n for n, (x0, x1) in enumerate(columns) if min(run.x1, x1) - max(run.x0, x0) > 0.5]
        if len(over) != 1 or _is_common(run, lines[row + 1 :]):
            continue
        number = over[0]
        left = columns[number - 1][1] if number > 0 else float("-inf")
        right = columns[number + 1][0] if number + 1 < len(columns) else float("inf")
        x0, x1 = wide[number]
        wide[number] = (max(min(x0, run.x0), left), min(max(x1, run.x1), right))
    return _without_shared_space(wide, columns)


def _is_common(run: Run, below: Sequence[Sequence[Run]]) -> bool:
    """Whether two headings of one line stand under a run: it speaks of both."""
    return any(sum(min(run.x1, r.x1) - max(run.x0, r.x0) > 0.5 for r in line) >= 2 for line in below)


def _without_shared_space(wide: list[tuple[float, float]], columns: Columns) -> list[tuple[float, float]]:
    """Where two widened neighbours overlap both fall back to their data's width there."""
    fixed = list(wide)
    for n in range(len(wide) - 1):
        if wide[n][1] > wide[n + 1][0]:
            fixed[n] = (fixed[n][0], columns[n][1])
            fixed[n + 1] = (columns[n + 1][0], fixed[n + 1][1])
    return fixed


def _to_cell(
    row: int, first: int, last: int, runs: Sequence[Run], columns: Columns = (), line: Sequence[Run] = ()
) -> Cell:
    if runs:
        return runs_to_cell((row, first), (1, last - first + 1), runs, (0.0, 0.0, 0.0, 0.0))
    box = (columns[first][0], min(r.top for r in line), columns[last][1], max(r.bottom for r in line))
    return runs_to_cell((row, first), (1, 1), (), box)


def _line_to_spans(line: Sequence[Run], columns: Columns) -> list[tuple[int, int]]:
    """For each run the columns it speaks to.

    A run belongs to the columns it overlaps; a run between two columns to both; a run that overlaps
    one column only, or mostly, to that one. Neighbours on the line never share a column.
    """
    spans = []
    for run in line:
        over = [
            (min(run.x1, x1) - max(run.x0, x0), number)
            for number, (x0, x1) in enumerate(columns)
            if min(run.x1, x1) - max(run.x0, x0) > 0.5
        ]
        if not over:
            spans.append(_between(run, columns))
            continue
        most = max(length for length, _ in over)
        strong = [
            number
            for length, number in over
            if length >= 0.25 * min(most, run.x1 - run.x0) or _is_inside(run, columns[number])
        ]
        spans.append((min(strong), max(strong)))
    if _collide(spans) and texts_are_temperatures([run.text for run in line]):
        return _in_order(line, columns)
    return _without_overlap(line, spans, columns)


def _collide(spans: Sequence[tuple[int, int]]) -> bool:
    """Whether two runs of a line claim exactly one and the same column."""
    single = [span for span in spans if span[0] == span[1]]
    return len(single) == len(spans) and len(set(single)) < len(single)


def _in_order(line: Sequence[Run], columns: Columns) -> list[tuple[int, int]]:
    """Temperatures one a column, in order, where there are as many as columns (but for a first or a
    last one); else each where it stands."""
    first = 1 if line[0].x0 >= columns[0][1] else 0
    inside = columns[first:] if len(line) == len(columns) - first else columns[:-1] if not first else ()
    if len(line) == len(inside):
        return [(first + number, first + number) for number in range(len(line))]
    nearest = [min(range(len(columns)), key=lambda n: abs(sum(columns[n]) / 2 - run.mid_x)) for run in line]
    return [(number, number) for number in nearest]


def _is_inside(run: Run, column: tuple[float, float]) -> bool:
    return run.x0 <= column[0] and column[1] <= run.x1


def _between(run: Run, columns: Columns) -> tuple[int, int]:
    """The columns left and right of a run that overlaps none, or the nearest one."""
    left = [number for number, (_, x1) in enumerate(columns) if x1 <= run.x0 + 0.5]
    right = [number for number, (x0, _) in enumerate(columns) if x0 >= run.x1 - 0.5]
    if left and right and right[0] == left[-1] + 1:
        to_left, to_right = run.x0 - columns[left[-1]][1], columns[right[0]][0] - run.x1
        if max(to_left, to_right) <= 3 * max(1.0, min(to_left, to_right)):
            return left[-1], right[0]
        return (left[-1], left[-1]) if to_left < to_right else (right[0], right[0])
    number = left[-1] if left else right[0]
    return number, number


def _without_overlap(
    line: Sequence[Run], spans: list[tuple[int, int]], columns: Columns
) -> list[tuple[int, int]]:
    """Where two runs of a line claim one column, the one that covers more of it keeps it."""
    fixed = list(spans)
    for i in range(len(line) - 1):
        (a0, a1), (b0, b1) = fixed[i], fixed[i + 1]
        if a1 < b0 or (a0, a1) == (b0, b1):
            continue
        x0, x1 = columns[min(a1, b1)] if a1 == b0 else columns[b0]
        share_a = min(line[i].x1, x1) - max(line[i].x0, x0)
        share_b = min(line[i + 1].x1, x1) - max(line[i + 1].x0, x0)
        if share_a >= share_b and b0 < b1:
            fixed[i + 1] = (min(a1 + 1, b1), b1)
        elif a0 < a1:
            fixed[i] = (a0, max(b0 - 1, a0))
    return fixed


def columns_under(run: Run, columns: Columns) -> int:
    """How many columns a run stands over."""
    return sum(1 for x0, x1 in columns if min(run.x1, x1) - max(run.x0, x0) > 0)
