"""The workbook's formulas against the program's own results, by an independent spreadsheet engine.

    python bench/workbook_engine.py [FOLDER_OF_TRUTH_TABLES] [--count 200] [--seed 1]

Comes in: the truth tables of sample_tables/ as parts, some readings spoilt; random requirements. For each
requirement a workbook is written for another one of the same fields, its input cells are overwritten, and
LibreOffice Calc recalculates all of them in one headless run. Goes out: how many verdicts, margins and
ranks differ from `parts_to_ranking` for the overwritten values. Exit code 1 if any differs.

A margin that the workbook marks "recompute" says nothing and is counted apart; it must never show a number.
"""

from __future__ import annotations

import argparse
import csv
import math
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from openpyxl import load_workbook

from compare.explain import margin_title
from compare.ranking import Ranking, parts_to_ranking
from compare.records import Candidate, Margin
from compare.requirement import (
    MODELS,
    DamagePoint,
    Endurance,
    HotPlug,
    LimitedPower,
    Requirement,
    Track,
    Wire,
)
from compare.workbook import ranking_to_workbook
from compare.workbook_inputs import requirement_to_inputs
from extract.schema import Kind, Part, Place, Quantity, Reading, Status, readings_to_parts

ROUNDING = 1e-8  # a spreadsheet's LN(1 - x) loses digits where x is tiny: times below a microsecond
"""Relative difference that the two ways of calculating may have."""
SPOILT = 1 / 40
PARTS = 12
"""Parts in each workbook, drawn anew for each."""
SEVERAL_MINUTES = 1800.0


@dataclass(frozen=True, slots=True)
class Case:
    """A workbook made for one requirement, and what the program says to the requirement typed into it."""

    name: str
    typed: Requirement
    expected: Ranking


def engine() -> str | None:
    """The command of LibreOffice's spreadsheet, or None where it is not installed."""
    if sys.platform == "linux":  # packaged apart there: `soffice` may be without it
        return shutil.which("localc")
    return shutil.which("soffice") or shutil.which("libreoffice")


def read_parts(folder: Path, chance: random.Random) -> tuple[Part, ...]:
    """The parts of every truth table of a folder; one reading in forty disputed, one lost."""
    readings = [_row_to_reading(row, line, chance) for path in sorted(folder.glob("*.csv"))
                for line, row in enumerate(csv.DictReader(path.read_text(encoding="utf-8").splitlines()), 2)]
    return readings_to_parts(reading for reading in readings if chance.random() > SPOILT)


def _row_to_reading(row: dict[str, str], line: int, chance: random.Random) -> Reading:
    def number(name: str) -> float | None:
        return float(row[name]) if row[name] else None

    status = Status.DISPUTED if chance.random() < SPOILT else Status.AGREED
    return Reading(row["document"], "0" * 64, row["part_number"], Quantity(row["quantity"]),
                   Kind(row["kind"]), number("ambient_c"), number("test_current_a"), float(row["value"]),
                   status, Place(1, 0.0, float(line), 1.0, line + 1.0), row["value"])


def random_requirement(chance: random.Random) -> Requirement:
    """A requirement that makes sense, with a random choice of what is asked."""
    normal_a = chance.uniform(0.05, 3.0)
    volt = chance.choice([5.25, 9.0, 12.0, 16.0, 24.0, 36.0])
    requirement = Requirement(
        "dc", volt, normal_a, chance.uniform(-45.0, 20.0), chance.uniform(21.0, 90.0),
        neighbour_heating_k=chance.choice([0.0, 5.0, 12.5]), hold_factor=chance.choice([1.0, 1.1, 1.25]),
        voltage_drop_max_v=_maybe(chance, 0.02, 0.6), leakage_max_a=_maybe(chance, 0.02, 0.5),
        trip_time_max_s=_maybe(chance, 0.05, 40.0), trip_current_max_a=_maybe(chance, 1.0, 6.0),
        supply_voltage_min_v=_maybe(chance, 0.6 * volt, volt),
        transient_voltage_v=_maybe(chance, volt, 3 * volt),
        supply_current_limit_a=_maybe(chance, normal_a, 20.0, 0.3), allow_model=chance.random() < 0.4,
        allow_models=tuple(model for model in MODELS if chance.random() < 0.5))
    if requirement.supply_current_limit_a is not None and chance.random() < 0.7:
        short_a = requirement.supply_current_limit_a * chance.uniform(0.3, 1.0)
        requirement = replace(requirement, supply_short_current_a=short_a,
                              supply_limit_tolerance=_maybe(chance, 0.0, 0.3))
    if requirement.transient_voltage_v is not None and chance.random() < 0.7:
        requirement = replace(requirement, **_surge(chance))
    requirement = _with_fault(requirement, chance)
    if chance.random() < 0.7:
        requirement = replace(requirement, peak_current_a=normal_a * chance.uniform(1.0, 8.0),
                              peak_duration_s=10 ** chance.uniform(-3.0, 1.0),
                              peak_every_s=_maybe(chance, 10.5, 600.0, 0.4))
    if chance.random() < 0.4:
        requirement = replace(requirement, reset=chance.choice(["self", "latched"]),
                              load_resistance_ohm=chance.uniform(2.0, 60.0))
    return _with_survivors(requirement, chance)


def _surge(chance: random.Random) -> dict[str, Any]:
    """What tells the current of a transient."""
    if chance.random() < 0.5:
        return {"transient_source_resistance_ohm": chance.uniform(0.2, 8.0)}
    return {"load_inductance_h": 1e-3, "load_current_a": chance.uniform(0.5, 60.0)}


def _maybe(chance: random.Random, low: float, high: float, share: float = 0.6) -> float | None:
    return chance.uniform(low, high) if chance.random() < share else None


def _with_fault(requirement: Requirement, chance: random.Random) -> Requirement:
    if chance.random() < 0.5:
        low_a = requirement.normal_current_a * chance.uniform(1.0, 12.0)
        return replace(requirement, fault_current_min_a=low_a,
                       fault_current_max_a=low_a * chance.uniform(1.0, 5.0))
    low_ohm = chance.uniform(0.05, 1.0)
    return replace(requirement, source_resistance_min_ohm=low_ohm,
                   source_resistance_max_ohm=low_ohm * chance.uniform(1.0, 6.0))


def _with_survivors(requirement: Requirement, chance: random.Random) -> Requirement:
    """Wire, track, damage curve, hot plug, endurance, limited power, each sometimes."""
    return replace(
        requirement,
        hot_plug=HotPlug(chance.uniform(1e-5, 5e-3), chance.uniform(0.05, 2.0))
        if chance.random() < 0.3 else None,
        wire=Wire(105.0, awg=float(chance.randint(18, 30)), ampacity_a=chance.uniform(1.0, 8.0))
        if chance.random() < 0.3 else None,
        track=Track(chance.uniform(0.3, 3.0), 35.0, chance.choice(["inner", "outer"]),
                    chance.uniform(5.0, 40.0))
        if chance.random() < 0.3 else None,
        damage_curve=(DamagePoint(0.1, 1e4), DamagePoint(200.0, 1e-3)) if chance.random() < 0.15 else (),
        endurance=Endurance(chance.uniform(0.0, 3.0), chance.uniform(1.0, 15.0))
        if chance.random() < 0.3 else None,
        limited_power=LimitedPower("a clause", 8.0, 100.0, 60.0) if chance.random() < 0.15 else None)


def typed_over(stated: Requirement, chance: random.Random) -> Requirement:
    """Other values for the same fields: all of them, or one alone, as a reviewer would try."""
    other = random_requirement(chance)
    fields = [one.field for one in requirement_to_inputs(stated)
              if "." not in one.field and getattr(other, one.field) is not None]
    chosen = fields if chance.random() < 0.5 else [chance.choice(fields)]
    changed = replace(stated, **{field: getattr(other, field) for field in chosen})
    if changed.endurance is not None and chance.random() < 0.5:
        changed = replace(changed, endurance=Endurance(chance.uniform(0.1, 5.0), 7.0))
    return _made_sensible(changed)


def _made_sensible(one: Requirement) -> Requirement:
    """Bounds put in order where values of two requirements contradict each other."""
    normal_a, volt = one.normal_current_a, one.supply_voltage_v
    at_least = {"peak_current_a": normal_a, "fault_current_min_a": normal_a,
                "supply_current_limit_a": normal_a, "transient_voltage_v": volt}
    fixed = {field: max(value, low) for field, low in at_least.items()
             if (value := getattr(one, field)) is not None}
    one = replace(one, **fixed)
    if one.supply_voltage_min_v is not None:
        one = replace(one, supply_voltage_min_v=min(volt, one.supply_voltage_min_v))
    for low, high in (("fault_current_min_a", "fault_current_max_a"),
                      ("source_resistance_min_ohm", "source_resistance_max_ohm")):
        if getattr(one, low) is not None and getattr(one, high) is not None:
            one = replace(one, **{high: max(getattr(one, low), getattr(one, high))})
    return one


def make_case(number: int, parts: Sequence[Part], folder: Path, chance: random.Random) -> Case:
    """Write one workbook with its inputs typed over; what the program says to them is the expectation."""
    stated = random_requirement(chance)
    some = chance.sample(list(parts), min(PARTS, len(parts)))
    path = folder / f"case{number:04}.xlsx"
    ranking_to_workbook(parts_to_ranking(some, stated), path)
    typed = typed_over(stated, chance)
    book = load_workbook(path)
    for one in requirement_to_inputs(typed):
        sheet, cell = book.defined_names[one.name].attr_text.split("!")
        book[sheet][cell.replace("$", "")].value = one.value
    book.save(path)  # without the values beside the formulas: the engine has to calculate all
    return Case(path.name, typed, parts_to_ranking(some, typed))


def recalculate(folder: Path, results: Path, command: str) -> None:
    """Let LibreOffice recalculate every workbook of a folder in one run; the results go to another folder."""
    profile = f"-env:UserInstallation={(results / 'profile').as_uri()}"
    subprocess.run([command, profile, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir",
                    str(results), *map(str, sorted(folder.glob("*.xlsx")))], check=True, capture_output=True,
                   timeout=SEVERAL_MINUTES)


def differences(case: Case, path: Path, counted: Counter[str]) -> Iterator[str]:
    """Every difference between a recalculated workbook and the program."""
    book = load_workbook(path, data_only=True)
    order = list(book["Candidates"].iter_rows(min_row=5, max_col=7, values_only=True))
    by_part = {(row[1], row[6]): row for row in order}
    rows = iter(list(book["Margins"].iter_rows(min_row=5, max_col=23, values_only=True)))
    told: dict[tuple[str, str], list[Sequence[object]]] = {}
    for candidate in order:
        asked = len(case.expected.candidates[0].margins)
        told[(str(candidate[1]), str(candidate[6]))] = [next(rows) for _ in range(asked)]
    for rank, candidate in enumerate(case.expected.candidates, 1):
        key = (candidate.part_number, candidate.part.document)
        again = False
        for margin, row in zip(candidate.margins, told[key], strict=True):
            counted["margins"] += 1
            again = again or row[9] == "recompute"
            yield from _margin_differences(f"{case.name} {key[0]}", margin, row, counted)
        yield from _candidate_differences(case.name, candidate, by_part[key], again, counted)
        if not any(row[9] == "recompute" for rows_of in told.values() for row in rows_of):
            counted["ranks"] += 1
            if by_part[key][0] != rank:
                yield f"{case.name} {key[0]}: rank {by_part[key][0]}, the program says {rank}"


def _margin_differences(
    where: str, margin: Margin, row: Sequence[object], counted: Counter[str]
) -> Iterator[str]:
    if row[2] != margin_title(margin.name):
        yield f"{where}: {row[2]} where {margin_title(margin.name)} should stand"
        return
    if row[9] == "recompute":
        counted["recompute"] += 1
        if row[4] not in (None, "") or row[8] not in (None, ""):
            yield f"{where} {margin.name}: a number beside recompute"
        return
    if row[9] != margin.verdict.value:
        yield f"{where} {margin.name}: {row[9]}, the program says {margin.verdict.value}"
    for what, found, expected in (("value", row[4], margin.value), ("limit", row[7], margin.limit),
                                  ("margin", row[8], margin.margin)):
        counted["numbers"] += 1
        if not _same(found, expected):
            yield f"{where} {margin.name}: {what} {found!r}, the program says {expected!r}"
    if margin.value is not None and math.isfinite(margin.value) and row[10] != margin.basis.value:
        yield f"{where} {margin.name}: basis {row[10]!r}, the program says {margin.basis.value}"


def _candidate_differences(where: str, candidate: Candidate, row: Sequence[object], again: bool,
                           counted: Counter[str]) -> Iterator[str]:
    counted["candidates"] += 1
    if again:
        if row[2] == "fits":
            yield f"{where} {candidate.part_number}: fits although a margin must be computed anew"
        return
    for what, found, expected in (("verdict", row[2], candidate.verdict.value),
                                  ("limiting margin", row[4], margin_title(candidate.limiting_margin))):
        if found != expected:
            yield f"{where} {candidate.part_number}: {what} {found!r}, the program says {expected!r}"
    if not _same(row[3], candidate.limiting.margin):
        yield (f"{where} {candidate.part_number}: deciding margin {row[3]!r}, the program says "
               f"{candidate.limiting.margin!r}")


def _same(found: object, expected: float | None) -> bool:
    if expected is None or not math.isfinite(expected):
        return not isinstance(found, int | float)
    return isinstance(found, int | float) and math.isclose(found, expected, rel_tol=ROUNDING, abs_tol=1e-300)


def measure(parts: Sequence[Part], count: int, seed: int, command: str) -> tuple[list[str], Counter[str]]:
    """Differences and what was counted, over `count` random requirements."""
    chance, counted = random.Random(seed), Counter[str]()
    with tempfile.TemporaryDirectory() as name:
        made, results = Path(name) / "made", Path(name) / "recalculated"
        made.mkdir()
        results.mkdir()
        cases = [make_case(number, parts, made, chance) for number in range(count)]
        recalculate(made, results, command)
        found = [text for case in cases for text in differences(case, results / case.name, counted)]
    return found, counted


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("folder", nargs="?", type=Path, default=Path(__file__).parents[1] / "sample_tables")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    command = engine()
    if command is None:
        print("LibreOffice is not installed: nothing measured", file=sys.stderr)
        return 2
    parts = read_parts(arguments.folder, random.Random(arguments.seed))
    found, counted = measure(parts, arguments.count, arguments.seed, command)
    for text in found[:40]:
        print(text)
    print(f"{arguments.count} requirements: " + ", ".join(f"{n} {what}" for what, n in counted.items()))
    print(f"{len(found)} differences")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
