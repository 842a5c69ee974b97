"""An invented series of sound parts, and the way to change one number of it."""

from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest

from extract.checks import readings_to_findings
from extract.schema import Finding, Kind, Place, Quantity, Reading, Severity, Status

# Percent of rating of one published row (published vendor data).
SHAPE = {-40: 1.45, -20: 1.30, 0: 1.15, 23: 1.0, 40: 0.84, 50: 0.77, 60: 0.69, 70: 0.61, 85: 0.50}

# Invented parts of one invented series: hold A, Rmin and R1max ohm, tripped power W, time s.
PARTS = {
    "QLM-0200-30": (2.00, 0.020, 0.064, 1.0, 9.0),
    "QLM-0020-60": (0.20, 0.80, 2.60, 0.50, 2.2),
    "QLM-0035-60": (0.35, 0.42, 1.30, 0.55, 2.6),
    "QLM-0050-60": (0.50, 0.24, 0.80, 0.60, 3.0),
    "QLM-0075-30": (0.75, 0.13, 0.40, 0.70, 4.1),
    "QLM-0110-30": (1.10, 0.062, 0.20, 0.75, 5.5),
    "QLM-0150-30": (1.50, 0.038, 0.12, 0.85, 7.0),
}


def reading(part: str, quantity: Quantity, value: float, **more: object) -> Reading:
    """A reading of the invented sheet; its raw text is the number itself."""
    sound = Reading(
        "invented.pdf",
        "0" * 64,
        part,
        quantity,
        Kind.NONE,
        None,
        None,
        value,
        Status.AGREED,
        Place(1, 0.0, 0.0, 1.0, 1.0),
        str(value),
    )
    return replace(sound, **more)  # type: ignore[arg-type]


def part_readings(part: str) -> list[Reading]:
    """Everything the sheet says of one part."""
    hold, r_min, r_post, power, time = PARTS[part]
    rows = [
        reading(part, Quantity.TRIP_CURRENT, 2 * hold, ambient_c=23.0),
        reading(part, Quantity.MAX_VOLTAGE, float(part[-2:])),
        reading(part, Quantity.MAX_CURRENT, 40.0),
        reading(part, Quantity.TRIPPED_POWER, power, kind=Kind.TYP),
        reading(part, Quantity.TIME_TO_TRIP, time, test_current_a=5 * hold),
        reading(part, Quantity.RESISTANCE, r_min, kind=Kind.MIN),
        reading(part, Quantity.RESISTANCE, r_post, kind=Kind.POST_TRIP_MAX),
    ]
    for ambient_c, share in SHAPE.items():
        rows.append(reading(part, Quantity.HOLD_CURRENT, round(hold * share, 3), ambient_c=float(ambient_c)))
    return rows


@pytest.fixture
def sound() -> list[Reading]:
    """Readings of the whole invented series, in the order of rising hold current."""
    return [r for part in sorted(PARTS) for r in part_readings(part)]


Planter = Callable[..., list[Reading]]


@pytest.fixture
def plant(sound: list[Reading]) -> Planter:
    """A copy of the series in which one number of one part is changed by a function."""

    def plant_one(
        part: str,
        quantity: Quantity,
        change: Callable[[Reading], Reading],
        kind: Kind = Kind.NONE,
        ambient_c: float | None = None,
    ) -> list[Reading]:
        def is_meant(r: Reading) -> bool:
            return (r.part_number, r.quantity, r.kind) == (part, quantity, kind) and (
                ambient_c is None or r.ambient_c == ambient_c
            )

        assert any(map(is_meant, sound))
        return [change(r) if is_meant(r) else r for r in sound]

    return plant_one


def grave(readings: Iterable[Reading]) -> list[Finding]:
    """Errors and doubts."""
    return [f for f in readings_to_findings(readings) if f.severity is not Severity.NOTE]
