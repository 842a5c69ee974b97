"""Doubtful numbers are never used silently."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from compare.part_numbers import part_to_numbers, readings_to_number
from extract.schema import Kind, Part, Quantity, Reading, Status

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
R, MIN = Quantity.RESISTANCE, Kind.MIN


def test_a_disputed_number_has_no_value(make_reading: MakeReading) -> None:
    """The reason names the quantity and the printed text."""
    found = readings_to_number([make_reading(R, 0.12, MIN, status=Status.DISPUTED, raw="0.12*")])
    assert found.value is None
    assert "resistance min" in found.note
    assert "0.12*" in found.note


@pytest.mark.parametrize("status", [Status.AGREED, Status.SINGLE])
def test_two_values_for_one_number(make_reading: MakeReading, status: Status) -> None:
    """Two readings of one number that differ give no value, and both are shown."""
    found = readings_to_number([make_reading(R, 0.12, MIN, status=status), make_reading(R, 0.21, MIN)])
    assert found.value is None
    assert "0.12 and 0.21" in found.note
    assert [r.value for r in found.readings] == [0.12, 0.21]


def test_the_same_value_twice_is_no_conflict(make_reading: MakeReading) -> None:
    """A number printed in two tables alike is one number."""
    assert readings_to_number([make_reading(R, 0.12, MIN), make_reading(R, 0.12, MIN)]).value == 0.12


@pytest.mark.parametrize("status", [Status.ACCEPTED, Status.CORRECTED])
@pytest.mark.parametrize("other", [Status.DISPUTED, Status.AGREED])
def test_a_person_goes_before_a_machine(make_reading: MakeReading, status: Status, other: Status) -> None:
    """What a person accepted or corrected settles a dispute."""
    found = readings_to_number(
        [make_reading(R, 0.21, MIN, status=other), make_reading(R, 0.12, MIN, status=status)]
    )
    assert found.value == 0.12


def test_two_persons_who_differ(make_reading: MakeReading) -> None:
    """Two accepted values that differ are a conflict like any other."""
    found = readings_to_number(
        [
            make_reading(R, 0.21, MIN, status=Status.ACCEPTED),
            make_reading(R, 0.12, MIN, status=Status.CORRECTED),
        ]
    )
    assert found.value is None


def test_one_agreed_and_one_disputed_of_the_same_value(make_reading: MakeReading) -> None:
    """A dispute stands even where the values happen to agree."""
    found = readings_to_number(
        [make_reading(R, 0.12, MIN), make_reading(R, 0.12, MIN, status=Status.DISPUTED)]
    )
    assert found.value is None


def test_other_kinds_and_test_currents_are_other_numbers(
    make_part: MakePart, make_reading: MakeReading
) -> None:
    """Smallest and largest resistance, and times at two currents, are not in conflict."""
    numbers = part_to_numbers(
        make_part(
            r_min=0.1,
            r_max=0.2,
            time=(8.0, 0.3),
            more=[make_reading(Quantity.TIME_TO_TRIP, 2.0, test_a=3.75)],
        )
    )
    smallest, largest = numbers.number(R, MIN), numbers.number(R, Kind.MAX)
    assert smallest is not None
    assert largest is not None
    assert (smallest.value, largest.value) == (0.1, 0.2)
    assert [(p.current_a, p.time_s) for p in numbers.trip_points] == [(3.75, 2.0), (8.0, 0.3)]


def test_a_time_without_test_current_is_left_out(make_part: MakePart, make_reading: MakeReading) -> None:
    """A time to trip means nothing without its current."""
    assert (
        part_to_numbers(make_part(time=None, more=[make_reading(Quantity.TIME_TO_TRIP, 2.0)])).trip_points
        == ()
    )


@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf")])
@pytest.mark.parametrize("quantity", list(Quantity))
def test_an_impossible_number_has_no_value(
    make_reading: MakeReading, quantity: Quantity, value: float
) -> None:
    """No quantity of the trade is negative or without end."""
    found = readings_to_number([make_reading(quantity, value)])
    assert found.value is None
    assert "impossible" in found.note


@pytest.mark.parametrize("quantity", list(Quantity))
def test_only_hold_may_derate_to_zero(make_reading: MakeReading, quantity: Quantity) -> None:
    """A last column of 0 % is printed for hold; nothing else can be zero."""
    found = readings_to_number([make_reading(quantity, 0.0)])
    assert (found.value == 0.0) is (quantity in {Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO})


def test_why_a_number_is_disputed_is_told_without_code_words(make_reading: MakeReading) -> None:
    """A code of the reader stands as words, a sentence as it is."""
    codes = ("printed_twice_and_different", "the sheet prints 'a_b'")
    found = readings_to_number([replace(make_reading(R, 0.12, MIN, status=Status.DISPUTED), notes=codes)])
    assert "(printed twice and different; the sheet prints 'a_b')" in found.note
