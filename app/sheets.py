"""Datasheets named on the command line, read one after the other or many at once.

Comes in: files and folders. Goes out: for each PDF what was read, or why not. Shows progress on
stderr; prints nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from app.screen import progress
from extract.errors import InputError
from extract.schema import SheetReading


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


def read_one(path: Path) -> SheetReading:
    """Read one datasheet in this process; raises DocumentError."""
    from extract.sheet import read_sheet

    return read_sheet(path)


def read_batch(pdfs: tuple[Path, ...]) -> Batch:
    """Read datasheets on all cores. A single one that fails raises; of several, it becomes a failure."""
    if len(pdfs) == 1:
        return Batch((read_one(pdfs[0]),), ())
    from extract.batch import read_sheets

    outcomes = {}
    with progress("Reading", len(pdfs)) as step:
        for outcome in read_sheets(pdfs):
            step(outcome.path.name)
            outcomes[outcome.path] = outcome
    in_order = [outcomes[path] for path in pdfs]
    failures = tuple(Failure(outcome.path, outcome.error or "no reason given")
                     for outcome in in_order if outcome.reading is None)
    sheets = tuple(outcome.reading for outcome in in_order if outcome.reading is not None)
    if not sheets:
        raise InputError(f"all {len(pdfs)} files", failures[0].reason, "at least one readable datasheet")
    return Batch(sheets, failures)
