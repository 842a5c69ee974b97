"""Columns that are one, whose texts stand at its left in some rows and at its right in others.

Comes in: the Columns of a region, the headings over them. Goes out: the Columns, two neighbours made one
where no row has a text in both, every row has one in either, only one of them has a heading, and all hold
codes of three signs and more, each another: values stand in columns of their own.

    Series  Code   |     | Hold          the first row of each series is set farther to the right
    TQ16           | 300 | 3.00
            400    |     | 4.00
            500    |     | 5.00
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.cells.regions import Region
from extract.cells.tables import Column, Head

LEAST_ROWS = 4


def columns_to_unshifted(
    columns: Sequence[Column], region: Region, heads: Sequence[Head]
) -> tuple[Column, ...]:
    """The columns with those made one that are one."""
    headed = {n for head in heads for n in range(head.first, head.last + 1)}
    joined: list[Column] = []
    for number, column in enumerate(columns):
        alone = joined and (number in headed) != (number - 1 in headed)
        if alone and joined[-1].right == column.left and _complete_each_other(joined[-1], column, region):
            before = joined.pop()
            column = Column(before.left, column.right, before.x0, column.x1)
        joined.append(column)
    return tuple(joined)


def _complete_each_other(one: Column, other: Column, region: Region) -> bool:
    filled = [
        tuple(any(c.left <= atom.mid_x < c.right for atom in line.atoms) for c in (one, other))
        for line in region.data
    ]
    each = any(a for a, _ in filled) and any(b for _, b in filled)
    inside = [[a.text for a in line.atoms if one.left <= a.mid_x < other.right] for line in region.data]
    texts = [" ".join(words) for words in inside]
    codes = all(re.fullmatch(r"[\w/-]{3,}", text) for text in texts) and len(set(texts)) == len(texts)
    return codes and len(filled) >= LEAST_ROWS and each and all(a != b for a, b in filled)
