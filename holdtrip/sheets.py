"""Datasheets named on the command line, read one after the other or many at once.

Comes in: files and folders. Goes out: for each PDF what was read, or why not. Shows progress on
stderr; prints nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from extract.errors import HoldtripError, InputError
from extract.schema import SheetReading, Status

if TYPE_CHECKING:
    from extract.batch import SheetOutcome
    from extract.sheet import ReadOptions
    from holdtrip.screen import Step


@dataclass(frozen=True, slots=True)
class Failure:
    """A datasheet of a batch that could not be read, and why, in one line."""

    path: Path
    reason: str


@dataclass(frozen=True, slots=True)
class Batch:
    """What came of reading several datasheets, in the order given."""

    sheets: tuple[SheetReading, ...]
    failures: tuple[Failure, ...]


def paths_to_pdfs(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Every PDF named or in a named folder and below, each once, folders in alphabetical order."""
    found: dict[Path, None] = {}
    for path in paths:
        if not path.exists():
            raise InputError(str(path), "no such file or folder", "a PDF file or a folder of PDF files")
        pdfs = _folder_to_pdfs(path) if path.is_dir() else [path]
        found |= dict.fromkeys(pdfs)
    return tuple(found)


def _folder_to_pdfs(folder: Path) -> list[Path]:
    pdfs = sorted(path for path in folder.rglob("*") if path.suffix.lower() == ".pdf" and path.is_file())
    if not pdfs:
        raise InputError(str(folder), "no PDF file in this folder or below", "a folder of PDF datasheets")
    return pdfs


def read_each(
    pdfs: Sequence[Path], scheduler: str | None = None, one_reading: bool = False, particulars: bool = False
) -> Iterator[SheetOutcome]:
    """Read datasheets on all cores, or on the cluster of a scheduler, with a bar on stderr; outcomes come
    as they finish. `one_reading`: without the second reading, if asked for deliberately.

    A single file is read as soon as possible, under the same limits.
    """
    if scheduler is not None:
        yield from _read_on_cluster(pdfs, scheduler, _to_options(one_reading, particulars))
        return
    # Here and not above: a command that only looks into a library must not load the reading packages.
    from extract.batch import read_one_sheet, read_sheets

    if len(pdfs) == 1:
        options = _to_options(one_reading, particulars)
        with ExitStack() as stack:
            begun: list[Step] = []
            outcome = read_one_sheet(pdfs[0], options, told=_say_page,
                                     meanwhile=lambda: begun.append(_show_progress(stack)))
            begun[0](outcome.path.name, _outcome_to_doubts(outcome))
        yield outcome
        return
    from holdtrip.screen import progress, words_to_stderr

    options, say_page = _to_options(one_reading, particulars), words_to_stderr()
    with progress("Reading", len(pdfs)) as step:
        for outcome in read_sheets(pdfs, options, told=lambda _, word: say_page(word)):
            step(outcome.path.name, _outcome_to_doubts(outcome))
            yield outcome


def _say_page(word: str) -> None:
    """A page recognised from a picture took some seconds: say so."""
    from holdtrip.screen import words_to_stderr

    words_to_stderr()(word)


def _to_options(one_reading: bool, particulars: bool = False) -> ReadOptions | None:
    """None, the usual options, loads nothing of the reading here: the workers do."""
    if not one_reading and not particulars:
        return None
    from extract.sheet import ReadOptions

    return ReadOptions(second_reading=not one_reading, particulars=particulars)


def _show_progress(stack: ExitStack) -> Step:
    """Progress of a single file, while it is read; and load what draws tables, which every command that reads
    a sheet needs next."""
    import holdtrip.sheet_summary  # noqa: F401
    from holdtrip.screen import progress

    return stack.enter_context(progress("Reading", 1))


def _outcome_to_doubts(outcome: SheetOutcome) -> int | None:
    """How many numbers of a sheet are in doubt; None if it was not read."""
    if outcome.reading is None:
        return None
    return sum(one.status is Status.DISPUTED for one in outcome.reading.readings)


def _read_on_cluster(
    pdfs: Sequence[Path], scheduler: str, options: ReadOptions | None
) -> Iterator[SheetOutcome]:
    from extract.cluster import read_sheets_on_cluster
    from holdtrip.screen import progress

    with progress("Reading", len(pdfs)) as step:
        for outcome in read_sheets_on_cluster(pdfs, scheduler, options) if pdfs else ():
            step(outcome.path.name, _outcome_to_doubts(outcome))
            yield outcome


def read_batch(pdfs: Sequence[Path], one_reading: bool = False, particulars: bool = False) -> Batch:
    """Everything that was read, in the order given; raises HoldtripError if nothing could be.

    `particulars`: sizes, temperatures and the like too.
    """
    each = read_each(pdfs, one_reading=one_reading, particulars=particulars)
    outcomes = {outcome.path: outcome for outcome in each}
    in_order = [outcomes[path] for path in pdfs]
    sheets = tuple(outcome.reading for outcome in in_order if outcome.reading is not None)
    failures = outcomes_to_failures(in_order)
    if len(pdfs) == 1 and not sheets:
        raise HoldtripError(failures[0].reason)
    if not sheets:
        raise InputError(f"all {len(pdfs)} files", failures[0].reason, "at least one readable datasheet")
    return Batch(sheets, failures)


def sheet_to_renamed(sheet: SheetReading, document: str) -> SheetReading:
    """The same reading under another name: that it was sent with, or is stored by."""
    return replace(
        sheet, document=document,
        readings=tuple(replace(one, document=document) for one in sheet.readings),
        texts=tuple(replace(one, document=document) for one in sheet.texts),
        particulars=tuple(replace(one, document=document) for one in sheet.particulars),
        curves=tuple(replace(one, document=document) for one in sheet.curves),
        findings=tuple(replace(one, document=document) if one.document == sheet.document else one
                       for one in sheet.findings))


def outcomes_to_failures(outcomes: Iterable[SheetOutcome]) -> tuple[Failure, ...]:
    """The files that could not be read."""
    return tuple(Failure(outcome.path, outcome.error or "no reason given")
                 for outcome in outcomes if outcome.reading is None)
