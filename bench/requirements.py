"""Requirements with answers worked out by hand: what a comparison says against what is right.

    python bench/requirements.py [FOLDER] [--parts PARTS] [--answers ANSWERS.csv]

Comes in: a folder of requirement files (TOML), parts, answers. FOLDER is bench/requirements unless named;
PARTS is FOLDER/parts.toml, or anything `holdtrip compare --parts` takes; ANSWERS is FOLDER/answers.csv, or a
file kept apart: columns requirement (file name without ending), part_number, margin (empty: the whole part),
verdict (refused, without a part, for a file that contradicts itself), and where they are known value,
margin_value, thin (yes, no). Goes out: every difference, and how many "fits" the answers refute. Exit code 1
if anything differs.
"""

from __future__ import annotations

import argparse
import csv
import math
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from compare.ranking import Ranking, parts_to_ranking
from compare.records import Candidate, Margin, Verdict
from compare.requirement_file import read_requirement
from extract.errors import InputError
from extract.schema import Kind, Part, Particular, ParticularName, Place, Quantity, Reading, Status
from holdtrip.sources import open_source

HOME = Path(__file__).parent / "requirements"
DIGITS = 2e-4
"""Relative difference that a hand's rounding may have."""
ROWS = {"hold": Quantity.HOLD_CURRENT, "trip": Quantity.TRIP_CURRENT}
BY_KIND = {"max_voltage": Quantity.MAX_VOLTAGE, "max_current": Quantity.MAX_CURRENT,
           "resistance": Quantity.RESISTANCE, "tripped_power": Quantity.TRIPPED_POWER}


def read_parts(path: Path) -> tuple[Part, ...]:
    """The invented parts of a TOML file, or the parts of any other source."""
    if path.suffix != ".toml":
        return open_source(str(path)).parts
    described = tomllib.loads(path.read_text(encoding="utf-8"))
    return tuple(Part(name, path.name, "0" * 64, tuple(_readings(name, path.name, one)),
                      particulars=tuple(_operating_range(name, path.name, one)))
                 for name, one in described.items())


def _operating_range(part: str, document: str, told: dict[str, Any]) -> Iterator[Particular]:
    """Its two ends, coldest and hottest, where the file states them."""
    for kind, value in zip((Kind.MIN, Kind.MAX), told.get("operating", ()), strict=False):
        yield Particular(document, "0" * 64, part, ParticularName.OPERATING_TEMPERATURE, kind, float(value),
                         "", Status.AGREED, Place(1, 0.0, 0.0, 1.0, 1.0), f"{value:g}")


def _readings(part: str, document: str, told: dict[str, Any]) -> Iterator[Reading]:
    disputed = set(told.get("disputed", ()))

    def reading(what: str, quantity: Quantity, value: float, kind: Kind = Kind.NONE,
                at: tuple[float | None, float | None] = (None, None)) -> Reading:
        status = Status.DISPUTED if what in disputed else Status.AGREED
        return Reading(document, "0" * 64, part, quantity, kind, *at, value, status,
                       Place(1, 0.0, 0.0, 1.0, 1.0), f"{value:g}")

    for name, quantity in ROWS.items():
        for ambient, value in told.get(name, {}).items():
            yield reading(f"{name} {ambient}", quantity, float(value), at=(float(ambient), None))
    for name, quantity in BY_KIND.items():
        for kind, value in told.get(name, {}).items():
            yield reading(f"{name} {kind}".strip(), quantity, float(value), Kind(kind))
    for voltage_v, current_a, kind in told.get("interrupt", ()):
        yield reading(f"interrupt {voltage_v}", Quantity.MAX_INTERRUPT_VOLTAGE, voltage_v, Kind(kind),
                      (None, current_a))
    for current_a, time_s, ambient_c in told.get("time", ()):
        yield reading(f"time {current_a}", Quantity.TIME_TO_TRIP, time_s, at=(ambient_c, current_a))


def folder_to_rankings(folder: Path, parts: tuple[Part, ...]) -> dict[str, Ranking | str]:
    """Each requirement of a folder, by file name, ranked, or why it is refused."""
    found: dict[str, Ranking | str] = {}
    for path in sorted(folder.glob("*.toml")):
        if path.name != "parts.toml":
            try:
                found[path.stem] = parts_to_ranking(parts, read_requirement(path))
            except InputError as error:
                found[path.stem] = str(error)
    return found


def answer_to_differences(answer: dict[str, str], candidate: Candidate,
                          counted: Counter[str]) -> Iterator[str]:
    """What a comparison says otherwise than a row of answers."""
    where = " ".join(filter(None, (answer["requirement"], answer["part_number"], answer["margin"])))
    margin = candidate.margin_named(answer["margin"]) if answer["margin"] else candidate.limiting
    if margin is None:
        yield f"{where}: not asked"
        return
    said = margin.verdict if answer["margin"] else candidate.verdict
    counted["verdicts"] += 1
    if said.value != answer["verdict"]:
        refuted = said is Verdict.FITS
        counted["fits that are refuted"] += refuted
        yield f"{where}: {said.value}, right is {answer['verdict']}{' (UNSAFE)' if refuted else ''}"
    yield from _number_differences(where, answer, margin, counted)


def _number_differences(
    where: str, answer: dict[str, str], margin: Margin, counted: Counter[str]
) -> Iterator[str]:
    for name, found in (("value", margin.value), ("margin_value", margin.margin)):
        if answer.get(name):
            counted["numbers"] += 1
            right = float(answer[name])
            if found is None or not math.isclose(found, right, rel_tol=DIGITS):
                yield f"{where}: {name} {found}, right is {right:g}"
    if answer.get("thin") and margin.thin is not (answer["thin"] == "yes"):
        yield f"{where}: thin {margin.thin}, right is {answer['thin']}"


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("folder", nargs="?", type=Path, default=HOME)
    parser.add_argument("--parts", type=Path)
    parser.add_argument("--answers", type=Path)
    arguments = parser.parse_args()
    folder: Path = arguments.folder
    rankings = folder_to_rankings(folder, read_parts(arguments.parts or folder / "parts.toml"))
    answers = arguments.answers or folder / "answers.csv"
    counted: Counter[str] = Counter()
    differences = list(differing(rankings, answers, counted)) if answers.is_file() else []
    for name, ranking in rankings.items():
        if isinstance(ranking, str):
            print(f"{name}: refused: {ranking}")
        elif not answers.is_file():
            fits = [one.part_number for one in ranking.with_verdict(Verdict.FITS)]
            print(f"{name}: {len(fits)} fit: {', '.join(fits)}")
    print("\n".join(differences))
    print(f"{len(rankings)} requirements, {counted['verdicts']} verdicts and {counted['numbers']} numbers "
          f"with an "
          f"answer: {len(differences)} differences, {counted['fits that are refuted']} fits that are refuted")
    return 1 if differences else 0


def differing(rankings: dict[str, Ranking | str], answers: Path, counted: Counter[str]) -> Iterator[str]:
    """Every difference from a file of answers."""
    for answer in csv.DictReader(answers.read_text(encoding="utf-8").splitlines()):
        ranking = rankings.get(answer["requirement"])
        if answer["verdict"] == "refused":
            counted["verdicts"] += 1
            if not isinstance(ranking, str):
                yield f"{answer['requirement']}: read, right is refused"
            continue
        if ranking is None or isinstance(ranking, str):
            yield f"{answer['requirement']}: {ranking or 'no such requirement'}"
            continue
        candidate = next((one for one in ranking.candidates if one.part_number == answer["part_number"]),
                         None)
        if candidate is None:
            yield f"{answer['requirement']}: no part {answer['part_number']}"
            continue
        yield from answer_to_differences(answer, candidate, counted)


if __name__ == "__main__":
    sys.exit(main())
