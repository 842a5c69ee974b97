"""Pairs with the least cost, all at once, and how much worse the next best pairing is.

Comes in: a table of costs. Goes out: pairs; for each row what the best pairing without its pair would cost
more. Knows nothing of charts. The one place of extract that loads scipy.
"""

from __future__ import annotations

from collections.abc import Sequence

FORBIDDEN = 1e7
LONELY = 400.0  # what it costs more to pair a row that stays alone is divided by this


def _solve(costs: Sequence[Sequence[float]], limit: float) -> tuple[list[tuple[int, int]], float]:
    import numpy
    from scipy.optimize import linear_sum_assignment

    rows = len(costs)
    columns = len(costs[0]) if rows else 0
    if not rows:
        return [], 0.0
    table = numpy.full((rows, columns + rows), FORBIDDEN)
    if columns:
        table[:, :columns] = costs
    table[range(rows), range(columns, columns + rows)] = limit
    first, second = linear_sum_assignment(table)
    total = float(table[first, second].sum())
    return [(int(i), int(j)) for i, j in zip(first, second, strict=True) if j < columns], total


def pairs_with_rivals(
    costs: Sequence[Sequence[float]], limit: float
) -> dict[int, tuple[int, list[tuple[int, float]]]]:
    """For each paired row its column, and the columns it has in the best pairings that differ for it, with
    what those cost more (nearest first)."""
    pairs, total = _solve(costs, limit)
    found: dict[int, tuple[int, list[tuple[int, float]]]] = {}
    for row, column in pairs:
        rivals: list[tuple[int, float]] = []
        barred = [list(line) for line in costs]
        for _ in range(2):
            barred[row][rivals[-1][0] if rivals else column] = FORBIDDEN
            others, cost = _solve(barred, limit)
            other = dict(others).get(row)
            if other is None:
                break
            rivals.append((other, cost - total))
        found[row] = column, rivals
    for row, column, more in _if_all_were_paired(costs, dict(pairs), total):
        found[row][1].append((column, more))
    return found


def _if_all_were_paired(
    costs: Sequence[Sequence[float]], pairs: dict[int, int], total: float
) -> list[tuple[int, int, float]]:
    """Rows whose column would change if a row that stayed alone were paired too, with that column; what it
    costs more counts little, since a row seldom stays alone for no reason."""
    columns = len(costs[0]) if costs else 0
    if len(pairs) == len(costs) or not columns or columns < len(costs):
        return []
    others, cost = _solve(costs, FORBIDDEN / 10)
    more = max(0.0, cost - total) / LONELY
    return [(row, column, more) for row, column in others if row in pairs and pairs[row] != column]
