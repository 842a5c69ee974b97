"""Invented parts and requirements to compare."""

from collections.abc import Callable, Iterable

import pytest
from hypothesis import settings

from compare.requirement import Requirement
from compare.requirement_file import text_to_requirement
from extract.schema import Kind, Part, PartText, Place, Quantity, Reading, Status

settings.register_profile("no_timing", deadline=None)
settings.load_profile("no_timing")
"""No test of this project depends on how fast the machine is."""

DOCUMENT, SHA256 = "invented.pdf", "0" * 64

RATINGS = {
    "hold": (Quantity.HOLD_CURRENT, Kind.NONE),
    "trip": (Quantity.TRIP_CURRENT, Kind.NONE),
    "max_voltage": (Quantity.MAX_VOLTAGE, Kind.NONE),
    "max_voltage_dc": (Quantity.MAX_VOLTAGE, Kind.DC),
    "max_voltage_ac": (Quantity.MAX_VOLTAGE, Kind.AC),
    "interrupt_voltage": (Quantity.MAX_INTERRUPT_VOLTAGE, Kind.NONE),
    "max_current": (Quantity.MAX_CURRENT, Kind.NONE),
    "power_typ": (Quantity.TRIPPED_POWER, Kind.TYP),
    "power_max": (Quantity.TRIPPED_POWER, Kind.MAX),
    "r_min": (Quantity.RESISTANCE, Kind.MIN),
    "r_max": (Quantity.RESISTANCE, Kind.MAX),
    "r_1max": (Quantity.RESISTANCE, Kind.POST_TRIP_MAX),
}
PLACED = {"hold", "trip"}
Row = dict[float, float]
"""Values by ambient, °C."""


def reading(
    quantity: Quantity,
    value: float,
    kind: Kind = Kind.NONE,
    *,
    ambient_c: float | None = None,
    test_a: float | None = None,
    status: Status = Status.AGREED,
    number: str = "P1",
    raw: str = "",
) -> Reading:
    """One reading of page 2 of an invented sheet."""
    return Reading(
        DOCUMENT,
        SHA256,
        number,
        quantity,
        kind,
        ambient_c,
        test_a,
        value,
        status,
        Place(2, 10.0, 20.0, 40.0, 28.0),
        raw or f"{value:g}",
    )


def part(
    number: str = "P1",
    *,
    reference_c: float = 23.0,
    time: tuple[float, float] | None = (8.0, 0.3),
    ratios: Row | None = None,
    trip_ratios: Row | None = None,
    hold_row: Row | None = None,
    package: str = "",
    more: Iterable[Reading] = (),
    **ratings: float,
) -> Part:
    """A part: `ratings` by the names of RATINGS, `time` as (test current A, longest time s)."""
    values = {
        "hold": 0.75,
        "trip": 1.5,
        "max_voltage": 16.0,
        "max_current": 40.0,
        "r_min": 0.1,
        "r_1max": 0.4,
        "power_typ": 0.8,
        **ratings,
    }
    found = [
        reading(
            RATINGS[name][0],
            value,
            RATINGS[name][1],
            number=number,
            ambient_c=reference_c if name in PLACED else None,
        )
        for name, value in values.items()
        if value > 0
    ]
    if time is not None:
        found.append(reading(Quantity.TIME_TO_TRIP, time[1], test_a=time[0], ambient_c=reference_c,
                             number=number))
    for quantity, row, owner in (
        (Quantity.HOLD_RATIO, ratios, "*"),
        (Quantity.TRIP_RATIO, trip_ratios, "*"),
        (Quantity.HOLD_CURRENT, hold_row, number),
    ):
        found.extend(
            reading(quantity, value, ambient_c=ambient_c, number=owner)
            for ambient_c, value in (row or {}).items()
        )
    said = PartText(DOCUMENT, SHA256, number, "package", package, Place(1, 0.0, 0.0, 1.0, 1.0))
    texts = (said,) if package else ()
    return Part(number, DOCUMENT, SHA256, (*found, *more), texts)


@pytest.fixture(scope="session")
def make_part() -> Callable[..., Part]:
    """Builds an invented part; see `part`. A rating of 0 leaves it out."""
    return part


@pytest.fixture(scope="session")
def make_reading() -> Callable[..., Reading]:
    """Builds one reading; see `reading`."""
    return reading


@pytest.fixture(scope="session")
def make_requirement() -> Callable[..., Requirement]:
    """Builds a requirement from TOML lines, over a plain base that they may override."""

    def build(more: str = "", **fields: float | str | bool) -> Requirement:
        base: dict[str, float | str | bool] = {
            "supply": "dc",
            "supply_voltage_v": 12.0,
            "normal_current_a": 0.4,
            "ambient_cold_c": 23.0,
            "ambient_hot_c": 23.0,
            "fault_current_min_a": 8.0,
            "fault_current_max_a": 20.0,
            **fields,
        }
        lines = [f"{key} = {_toml(value)}" for key, value in base.items() if value != ""]
        return text_to_requirement("\n".join([*lines, more]))

    return build


def _toml(value: float | str | bool) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else repr(value)


ROW_A = {
    -40.0: 1.52,
    -20.0: 1.36,
    0.0: 1.20,
    23.0: 1.00,
    30.0: 0.92,
    40.0: 0.81,
    50.0: 0.71,
    60.0: 0.60,
    70.0: 0.48,
    85.0: 0.30,
}
ROW_B = {
    -40.0: 1.45,
    -20.0: 1.31,
    0.0: 1.16,
    23.0: 1.00,
    30.0: 0.94,
    40.0: 0.86,
    50.0: 0.77,
    60.0: 0.69,
    70.0: 0.60,
    85.0: 0.48,
}
ROW_C = {
    -40.0: 1.45,
    -20.0: 1.30,
    0.0: 1.15,
    23.0: 1.00,
    30.0: 0.92,
    40.0: 0.84,
    50.0: 0.77,
    60.0: 0.69,
    70.0: 0.61,
    85.0: 0.50,
}
ROW_E_AMPS = {
    -40.0: 0.85,
    -20.0: 0.75,
    0.0: 0.65,
    20.0: 0.55,
    40.0: 0.45,
    50.0: 0.40,
    60.0: 0.35,
    70.0: 0.30,
    85.0: 0.22,
}


@pytest.fixture(scope="session")
def row_a() -> dict[float, float]:
    """A percent derating row for small chips, reference 23 °C. Published vendor data."""
    return ROW_A


@pytest.fixture(scope="session")
def row_b() -> dict[float, float]:
    """A percent derating row for larger chips, reference 23 °C. Published vendor data."""
    return ROW_B


@pytest.fixture(scope="session")
def row_c() -> dict[float, float]:
    """A percent derating row for low-resistance chips, reference 23 °C. Published vendor data."""
    return ROW_C


@pytest.fixture(scope="session")
def row_e_amps() -> dict[float, float]:
    """An amps derating row of a leaded part, reference 20 °C. Published vendor data."""
    return ROW_E_AMPS
