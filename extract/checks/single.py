"""Rules over one number: sign, bounds, ambient, lists of usual ratings.

Comes in: one part's numbers and the limits. Goes out: suspicions. Compares no two numbers.
"""

from __future__ import annotations

from collections.abc import Iterator

from extract.checks import codes
from extract.checks.limits import Limits
from extract.checks.numbers import PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, number_to_text, value_to_text
from extract.schema import AT_AMBIENT, Severity


def part_to_bounds(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """A rating is above zero and within what the trade makes; test currents within those of faults."""
    for number in part.numbers:
        name, band = number_to_name(number), limits.bounds[number.quantity]
        low, high = band.usual
        usual = f"{value_to_text(low, number.quantity)} to {value_to_text(high, number.quantity)}"
        if number.value <= 0:
            yield Suspicion(
                codes.VALUE_NOT_POSITIVE,
                Severity.ERROR,
                part,
                (number,),
                "a value above zero",
                f"{name} is {number_to_text(number)}",
            )
        elif not band.possible[0] <= number.value <= band.possible[1]:
            yield Suspicion(
                codes.VALUE_IMPOSSIBLE,
                Severity.ERROR,
                part,
                (number,),
                usual,
                f"{name} of {number_to_text(number)} is far beyond any published part",
            )
        elif not low <= number.value <= high:
            yield Suspicion(
                codes.VALUE_UNUSUAL,
                Severity.DOUBT,
                part,
                (number,),
                usual,
                f"{name} of {number_to_text(number)} is outside published tables",
            )


def part_to_ambients(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """A number's ambient lies where parts are rated."""
    low, high = limits.ambient_c.possible
    for number in part.numbers:
        if (
            number.quantity in AT_AMBIENT
            and number.ambient_c is not None
            and not low <= number.ambient_c <= high
        ):
            yield Suspicion(
                codes.AMBIENT_IMPOSSIBLE,
                Severity.ERROR,
                part,
                (number,),
                f"{low:g} to {high:g} °C",
                f"{number_to_name(number)}: no part is rated there",
            )


def part_to_lists(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """Voltages and fault currents are mostly of a short list; others exist, so this only notes."""
    for number in part.numbers:
        allowed = limits.allowed.get(number.quantity)
        if allowed is not None and number.value > 0 and round(number.value, 6) not in allowed:
            nearest = min(allowed, key=lambda value: abs(value - number.value))
            yield Suspicion(
                codes.VALUE_NOT_IN_LIST,
                Severity.NOTE,
                part,
                (number,),
                f"often {value_to_text(nearest, number.quantity)}",
                f"{number_to_name(number)} of {number_to_text(number)} is seldom used",
            )
