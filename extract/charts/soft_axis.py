"""A second look at an axis whose numbers and lines gave no scale: what most of its numbers agree on.

Comes in: the numbers printed along an axis and the places of its lines. Goes out: a scale through the numbers
themselves, with how far they stand off it, or None. Such a scale is never beyond doubt: numbers do not stand
at their lines, and some of these were left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import combinations
from statistics import linear_regression

from extract.charts.numbers import TickLabel

LEAST_NUMBERS = 3  # through two any scale goes
LEAST_SHARE = 0.6  # of the numbers agree
AT_PLACE_PT = 1.2  # a number stands no farther off its place
LEAST_SPAN_PT = 40.0  # the numbers reach so far along their axis
PLACED_PT = 1.0  # so exactly does a number tell a place


def labels_to_agreed(labels: Sequence[TickLabel], is_log: bool) -> list[TickLabel]:
    """The numbers that stand on one scale, as many as do; none if they are few."""
    say = _say(is_log)
    usable = [label for label in labels if not is_log or label.value > 0]
    best: list[TickLabel] = []
    for one, other in combinations(usable, 2):
        step = say(other) - say(one)
        if not step or abs(other.at - one.at) < LEAST_SPAN_PT / 2:
            continue
        unit = (other.at - one.at) / step
        start = one.at - unit * say(one)
        agreed = [n for n in usable if abs(start + unit * say(n) - n.at) < AT_PLACE_PT]
        best = agreed if len(agreed) > len(best) else best
    values = {label.value for label in best}
    places = [label.at for label in best]
    is_enough = len(values) >= LEAST_NUMBERS and len(best) >= LEAST_SHARE * len(labels)
    return best if is_enough and max(places) - min(places) > LEAST_SPAN_PT else []


def labels_to_own_scale(labels: Sequence[TickLabel], is_log: bool) -> tuple[float, float, float] | None:
    """Origin, unit and error of the scale on which the numbers themselves stand, if they agree on one."""
    agreed = labels_to_agreed(labels, is_log)
    if not agreed:
        return None
    say = _say(is_log)
    unit, origin = linear_regression([say(n) for n in agreed], [n.at for n in agreed])
    if not unit:
        return None
    astray = max(abs(origin + unit * say(n) - n.at) for n in agreed)
    return origin, unit, max(astray, PLACED_PT) / abs(unit)


def _say(is_log: bool) -> Callable[[TickLabel], float]:
    """What a number is on its scale."""
    return (lambda label: math.log10(label.value)) if is_log else (lambda label: label.value)
