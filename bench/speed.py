"""How long reading takes, against bare pdfplumber: whole commands, paired, interleaved, median of five.

    python bench/speed.py FOLDER [--rounds 5]

For every PDF of FOLDER it times `python -m holdtrip read SHEET --long OUT` (triage, both readings, checks,
the long table written) and a whole command that only calls pdfplumber's extract_tables on each page
of the same file; then both over the whole folder at once. Prints both medians and their ratio: below
1 holdtrip is faster. Every run is a fresh process, so starting Python counts on both sides; both find
all their modules compiled, as installed programs do, whatever PYTHONDONTWRITEBYTECODE says here.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]

BARE = """
import sys, pdfplumber
for name in sys.argv[1:]:
    with pdfplumber.open(name) as pdf:
        for page in pdf.pages:
            page.extract_tables()
"""


def seconds(command: Sequence[str], compiled: Path) -> float:
    """Wall time of one whole command; findings (exit code 1) and a refused sheet (2) count as done.

    `compiled` is the folder where compiled modules are kept from run to run.
    """
    environment = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environment["PYTHONPYCACHEPREFIX"] = str(compiled)
    start = time.perf_counter()
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, check=False, env=environment
    )
    elapsed = time.perf_counter() - start
    if done.returncode > 2 or "Traceback" in done.stderr:
        raise SystemExit(f"{' '.join(command[:4])} ended with {done.returncode}: {done.stderr.strip()}")
    return elapsed


def paired_medians(
    ours: Sequence[str], bare: Sequence[str], rounds: int, compiled: Path
) -> tuple[float, float]:
    """Median seconds of both commands, run in turn so that a busy machine slows both alike."""
    for command in (ours, bare):
        seconds(command, compiled)
    pairs = [(seconds(ours, compiled), seconds(bare, compiled)) for _ in range(rounds)]
    return median(pair[0] for pair in pairs), median(pair[1] for pair in pairs)


def print_row(name: str, ours: float, bare: float) -> None:
    """One line of the table."""
    print(f"{name:32}{ours:10.2f}{bare:12.2f}{ours / bare:8.2f}", flush=True)


def main() -> None:
    """Measure and print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    pdfs = [str(path.resolve()) for path in sorted(options.folder.glob("*.pdf"))]
    if not pdfs:
        raise SystemExit(f"{options.folder}: no PDF file")
    versions = ", ".join(f"{name} {version(name)}" for name in ("pdfplumber", "camelot-py", "pypdfium2"))
    print(f"Python {platform.python_version()}, {versions}; {options.rounds} rounds, medians in s")
    print(f"{'sheet':32}{'holdtrip':>10}{'pdfplumber':>12}{'ratio':>8}")
    with tempfile.TemporaryDirectory() as scratch:
        long_table = str(Path(scratch) / "long.csv")
        compiled = Path(scratch) / "compiled"
        read = [sys.executable, "-m", "holdtrip", "read"]
        bare = [sys.executable, "-c", BARE]
        totals = [0.0, 0.0]
        for pdf in pdfs:
            ours = [*read, pdf, "--long", long_table]
            medians = paired_medians(ours, [*bare, pdf], options.rounds, compiled)
            totals = [total + part for total, part in zip(totals, medians, strict=True)]
            print_row(Path(pdf).name, *medians)
        print_row("sum of the single sheets", *totals)
        print_row(
            "whole folder, one command each",
            *paired_medians(
                [*read, *pdfs, "--long", long_table], [*bare, *pdfs], options.rounds, compiled
            ),
        )


if __name__ == "__main__":
    main()
