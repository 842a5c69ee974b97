"""A typed correction is read with its unit and held against its sheet before anybody keeps it."""

import pytest

from extract.checks.correction import quantity_to_units, typed_to_judged
from extract.schema import Kind, Place, Quantity, Reading, Status


def reading(part: str, quantity: Quantity, value: float, kind: Kind = Kind.NONE) -> Reading:
    """A number of an invented sheet, rated at 23 °C."""
    ambient_c = 23.0 if quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT) else None
    return Reading("a.pdf", "a" * 64, part, quantity, kind, ambient_c, None, value, Status.AGREED,
                   Place(1, 0, 0, 9, 9), f"{value:g}")


HOLD = reading("TQ050", Quantity.HOLD_CURRENT, 0.5)
TRIP = reading("TQ050", Quantity.TRIP_CURRENT, 1.0)
VOLTS = reading("TQ050", Quantity.MAX_VOLTAGE, 30)
LEAST = reading("TQ050", Quantity.RESISTANCE, 0.15, Kind.MIN)
RATIO = reading("TQ050", Quantity.HOLD_RATIO, 0.9)
SHEET = (HOLD, TRIP, VOLTS, LEAST, reading("TQ050", Quantity.RESISTANCE, 0.7, Kind.POST_TRIP_MAX), RATIO)


@pytest.mark.parametrize(
    ("about", "text", "unit", "value"),
    [(HOLD, "0.45", "", 0.45), (HOLD, "450", "mA", 0.45), (HOLD, "450 mA", "", 0.45),
     (HOLD, "450 mA", "A", 0.45), (TRIP, "0,85", "", 0.85), (LEAST, "180", "mohm", 0.18),
     (LEAST, "180 mΩ", "", 0.18), (RATIO, "0.83", "", 0.83), (RATIO, "83 %", "", 0.83),
     (RATIO, "83", "percent", 0.83)])
def test_units_and_commas_are_understood(about: Reading, text: str, unit: str, value: float) -> None:
    """A unit may be typed or chosen, the typed one counts; a comma alone is a decimal sign; all SI."""
    assert typed_to_judged(SHEET, about, text, unit).value == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "much", "1 / 2", "0.4 to 0.5", "-0.5", "0", "1.5 V", "3 km", "1e999"])
def test_what_is_no_value_is_told(text: str) -> None:
    """No guess: words, ranges, pairs, other quantities and what is not above zero have no value."""
    judged = typed_to_judged(SHEET, HOLD, text)
    assert judged.value is None
    assert len(judged.odd) == 1


def test_a_far_value_is_asked_about() -> None:
    """30 V to 300000 V: the distance from the printed value and the trade's bounds are both named."""
    odd = typed_to_judged(SHEET, VOLTS, "300000").odd
    assert odd[0] == "300000 V is 10,000 times larger than the 30 V that is printed"
    assert any("far beyond any published part" in reason for reason in odd)


def test_a_value_that_does_not_fit_its_part_is_asked_about() -> None:
    """The rules of a sheet run on the new value: hold above trip is told, a sound value is not questioned."""
    assert any("is not above hold current" in reason for reason in typed_to_judged(SHEET, HOLD, "1.85").odd)
    assert typed_to_judged(SHEET, HOLD, "0.45").odd == ()


def test_rivals_of_the_number_do_not_count() -> None:
    """A correction rejects the values that compete with it, so they are no reason to doubt it."""
    rival = reading("TQ050", Quantity.HOLD_CURRENT, 0.75)
    assert typed_to_judged((*SHEET, rival), HOLD, "0.45").odd == ()


def test_what_was_read_already_needs_no_correction() -> None:
    """Typing the printed value again is an acceptance."""
    assert "accept it instead" in typed_to_judged(SHEET, VOLTS, "30").odd[0]


def test_units_to_choose_from() -> None:
    """The SI unit stands first."""
    assert quantity_to_units(Quantity.HOLD_CURRENT) == ("A", "kA", "mA")
    assert quantity_to_units(Quantity.RESISTANCE) == ("ohm", "mohm")
    assert quantity_to_units(Quantity.HOLD_RATIO) == ("1", "percent")


def test_sums_are_written_without_powers_of_ten() -> None:
    """A reason is a sentence: 2400 %, not 2.4e+03 %."""
    reasons = typed_to_judged(SHEET, HOLD, "18.5").odd
    assert reasons
    assert not any("e+0" in reason for reason in reasons)
