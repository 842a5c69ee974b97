"""How long a large typed parts table takes to check.

    python bench/table_speed.py [--rows 10000] [--runs 3]

Writes a table of invented parts in series of forty, a few of them with errors, as CSV and as XLSX, and
prints the middle processor time of reading, of checking alone and of checking against as many readings.
"""

from __future__ import annotations

import argparse
import csv
import platform
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from importlib.metadata import version
from pathlib import Path
from statistics import median

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from extract.parts_table import check_table, read_parts_table
from extract.parts_table.typed_parts import table_to_parts
from extract.schema import Place, Reading, Status

SHAPE = {-40: 1.45, -20: 1.30, 0: 1.15, 40: 0.84, 50: 0.77, 60: 0.69, 70: 0.61, 85: 0.50}
HEADING = [
    "Part number",
    "Ihold [A]",
    "Itrip [A]",
    "Vmax [V]",
    "Imax [A]",
    "Pd typ [W]",
    "Time to trip [s]",
    "Test current [A]",
    "Rmin [Ohm]",
    "R1max [Ohm]",
    *(f"Hold at {ambient} °C [A]" for ambient in SHAPE),
]
SERIES = 40
WRONG_EVERY = 97


def number_to_row(number: int) -> list[str]:
    """A part of an invented series; one in ninety-seven has its hold current ten times too large."""
    series, place = divmod(number, SERIES)
    letters = "".join(chr(65 + series // 26**n % 26) for n in range(3))
    hold = round(0.1 * 1.09**place, 2)
    power = 0.5 + 0.05 * place
    r_post = round(0.3 * power / hold**2, 4)
    typed = hold * 10 if number % WRONG_EVERY == WRONG_EVERY - 1 else hold
    return [
        f"{letters}-{round(100 * hold):04d}-30",
        f"{typed:.2f}",
        f"{2 * hold:.2f}",
        "30",
        "100",
        f"{power:.2f}",
        "4.0",
        f"{5 * hold:.2f}",
        f"{r_post / 3:.4f}",
        f"{r_post:.4f}",
        *(f"{hold * share:.2f}" for share in SHAPE.values()),
    ]


def write_tables(folder: Path, rows: int) -> tuple[Path, Path]:
    """The table as CSV and as XLSX."""
    import openpyxl

    listed = [number_to_row(number) for number in range(rows)]
    with (folder / "parts.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([HEADING, *listed])
    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("Parts")
    sheet.append(HEADING)
    for row in listed:
        sheet.append([row[0], *map(float, row[1:])])
    book.save(folder / "parts.xlsx")
    return folder / "parts.csv", folder / "parts.xlsx"


def table_to_readings(path: Path) -> tuple[Reading, ...]:
    """The table itself as if read from one sheet for each series."""
    typed = table_to_parts(read_parts_table(path))
    place = Place(1, 0.0, 0.0, 0.0, 0.0)
    return tuple(
        Reading(
            f"{part.series}.pdf",
            part.series,
            part.part_number,
            n.quantity,
            n.kind,
            23.0 if n is part.hold or n is part.trip else n.ambient_c,
            n.test_current_a,
            n.value,
            Status.AGREED,
            place,
            f"{n.value:g}",
        )
        for part in typed.parts
        for n in part.numbers
    )


def timed(runs: int, work: Callable[[], object]) -> float:
    """Middle processor time of some runs, in seconds: a busy machine does not lengthen it."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return median(times)


def main() -> int:
    """Time every step and print one line for each."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rows", type=int, default=10_000)
    parser.add_argument("--runs", type=int, default=3)
    options = parser.parse_args()
    print(
        f"{date.today()} Python {platform.python_version()} openpyxl {version('openpyxl')};"
        f" {options.rows} rows, {len(HEADING)} columns, middle of {options.runs}"
    )
    with tempfile.TemporaryDirectory() as folder:
        for path in write_tables(Path(folder), options.rows):
            readings = table_to_readings(path)
            table = read_parts_table(path)
            found = {f.row for f in check_table(table).findings if f.severity.value == "error"}
            print(
                f"{path.suffix[1:]}: read {timed(options.runs, lambda p=path: read_parts_table(p)):.2f} s,"
                f" check alone {timed(options.runs, lambda t=table: check_table(t)):.2f} s,"
                f" and against {len(readings)} readings"
                f" {timed(options.runs, lambda t=table, r=readings: check_table(t, r)):.2f} s;"
                f" errors in {len(found)} rows of {options.rows // WRONG_EVERY} wrong ones"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
