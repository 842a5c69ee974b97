"""How long a library of many parts takes to answer.

Run: python bench/library_speed.py [PARTS]   (default 20000)

Comes in: nothing; the parts are invented, 18 numbers and a package each, 40 to a sheet, one part in ten
accepted. HOLDTRIP_TEST_POSTGRES names a PostgreSQL server (an empty schema is made and dropped); without
it only SQLite is measured. Goes out: a line for each question: the seconds of the best of three, how much
of that this process worked (on a busy machine the rest is waiting), the seconds allowed. Each question
opens the library anew, as a command does; the making is told too.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from sqlalchemy import create_engine, text

from extract.schema import Kind, PartText, Place, Quantity, Reading, SheetReading, Status
from library.address import address_to_url
from library.records import PartFilter, PartState, Signature, Target
from library.store import Library, open_library

ALLOWED_S = 0.5
PARTS_OF_A_SHEET = 40
RATIOS = {-40.0: 1.5, -20.0: 1.34, 0.0: 1.18, 30.0: 0.93, 40.0: 0.85, 50.0: 0.76, 60.0: 0.68, 70.0: 0.59,
          85.0: 0.45}
PLACE = Place(1, 72.0, 144.0, 90.0, 152.0)


def sheet_of(index: int, parts: int) -> SheetReading:
    """An invented sheet of parts, the same on every run."""
    chance = random.Random(index)
    document = f"invented{index:05d}.pdf"
    digest = sha256(document.encode()).hexdigest()
    readings: list[Reading] = []
    texts: list[PartText] = []
    for number in (f"P{index:04d}-{part:02d}" for part in range(parts)):
        hold_a = round(chance.uniform(0.1, 8.0), 2)
        readings += [
            Reading(document, digest, number, quantity, kind, ambient_c, test_a, value, Status.AGREED, PLACE,
                    f"{value:g}", "A")
            for quantity, kind, ambient_c, test_a, value in numbers_of(hold_a)]
        texts.append(PartText(document, digest, number, "package", "1812", PLACE))
    return SheetReading(document, digest, 4, (1, 2), "", tuple(readings), tuple(texts), ())


def numbers_of(hold_a: float) -> Iterator[tuple[Quantity, Kind, float | None, float | None, float]]:
    """The numbers of a part of a hold current in A."""
    yield Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, hold_a
    yield Quantity.TRIP_CURRENT, Kind.NONE, 23.0, None, round(2 * hold_a, 2)
    yield Quantity.MAX_VOLTAGE, Kind.NONE, None, None, 16.0
    yield Quantity.MAX_CURRENT, Kind.NONE, None, None, 40.0
    yield Quantity.TRIPPED_POWER, Kind.TYP, None, None, 0.8
    yield Quantity.TIME_TO_TRIP, Kind.NONE, None, round(5 * hold_a, 2), 2.5
    yield Quantity.RESISTANCE, Kind.MIN, None, None, round(0.1 / hold_a, 4)
    yield Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None, None, round(0.4 / hold_a, 4)
    for ambient_c, ratio in RATIOS.items():
        yield Quantity.HOLD_CURRENT, Kind.NONE, ambient_c, None, round(hold_a * ratio, 3)


def fill(address: str, parts: int) -> None:
    """Import the parts and accept every tenth; prints how long that took."""
    start = time.perf_counter()
    with open_library(address) as library:
        sheets = [sheet_of(index, PARTS_OF_A_SHEET) for index in range(parts // PARTS_OF_A_SHEET)]
        made_s = time.perf_counter() - start
        for sheet in sheets:
            library.import_sheet(sheet, "bench")
        imported_s = time.perf_counter() - start - made_s
        for sheet in sheets:
            for number in sorted({one.part_number for one in sheet.readings})[::10]:
                library.accept(Target(number), Signature("bench"))
        accepted_s = time.perf_counter() - start - made_s - imported_s
    print(f"  import {imported_s:6.1f} s, {imported_s / len(sheets) * 1e3:.1f} ms a sheet;"
          f" accept {accepted_s:6.1f} s, {accepted_s / (parts / 10) * 1e3:.1f} ms a part")


QUESTIONS: dict[str, Callable[[Library], object]] = {
    "list: all parts in short": lambda library: library.list_parts(),
    "list: those in review": lambda library: library.list_parts(PartFilter(states=(PartState.IN_REVIEW,))),
    "list: text in the number": lambda library: library.list_parts(PartFilter(like="P0100")),
    "list: 200 parts with numbers": lambda library: library.parts(where=PartFilter(limit=200)),
    "show: one part": lambda library: library.part("P0100-07"),
    "show: its numbers and decisions": lambda library: library.numbers_of("P0100-00"),
    "compare: hold 0.5 A to 0.8 A": lambda library: library.parts(
        where=PartFilter(hold_current_min_a=0.5, hold_current_max_a=0.8)),
    "compare: accepted only": lambda library: library.parts(accepted_only=True),
    "sheets": lambda library: library.sheets(),
    "every number of every part": lambda library: library.parts(),
}
UNLIMITED = {"every number of every part"}


def best_s(address: str, question: Callable[[Library], object]) -> tuple[float, float, int]:
    """Seconds of the best of three, opening included, seconds of this process's work, how many answers."""
    best_s, work_s, count = float("inf"), float("inf"), 0
    for _ in range(3):
        start, work = time.perf_counter(), time.process_time()
        with open_library(address, create=False) as library:
            answer = question(library)
        best_s = min(best_s, time.perf_counter() - start)
        work_s = min(work_s, time.process_time() - work)
        count = len(answer) if isinstance(answer, tuple) else 1
    return best_s, work_s, count


@contextmanager
def schema_of(server: str) -> Iterator[str]:
    """The address of an empty schema on a server."""
    name = f"bench_{uuid.uuid4().hex}"
    engine = create_engine(address_to_url(server))
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {name}"))
    yield f"{server}?options=-csearch_path%3D{name}"
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {name} CASCADE"))
    engine.dispose()


def measure(name: str, address: str, parts: int) -> None:
    """Fill a library and ask every question; prints a line for each."""
    print(f"{name}, {parts} parts")
    fill(address, parts)
    for words, question in QUESTIONS.items():
        seconds, work_s, count = best_s(address, question)
        allowed = f"  allowed {ALLOWED_S}" + "  TOO SLOW" * (seconds > ALLOWED_S)
        print(f"  {words:34} {count:7d} answers {seconds:7.3f} s, {work_s:6.3f} s of work"
              f"{allowed if words not in UNLIMITED else ''}")


def main(parts: int) -> None:
    """Measure SQLite and, where there is a server, PostgreSQL."""
    with tempfile.TemporaryDirectory() as folder:
        measure("SQLite", str(Path(folder) / "library.sqlite"), parts)
    if server := os.environ.get("HOLDTRIP_TEST_POSTGRES"):
        with schema_of(server) as address:
            measure("PostgreSQL", address, parts)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
