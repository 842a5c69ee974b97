"""How many realistic typing errors a check of a parts table finds, alone and against the sheet.

    python bench/seeded_errors.py TABLES [--each N] [--missed KIND]

TABLES is a folder of truth files (CSV with columns document, part_number, quantity, kind, ambient_c,
test_current_a, value; SI). Each becomes a wide table; errors are planted one at a time. Alone, an error
counts as found if a new error or doubt names one of its rows, and as located if it names its column too.
Against the sheet it must name row and column. Also printed: false alarms on the clean tables.
Names no part and no value unless --missed asks for the errors of a kind that were not found.
"""

from __future__ import annotations

import argparse
import platform
import random
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.seeded_kinds import Planting, table_to_plantings
from bench.seeded_tables import WideTable, folder_to_tables
from extract.errors import InputError
from extract.parts_table import TableFinding, TableOptions, check_table
from extract.parts_table.reading import sheets_to_table
from extract.parts_table.records import RawSheet
from extract.schema import Reading, Severity

Mark = tuple[int, str, str, str]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one planting."""

    kind: str
    quantity: str
    found: bool
    located: bool
    located_against: bool
    told: str


def check(texts: tuple[tuple[str, ...], ...], sources: tuple[Reading, ...] = ()) -> tuple[TableFinding, ...]:
    """Findings of a table given as texts."""
    table = sheets_to_table(Path("planted.csv"), (RawSheet("", texts),), TableOptions())
    return check_table(table, sources).findings


def marks(findings: tuple[TableFinding, ...], *, errors_only: bool = False) -> set[Mark]:
    """Row, column, code and found text of errors and doubts."""
    wanted = (Severity.ERROR,) if errors_only else (Severity.ERROR, Severity.DOUBT)
    return {(f.row, f.column, f.code, f.found) for f in findings if f.severity in wanted}


def table_to_outcomes(job: tuple[WideTable, int, int]) -> list[Outcome]:
    """Plant and check every error of one table."""
    table, each, seed = job
    clean = table.sheet().rows
    before, before_against = marks(check(clean)), marks(check(clean, table.readings))
    outcomes = []
    for planting in table_to_plantings(table, random.Random(f"{seed} {table.document}"), each):
        outcomes.append(_outcome(planting, table, before, before_against))
    return outcomes


def _outcome(planting: Planting, table: WideTable, before: set[Mark], before_against: set[Mark]) -> Outcome:
    headings = {planting.texts[0][n] for n in planting.columns}
    try:
        alone = marks(check(planting.texts)) - before
        against = marks(check(planting.texts, table.readings)) - before_against
    except InputError as error:  # a table no longer understood is told, not passed over
        return Outcome(planting.kind, planting.quantity, True, False, False, str(error))
    found = [m for m in alone if m[0] in planting.rows]
    located = [m for m in found if m[1] in headings]
    against_located = [m for m in against if m[0] in planting.rows and m[1] in headings]
    told = f"{table.document} rows {sorted(planting.rows)[:3]} {sorted(headings)[:2]}"
    return Outcome(planting.kind, planting.quantity, bool(found), bool(located), bool(against_located), told)


def false_alarms(tables: list[WideTable]) -> tuple[int, Counter[str]]:
    """Rows, and rows with errors or doubts on clean tables: alone, and added by the sheet."""
    rows = sum(len(table.rows) for table in tables)
    counts: Counter[str] = Counter()
    for table in tables:
        clean = table.sheet().rows
        alone, against = check(clean), check(clean, table.readings)
        for name, findings in (("alone", alone), ("against", tuple(f for f in against if f not in alone))):
            for severity in (Severity.ERROR, Severity.DOUBT):
                counts[f"{name} {severity.value}"] += len({f.row for f in findings if f.severity is severity})
    return rows, counts


def print_outcomes(outcomes: list[Outcome]) -> None:
    """One line for each kind and quantity."""
    print(f"{'kind':34}{'quantity':26}{'planted':>8}{'found':>8}{'located':>9}{'against':>9}")
    groups: dict[tuple[str, str], list[Outcome]] = {}
    for o in outcomes:
        groups.setdefault((o.kind, o.quantity), []).append(o)
        groups.setdefault((o.kind, "(all)"), []).append(o)
    for (kind, quantity), group in sorted(groups.items()):
        shares = [
            100 * sum(values) / len(group)
            for values in (
                [o.found for o in group],
                [o.located for o in group],
                [o.located_against for o in group],
            )
        ]
        print(
            f"{kind:34}{quantity:26}{len(group):8}"
            + "".join(f"{share:{w}.1f}" for share, w in zip(shares, (8, 9, 9), strict=True))
        )
    n = len(outcomes)
    print(
        f"{'all':34}{'':26}{n:8}{100 * sum(o.found for o in outcomes) / n:8.1f}"
        f"{100 * sum(o.located for o in outcomes) / n:9.1f}"
        f"{100 * sum(o.located_against for o in outcomes) / n:9.1f}"
    )


def main() -> int:
    """Run the bench and print its tables."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("tables", type=Path)
    parser.add_argument("--each", type=int, default=4, help="plantings of a kind in each column (default 4)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--missed", help="list plantings of this kind that were not found")
    options = parser.parse_args()
    tables = folder_to_tables(options.tables)
    if not tables:
        print(f"no truth files in {options.tables}", file=sys.stderr)
        return 2
    print(
        f"{date.today()} Python {platform.python_version()} rapidfuzz {version('rapidfuzz')};"
        f" --each {options.each} --seed {options.seed}"
    )
    rows, alarms = false_alarms(tables)
    print(
        f"clean: {len(tables)} tables, {rows} rows; "
        + "; ".join(
            f"{name} in {count} rows ({100 * count / rows:.2f} %)" for name, count in sorted(alarms.items())
        )
    )
    with ProcessPoolExecutor() as pool:
        jobs = [(table, options.each, options.seed) for table in tables]
        outcomes = [o for found in pool.map(table_to_outcomes, jobs) for o in found]
    print_outcomes(outcomes)
    for o in outcomes:
        if options.missed == o.kind and not (o.found and o.located_against):
            print("missed", o.quantity, o.told, "alone" if not o.found else "against")
    return 0


if __name__ == "__main__":
    sys.exit(main())
