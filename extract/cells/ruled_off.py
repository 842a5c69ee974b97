"""Texts of neighbouring cells that touch, with the rule of their table between them.

Comes in: two neighbours on a line and the upright rules. Goes out: whether a rule parts them. Knows no word.

    (5.50 A max.)|(8.00 A max.)
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import Protocol

from extract.page import Rule

RULED_EM, BRACKET_EM = 0.12, 0.45
"""A rule between two letters that touch stands no farther from their ends; between a closing and an opening
bracket it may stand on either: half of a wide bracket is blank."""


class Printed(Protocol):
    """A glyph or an atom."""

    @property
    def text(self) -> str: ...
    @property
    def x0(self) -> float: ...
    @property
    def x1(self) -> float: ...
    @property
    def top(self) -> float: ...
    @property
    def bottom(self) -> float: ...
    @property
    def size(self) -> float: ...


def is_ruled_off(before: Printed, after: Printed, verticals: Sequence[Rule]) -> bool:
    """Whether an upright rule, of `verticals` from left to right, stands between the ends of two neighbours
    and along both."""
    brackets = before.text[-1] in ")）" and after.text[0] in "(（"
    reach = (BRACKET_EM if brackets else RULED_EM) * after.size
    first = bisect_left(verticals, before.x1 - reach, key=lambda rule: rule.at)
    last = bisect_right(verticals, after.x0 + reach, key=lambda rule: rule.at)
    return any(rule.start <= after.top and after.bottom <= rule.end for rule in verticals[first:last])
