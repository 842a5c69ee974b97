"""A reading's value and condition as short text for people.

Comes in: a Reading. Goes out: text with unit. Does not round away digits that were printed.
"""

from __future__ import annotations

from extract.schema import UNIT_OF, UNIT_OF_PARTICULAR, Kind, Particular, Quantity, Reading, Status

NAMES = {
    Quantity.HOLD_CURRENT: "hold current",
    Quantity.TRIP_CURRENT: "trip current",
    Quantity.MAX_VOLTAGE: "max. voltage",
    Quantity.MAX_INTERRUPT_VOLTAGE: "max. interrupt voltage",
    Quantity.MAX_CURRENT: "max. fault current",
    Quantity.TRIPPED_POWER: "tripped power",
    Quantity.RESISTANCE: "resistance",
    Quantity.TIME_TO_TRIP: "time to trip",
    Quantity.HOLD_RATIO: "hold derating",
    Quantity.TRIP_RATIO: "trip derating",
}

KINDS = {
    Kind.NONE: "",
    Kind.MIN: "min",
    Kind.TYP: "typ",
    Kind.MAX: "max",
    Kind.POST_TRIP_MAX: "R1max",
    Kind.AC: "AC",
    Kind.DC: "DC",
}

MARKS = {
    Status.AGREED: "",
    Status.SINGLE: "~",
    Status.DISPUTED: "?",
    Status.ACCEPTED: "",
    Status.BULK: "≈",
    Status.CORRECTED: "*",
}
LEGEND = "~ one reading only, ≈ accepted in bulk, ? disputed: look at the page, * corrected by a person"


def number_to_text(value: float) -> str:
    """Decimal digits as they are, at most nine significant, never an exponent for everyday sizes."""
    text = f"{value:.9g}"
    return text if "e" not in text else f"{value:.12f}".rstrip("0").rstrip(".")


def value_to_text(quantity: Quantity, value: float) -> str:
    """Value with its unit; ratios in percent."""
    if quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO):
        return f"{number_to_text(value * 100)} %"
    return f"{number_to_text(value)} {UNIT_OF[quantity]}"


def condition_to_text(reading: Reading) -> str:
    """Ambient and test current, as far as the sheet states them."""
    return conditions_to_text(reading.ambient_c, reading.test_current_a)


def conditions_to_text(ambient_c: float | None, test_current_a: float | None) -> str:
    """As `condition_to_text`, from the two numbers."""
    conditions = ((test_current_a, "A"), (ambient_c, "°C"))
    return ", ".join(f"at {number_to_text(value)} {unit}" for value, unit in conditions if value is not None)


def particular_to_text(one: Particular) -> str:
    """A size, temperature or count with its unit, or what is said in words."""
    if one.value is None:
        return one.text
    unit = UNIT_OF_PARTICULAR.get(one.name, "1")
    return f"{one.value:g}" if unit == "1" else f"{one.value:g} {unit}"
