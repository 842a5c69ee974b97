"""Headings: what the words of a column say, in four languages, and what they leave open."""

from __future__ import annotations

import pytest

from extract.headings import Role, heading_to_meaning
from extract.schema import Kind, Quantity
from extract.temperatures import is_temperature_row, text_to_ambient

Q = Quantity
# Wordings are common practice, no source; none is taken from one sheet.
KNOWN = [
    (("I hold", "(A)"), Q.HOLD_CURRENT, Kind.NONE, "A"),
    (("Hold Current", "IH, A"), Q.HOLD_CURRENT, Kind.NONE, "A"),
    (("Haltestrom Ih [A]",), Q.HOLD_CURRENT, Kind.NONE, "A"),
    (("保持电流", "IH (mA)"), Q.HOLD_CURRENT, Kind.NONE, "mA"),
    (("保持電流 (A)",), Q.HOLD_CURRENT, Kind.NONE, "A"),
    (("Current ratings", "amps at 20 °C", "trip"), Q.TRIP_CURRENT, Kind.NONE, "A"),
    (("トリップ電流 (A)",), Q.TRIP_CURRENT, Kind.NONE, "A"),
    (("V max.", "Volts"), Q.MAX_VOLTAGE, Kind.NONE, "V"),
    (("Vmax", "(Vdc)"), Q.MAX_VOLTAGE, Kind.DC, "V"),
    (("Vmax", "(Vac rms)"), Q.MAX_VOLTAGE, Kind.AC, "V"),
    (("Rated voltage", "Vmax, Vdc/Vac"), Q.MAX_VOLTAGE, Kind.NONE, "V"),
    (("Max. interrupt voltage (V)",), Q.MAX_INTERRUPT_VOLTAGE, Kind.NONE, "V"),
    (("Maximum fault current", "A"), Q.MAX_CURRENT, Kind.NONE, "A"),
    (("Tripped power dissipation", "watts", "typ."), Q.TRIPPED_POWER, Kind.TYP, "W"),
    (("Verlustleistung [W]",), Q.TRIPPED_POWER, Kind.NONE, "W"),
    (("R min (mΩ)",), Q.RESISTANCE, Kind.MIN, "mohm"),
    (("Resistance", "ohms", "R1max"), Q.RESISTANCE, Kind.POST_TRIP_MAX, "ohm"),
    (("Maximum resistance one hour after a trip", "R1max", "Ω"), Q.RESISTANCE, Kind.POST_TRIP_MAX, "ohm"),
    (("Post-trip resistance", "ohms", "max"), Q.RESISTANCE, Kind.POST_TRIP_MAX, "ohm"),
    (("Max. time to trip", "Time (s)"), Q.TIME_TO_TRIP, Kind.NONE, "s"),
    (("Ansprechzeit [ms]",), Q.TIME_TO_TRIP, Kind.NONE, "ms"),
]


@pytest.mark.parametrize(("levels", "quantity", "kind", "unit"), KNOWN)
def test_a_heading_of_the_trade_is_understood(
    levels: tuple[str, ...], quantity: Q, kind: Kind, unit: str
) -> None:
    """Words or symbol give the quantity, kind words the kind, brackets, unit row or words the unit."""
    meaning = heading_to_meaning(levels)
    assert (meaning.role, meaning.quantity, meaning.kind) == (Role.VALUE, quantity, kind)
    assert meaning.unit is not None
    assert meaning.unit.name == unit


@pytest.mark.parametrize(
    "levels", [("Max time to trip", "Current (A)"), ("Max. time to trip [A]",), ("Test current (A)",)]
)
def test_the_current_of_a_trip_time_is_no_trip_current(levels: tuple[str, ...]) -> None:
    """A time to trip measured in amps is its test current."""
    meaning = heading_to_meaning(levels)
    assert meaning.is_test_current
    assert meaning.quantity is Q.TIME_TO_TRIP


def test_test_current_in_the_heading_is_read() -> None:
    """ "at 8 A" and "at 5 x I_hold" say at which current the time holds."""
    assert heading_to_meaning(("Max. time to trip at 8 A (s)",)).test_current_a == 8.0
    assert heading_to_meaning(("Max. time to trip at 5 x Ihold (s)",)).test_multiple == 5.0
    assert heading_to_meaning(("Max. time to trip at 500 mA (s)",)).test_current_a == 0.5


def test_two_numbers_a_cell_have_two_meanings() -> None:
    """ "Vmax / Imax (V / A)" gives a pair; "Vdc/Vac" is one number that is both."""
    pair = heading_to_meaning(("Vmax / Imax", "(V / A)")).pair
    assert [meaning.quantity for meaning in pair] == [Q.MAX_VOLTAGE, Q.MAX_CURRENT]
    assert not heading_to_meaning(("Vmax (Vdc/Vac)",)).pair


def test_a_unit_that_cannot_measure_the_quantity_leaves_it_open() -> None:
    """ "Hold current (V)" names no quantity: the words and the unit contradict each other."""
    meaning = heading_to_meaning(("Hold current (V)",))
    assert meaning.quantity is None
    assert meaning.rivals == (Q.HOLD_CURRENT,)


@pytest.mark.parametrize(
    ("levels", "role"),
    [
        (("Part number",), Role.PART_NUMBER),
        (("型号",), Role.PART_NUMBER),
        (("Marking code",), Role.TEXT),
        (("Ihold code",), Role.TEXT),
        (("Quantity per reel",), Role.OTHER),
        (("Figure",), Role.OTHER),
        (("Zebra",), Role.UNKNOWN),
    ],
)
def test_columns_without_a_quantity_have_a_role(levels: tuple[str, ...], role: Role) -> None:
    """Part numbers, texts, other things and the unknown are told apart; a code of a current is a text."""
    assert heading_to_meaning(levels).role is role


@pytest.mark.parametrize(
    ("text", "value"),
    [("-40 °C", -40), ("−40°C", -40), ("85 ºC", 85), ("at 23 °C", 23), ("40 ℃", 40), ("20 C", 20)],
)
def test_temperatures_keep_their_sign_whatever_the_glyph(text: str, value: float) -> None:
    """U+2212, hyphens, ordinal signs, one-glyph ℃ and a lost degree sign all read right."""
    assert text_to_ambient(text) == value


def test_a_row_of_temperatures_rises_or_is_none() -> None:
    """A lost minus sign breaks the order: "40 20 0 23" is no row of temperatures."""
    assert is_temperature_row([-40, -20, 0, 23, 40, 85])
    assert not is_temperature_row([40, 20, 0, 23, 40, 85])
    assert not is_temperature_row([0.45, 0.40, 60])
