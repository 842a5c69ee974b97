"""`holdtrip read`: datasheets in, numbers with their places out. Stores nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from extract.curve_table import CURVE_COLUMNS, write_curve_table
from extract.long_table import write_long_table
from extract.particulars.particulars_table import (
    PARTICULARS_COLUMNS,
    write_everything,
    write_particulars,
)
from extract.schema import Finding
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.findings_file import COLUMNS, write_findings
from holdtrip.json_output import json_option, json_outputs, json_written
from holdtrip.memory import batch_with_memory, known_answers
from holdtrip.option_groups import one_reading_option, option_group
from holdtrip.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from holdtrip.own_files import LONG_TABLE, table_kind
from holdtrip.sheets import Batch, paths_to_pdfs, read_batch

EXAMPLES = """\b
Examples:
  holdtrip read sheet.pdf                          parts, numbers, what was not understood
  holdtrip read sheet.pdf --long numbers.csv       every number with page, box and printed text
  holdtrip read datasheets/ --long all.csv --findings doubts.csv
  holdtrip read sheet.pdf --curves curves.csv      the curves of its charts, one row per vertex
  holdtrip read sheet.pdf --particulars more.csv   sizes, temperatures, approvals, marking
  holdtrip read sheet.pdf --account account.csv    what became of every printed number
  holdtrip read sheet.pdf --library team.sqlite    with what the team has answered before

\b
How sure a number is:
  agreed    a second look sees the same digits, in the row of the same part, under the same heading
  single    one of these could not be seen in the second look
  disputed  the two looks disagree, or the sheet contradicts itself: look at the page
"""


@dataclass(frozen=True, slots=True)
class Files:
    """What `read` writes beside the screen; None: not asked for."""

    long_path: Path | None
    findings_path: Path | None
    account_path: Path | None
    curves_path: Path | None
    particulars_path: Path | None
    everything: bool
    json_path: Path | None
    force: bool

    @property
    def wants_particulars(self) -> bool:
        """Whether sizes, temperatures and the like must be read."""
        return self.everything or self.particulars_path is not None


@dataclass(frozen=True, slots=True)
class Memory:
    """Where earlier answers are: a file, a library, both or none."""

    path: Path | None
    library: str | None


@click.command("read", epilog=EXAMPLES)
@click.argument("paths", metavar="PDF_OR_FOLDER...", nargs=-1, required=True, type=click.Path(path_type=Path))
@option_group(
    "files", Files,
    click.option("--long", "long_path", metavar="OUT.csv", type=OUTPUT,
                 help="Write every number to this file."),
    click.option("--findings", "findings_path", metavar="OUT.csv", type=OUTPUT,
                 help="Write everything noticed to this file, with its place."),
    click.option("--account", "account_path", metavar="OUT.csv", type=OUTPUT,
                 help="Write what became of every printed number, also of those that were not read."),
    click.option("--curves", "curves_path", metavar="OUT.csv", type=OUTPUT,
                 help="Write the curves of the charts to this file, one row per vertex."),
    click.option("--particulars", "particulars_path", metavar="OUT.csv", type=OUTPUT,
                 help="Write what else the sheet says: sizes, temperatures, endurance, approvals, marking."),
    click.option("--all", "everything", is_flag=True,
                 help="With --long: the particulars too, as further rows of the same table."),
    json_option,
    force_option,
)
@option_group(
    "memory", Memory,
    click.option("--answers", "path", metavar="FILE.json", type=click.Path(dir_okay=False, path_type=Path),
                 help="Use the answers that `holdtrip answer` kept in this file."),
    click.option("--library", metavar="FILE_OR_ADDRESS",
                 help="Use the answers that this library remembers; nothing is stored in it."),
)
@one_reading_option
def command(paths: tuple[Path, ...], files: Files, memory: Memory, one_reading: bool) -> int:
    """Read PDF datasheets; show or write each number with its place.

    Nothing is stored: `holdtrip import` does that. A folder is read with all folders below it, on
    all cores; a file that cannot be read is named in the summary and the rest goes on.
    """
    if files.everything and files.long_path is None:
        raise click.UsageError("--all goes with --long OUT.csv")
    check_outputs(_outputs(files), (*paths, *([memory.path] if memory.path else [])), files.force)
    known = known_answers(memory.path, memory.library)
    batch = read_batch(paths_to_pdfs(paths), one_reading, files.wants_particulars)
    batch, remembered = batch_with_memory(batch, known)
    # Here and not above: what draws tables is loaded after the second reader was started
    # (holdtrip/sheets.py).
    from holdtrip.account_file import sheets_to_account_line
    from holdtrip.screen import say
    from holdtrip.sheet_summary import has_error, show_findings, show_questions, show_sheets

    findings = [finding for sheet in batch.sheets for finding in sheet.findings]
    with json_written(files.json_path) as said:
        if files.json_path is not None:
            from holdtrip.json_documents import NotRead, ReadDocument

            not_read = tuple(NotRead(str(one.path), one.reason) for one in batch.failures)
            said.append(ReadDocument(batch.sheets, not_read))
        show_sheets(batch.sheets, batch.failures)
        say(sheets_to_account_line(batch.sheets))
        for line in remembered:
            say(line)
        show_questions(batch.sheets)
        show_findings(findings)
        _write_files(batch, findings, files)
    return FOUND_SOMETHING if batch.failures or has_error(findings) else ALL_WELL


def _write_files(batch: Batch, findings: Sequence[Finding], files: Files) -> None:
    """Write the files asked for, each whole or not at all, and say so."""
    from holdtrip.account_file import write_account
    from holdtrip.screen import say

    if files.long_path is not None:
        with whole_file(files.long_path) as path:
            count = _write_long(batch, files.everything, path)
        say(f"wrote {files.long_path}: {count} {'rows' if files.everything else 'numbers'}")
    if files.particulars_path is not None:
        with whole_file(files.particulars_path) as path:
            count = write_particulars((one for sheet in batch.sheets for one in sheet.particulars), path)
        say(f"wrote {files.particulars_path}: {count} particulars")
    if files.findings_path is not None:
        with whole_file(files.findings_path) as path:
            count = write_findings(findings, path)
        say(f"wrote {files.findings_path}: {counted(count, 'finding')}")
    if files.account_path is not None:
        with whole_file(files.account_path) as path:
            count = write_account(batch.sheets, path)
        say(f"wrote {files.account_path}: {counted(count, 'printed number')}")
    if files.curves_path is not None:
        with whole_file(files.curves_path) as path:
            count = write_curve_table((one for sheet in batch.sheets for one in sheet.curves), path)
        say(f"wrote {files.curves_path}: {counted(count, 'curve')}")


def _write_long(batch: Batch, everything: bool, path: Path) -> int:
    readings = (one for sheet in batch.sheets for one in sheet.readings)
    if not everything:
        return write_long_table(readings, path)
    return write_everything(readings, (one for sheet in batch.sheets for one in sheet.particulars), path)


def _outputs(files: Files) -> list[Output]:
    findings = table_kind("findings on datasheets", COLUMNS[:-1])
    account = table_kind("the account of datasheets", ("document", "page", "x0", "top"))
    asked = [("--long", files.long_path, LONG_TABLE), ("--findings", files.findings_path, findings),
             ("--account", files.account_path, account),
             ("--curves", files.curves_path, table_kind("a table of curves", CURVE_COLUMNS)),
             ("--particulars", files.particulars_path,
              table_kind("a table of particulars", PARTICULARS_COLUMNS))]
    named = [Output(option, path, kind) for option, path, kind in asked if path is not None]
    return [*named, *json_outputs(files.json_path)]
