"""Parts from wherever the user keeps them: datasheets, a library, a long table, a typed table.

Comes in: what was typed as a source. Goes out: readings and texts, and what could not be read.
Each kind of source is loaded only when it is the one asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from app.library_address import is_library, library_address
from app.sheets import Failure, paths_to_pdfs, read_batch
from extract.errors import InputError
from extract.schema import Finding, Part, PartText, Reading, readings_to_parts

TABLE_ENDINGS = (".csv", ".xlsx")

source_option = click.option(
    "--parts", "source", metavar="SOURCE", envvar="HOLDTRIP_LIBRARY",
    help="Where the parts are: a folder of PDFs, a PDF, a library, a long table or a typed parts table"
         " (CSV, XLSX). Without it, the library (see `holdtrip import --help`).",
)
"""The option of every command that takes parts from anywhere."""


@dataclass(frozen=True, slots=True)
class Source:
    """What a source holds. `name` is how to call it on the screen."""

    name: str
    readings: tuple[Reading, ...]
    texts: tuple[PartText, ...] = ()
    findings: tuple[Finding, ...] = ()
    failures: tuple[Failure, ...] = ()

    @property
    def parts(self) -> tuple[Part, ...]:
        """The readings grouped by part."""
        return readings_to_parts(self.readings, self.texts)


def open_source(typed: str | None) -> Source:
    """Everything a source holds; None is the library of the surroundings."""
    if typed is None:
        return _library_to_source(library_address(None))
    if is_library(typed):
        return _library_to_source(typed)
    path = Path(typed)
    if path.suffix.lower() in TABLE_ENDINGS and path.is_file():
        return _table_to_source(path)
    return _sheets_to_source(path)


def _sheets_to_source(path: Path) -> Source:
    batch = read_batch(paths_to_pdfs([path]))
    return Source(
        str(path),
        tuple(reading for sheet in batch.sheets for reading in sheet.readings),
        tuple(text for sheet in batch.sheets for text in sheet.texts),
        tuple(finding for sheet in batch.sheets for finding in sheet.findings),
        batch.failures,
    )


def _table_to_source(path: Path) -> Source:
    from extract.long_table import is_long_table, read_long_table

    if path.suffix.lower() == ".csv" and is_long_table(path):
        return Source(str(path), read_long_table(path))
    raise InputError(str(path), "not a long table", "a long table")


def _library_to_source(address: str) -> Source:
    raise InputError(address, "no library here yet")
