"""`holdtrip import`: datasheets, or another library, into the library: each all or nothing, each once."""

from __future__ import annotations

import hashlib
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from extract.asked import Remembered
from extract.batch import SheetOutcome
from extract.errors import HoldtripError, InputError
from extract.safe_text import name_to_text
from holdtrip.again import read_stored_again
from holdtrip.counted import counted
from holdtrip.exchange_files import is_exchange, read_exchange
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.library.records import ImportOutcome, ImportState, Signature
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.memory import library_to_known, sheet_with_memory
from holdtrip.option_groups import one_reading_option, option_group
from holdtrip.screen import say, show_table
from holdtrip.sheet_files import SheetFiles, library_to_files
from holdtrip.sheet_summary import HEADINGS, has_error, sheet_to_row, show_findings
from holdtrip.sheets import outcomes_to_failures, paths_to_pdfs, read_each

EXAMPLES = """\b
Examples:
  holdtrip import datasheets/                              into your own library
  holdtrip import sheet.pdf --library team.sqlite
  holdtrip import datasheets/ --library postgresql://parts@server/holdtrip
  holdtrip import datasheets/ --scheduler tcp://server:8786    thousands, read by a Dask cluster
  holdtrip import colleague.json                           a whole library that was exported
  holdtrip import numbers.csv                              a long or wide table
  holdtrip import --again                                  what stored sheets would be read as now
  holdtrip import --again sheet.pdf --take                 and take it, but for what was decided on

\b
Import again whenever you like: files stored already are not read again, a newer revision of a sheet
is kept beside the old one, and after an interruption the rest is done.
"""


@dataclass(frozen=True, slots=True)
class How:
    """How sheets are read: stored ones again, taken or only shown; on a cluster; once only."""

    again: bool
    take: bool
    scheduler: str | None
    one_reading: bool


@click.command("import", epilog=EXAMPLES)
@click.argument("paths", metavar="FILE_OR_FOLDER...", nargs=-1, type=click.Path(path_type=Path))
@library_option
@who_option
@option_group(
    "how", How,
    click.option("--again", is_flag=True,
                 help="Read the stored copies again, all or those named, by this holdtrip and with what is"
                      " remembered now; show what changes."),
    click.option("--take", is_flag=True,
                 help="With --again: take what is read otherwise now, but for parts somebody decided on."),
    click.option("--scheduler", metavar="ADDRESS",
                 help="Read on the machines of a Dask cluster; needs `pip install '.[cluster]'` on each of"
                      " them."),
    one_reading_option,
)
def command(paths: tuple[Path, ...], library: str | None, who: str, how: How) -> int:
    """Read PDF datasheets into the library, each all or nothing.

    A file that cannot be read is named in the summary and the rest goes on. What was read waits for
    a person: `holdtrip accept` and `holdtrip correct`. A library that `holdtrip export` wrote (JSON,
    XLSX, Parquet) is taken in with all that was decided; what is known here already stays as it is.
    So is a long or wide table (CSV): whoever imports it stands for what it calls accepted. Questions
    that the library's team has answered before, for the same maker and headings, are settled so.
    """
    address = library_address(library)
    if how.take and not how.again:
        raise click.UsageError("--take goes with --again")
    if how.again:
        with open_library(address, create=False) as opened:
            return read_stored_again(opened, library_to_files(address, opened), [str(path) for path in paths],
                                     who if how.take else None, how.one_reading)
    if not paths:
        raise click.UsageError("name a file or folder, or --again")
    exchanged = [path for path in paths if is_exchange(path)]
    if exchanged:
        _take_in(exchanged, address, who)
    pdfs = paths_to_pdfs(path for path in paths if path not in exchanged)
    return _import_sheets(pdfs, address, who, how) if pdfs else ALL_WELL


def _take_in(paths: list[Path], address: str, who: str) -> None:
    """Put exported libraries into this one, each all or nothing."""
    for path in paths:
        records, is_checked = read_exchange(path, who)
        with open_library(address) as opened:
            outcome = opened.import_records(records, Signature(who))
        say(f"{path}: {counted(outcome.sheets_new, 'datasheet')} new, {outcome.sheets_known} known already,"
            f" {counted(outcome.decisions, 'decision')} taken over, {outcome.left} kept as they are here")
        if not is_checked:
            say(f"{path}: has no checksum: a digit changed since it was written would not be noticed; compare"
                " the numbers with the pages")
        for document in outcome.differing:
            say(f"{document}: stored here with other readings of the same file; left as it is")


def _import_sheets(pdfs: tuple[Path, ...], address: str, who: str, how: How) -> int:
    start = time.monotonic()
    lines: list[str] = []
    with open_library(address) as opened:
        known = library_to_known(opened)
        files = library_to_files(address, opened)
        stored = opened.stored_hashes()
        hashes = {path: _sha256(path) for path in pdfs}
        new = [path for path in pdfs if hashes[path] not in stored]
        outcomes, results = [], {}
        for outcome in read_each(new, how.scheduler, how.one_reading, particulars=True):
            outcome, used = _remembered(_kept(files, outcome), known)
            lines += used
            outcomes.append(outcome)
            results[outcome.path] = _store(opened, outcome, hashes[outcome.path], who)
        _refuse_only_failure(pdfs, outcomes)
        _keep_copies(files, {path: hashes[path] for path in pdfs if path not in results}, stored)
        _tell(outcomes, results)
        for line in lines:
            say(line)
        _tell_sum(len(pdfs) - len(new), results, opened.name, time.monotonic() - start)
    findings = [finding for outcome in outcomes if outcome.reading for finding in outcome.reading.findings]
    show_findings(findings)
    return FOUND_SOMETHING if None in results.values() or has_error(findings) else ALL_WELL


def _refuse_only_failure(pdfs: tuple[Path, ...], outcomes: Sequence[SheetOutcome]) -> None:
    """The one file named could not be read: an error, for there is nothing to sum up."""
    if len(pdfs) == 1 and outcomes and outcomes[0].reading is None:
        raise HoldtripError(outcomes[0].error or "")


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _store(library: Library, outcome: SheetOutcome, sha256: str, who: str) -> ImportOutcome | None:
    if outcome.reading is not None:
        return library.import_sheet(outcome.reading, who)
    library.record_failure(name_to_text(outcome.path.name), sha256, outcome.error or "", who)
    return None


def _remembered(
    outcome: SheetOutcome, known: tuple[Remembered, ...]
) -> tuple[SheetOutcome, tuple[str, ...]]:
    """The outcome with its questions settled as they were before, and each use in a sentence."""
    if outcome.reading is None:
        return outcome, ()
    reading, used = sheet_with_memory(outcome.reading, known)
    return SheetOutcome(outcome.path, reading, None), used


def _kept(files: SheetFiles, outcome: SheetOutcome) -> SheetOutcome:
    """The outcome, once the bytes that were read are kept beside the library; if they cannot be, why."""
    if outcome.reading is None:
        return outcome
    try:
        files.keep(outcome.path, outcome.reading.sha256)
    except InputError as error:
        return SheetOutcome(outcome.path, None, str(error))
    return outcome


def _keep_copies(files: SheetFiles, hashes: dict[Path, str], stored: frozenset[str]) -> None:
    """Keep the files of stored sheets: the review page shows the page a number stands on."""
    for path, sha256 in hashes.items():
        if sha256 in stored:
            files.keep(path, sha256)


def _tell(outcomes: list[SheetOutcome], results: dict[Path, ImportOutcome | None]) -> None:
    outcomes.sort(key=lambda outcome: outcome.path)
    rows = [[*sheet_to_row(outcome.reading), _state(results[outcome.path])]
            for outcome in outcomes if outcome.reading is not None]
    if rows:
        show_table([*HEADINGS, "Library"], rows, numbers=range(1, len(HEADINGS)))
    for failure in outcomes_to_failures(outcomes):
        say(f"not read: {failure.reason}", style="bold red")


def _state(result: ImportOutcome | None) -> str:
    if result is None or result.state is not ImportState.REVISION:
        return result.state.value if result else ""
    return "older revision" if result.older else "newer revision"


def _tell_sum(known: int, results: dict[Path, ImportOutcome | None], name: str, seconds: float) -> None:
    count = Counter(result.state for result in results.values() if result is not None)
    stored = count[ImportState.NEW] + count[ImportState.REVISION]
    told = [f"{counted(stored, 'datasheet')} stored", f"{known + count[ImportState.UNCHANGED]} known already"]
    failed = sum(result is None for result in results.values())
    if failed:
        told.append(f"{failed} not read")
    say(f"{name}: {', '.join(told)}, in {seconds:.1f} s")
