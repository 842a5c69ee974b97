"""Tables of invented parts, typed as people type them, and the sheet they came from."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from extract.parts_table import PartsTable, TableOptions, read_parts_table
from extract.schema import Kind, Place, Quantity, Reading, Status

HEADING = (
    "Part no.",
    "I hold [A]",
    "I trip [A]",
    "Vmax [V]",
    "Imax [A]",
    "Pd typ [W]",
    "Trip time [s]",
    "at [A]",
    "Rmin [Ohm]",
    "R1max [Ohm]",
    "Hold 0 °C [A]",
    "Hold 40 °C [A]",
    "Hold 60 °C [A]",
    "Hold 85 °C [A]",
)

ROWS = (
    (
        "QLM-0020-60",
        "0.20",
        "0.40",
        "60",
        "40",
        "0.50",
        "2.2",
        "1.00",
        "0.80",
        "2.60",
        "0.23",
        "0.17",
        "0.14",
        "0.10",
    ),
    (
        "QLM-0035-60",
        "0.35",
        "0.70",
        "60",
        "40",
        "0.55",
        "2.6",
        "1.75",
        "0.42",
        "1.30",
        "0.40",
        "0.29",
        "0.24",
        "0.18",
    ),
    (
        "QLM-0050-60",
        "0.50",
        "1.00",
        "60",
        "40",
        "0.60",
        "3.0",
        "2.50",
        "0.24",
        "0.80",
        "0.58",
        "0.42",
        "0.35",
        "0.25",
    ),
    (
        "QLM-0075-30",
        "0.75",
        "1.50",
        "30",
        "40",
        "0.70",
        "4.1",
        "3.75",
        "0.13",
        "0.40",
        "0.86",
        "0.63",
        "0.52",
        "0.38",
    ),
    (
        "QLM-0110-30",
        "1.10",
        "2.20",
        "30",
        "40",
        "0.75",
        "5.5",
        "5.50",
        "0.062",
        "0.20",
        "1.27",
        "0.92",
        "0.76",
        "0.55",
    ),
    (
        "QLM-0150-30",
        "1.50",
        "3.00",
        "30",
        "40",
        "0.85",
        "7.0",
        "7.50",
        "0.038",
        "0.12",
        "1.73",
        "1.26",
        "1.04",
        "0.75",
    ),
    (
        "QLM-0200-30",
        "2.00",
        "4.00",
        "30",
        "40",
        "1.00",
        "9.0",
        "10.00",
        "0.020",
        "0.064",
        "2.30",
        "1.68",
        "1.38",
        "1.00",
    ),
)

_MEANT = (
    (1, Quantity.HOLD_CURRENT, Kind.NONE, 23.0),
    (2, Quantity.TRIP_CURRENT, Kind.NONE, 23.0),
    (3, Quantity.MAX_VOLTAGE, Kind.NONE, None),
    (4, Quantity.MAX_CURRENT, Kind.NONE, None),
    (5, Quantity.TRIPPED_POWER, Kind.TYP, None),
    (6, Quantity.TIME_TO_TRIP, Kind.NONE, None),
    (8, Quantity.RESISTANCE, Kind.MIN, None),
    (9, Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None),
    (10, Quantity.HOLD_CURRENT, Kind.NONE, 0.0),
    (11, Quantity.HOLD_CURRENT, Kind.NONE, 40.0),
    (12, Quantity.HOLD_CURRENT, Kind.NONE, 60.0),
    (13, Quantity.HOLD_CURRENT, Kind.NONE, 85.0),
)

Rows = list[list[str]]


@pytest.fixture
def rows() -> Rows:
    """Heading and sound rows, to be changed."""
    return [list(HEADING), *map(list, ROWS)]


@pytest.fixture
def source() -> tuple[Reading, ...]:
    """The readings of the sheet the sound rows were typed from, on page 2."""
    return tuple(
        Reading(
            "qlm.pdf",
            "1" * 64,
            row[0],
            quantity,
            kind,
            ambient_c,
            float(row[7]) if quantity is Quantity.TIME_TO_TRIP else None,
            float(row[index]),
            Status.AGREED,
            Place(2, 30.0 * index, 20.0, 30.0 * index + 20, 30.0),
            row[index],
        )
        for row in ROWS
        for index, quantity, kind, ambient_c in _MEANT
    )


@pytest.fixture
def typed(tmp_path: Path) -> Callable[..., PartsTable]:
    """Write rows as CSV and read them."""

    def write(
        rows: Sequence[Sequence[str]],
        separator: str = ",",
        encoding: str = "utf-8",
        options: TableOptions | None = None,
    ) -> PartsTable:
        path = tmp_path / "parts.csv"
        path.write_bytes("\r\n".join(separator.join(row) for row in rows).encode(encoding))
        return read_parts_table(path, options)

    return write
