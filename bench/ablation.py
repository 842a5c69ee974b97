"""Each decision of the reader switched off by itself: which sheet, table or test notices.

    python bench/ablation.py FOLDER ... [--layouts 40] [--seed 1] [--tables TRUTH] [--tests PATH ...]
                             [--package NAME ...] [--each 6] [--seconds 1800] [--out RULES.csv]

FOLDER holds PDFs; `--layouts` draws so many random sheets (bench/layouts.py) more; `--tables` makes typed
tables of truth files, plants errors in them and checks them (bench/seeded_errors.py). First every case runs
once, then the tests, and for each rule it is noted which case it decides anything in (bench/ablation_rules.py
says what a rule is). Then each rule is switched off, and up to `--each` of the quickest cases that it decides
run again, until one comes out otherwise; tests are not run again. Sheets are opened once: what reads the ink
of a page is watched, not switched off. No second reading, no charts. Rules come out with the verdict

- nothing: no case and no test depends on it;
- tests: only a test depends on it;
- unnoticed: cases depend on it, none that was run came out otherwise;
- words: only sentences or the account of a sheet came out otherwise;
- numbers: a value, its condition or its standing, or a finding of a table, came out otherwise;
- not run: time was up.

Then the functions that no case enters. A rule that only adds a doubt is no worse for being decided by
nothing: try it on a sheet made to break it before it goes."""

from __future__ import annotations

import argparse
import csv
import logging
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.ablation_rules import RUNTIME, Finder, Rule

if TYPE_CHECKING:
    from extract.document import Document
    from extract.page import PageContent

Result = tuple[Any, Any]
"""What counts of a case: its numbers, and all else it says."""

LEFT = ("extract.charts", "extract.scans")
LONGEST_S = 30
"""A case that takes longer without a rule is noticed."""


@dataclass(frozen=True, slots=True)
class Case:
    """Something to run: name, and what gives its result."""

    name: str
    run: Callable[[], Result]


@dataclass(frozen=True, slots=True)
class Judged:
    """A rule, its verdict, what notices it first, the cases and tests that depend on it."""

    rule: Rule
    verdict: str
    noticed_by: str
    cases: tuple[str, ...]
    tests: tuple[str, ...]


def sheet_case(path: Path) -> Case | None:
    """A datasheet, opened and its pages read once."""
    from extract.document import path_to_document
    from extract.errors import InputError
    from extract.pages import document_to_contents, document_to_pages

    with RUNTIME.watched(path.name):
        try:
            document = path_to_document(path)
            contents = document_to_contents(document, document_to_pages(document))
        except InputError as error:
            print(f"left out: {error}", file=sys.stderr)
            return None
    return Case(path.name, partial(sheet_to_result, document, contents))


def sheet_to_result(document: Document, contents: dict[int, PageContent]) -> Result:
    """What a sheet says behind all gates, its account and its particulars."""
    from extract.errors import InputError
    from extract.sheet import ReadOptions, contents_to_sheet

    options = ReadOptions(second_reading=False, curves=False, particulars=True)
    try:
        full = contents_to_sheet(contents, document, options)
    except InputError as error:
        return "refused", str(error)
    numbers = Counter(
        (one.part_number, one.quantity, one.kind, one.ambient_c, one.test_current_a, one.value, one.status)
        for one in full.readings
    )
    said = Counter(
        (one.part_number, one.name, one.label, one.kind, one.value, one.text, one.status)
        for one in full.particulars
    )
    return (numbers, said), full


def table_cases(folder: Path, each: int) -> list[Case]:
    """Typed tables of truth files in every layout, clean and with errors planted."""
    from bench.seeded_kinds import table_to_plantings
    from bench.seeded_layouts import LAYOUTS
    from bench.seeded_tables import folder_to_tables

    cases = []
    for table in folder_to_tables(folder):
        chance = random.Random(table.document)
        plantings = [*table_to_plantings(table, chance, each)]
        chosen = chance.sample(plantings, min(each * 8, len(plantings)))
        for name, layout in LAYOUTS.items():
            texts = [table.sheet().rows, *(planting.texts for planting in chosen)]
            laid = [one.sheet for text in texts if (one := layout(text, table)) is not None]
            cases.append(Case(f"{table.document} {name}", partial(tables_to_result, laid, table.readings)))
    return cases


def tables_to_result(sheets: list[Any], readings: tuple[Any, ...]) -> Result:
    """Findings of tables, alone and against the sheet."""
    from bench.seeded_errors import check
    from extract.errors import InputError

    marks, words = [], []
    for sheet in sheets:
        for sources in ((), readings):
            try:
                report = check(sheet, sources)
            except InputError as error:
                marks.append(("refused",))
                words.append(str(error))
                continue
            marks.append(tuple((f.cell, f.code, f.severity, f.found) for f in report.findings))
            words.append(repr(report))
    return marks, words


def layout_cases(count: int, seed: int, folder: Path) -> Iterable[Case | None]:
    """Random sheets."""
    from bench.layout_sheet import made_sheet
    from sample_tables.generate.__main__ import draw

    for number in range(count):
        _, sheet = made_sheet(seed, number)
        path = folder / f"layout {seed} {number}.pdf"
        path.write_bytes(draw(sheet))
        yield sheet_case(path)


def run_tests(paths: list[str]) -> None:
    """Run tests by pytest, each as a case of its own."""
    import pytest

    class Watching:
        """Tells RUNTIME which test runs."""

        @pytest.hookimpl(hookwrapper=True)
        def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
            """One test with its fixtures."""
            with RUNTIME.watched("test " + item.nodeid):
                yield

    pytest.main(["-q", "-p", "no:cacheprovider", *paths], plugins=[Watching()])


def watch(cases: list[Case]) -> dict[str, tuple[float, Result]]:
    """Seconds and result of each case, while it is noted what decides."""
    known = {}
    for case in cases:
        with RUNTIME.watched(case.name):
            case.run()
        RUNTIME.watching = False
        start = time.process_time()
        result = case.run()
        known[case.name] = time.process_time() - start, result
    return known


def rule_to_noticed(rule: Rule, cases: list[Case], known: dict[str, tuple[float, Result]]) -> tuple[str, str]:
    """The verdict of the cases without a rule, and the case that gave it."""
    weaker = ("unnoticed", "")
    for case in cases:
        try:
            signal.alarm(LONGEST_S)
            with RUNTIME.without(rule):
                numbers, words = case.run()
        except Exception as error:  # noqa: BLE001 - a crash is one way to notice
            return "numbers", f"{case.name} ({type(error).__name__})"
        finally:
            signal.alarm(0)
        if numbers != known[case.name][1][0]:
            return "numbers", case.name
        if words != known[case.name][1][1]:
            weaker = "words", case.name
    return weaker


def _stop(*_: object) -> None:
    raise TimeoutError


def judge_rules(
    cases: list[Case], known: dict[str, tuple[float, Result]], each: int, seconds: float
) -> list[Judged]:
    """Every rule with its verdict; those of few cases first, as long as there is time."""
    signal.signal(signal.SIGALRM, _stop)
    end = time.monotonic() + seconds
    by_name = {case.name: case for case in cases}
    judged = []
    for rule in sorted(RUNTIME.rules, key=lambda rule: len(RUNTIME.seen.get((rule.number, rule.effect), ()))):
        seen = RUNTIME.seen.get((rule.number, rule.effect), set())
        decided = sorted(seen & by_name.keys(), key=lambda name: known[name][0])
        tests = tuple(sorted(one for one in seen if one.startswith("test ")))
        verdict, first = ("tests" if tests else "nothing"), ""
        if decided and time.monotonic() > end:
            verdict = "not run"
        elif decided:
            quick = decided[: max(each, len(decided) // 2)]
            spread = quick[:: max(1, len(quick) // each)][:each]
            verdict, first = rule_to_noticed(rule, [by_name[name] for name in spread], known)
        judged.append(Judged(rule, verdict, first, tuple(decided), tests))
    return judged


def write_rules(judged: list[Judged], path: Path) -> None:
    """All rules as a table, in the order of the source."""
    with path.open("w", encoding="utf-8", newline="") as target:
        writer = csv.writer(target)
        writer.writerow(
            ("place", "function", "rule", "text", "verdict", "noticed by", "cases", "tests", "first")
        )
        for one in sorted(judged, key=lambda one: (one.rule.number, one.rule.effect)):
            rule, first = one.rule, "; ".join([*one.cases[:3], *one.tests[:2]])
            counts = (len(one.cases), len(one.tests))
            writer.writerow(
                (
                    rule.place,
                    rule.function,
                    rule.effect,
                    rule.text,
                    one.verdict,
                    one.noticed_by,
                    *counts,
                    first,
                )
            )


def print_summary(judged: list[Judged], names: set[str]) -> None:
    """Verdicts by package, and the functions that no case enters."""
    packages: dict[str, Counter[str]] = {}
    for one in judged:
        package = ".".join(one.rule.place.split(":")[0].split(".")[:2])
        packages.setdefault(package, Counter())[one.verdict] += 1
    verdicts = ("numbers", "words", "unnoticed", "tests", "nothing", "not run")
    print(f"{'rules of':32}" + "".join(f"{verdict:>11}" for verdict in verdicts))
    for package, counts in sorted(packages.items()):
        print(f"{package:32}" + "".join(f"{counts[verdict]:11}" for verdict in verdicts))
    for place, seen in sorted(RUNTIME.entered.items()):
        if not seen & names:
            print(f"entered by {'tests only' if seen else 'nothing'}: {place}")


def main() -> int:
    """Watch, switch off, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("folders", type=Path, nargs="+", help="folders of PDFs")
    parser.add_argument("--layouts", type=int, default=40, help="random sheets beside them (default 40)")
    parser.add_argument("--seed", type=int, default=1, help="start of their random numbers (default 1)")
    parser.add_argument("--tables", type=Path, help="truth files to make typed tables of")
    parser.add_argument("--tests", nargs="*", default=[], help="what pytest runs")
    parser.add_argument("--package", nargs="*", default=["extract"], help="whose rules (default extract)")
    parser.add_argument("--each", type=int, default=6, help="cases to run without a rule (default 6)")
    parser.add_argument("--seconds", type=float, default=1800, help="time for rules off (default 1800)")
    parser.add_argument("--out", type=Path, help="table of all rules")
    options = parser.parse_args()
    logging.disable(logging.CRITICAL)
    sys.meta_path.insert(0, Finder(options.package, LEFT))
    with tempfile.TemporaryDirectory() as scratch:
        paths = [path for folder in options.folders for path in sorted(folder.glob("*.pdf"))]
        sheets = [*map(sheet_case, paths), *layout_cases(options.layouts, options.seed, Path(scratch))]
        cases = [case for case in sheets if case is not None]
        cases += table_cases(options.tables, 1) if options.tables else []
        known = watch(cases)
        if options.tests:
            run_tests(options.tests)
        judged = judge_rules(cases, known, options.each, options.seconds)
    print_summary(judged, {case.name for case in cases})
    if options.out:
        write_rules(judged, options.out)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
