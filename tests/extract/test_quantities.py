"""Cell texts: what is a number, what is none, what nobody may guess."""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.quantities import CellSort, NumberStyle, cell_to_numbers, texts_to_style
from extract.vocabulary import unit_spellings

READ = [
    ("1.10", "1.10"),
    ("1. 10", "1.10"),
    ("1. 0 0", "1.00"),
    ("3.4 0", "3.40"),
    ("0,5", "0.5"),
    (".45", "0.45"),
    ("250 mA", "250"),
    ("0.45 Ω", "0.45"),
    ("0R25", "0.25"),
    ("4R7", "4.7"),
    ("≤ 0.5", "0.5"),
    ("0.5 max.", "0.5"),
    ("30 VDC", "30"),
    ("100%", "100"),
    ("20.0*", "20.0"),
    ("24²", "24"),
    ("40 †", "40"),
    ("1e-3", "0.001"),
]
NOT_GUESSED = ["60 10", "1,000", "2O", "1.2.3", "8 0.A", "1.5-2.0", "0.5 ~ 0.7", "R1", "12 xy"]
ABSENT = ["", "-", "–", "—", "--", "N/A", "TBD", "*"]


@pytest.mark.parametrize(("text", "value"), READ)
def test_a_printed_number_is_read_exactly(text: str, value: str) -> None:
    """Kerned, marked, unit-bearing and R-notation numbers give their printed value, digit for digit."""
    parsed = cell_to_numbers(text)
    assert parsed.sort is CellSort.NUMBERS
    assert [number.value for number in parsed.numbers] == [Decimal(value)]


@pytest.mark.parametrize("text", NOT_GUESSED)
def test_what_can_be_read_two_ways_is_unreadable_with_a_reason(text: str) -> None:
    """Two numbers in one cell, ranges, letters for digits and bare commas are never guessed."""
    parsed = cell_to_numbers(text)
    assert parsed.sort is CellSort.UNREADABLE
    assert parsed.reason
    assert not parsed.numbers


@pytest.mark.parametrize("text", ABSENT)
def test_dashes_and_their_like_are_absent_not_zero(text: str) -> None:
    """A dash says that there is no number; it is neither zero nor a sign."""
    assert cell_to_numbers(text).sort is CellSort.ABSENT


def test_two_numbers_parted_by_a_slash_come_in_printed_order() -> None:
    """ "0.78 / 1.56" is two numbers: the first stays first."""
    assert [n.value for n in cell_to_numbers("0.78 / 1.56").numbers] == [Decimal("0.78"), Decimal("1.56")]


def test_a_footnote_mark_is_kept_beside_the_number() -> None:
    """The mark is not lost: it may say that another ambient or current applies."""
    assert cell_to_numbers("20.0**").marks == ("**",)


@given(st.decimals(min_value=0, max_value=99999, places=3, allow_nan=False), st.booleans())
def test_any_decimal_survives_point_and_comma(value: Decimal, comma: bool) -> None:
    """Property: writing a number with the table's decimal sign and reading it gives the number back."""
    text = f"{value}".replace(".", ",") if comma else f"{value}"
    parsed = cell_to_numbers(text, NumberStyle(decimal_comma=comma))
    assert [number.value for number in parsed.numbers] == [value]


def test_the_decimal_sign_is_proven_by_the_table_or_not_at_all() -> None:
    """Commas alone prove a decimal comma, points alone a point, both together nothing."""
    assert texts_to_style(["0,5", "1,25"]).decimal_comma is True
    assert texts_to_style(["0.5", "1,000"]).decimal_comma is False
    assert texts_to_style(["0,5", "0.5"]).decimal_comma is None
    assert cell_to_numbers("1,000", NumberStyle(decimal_comma=False)).numbers[0].value == 1000


def test_unit_factors_agree_with_a_reference_library() -> None:
    """Every unit's factor to SI equals the one of pint, whose definitions follow the SI brochure (BIPM)."""
    registry = pint.UnitRegistry()
    names = {"ohm": "ohm", "mohm": "milliohm", "percent": "percent"}
    for unit in set(unit_spellings().values()):
        base = {"1": "dimensionless"}.get(unit.base, unit.base)
        assert registry.Quantity(1, names.get(unit.name, unit.name)).to(base).magnitude == pytest.approx(
            float(unit.factor)
        )
