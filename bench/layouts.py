"""Random invented datasheets with known truth, read with holdtrip's reader: what is right, what is not.

    python bench/layouts.py [--sheets 500] [--seed 1] [--first 0] [--keep FOLDER] [--quick] [--list]
                            [--producer chromium]

Draws sheets with reportlab or typst, or with the producer named (browser, word processor, typesetter), if it
can draw what is planned: other columns, order, rules, places and prefixes of units, fonts,
languages, dashes, footnotes, page breaks, turned pages, derating forms. Reads them on all cores, prints the
counts in all and for each feature. `--keep` saves every sheet that was not read without fault, its truth and
what went wrong. The same seed and number give the same sheet. Ends with 1 if any number is silently wrong.
"""

from __future__ import annotations

import argparse
import logging
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.layout_plan import Plan
from bench.layout_sheet import made_sheet
from bench.scoring import (
    SILENTLY_WRONG,
    TITLES,
    Outcome,
    Value,
    Verdict,
    counts_line,
    judge,
    made_key,
    optional_number,
    reading_value,
    sum_line,
    versions_line,
)
from extract.errors import InputError
from extract.schema import Kind, Quantity, Status
from sample_tables.generate.__main__ import DRAWERS, draw, write_truth
from sample_tables.generate.columns import Entry


@dataclass(frozen=True, slots=True)
class Outcomes:
    """One sheet: its number, plan, verdicts and the error that stopped reading, if any."""

    number: int
    plan: Plan
    verdicts: tuple[Verdict, ...]
    error: str

    @property
    def faultless(self) -> bool:
        """Every entry right and nothing extra."""
        return all(verdict.outcome == Outcome.RIGHT for verdict in self.verdicts)


def entry_value(entry: Entry) -> Value:
    """A true entry as a value under its key."""
    key = made_key(
        entry.part_number,
        Quantity(entry.quantity),
        Kind(entry.kind),
        optional_number(entry.ambient_c),
        optional_number(entry.test_current_a),
    )
    return Value(key, float(entry.value), Status.AGREED, "")


def read_values(path: Path, both: bool) -> tuple[list[Value], str]:
    """The readings of a sheet, by both readings or by the first alone; or why there are none."""
    from extract.sheet import ReadOptions, read_sheet

    logging.disable(logging.CRITICAL)
    options = ReadOptions(second_reading=both)
    try:
        return [reading_value(reading) for reading in read_sheet(path, options).readings], ""
    except InputError as error:
        return [], str(error)
    except Exception as error:  # noqa: BLE001 - a crash of the reader is a result to report, not to stop at
        return [], f"CRASH {type(error).__name__}: {error}"


def drawn_by(plan: Plan, producer: str) -> bool:
    """Whether a producer can draw a plan: only reportlab turns pages and draws gaps inside numbers."""
    foreign = plan.language not in {"en", "de"}
    return producer == "reportlab" or not (plan.turn or plan.gaps or (producer == "typst" and foreign))


def one_sheet(number: int, seed: int, keep: Path | None, both: bool, producer: str = "") -> Outcomes:
    """Draw, read and judge one sheet; keep it if anything is not right."""
    plan, sheet = made_sheet(seed, number)
    if producer and drawn_by(plan, producer):
        plan, sheet = replace(plan, producer=producer), replace(sheet, producer=producer)
    content = draw(sheet)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / sheet.document
        path.write_bytes(content)
        values, error = read_values(path, both)
    verdicts = tuple(judge(map(entry_value, sheet.truth), values))
    outcomes = Outcomes(number, plan, verdicts, error)
    if keep and not outcomes.faultless:
        (keep / sheet.document).write_bytes(content)
        write_truth(sheet, keep / f"{sheet.name}.csv")
        lines = [str(plan), error, *(str(v) for v in verdicts if v.outcome != Outcome.RIGHT)]
        (keep / f"{sheet.name}.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return outcomes


def feature_lines(sheets: Iterable[Outcomes]) -> list[str]:
    """Counts for each value of each feature."""
    groups: dict[str, dict[str, list[Outcomes]]] = defaultdict(lambda: defaultdict(list))
    for sheet in sheets:
        for feature, value in sheet.plan.features().items():
            groups[feature][value].append(sheet)
    lines = []
    for feature, values in groups.items():
        for value, members in sorted(values.items()):
            verdicts = [verdict for sheet in members for verdict in sheet.verdicts]
            name = f"{feature}={value or 'none'}"[:44]
            lines.append(f"{name:44}{len(members):7}{counts_line(verdicts)}")
    return lines


def main() -> int:
    """Draw, read, count, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("--sheets", type=int, default=500, help="how many sheets (default 500)")
    parser.add_argument("--seed", type=int, default=1, help="start of the random numbers (default 1)")
    parser.add_argument("--first", type=int, default=0, help="number of the first sheet (default 0)")
    parser.add_argument("--keep", type=Path, help="folder for sheets that were not read without fault")
    parser.add_argument("--quick", action="store_true", help="leave out the second reading: faster, stricter")
    parser.add_argument("--producer", choices=DRAWERS, default="", help="draw with it all that it can draw")
    parser.add_argument("--list", action="store_true", help="print every sheet that is not faultless")
    options = parser.parse_args()
    if options.keep:
        options.keep.mkdir(parents=True, exist_ok=True)
    numbers = range(options.first, options.first + options.sheets)
    with ProcessPoolExecutor() as pool:
        sheets = list(
            pool.map(
                partial(
                    one_sheet,
                    seed=options.seed,
                    keep=options.keep,
                    both=not options.quick,
                    producer=options.producer,
                ),
                numbers,
                chunksize=4,
            )
        )
    verdicts = [verdict for sheet in sheets for verdict in sheet.verdicts]
    print(f"{versions_line()}; seed {options.seed}, sheets {numbers.start} to {numbers.stop - 1}"
          f"{' by ' + options.producer if options.producer else ''}")
    print(f"{'feature':44}{'sheets':>7}{TITLES}", *feature_lines(sheets), sep="\n")
    if options.list:
        for sheet in sheets:
            if not sheet.faultless:
                print(f"{sheet.number:6}{counts_line(sheet.verdicts)} {sheet.error}")
    print(f"{'all':44}{len(sheets):7}{counts_line(verdicts)}")
    faultless = sum(sheet.faultless for sheet in sheets)
    print(f"{faultless} of {len(sheets)} sheets without fault; {sum_line(verdicts)}")
    return int(any(verdict.outcome in SILENTLY_WRONG for verdict in verdicts))


if __name__ == "__main__":
    raise SystemExit(main())
