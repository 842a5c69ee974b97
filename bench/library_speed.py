"""How long a library of many parts takes to answer.

Run: python bench/library_speed.py [PARTS]   (default 20000)

Comes in: nothing; the parts are invented, 17 numbers and a package each, 40 to a sheet. One library has one
part in ten accepted, another all of them, so that a comparison has all of them to choose from.
HOLDTRIP_TEST_POSTGRES names a PostgreSQL server (empty schemas are made and dropped); without it only SQLite
is measured. Goes out: a line for each question: the seconds of the best of three, how much of that this
process worked (on a busy machine the rest is waiting), the seconds allowed. Each question opens the library
anew, as a command does; a comparison screens, loads, judges and ranks. The making is told too.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from hashlib import sha256
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from sqlalchemy import create_engine, text

from compare.ranking import parts_to_ranking
from compare.requirement import Requirement
from compare.requirement_file import text_to_requirement
from extract.schema import Kind, PartText, Place, Quantity, Reading, SheetReading, Status
from holdtrip.best_of_library import library_to_best
from holdtrip.library.address import address_to_url
from holdtrip.library.exchange_records import DecisionRecord, NumberRecord, Record, SheetRecord, TextRecord
from holdtrip.library.records import PartFilter, PartState, Signature, Target
from holdtrip.library.store import Library, open_library

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
            for quantity, kind, ambient_c, test_a, value in numbers_of(hold_a, chance)]
        texts.append(PartText(document, digest, number, "package", "1812", PLACE))
    return SheetReading(document, digest, 4, (1, 2), "", tuple(readings), tuple(texts), ())


def numbers_of(
    hold_a: float, chance: random.Random
) -> Iterator[tuple[Quantity, Kind, float | None, float | None, float]]:
    """The numbers of a part of a hold current in A."""
    yield Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, hold_a
    yield Quantity.TRIP_CURRENT, Kind.NONE, 23.0, None, round(hold_a * chance.uniform(1.7, 2.4), 2)
    yield Quantity.MAX_VOLTAGE, Kind.NONE, None, None, chance.choice((6.0, 16.0, 30.0, 60.0))
    yield Quantity.MAX_CURRENT, Kind.NONE, None, None, chance.choice((10.0, 40.0, 100.0))
    yield Quantity.TRIPPED_POWER, Kind.TYP, None, None, round(chance.uniform(0.5, 2.0), 2)
    yield Quantity.TIME_TO_TRIP, Kind.NONE, None, round(5 * hold_a, 2), round(chance.uniform(0.5, 8.0), 1)
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


def fill_accepted(address: str, parts: int) -> None:
    """Take in the parts as another library would export them, every number accepted; prints how long."""
    sheets = [sheet_of(index, PARTS_OF_A_SHEET) for index in range(parts // PARTS_OF_A_SHEET)]
    records = [record for sheet in sheets for record in accepted_records(sheet)]
    start = time.perf_counter()
    with open_library(address) as library:
        library.import_records(records, Signature("bench"))
    print(f"  exchange, every number accepted {time.perf_counter() - start:6.1f} s")


def accepted_records(sheet: SheetReading) -> Iterator[Record]:
    """A sheet with a decision on each of its numbers."""
    at, digest = "2030-01-01T00:00:00+00:00", sheet.sha256
    box = PLACE.page, PLACE.x0, PLACE.top, PLACE.x1, PLACE.bottom
    yield SheetRecord(digest, sheet.document, "", sheet.page_count, sheet.pages_read, "bench", at)
    for number, one in enumerate(sheet.readings, 1):
        yield NumberRecord(digest, number, one.part_number, one.quantity.value, one.kind.value, one.ambient_c,
                           one.test_current_a, one.value, one.status.value, *box, one.raw, one.unit, ())
        yield DecisionRecord(digest, number, "accepted", None, "bench", at, "")
    for said in sheet.texts:
        yield TextRecord(digest, said.part_number, said.name, said.text, *box)


def keep_house(address: str) -> None:
    """What a PostgreSQL server does by itself within minutes after so many new rows, and an SQLite file needs
    not."""
    if "://" in address:
        engine = create_engine(address_to_url(address), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text("VACUUM ANALYZE"))
        engine.dispose()


CIRCUIT = """
supply = "dc"
supply_voltage_v = 12.0
supply_voltage_min_v = 5.0
normal_current_a = 0.5
ambient_cold_c = 0.0
ambient_hot_c = 50.0
fault_current_max_a = 20.0
"""
REQUIREMENTS = {
    "fault from 8 A": CIRCUIT + "fault_current_min_a = 8.0",
    "fault from 3 A, 10 s": (
        CIRCUIT + "fault_current_min_a = 3.0\ntrip_time_max_s = 10.0\nallow_model = true"),
    "the demo's": (Path(__file__).parents[1] / "sample_tables" / "demo_requirement.toml").read_text("utf-8"),
    "none fits": CIRCUIT + "fault_current_min_a = 3.0\ntrip_time_max_s = 10.0",
}
"""The last one allows no model, and no sheet states a time for the cold: no part fits, and the best of those
that cannot be told are looked for."""
TOP = 20


QUESTIONS: dict[str, Callable[[Library], object]] = {
    "list: all parts in short": lambda library: library.list_parts(),
    "list: those in review": lambda library: library.list_parts(PartFilter(states=(PartState.IN_REVIEW,))),
    "list: text in the number": lambda library: library.list_parts(PartFilter(like="P0100")),
    "list: 200 parts with numbers": lambda library: library.parts(where=PartFilter(limit=200)),
    "show: one part": lambda library: library.part("P0100-07"),
    "show: its numbers and decisions": lambda library: library.numbers_of("P0100-00"),
    "parts: hold 0.5 A to 0.8 A": lambda library: library.parts(
        where=PartFilter(hold_current_min_a=0.5, hold_current_max_a=0.8)),
    "parts: accepted only": lambda library: library.parts(accepted_only=True),
    "sheets": lambda library: library.sheets(),
    "every number of every part": lambda library: library.parts(),
}
UNLIMITED = {"every number of every part", "parts: hold 0.5 A to 0.8 A", "parts: accepted only",
             "files: judge every accepted part", "compare: none fits"}
"""Whole parts by the thousand are for files; what is allowed is for what a person waits for at the screen."""


def opened(question: Callable[[Library], object]) -> Callable[[str], object]:
    """The question with the opening of the library."""
    def ask(address: str) -> object:
        with open_library(address, create=False) as library:
            return question(library)

    return ask


def comparison(requirement: Requirement) -> Callable[[str], object]:
    """What `holdtrip compare` does before it shows the best; answers how many parts it judged."""
    return lambda address: library_to_best(address, requirement, False, TOP).ranking.candidates


def best_s(address: str, question: Callable[[str], object]) -> tuple[float, float, int]:
    """Seconds of the best of three, opening included, seconds of this process's work, how many answers."""
    best_s, work_s, count = float("inf"), float("inf"), 0
    for _ in range(3):
        start, work = time.perf_counter(), time.process_time()
        answer = question(address)
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


def measure(name: str, new_address: Callable[[], AbstractContextManager[str]], parts: int) -> None:
    """Fill two libraries and ask every question; prints a line for each."""
    compared = {words: text_to_requirement(said, words) for words, said in REQUIREMENTS.items()}
    comparisons = {f"compare: {words}": comparison(asked) for words, asked in compared.items()}
    print(f"{name}, {parts} parts, one in ten accepted")
    with new_address() as address:
        fill(address, parts)
        keep_house(address)
        ask_all(address, {words: opened(question) for words, question in QUESTIONS.items()})
        ask_all(address, comparisons | {"files: judge every accepted part": opened(
            lambda library: parts_to_ranking(
                library.parts(accepted_only=True), compared["fault from 8 A"]).candidates)})
    print(f"{name}, {parts} parts, all accepted")
    with new_address() as address:
        fill_accepted(address, parts)
        keep_house(address)
        ask_all(address, comparisons)


def ask_all(address: str, questions: dict[str, Callable[[str], object]]) -> None:
    """Prints a line for each question."""
    for words, question in questions.items():
        seconds, work_s, count = best_s(address, question)
        allowed = f"  allowed {ALLOWED_S}" + "  TOO SLOW" * (seconds > ALLOWED_S)
        print(f"  {words:34} {count:7d} answers {seconds:7.3f} s, {work_s:6.3f} s of work"
              f"{allowed if words not in UNLIMITED else ''}", flush=True)


@contextmanager
def file_of() -> Iterator[str]:
    """The address of a file that is not there yet."""
    with tempfile.TemporaryDirectory() as folder:
        yield str(Path(folder) / "library.sqlite")


def main(parts: int) -> None:
    """Measure SQLite and, where there is a server, PostgreSQL."""
    measure("SQLite", file_of, parts)
    if server := os.environ.get("HOLDTRIP_TEST_POSTGRES"):
        measure("PostgreSQL", lambda: schema_of(server), parts)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
