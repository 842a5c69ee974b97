"""The value after a label, in the forms the trade prints; what is no value gives none."""

import pytest

from extract.particulars.values import text_to_values
from extract.schema import Kind


@pytest.mark.parametrize(
    "text",
    [
        "-40 °C to +85 °C",
        ".......... −40°C to 85°C",
        ": -40 to +85 °C",
        " -40℃~+85℃",
        " -40 °C … +85 °C",
        " –40 C to +85 C",
        ": -40°C / +85°C",
    ],
)
def test_a_range_is_two_limits(text: str) -> None:
    """-40 to 85 °C, however its signs, dashes and units are written."""
    assert [(v.kind, v.value) for v in text_to_values("range", text)] == [(Kind.MIN, -40.0), (Kind.MAX, 85.0)]


@pytest.mark.parametrize(
    "text",
    [
        "-40 °C -20 °C 0 °C 23 °C",
        "85 °C to -40 °C",
        "-400 to 850 °C",
        "23 °C",
        "see page 3, -40 to 85 °C",
        "-40 to 85",
        "-40 °F to 185 °F",
    ],
)
def test_what_is_no_range_gives_none(text: str) -> None:
    """Columns of ambients, swapped limits, impossible ones, no unit, words before it, Fahrenheit: absent."""
    assert text_to_values("range", text) == ()


def test_a_largest_alone() -> None:
    """ "40 °C max." names one limit."""
    assert [(v.kind, v.value) for v in text_to_values("range", ".... 40 °C max. / 70 % RH max.")] == [
        (Kind.MAX, 40.0)
    ]


@pytest.mark.parametrize(
    ("sort", "text", "value"),
    [
        ("cycles", "Vmax, Imax, 100 cycles ... no arcing", 100.0),
        ("hours", "Vmax, 48 hours", 48.0),
        ("hours", "1,000 h at Vmax", 1000.0),
        ("single", " ..... 125 °C", 125.0),
    ],
)
def test_counts_hours_and_one_temperature(sort: str, text: str, value: float) -> None:
    """Numbers with their own words."""
    assert [v.value for v in text_to_values(sort, text)] == [value]


def test_two_counts_are_none() -> None:
    """Which of two belongs to the label cannot be told."""
    assert text_to_values("cycles", "50 cycles at 30 V, 100 cycles at 16 V") == ()


@pytest.mark.parametrize(
    ("text", "level"), [(": 2a (according to J-STD-020)", "2a"), ("Level 1, J-STD-020", "1")]
)
def test_the_moisture_level_is_a_text(text: str, level: str) -> None:
    """Levels of J-STD-020: 1, 2, 2a, 3, 4, 5, 5a, 6."""
    assert [v.text for v in text_to_values("level", text)] == [level]


def test_no_level_beyond_the_standard() -> None:
    """ "See note" and level 9 are none."""
    assert text_to_values("level", "see note") == text_to_values("level", "Level 9") == ()


@pytest.mark.parametrize("text", ["5 V to 60 V", ": 5 to 60 Vdc", " ..... 5 ~ 60V"])
def test_a_range_of_voltage_is_two_limits(text: str) -> None:
    """The lower end may go without its unit, the upper may not."""
    assert [(v.kind, v.value, v.unit) for v in text_to_values("volts", text)] == [
        (Kind.MIN, 5.0, "V"), (Kind.MAX, 60.0, "V")]


@pytest.mark.parametrize("text", ["60 V", "60 to 5 V", "5 to 60", "max. 5 to 60 V"])
def test_what_is_no_range_of_voltage_gives_none(text: str) -> None:
    """A single voltage is a rating, not a range; without volts, or after other words, nothing is said."""
    assert text_to_values("volts", text) == ()
