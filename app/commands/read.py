"""`holdtrip read`: datasheets in, numbers with their places out. Stores nothing."""

from __future__ import annotations

from pathlib import Path

import click

from app.exits import ALL_WELL, FOUND_SOMETHING
from app.findings_file import COLUMNS, write_findings
from app.option_groups import one_reading_option
from app.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from app.own_files import LONG_TABLE, table_kind
from app.sheets import Batch, paths_to_pdfs, read_batch
from extract.curve_table import CURVE_COLUMNS, write_curve_table
from extract.long_table import write_long_table

EXAMPLES = """\b
Examples:
  holdtrip read sheet.pdf                          parts, numbers, what was not understood
  holdtrip read sheet.pdf --long numbers.csv       every number with page, box and printed text
  holdtrip read datasheets/ --long all.csv --findings doubts.csv
  holdtrip read sheet.pdf --curves curves.csv      the curves of its charts, one row per vertex

\b
How sure a number is:
  agreed    two independent readings of the cell say the same
  single    only one reading could be made
  disputed  the readings, or the sheet and itself, disagree: look at the page
"""


@click.command("read", epilog=EXAMPLES)
@click.argument("paths", metavar="PDF_OR_FOLDER...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--long", "long_path", metavar="OUT.csv", type=OUTPUT, help="Write every number to this file.")
@click.option("--findings", "findings_path", metavar="OUT.csv", type=OUTPUT,
              help="Write everything noticed to this file, with its place.")
@click.option("--curves", "curves_path", metavar="OUT.csv", type=OUTPUT,
              help="Write the curves of the charts to this file, one row per vertex.")
@one_reading_option
@force_option
def command(
    paths: tuple[Path, ...],
    long_path: Path | None,
    findings_path: Path | None,
    curves_path: Path | None,
    one_reading: bool,
    force: bool,
) -> int:
    """Read PDF datasheets; show or write each number with its place.

    Nothing is stored: `holdtrip import` does that. A folder is read with all folders below it, on
    all cores; a file that cannot be read is named in the summary and the rest goes on.
    """
    check_outputs(_outputs(long_path, findings_path, curves_path), paths, force)
    batch = read_batch(paths_to_pdfs(paths), one_reading)
    # Here and not above: what draws tables is loaded after the second reader was started (app/sheets.py).
    from app.screen import say
    from app.sheet_summary import has_error, show_findings, show_sheets

    findings = [finding for sheet in batch.sheets for finding in sheet.findings]
    show_sheets(batch.sheets, batch.failures)
    show_findings(findings)
    if long_path is not None:
        say(f"wrote {long_path}: {_write_long(batch, long_path)} numbers")
    if findings_path is not None:
        with whole_file(findings_path) as path:
            count = write_findings(findings, path)
        say(f"wrote {findings_path}: {count} findings")
    if curves_path is not None:
        say(f"wrote {curves_path}: {_write_curves(batch, curves_path)} curves")
    return FOUND_SOMETHING if batch.failures or has_error(findings) else ALL_WELL


def _outputs(long_path: Path | None, findings_path: Path | None, curves_path: Path | None) -> list[Output]:
    findings = table_kind("findings on datasheets", COLUMNS)
    curves = table_kind("a table of curves", CURVE_COLUMNS)
    asked = [
        ("--long", long_path, LONG_TABLE),
        ("--findings", findings_path, findings),
        ("--curves", curves_path, curves),
    ]
    return [Output(option, path, kind) for option, path, kind in asked if path is not None]


def _write_long(batch: Batch, path: Path) -> int:
    with whole_file(path) as unfinished:
        return write_long_table((one for sheet in batch.sheets for one in sheet.readings), unfinished)


def _write_curves(batch: Batch, path: Path) -> int:
    with whole_file(path) as unfinished:
        return write_curve_table((one for sheet in batch.sheets for one in sheet.curves), unfinished)
