"""The reference ambient: one rule for list, check, library and comparison."""

import pytest

from extract.reference import reference_ambient_c


@pytest.mark.parametrize(
    ("holds", "trips", "full_c", "stated_c", "expected"),
    [
        ([(23.0, 0.5)], [], None, (), 23.0),
        ([(40.0, 0.5)], [], None, (), 40.0),
        ([(0.0, 0.6), (20.0, 0.5), (40.0, 0.4)], [(40.0, 0.9)], None, (), 20.0),
        ([(0.0, 0.6), (20.0, 0.51), (25.0, 0.5), (60.0, 0.3)], [], None, (), None),
        ([(20.0, 0.51), (25.0, 0.5), (60.0, 0.3)], [(25.0, 1.0)], None, (), 25.0),
        ([(20.0, 0.51), (25.0, 0.5), (None, 0.51)], [], None, (), 20.0),
        ([(20.0, 0.51), (25.0, 0.5)], [], None, (25.0,), 25.0),
        ([(20.0, 0.51), (25.0, 0.5)], [(25.0, 1.0)], 20.0, (), 20.0),
        ([(0.0, 0.6), (40.0, 0.4)], [(40.0, 0.9)], None, (), None),
        ([(None, 0.5)], [], None, (), None),
    ],
)
def test_what_tells_the_reference(
    holds: list[tuple[float | None, float]], trips: list[tuple[float | None, float]], full_c: float | None,
    stated_c: tuple[float, ...], expected: float | None,
) -> None:
    """100 % column, the only ambient, the only usual one, the rating repeated, the trip rating, the
    others."""
    assert reference_ambient_c(holds, trips, full_c, stated_c) == expected
