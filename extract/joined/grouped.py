"""Rows that stand for the groups of another table ("Group A" for the parts below "Group A: 60 V, 40 A"), and
tables whose title names the series they are of.

Comes in: a Table, the Named tables or the parts. Goes out: the parts of each of its items, or None.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.joined.drafts import Named
from extract.meanings.tables import Table
from extract.vocabulary import fold

TITLE = 110


def join_groups(table: Table, named: Sequence[Named]) -> tuple[tuple[str, ...], ...] | None:
    """The parts below the group line that begins with an item's label; None unless each item has a line of
    its own and no part stands below two.

    Group A: 60 V, 40 A                    |  Group | 0 °C  | 25 °C
    TQ-050 | 0.50 A                        |  Group A | 118 % | 100 %
    """
    for series in table.labels:
        labels = [fold(text).strip() for text in series.texts]
        items = tuple(_label_to_parts(label, named) for label in labels)
        parts = [part for item in items for part in item]
        if len(items) > 1 and all(items) and len(set(parts)) == len(parts):
            return items
    return None


def _label_to_parts(label: str, named: Sequence[Named]) -> tuple[str, ...]:
    """The parts whose group line is a label, or begins with it and a sign."""
    begins = re.compile(re.escape(label) + r"(?:\s*[:,;(–-]|\s*$)")
    found = [
        part
        for entry in named
        for item, groups in enumerate(entry.table.item_groups)
        if label and any(begins.match(fold(group).strip()) for group in groups)
        for part in entry.items[item]
    ]
    return tuple(dict.fromkeys(found))


def join_title(table: Table, parts: Sequence[str]) -> tuple[tuple[str, ...], ...] | None:
    """The parts of the one series that the title names, where the sheet has others: "Thermal derating, TQ30"
    speaks of no TQ60."""
    for title in table.grid.captions[:2]:
        codes = re.findall(r"[^\W\d_]{1,6}\d\w*|\d+[A-ZА-Я]{1,6}\b|[A-ZА-Я]{2,6}\b", title)
        series = {found for code in codes if (found := tuple(p for p in parts if _begins_with(p, code)))}
        if len(title) < TITLE and len(series) == 1 and len(own := series.pop()) < len(parts):
            return (own,) * table.size
    return None


def _begins_with(part: str, code: str) -> bool:
    """Whether a part's name begins with a code, and no digit goes on its number: TQ60-110 is of no TQ6."""
    signs = r"[\s./–-]*"
    begins = signs.join(map(re.escape, re.sub(r"[\s./–-]", "", code)))
    return re.match(begins + (r"(?!\d)" if code[-1].isdigit() else ""), part, re.IGNORECASE) is not None
