"""How many realistic typing errors a check of a parts table finds, alone and against the sheet.

    python bench/seeded_errors.py TRUTH SHEETS [--each N] [--style N] [--layout NAME] [--missed KIND]

TRUTH is a folder of files that say what sheets print (CSV with columns document, part_number, quantity, kind,
ambient_c, test_current_a, value; SI): each becomes a wide table as a person would type it. SHEETS is the
folder of those sheets, or a long table that `holdtrip read --long` made: holdtrip's own reading is what
the table is held against, with what it disputes and does not read. Errors are planted one at a time. An error
is found if a new error or doubt names one of its rows, and located if it names its column too. Also counted:
causes named and right, findings for one mistake, mistakes that end with exit code 0, false alarms on
clean tables, and mistakes in what the sheet's reading does not cover.
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

from bench.data_entry_errors import table_to_data_entry_errors
from bench.seeded_causes import finding_to_cause
from bench.seeded_kinds import Planting, table_to_plantings
from bench.seeded_layouts import LAYOUTS, Laid, Layout
from bench.seeded_tables import WideTable, folder_to_tables, with_own_readings
from extract.errors import InputError
from extract.long_table import read_long_table
from extract.parts_table import TableFinding, TableOptions, TableReport, check_table
from extract.parts_table.against import table_against_readings
from extract.parts_table.reading import sheets_to_table
from extract.parts_table.records import RawSheet, column_to_letters
from extract.schema import Reading, Severity
from holdtrip.check_options import OPEN_QUESTIONS

Mark = tuple[str, str, str]
PLANTERS = {"typing": table_to_plantings, "data-entry": table_to_data_entry_errors}


@dataclass(frozen=True, slots=True)
class Seen:
    """What a check said of one planting."""

    found: bool
    located: bool
    cause: bool | None
    findings: int
    exits_zero: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one planting; `covered`: the sheet's reading gives at least one of its cells surely."""

    kind: str
    quantity: str
    alone: Seen
    against: Seen
    covered: bool
    told: str


def check(sheet: RawSheet, sources: tuple[Reading, ...] = ()) -> TableReport:
    """The report on a table."""
    return check_table(sheets_to_table(Path("planted.csv"), (sheet,), TableOptions()), sources)


def marks(findings: tuple[TableFinding, ...]) -> set[Mark]:
    """Cell, code and found text of errors and doubts."""
    return {(f.cell, f.code, f.found) for f in findings if f.severity is not Severity.NOTE}


@dataclass(frozen=True, slots=True)
class Job:
    """A table in a layout, and how much to plant: `each` of a kind and column, at most `most` of a kind."""

    table: WideTable
    layout: str
    each: int
    most: int
    seed: int
    planter: str
    kinds: str


def table_to_outcomes(job: Job) -> list[Outcome]:
    """Plant and check errors of one table; none where the layout leaves no table to be understood."""
    table, layout = job.table, LAYOUTS[job.layout]
    clean = layout(table.sheet().rows, table)
    assert clean is not None
    before, against = check(clean.sheet), check(clean.sheet, table.readings)
    chance = random.Random(f"{job.seed} {table.document}")
    by_kind: dict[str, list[Planting]] = {}
    for planting in PLANTERS[job.planter](table, chance, job.each):
        by_kind.setdefault(planting.kind, []).append(planting)
    chosen = [p for group in by_kind.values() for p in chance.sample(group, min(job.most, len(group)))]
    seen = [_outcome(planting, table, layout, (marks(before.findings), marks(against.findings)))
            for planting in chosen if job.kinds in planting.kind]
    return [outcome for outcome in seen if outcome is not None]


def _outcome(
    planting: Planting, table: WideTable, layout: Layout, before: tuple[set[Mark], set[Mark]]
) -> Outcome | None:
    laid = layout(planting.texts, table)
    if laid is None:
        return None
    told = f"{table.document} rows {sorted(planting.rows)[:3]}" \
           f" {sorted(planting.texts[0][n] for n in planting.columns)[:2]}"
    try:
        alone = _seen(planting, laid, check(laid.sheet), before[0])
        against = _seen(planting, laid, check(laid.sheet, table.readings), before[1])
    except InputError as error:  # a table no longer understood is told, not passed over
        refused = Seen(True, False, None, 1, False)
        return Outcome(planting.kind, planting.quantity, refused, refused, True, str(error))
    return Outcome(planting.kind, planting.quantity, alone, against, _is_covered(planting, table), told)


def _seen(planting: Planting, laid: Laid, report: TableReport, before: set[Mark]) -> Seen:
    columns = planting.columns | ({0} if planting.quantity == "block" else set())
    new = [f for f in report.findings
           if f.severity is not Severity.NOTE and (f.cell, f.code, f.found) not in before]
    places = [(f, laid.places.get(f.cell, (f.row, -1))) for f in new]
    found = [(f, column) for f, (row, column) in places if row in planting.rows or row == 1]
    located = [f for f, column in found if column in columns]
    causes = [right for f in located if (right := finding_to_cause(planting.kind, f)) is not None]
    ends_well = not any(f.severity is Severity.ERROR or f.code in OPEN_QUESTIONS
                        for f in report.findings)
    return Seen(bool(found), bool(located), any(causes) if causes else None, len(new), ends_well)


def _is_covered(planting: Planting, table: WideTable) -> bool:
    """Whether the clean cells that were changed are confirmed by undisputed readings: else no check against
    the sheet can see the error."""
    clean = sheets_to_table(Path("clean.csv"), (table.sheet(),), TableOptions())
    confirmed = table_against_readings(clean, table.readings).confirmed
    columns = range(len(table.columns)) if 0 in planting.columns else planting.columns
    changed = [(row, n) for row in planting.rows if row <= len(table.rows) + 1 for n in columns]
    return any(("", f"{column_to_letters(n + 1)}{row}") in confirmed for row, n in changed)


def false_alarms(tables: list[WideTable], layout: str) -> tuple[int, Counter[str]]:
    """Rows, rows with errors or doubts on clean tables, and open questions: alone, and against the sheet."""
    rows = sum(len(table.rows) for table in tables)
    counts: Counter[str] = Counter()
    for table in tables:
        clean = LAYOUTS[layout](table.sheet().rows, table)
        assert clean is not None
        reports = (("alone", check(clean.sheet)), ("against", check(clean.sheet, table.readings)))
        for name, report in reports:
            for severity in (Severity.ERROR, Severity.DOUBT):
                bad = {clean.places.get(f.cell, (f.row, 0))[0] for f in report.findings
                       if f.severity is severity and f.code not in OPEN_QUESTIONS}
                counts[f"{name} {severity.value}"] += len(bad)
            counts[f"{name} open question"] += sum(f.code in OPEN_QUESTIONS for f in report.findings)
    return rows, counts


HEADINGS = (f"{'kind':30}{'planted':>8} | {'found':>6}{'loc.':>6}{'cause':>6}{'each':>6}"
            f" | {'covered':>8}{'found':>6}{'loc.':>6}{'cause':>6}{'each':>6}{'exit 0':>7}")


def print_outcomes(outcomes: list[Outcome], by_quantity: bool) -> None:
    """One line for each kind: alone, then against the sheet where its reading covers the error."""
    print(HEADINGS)
    groups: dict[tuple[str, str], list[Outcome]] = {}
    for o in outcomes:
        if by_quantity:
            groups.setdefault((o.kind, o.quantity), []).append(o)
        groups.setdefault((o.kind, ""), []).append(o)
    for (kind, quantity), group in sorted(groups.items()):
        print(_line(f"{kind} {quantity}".strip() if not quantity else f"  {quantity}", group))
    print(_line("all", outcomes))


def _line(name: str, group: list[Outcome]) -> str:
    covered = [o for o in group if o.covered]
    zero = sum(o.against.exits_zero for o in covered)
    if not group:
        return f"{name:30}       0 |"
    return f"{name:30}{len(group):8} | {_shares([o.alone for o in group])} | {len(covered):8}" \
           f"{_shares([o.against for o in covered])}{zero:7}"


def _shares(seen: list[Seen]) -> str:
    """Found and located in percent, causes right in percent of those named, findings for each mistake."""
    if not seen:
        return f"{'':24}"
    n, found = len(seen), [s for s in seen if s.located]
    causes = [bool(s.cause) for s in found]
    each = sum(s.findings for s in seen if s.found) / max(1, sum(s.found for s in seen))
    cause = f"{100 * sum(causes) / len(causes):6.0f}" if causes else f"{'':6}"
    return f"{100 * sum(s.found for s in seen) / n:6.1f}{100 * len(found) / n:6.1f}{cause}{each:6.1f}"


def main() -> int:
    """Run the bench and print its tables."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("truth", type=Path)
    parser.add_argument("sheets", type=Path)
    parser.add_argument("--style", type=int, help="one house style of headings; else each by turns")
    parser.add_argument("--planter", choices=sorted(PLANTERS), default="typing",
                        help="the kinds of seeded_kinds.py, or published classes (data_entry_errors.py)")
    parser.add_argument("--quantities", action="store_true", help="a line for each quantity too")
    parser.add_argument("--kinds", default="", help="only kinds that hold this text")
    parser.add_argument("--layout", choices=LAYOUTS, default="wide")
    parser.add_argument("--each", type=int, default=4, help="plantings of a kind in each column (default 4)")
    parser.add_argument("--most", type=int, default=10, help="of a kind in each table (default 10)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--missed", help="list plantings of this kind that were not found")
    options = parser.parse_args()
    readings = sheets_to_readings(options.sheets)
    tables = [with_own_readings(table, readings) for table in folder_to_tables(options.truth, options.style)]
    if not tables:
        print(f"no truth files in {options.truth}", file=sys.stderr)
        return 2
    print(
        f"{date.today()} Python {platform.python_version()} rapidfuzz {version('rapidfuzz')};"
        f" --each {options.each} --seed {options.seed} --layout {options.layout}"
    )
    rows, alarms = false_alarms(tables, options.layout)
    print(
        f"clean: {len(tables)} tables, {rows} rows; "
        + "; ".join(
            f"{name} in {count} rows ({100 * count / rows:.2f} %)" for name, count in sorted(alarms.items())
        )
    )
    with ProcessPoolExecutor() as pool:
        jobs = [Job(table, options.layout, options.each, options.most, options.seed, options.planter,
                    options.kinds) for table in tables]
        outcomes = [o for found in pool.map(table_to_outcomes, jobs) for o in found]
    print_outcomes(outcomes, options.quantities)
    for o in outcomes:
        if options.missed == o.kind and not (o.alone.located and (o.against.located or not o.covered)):
            where = "alone" if not o.alone.located else "against"
            print("missed", o.quantity, o.told, where, o.against.cause)
    return 0


def sheets_to_readings(path: Path) -> tuple[Reading, ...]:
    """holdtrip's own readings: of a long table it wrote, or of a folder of sheets read now."""
    if path.is_file():
        return read_long_table(path)
    from holdtrip.sheets import paths_to_pdfs, read_batch

    return tuple(r for sheet in read_batch(paths_to_pdfs([path])).sheets for r in sheet.readings)


if __name__ == "__main__":
    sys.exit(main())
