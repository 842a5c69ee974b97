"""How much of a folder of datasheets is read right, and what is silently wrong.

    python bench/accuracy.py FOLDER TRUTH [--complete] [--list] [--long FILE]

Reads every PDF of FOLDER with holdtrip's reader, on all cores, and compares with the CSV files of TRUTH
(columns document, part_number, quantity, kind, ambient_c, test_current_a, value; SI units). Sheets without
truth are read and left out of the table. `agreed` is the share of entries that are right and confirmed by a
second reading. With --complete the truth lists all that each sheet says: any other reading is silently wrong.
A truth file without rows is a sheet of another kind of part.
Ends with 1 if any number is silently wrong, with 2 if nothing could be compared.
"""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.scoring import (
    SILENTLY_WRONG,
    TITLES,
    Outcome,
    Value,
    counts_line,
    judge,
    reading_value,
    sum_line,
    truth_values,
    versions_line,
)
from extract.errors import InputError
from extract.schema import Reading


def read_one(path: Path) -> tuple[str, tuple[Reading, ...], str]:
    """Name, readings and error of one sheet; an error leaves no readings."""
    from extract.sheet import read_sheet

    try:
        return path.name, read_sheet(path).readings, ""
    except InputError as error:
        return path.name, (), str(error)


def all_truth(folder: Path) -> dict[str, list[Value]]:
    """The true values of every document that the folder's CSV files know."""
    truth: dict[str, list[Value]] = {}
    for path in sorted(folder.glob("*.csv")):
        truth.setdefault(f"{path.stem}.pdf", [])
        for document, values in truth_values(path).items():
            truth.setdefault(document, []).extend(values)
    return truth


def main() -> int:
    """Read, compare, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("folder", type=Path)
    parser.add_argument("truth", type=Path)
    parser.add_argument("--complete", action="store_true", help="the truth lists all that the sheets say")
    parser.add_argument("--list", action="store_true", help="print every entry that is not right")
    parser.add_argument("--long", type=Path, help="keep all readings as a long table")
    options = parser.parse_args()
    truth = all_truth(options.truth)
    with ProcessPoolExecutor() as pool:
        sheets = list(pool.map(read_one, sorted(options.folder.glob("*.pdf"))))
    print(versions_line())
    print(f"{'document':24}{TITLES}")
    verdicts = []
    for document, readings, error in sheets:
        if error:
            print(f"{document}: {error}")
        if document not in truth:
            continue
        found = judge(truth[document], map(reading_value, readings), options.complete)
        verdicts += found
        print(f"{document:24}{counts_line(found)}")
        if options.list:
            for verdict in found:
                if verdict.outcome != Outcome.RIGHT:
                    print(f"    {verdict}")
    print(f"{'all':24}{counts_line(verdicts)}\n{sum_line(verdicts)}")
    if options.long:
        from extract.long_table import write_long_table

        write_long_table([reading for _, readings, _ in sheets for reading in readings], options.long)
    if not verdicts:
        return 2
    return int(any(verdict.outcome in SILENTLY_WRONG for verdict in verdicts))


if __name__ == "__main__":
    raise SystemExit(main())
