"""What a rule says: a suspicion about numbers of one part, before it is told as a finding.

Comes in: facts of a rule. Goes out: Suspicion. Decides nothing about a number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from extract.checks.codes import Code
from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers
from extract.schema import Severity


@dataclass(frozen=True, slots=True, eq=False)
class Suspicion:
    """`numbers` are those that do not fit together, the likeliest culprit first; `expected` and
    `message` are short texts with units; `size` says how far off, where rows are compared; `ratio` names the
    ratio that is judged."""

    code: Code
    severity: Severity
    part: PartNumbers
    numbers: tuple[Number, ...]
    expected: str
    message: str
    size: float = 0.0
    ratio: str = ""


PartRule = Callable[[PartNumbers, Limits], Iterator[Suspicion]]
"""A rule over one part."""

SeriesRule = Callable[[Sequence[PartNumbers], Limits], Iterator[Suspicion]]
"""A rule over the parts of one series, in the order they stand."""
