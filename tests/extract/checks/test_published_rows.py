"""Published derating rows and ratios pass; errors planted in them do not."""

from itertools import pairwise

import pytest

from extract.checks import readings_to_findings
from extract.checks.limits import limits
from extract.schema import Kind, Place, Quantity, Reading, Severity, Status

# Published vendor data: percent of rating at ambients in °C, five rows of different part types.
ROWS = {
    "A": {-40: 152, -20: 136, 0: 120, 23: 100, 30: 92, 40: 81, 50: 71, 60: 60, 70: 48, 85: 30},
    "B": {-40: 145, -20: 131, 0: 116, 23: 100, 30: 94, 40: 86, 50: 77, 60: 69, 70: 60, 85: 48},
    "C": {-40: 145, -20: 130, 0: 115, 23: 100, 30: 92, 40: 84, 50: 77, 60: 69, 70: 61, 85: 50},
    "D": {-40: 145, -20: 130, 0: 120, 25: 100, 40: 88, 50: 80, 60: 71, 70: 66, 85: 56},
    "E": {-40: 154.5, -20: 136.4, 0: 118.2, 20: 100, 40: 81.8, 50: 72.7, 60: 63.6, 70: 54.5, 85: 40},
}


def codes_of(row: dict[int, float]) -> set[str]:
    """Codes of errors and doubts about a percent row."""
    readings = [
        Reading(
            "row.pdf",
            "0" * 64,
            "*",
            Quantity.HOLD_RATIO,
            Kind.NONE,
            float(ambient_c),
            None,
            percent / 100,
            Status.AGREED,
            Place(1, 0.0, 0.0, 1.0, 1.0),
            f"{percent:g}",
        )
        for ambient_c, percent in row.items()
    ]
    return {f.code for f in readings_to_findings(readings) if f.severity is not Severity.NOTE}


@pytest.mark.parametrize("name", ROWS)
def test_published_rows_pass(name: str) -> None:
    """No rule doubts a row as published."""
    assert codes_of(ROWS[name]) == set()


@pytest.mark.parametrize("name", ROWS)
def test_swapped_neighbours_are_found(name: str) -> None:
    """Two neighbouring cells swapped are found wherever they stand."""
    for left, right in pairwise(ROWS[name]):
        row = dict(ROWS[name])
        row[left], row[right] = row[right], row[left]
        assert codes_of(row) & {"rises-with-ambient"}, (left, right)


@pytest.mark.parametrize("name", ROWS)
def test_ten_points_off_is_found_inside_a_row(name: str) -> None:
    """A cell between others that is ten points of the rating too high or too low is found."""
    inner = [a for a in list(ROWS[name])[1:-1] if ROWS[name][a] != 100]
    for ambient_c in inner:
        for points in (10, -10):
            row = dict(ROWS[name])
            row[ambient_c] += points
            assert codes_of(row), (ambient_c, points)


@pytest.mark.parametrize("name", ["A", "B", "C", "D"])
def test_transposed_digits_are_found_inside_a_row(name: str) -> None:
    """A two-digit percentage with its digits swapped is found."""
    for ambient_c, percent in list(ROWS[name].items())[1:-1]:
        digits = f"{percent:g}"
        if len(digits) == 2 and abs(int(digits[::-1]) - percent) > 9:
            assert codes_of({**ROWS[name], ambient_c: float(digits[::-1])}), ambient_c


def test_rounding_is_no_error() -> None:
    """A 0.2 A part printed to 0.01 A has steps of five points; that is rounding, not an error."""
    printed = {-40: 0.30, -20: 0.27, 0: 0.23, 23: 0.20, 40: 0.17, 50: 0.15, 60: 0.14, 70: 0.12, 85: 0.10}
    readings = [
        Reading(
            "coarse.pdf",
            "0" * 64,
            "ZZ1",
            Quantity.HOLD_CURRENT,
            Kind.NONE,
            float(a),
            None,
            value,
            Status.AGREED,
            Place(1, 0.0, 0.0, 1.0, 1.0),
            f"{value:.2f}",
        )
        for a, value in printed.items()
    ]
    assert [f for f in readings_to_findings(readings) if f.severity is not Severity.NOTE] == []


def test_heat_ratio_of_a_published_row() -> None:
    """0.5 A, 1.17 ohm and 0.77 W give 0.380, inside the band; 1170 ohm is outside (published vendor data,
    the arithmetic by hand)."""
    low, high = limits().ratios["heat_post_trip"].usual
    assert pytest.approx(0.380, abs=0.0005) == 0.5**2 * 1.17 / 0.77
    assert low < 0.380 < high < 380


def test_bands_hold_the_published_ranges() -> None:
    """Ratios seen in 94 published rows of 11 tables lie inside the usual bands."""
    published = {
        "trip_over_hold": (1.67, 3.25),
        "post_trip_over_min_resistance": (2.15, 14.0),
        "heat_post_trip": (0.096, 0.495),
        "heat_min": (0.018, 0.199),
        "leakage_over_hold": (0.014, 0.67),
        "test_over_hold": (2.0, 80.0),
    }
    for name, (low, high) in published.items():
        band = limits().ratios[name].usual
        assert band[0] <= low, name
        assert high <= band[1], name


def test_usual_lies_inside_possible() -> None:
    """What is doubted is a smaller step than what cannot be."""
    bands = [*limits().bounds.values(), *limits().ratios.values(), limits().ambient_c]
    assert all(b.possible[0] <= b.usual[0] < b.usual[1] <= b.possible[1] for b in bands)
