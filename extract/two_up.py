"""Two pages printed on one sheet, side by side: each is read on its own.

Comes in: a PageContent. Goes out: it alone, or its left and its right half, in the coordinates of the whole.
Halves are told by a strip near the middle that nothing crosses, and by a heading of ratings in both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.lines import glyphs_to_runs
from extract.page import Glyph, PageContent, Rule
from extract.schema import Quantity
from extract.vocabulary import fold, scan

MIDDLE = (0.42, 0.58)  # the strip lies between these shares of the page's width
STRIP_PT = 24.0
NAMED = {Quantity.HOLD_CURRENT.value, Quantity.TRIP_CURRENT.value, "part_number"}


def content_to_halves(content: PageContent) -> tuple[PageContent, ...]:
    """The page, or its two halves."""
    if content.width < content.height:
        return (content,)
    at = _content_to_strip(content)
    if at is None:
        return (content,)
    halves = _cut(content, -1.0, at), _cut(content, at, content.width + 1.0)
    return halves if all(_names_ratings(half.glyphs) for half in halves) else (content,)


def _content_to_strip(content: PageContent) -> float | None:
    """The middle of the widest strip near the middle of the page that no glyph and no rule crosses."""
    low, high = (share * content.width for share in MIDDLE)
    taken = [(glyph.x0, glyph.x1) for glyph in content.glyphs]
    taken += [(rule.start, rule.end) for rule in content.horizontals]
    edge, best, at = low, 0.0, None
    for start, end in sorted((max(s, low), min(e, high)) for s, e in taken if e > low and s < high):
        if start - edge > best:
            best, at = start - edge, (start + edge) / 2
        edge = max(edge, end)
    if high - edge > best:
        best, at = high - edge, (high + edge) / 2
    return at if best >= STRIP_PT else None


def _cut(content: PageContent, left: float, right: float) -> PageContent:
    return replace(
        content,
        glyphs=tuple(g for g in content.glyphs if left <= g.mid_x < right),
        horizontals=_rules_in(content.horizontals, left, right),
        verticals=tuple(rule for rule in content.verticals if left <= rule.at < right),
        bands=_rules_in(content.bands, left, right),
        sideways=(),
    )


def _rules_in(rules: Sequence[Rule], left: float, right: float) -> tuple[Rule, ...]:
    return tuple(rule for rule in rules if left <= (rule.start + rule.end) / 2 < right)


def _names_ratings(glyphs: Sequence[Glyph]) -> bool:
    """Whether headings name hold, trip and parts."""
    found = {hit.name for run in glyphs_to_runs(glyphs) for hit in scan(fold(run.text))}
    return found >= NAMED
