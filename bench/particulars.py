"""What else the invented sheets say, read and compared with their truth: right, flagged, silent, missing.

    python bench/particulars.py [FOLDER] [--wrong]

FOLDER holds NAME.pdf and particulars/NAME.csv (default: sample_tables); without truth a sheet says nothing.
Flagged: disputed. Silent: not disputed and not true. Missing: true and not read. Texts are compared as they
are, numbers to four digits.
--wrong names the silent and the missing ones.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections import Counter
from datetime import date
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from extract.schema import Particular, ParticularName, Status
from extract.sheet import ReadOptions, read_sheet

FROM_ELSEWHERE = (ParticularName.MOUNTING, ParticularName.MARKING, ParticularName.PACKAGE)
"""What titles and tables of ratings say; counted only where a truth names it."""
Key = tuple[str, str, str, str, str]


def truth_keys(path: Path) -> set[Key]:
    """What a sheet truly says."""
    with path.open(encoding="utf-8", newline="") as source:
        return {
            (
                row["part_number"],
                row["name"],
                row["label"],
                row["kind"],
                f"{float(row['value']):.4g}" if row["value"] else row["text"],
            )
            for row in csv.DictReader(source)
        }


def particular_key(one: Particular) -> Key:
    """The same of what was read."""
    said = one.text if one.value is None else f"{one.value:.4g}"
    return one.part_number, one.name.value, one.label, one.kind.value, said


def compare(pdf: Path, truth: set[Key]) -> tuple[Counter[str], list[str]]:
    """Counts of one sheet, and what was silent or missing."""
    sheet = read_sheet(pdf, ReadOptions(second_reading=False, curves=False, particulars=True))
    claimed = {key[1] for key in truth}
    read = {
        particular_key(one): one.status
        for one in sheet.particulars
        if one.name.value in claimed or one.name not in FROM_ELSEWHERE
    }
    flagged = {key for key, status in read.items() if status is Status.DISPUTED}
    silent = {key for key in read if key not in truth and key not in flagged}
    right = {key for key in read if key in truth and key not in flagged}
    missing = {key for key in truth if key not in read}
    counts: Counter[str] = Counter(
        true=len(truth), right=len(right), flagged=len(flagged), silent=len(silent), missing=len(missing)
    )
    counts = +counts
    told = [f"{pdf.name}: silent {key}" for key in sorted(silent)]
    return counts, told + [f"{pdf.name}: missing {key}" for key in sorted(missing)]


def main() -> None:
    """Print one line for each sheet and the sum."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("folder", type=Path, nargs="?", default=Path("sample_tables"))
    parser.add_argument("--wrong", action="store_true", help="name the silent and the missing ones")
    options = parser.parse_args()
    total: Counter[str] = Counter()
    for path in sorted(options.folder.glob("*.pdf")):
        truth = options.folder / "particulars" / f"{path.stem}.csv"
        counts, told = compare(path, truth_keys(truth) if truth.exists() else set())
        total += counts
        if counts:
            print(f"{path.stem}: {dict(counts)}", flush=True)
        if options.wrong:
            print("\n".join(f"   {line}" for line in told[:20]))
    print(
        f"{date.today()}: {dict(total)}; right {total['right'] / max(1, total['true']):.1%} of true,"
        f" silent {total['silent']}"
    )


if __name__ == "__main__":
    main()
