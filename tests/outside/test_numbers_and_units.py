"""Number formats and unit words against reference libraries and a standard.

Witnesses: babel (number formats of the Unicode CLDR), pint (units of the SI brochure, BIPM), and ISO
80000-1:2009, 7.3.2, read through secondary texts (decimal sign: comma or point on the line; groups of three
by a small space, never by point or comma).
"""

from decimal import Decimal

import pint
import pytest
from babel.numbers import format_decimal, get_decimal_symbol
from hypothesis import given
from hypothesis import strategies as st

from extract.quantities import CellSort, NumberStyle, cell_to_numbers
from extract.vocabulary import unit_spellings

LANGUAGES = ("en", "de", "fr", "es", "it", "pt", "zh", "ja")
"""The eight languages whose headings the vocabulary holds, as CLDR names them."""


@pytest.mark.parametrize("language", LANGUAGES)
@given(value=st.decimals(min_value="0.001", max_value="999.999", places=3, allow_nan=False))
def test_a_number_written_as_a_language_writes_it_is_read(language: str, value: Decimal) -> None:
    """A rating below 1000, written by babel in a language, is read back with that language's sign."""
    text = format_decimal(value, format="0.000", locale=language)
    comma = get_decimal_symbol(language) == ","
    parsed = cell_to_numbers(text, NumberStyle(decimal_comma=comma))
    assert [number.value for number in parsed.numbers] == [value]


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_decimal_sign_is_comma_or_point(language: str) -> None:
    """ISO 80000-1, 7.3.2: comma or point and nothing else, in all eight languages (CLDR)."""
    assert get_decimal_symbol(language) in {",", "."}


@pytest.mark.parametrize("text", ["1,000", "1.2.3"])
def test_groups_by_point_or_comma_are_not_guessed(text: str) -> None:
    """ISO 80000-1, 7.3.2 forbids groups by point or comma; where a table writes them, nothing is guessed."""
    assert cell_to_numbers(text).sort is CellSort.UNREADABLE


def test_every_unit_word_means_what_the_reference_library_says() -> None:
    """Factor and dimension of every unit the vocabulary knows equal pint's."""
    registry = pint.UnitRegistry()
    names = {"ohm": "ohm", "mohm": "milliohm", "percent": "percent"}
    for unit in set(unit_spellings().values()):
        base = {"1": "dimensionless"}.get(unit.base, unit.base)
        quantity = registry.Quantity(1, names.get(unit.name, unit.name))
        assert quantity.to(base).magnitude == pytest.approx(float(unit.factor)), unit.name


@pytest.mark.parametrize(
    ("text", "unit", "base"),
    [("250 mA", "milliampere", "ampere"), ("85 mW", "milliwatt", "watt"), ("15 ms", "millisecond", "second")],
)
def test_a_number_with_its_unit_is_as_large_as_the_reference_library_says(
    text: str, unit: str, base: str
) -> None:
    """A cell with its own unit gives the SI value that pint gives."""
    number = cell_to_numbers(text).numbers[0]
    assert number.unit is not None
    reference = pint.UnitRegistry().Quantity(float(number.value), unit).to(base)
    assert float(number.value * number.unit.factor) == pytest.approx(reference.magnitude)
