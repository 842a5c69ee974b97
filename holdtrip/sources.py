"""Parts from wherever the user keeps them: datasheets, a library, a long table, a typed table.

Comes in: what was typed as a source. Goes out: parts, and what could not be read.
Each kind of source is loaded only when it is the one asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import click

from extract.errors import InputError
from extract.schema import Finding, Part, readings_to_parts
from holdtrip.library_options import is_library, library_address
from holdtrip.sheets import Failure, paths_to_pdfs, read_batch

if TYPE_CHECKING:
    from holdtrip.library.store import Library

TABLE_ENDINGS = (".csv", ".xlsx")

source_option = click.option(
    "--parts", "--library", "source", metavar="SOURCE", envvar="HOLDTRIP_LIBRARY",
    help="Where the parts are: a library, a folder of PDFs, a PDF, a long table or a typed parts table"
         " (CSV, XLSX). Without it, the library (see `holdtrip import --help`). Both names are one option.",
)
"""The option of every command that takes parts from anywhere."""


@dataclass(frozen=True, slots=True)
class Source:
    """What a source holds. `name` is how to call it on the screen; `library` its address, if it is one.

    `findings` and `revisions` (by the hash of the sheet) are those of datasheets just read; for a library ask
    `sheets_on`.
    """

    name: str
    parts: tuple[Part, ...]
    findings: tuple[Finding, ...] = ()
    failures: tuple[Failure, ...] = ()
    library: str | None = None
    revisions: Mapping[str, str] = field(default_factory=dict)


def source_to_library(typed: str | None) -> str | None:
    """The address of the library a source names, if it names one; None typed is that of the surroundings."""
    if typed is None:
        return library_address(None)
    return typed if is_library(typed) else None


def open_source(typed: str | None, unreviewed: bool = True) -> Source:
    """Everything a source holds. Without `unreviewed` a library gives accepted and corrected numbers only."""
    address = source_to_library(typed)
    if address is not None:
        return _library_to_source(address, unreviewed)
    path = Path(typed or "")
    if path.suffix.lower() in TABLE_ENDINGS and path.is_file():
        return _table_to_source(path)
    if not path.exists():
        raise InputError(str(path), "no such file or folder",
                         "a library, a datasheet, a folder of them, or a table of parts (CSV, XLSX)")
    return _sheets_to_source(path)


def _sheets_to_source(path: Path) -> Source:
    batch = read_batch(paths_to_pdfs([path]), particulars=True)
    parts = readings_to_parts(
        (reading for sheet in batch.sheets for reading in sheet.readings),
        (text for sheet in batch.sheets for text in sheet.texts),
        (one for sheet in batch.sheets for one in sheet.particulars),
        (curve for sheet in batch.sheets for curve in sheet.curves),
    )
    findings = tuple(finding for sheet in batch.sheets for finding in sheet.findings)
    return Source(str(path), parts, findings, batch.failures,
                  revisions={sheet.sha256: sheet.revision for sheet in batch.sheets})


def _table_to_source(path: Path) -> Source:
    from extract.long_table import is_long_table, read_long_table
    from extract.wide_table import is_wide_table, read_wide_table

    if path.suffix.lower() == ".csv" and is_long_table(path):
        return Source(str(path), readings_to_parts(read_long_table(path)))
    if path.suffix.lower() == ".csv" and is_wide_table(path):
        return Source(str(path), readings_to_parts(read_wide_table(path)))
    from holdtrip.typed_parts import path_to_readings

    return Source(str(path), readings_to_parts(path_to_readings(path)))


def _library_to_source(address: str, unreviewed: bool) -> Source:
    from holdtrip.library.store import open_library

    with open_library(address, create=False) as library:
        parts = library.parts(accepted_only=not unreviewed)
        if not parts and not unreviewed:
            refuse_unreviewed(library)
        return Source(library.name, parts, library=address)


def refuse_unreviewed(library: Library) -> None:
    """Raise InputError for a library that has parts but no accepted number."""
    if library.list_parts():
        raise InputError(library.name, "no number accepted yet", "numbers that a person accepted",
                         "Review with `holdtrip accept`, or add --unreviewed to use them marked")


def newer_on(address: str | None, parts: Sequence[Part]) -> dict[tuple[str, str], str]:
    """Of the parts of a library, those of which a newer revision is stored: (sha256, part number) → what it
    says of them, in a sentence."""
    if address is None or not parts:
        return {}
    from holdtrip.library.newer import newer_to_sentence
    from holdtrip.library.store import open_library

    with open_library(address, create=False) as library:
        newer = library.newer(tuple({part.sha256 for part in parts}))
    wanted = {(part.sha256, part.part_number) for part in parts}
    return {(one.sha256, one.part_number): newer_to_sentence(one) for one in newer
            if (one.sha256, one.part_number) in wanted}


def sheets_on(source: Source, parts: Iterable[Part]) -> tuple[tuple[Finding, ...], Mapping[str, str]]:
    """What reading and checking noticed about the datasheets of some parts, and their printed revisions."""
    if source.library is None:
        return source.findings, source.revisions
    from holdtrip.library.newer import newer_to_finding
    from holdtrip.library.store import open_library

    with open_library(source.library, create=False) as library:
        hashes = tuple(dict.fromkeys(part.sha256 for part in parts))
        sheets = [library.sheet(sha256) for sha256 in hashes]
        newer = tuple(map(newer_to_finding, library.newer(hashes)))
    found = [sheet for sheet in sheets if sheet is not None]
    return ((*newer, *(finding for sheet in found for finding in sheet.findings)),
            {sheet.sha256: sheet.revision for sheet in found})
