"""Numbers as the findings write them.

Comes in: values in SI. Goes out: short texts with units. Reads nothing.
"""

from __future__ import annotations

from extract.checks.numbers import Number
from extract.schema import UNIT_OF, Kind, Quantity

_NAMES = {
    Quantity.HOLD_CURRENT: "hold current",
    Quantity.TRIP_CURRENT: "trip current",
    Quantity.MAX_VOLTAGE: "maximum voltage",
    Quantity.MAX_INTERRUPT_VOLTAGE: "interrupt voltage",
    Quantity.MAX_CURRENT: "maximum fault current",
    Quantity.TRIPPED_POWER: "tripped power",
    Quantity.RESISTANCE: "resistance",
    Quantity.TIME_TO_TRIP: "time to trip",
    Quantity.HOLD_RATIO: "hold ratio",
    Quantity.TRIP_RATIO: "trip ratio",
}
_UNITS = {"ohm": "Ω", "1": ""}


def value_to_text(value: float, quantity: Quantity) -> str:
    """A value with its unit, such as "0.55 A"; ratios as percent."""
    if UNIT_OF[quantity] == "1":
        return f"{100 * value:.6g} %"
    unit = UNIT_OF[quantity]
    return f"{value:.6g} {_UNITS.get(unit, unit)}"


def rounded(value: float, digits: int) -> str:
    """A number of so many digits, without a power of ten below a million."""
    short = float(f"{value:.{digits}g}")
    return f"{short:g}" if abs(short) < 1e6 else f"{value:.{digits}g}"


def number_to_text(number: Number) -> str:
    """A number's value with its unit."""
    return value_to_text(number.value, number.quantity)


def number_to_name(number: Number) -> str:
    """What a number is, such as "resistance post-trip max" or "hold current at 85 °C"."""
    name = _NAMES[number.quantity]
    if number.kind is not Kind.NONE:
        name += f" {number.kind.value.replace('_', '-', 1).replace('_', ' ')}"
    if number.ambient_c is not None and number.quantity in (
        Quantity.HOLD_CURRENT,
        Quantity.TRIP_CURRENT,
        Quantity.HOLD_RATIO,
        Quantity.TRIP_RATIO,
    ):
        name += f" at {number.ambient_c:g} °C"
    return name
