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
        band = limits.bounds[number.quantity]
        if band.usual[0] <= number.value <= band.usual[1] and number.value > 0:
            continue
        name, found = number_to_name(number), number_to_text(number)
        low, high = (value_to_text(value, number.quantity) for value in band.usual)
        if number.value <= 0:
            code, message = codes.VALUE_NOT_POSITIVE, f"{name} is {found}"
        elif not band.possible[0] <= number.value <= band.possible[1]:
            code, message = codes.VALUE_IMPOSSIBLE, f"{name} of {found} is far beyond any published part"
        else:
            code, message = codes.VALUE_UNUSUAL, f"{name} of {found} is outside published tables"
        expected = "a value above zero" if number.value <= 0 else f"{low} to {high}"
        yield Suspicion(code, code.severity, part, (number,), expected, message)


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
