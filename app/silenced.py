"""Findings a person has looked at, "the source really says this", kept in the library.

Comes in: options, a report, the library. Goes out: keys not to raise again. Judges nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.library_options import library_address, library_option, who_option
from app.option_groups import option_group
from app.screen import say
from extract.parts_table import TableFinding, TableReport
from extract.parts_table.cells import fold_part_number
from extract.parts_table.checking import Key, code_to_family, table_finding_to_finding

if TYPE_CHECKING:
    from library.records import Signature
    from library.store import Library


@dataclass(frozen=True, slots=True)
class SilenceOptions:
    """Which finding is as the source says, why, who says so, and the library that remembers."""

    number: int | None
    reason: str
    who: str
    library: str | None


silence_options = option_group(
    "silence", SilenceOptions,
    click.option("--silence", "number", metavar="NO", type=click.IntRange(min=1),
                 help="The source really says what finding NO finds: remember it in the library, raise it no"
                      " more. Needs --because."),
    click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later."),
    who_option,
    library_option,
)


def silenced_keys(options: SilenceOptions) -> frozenset[Key]:
    """What the library says not to raise again; nothing if there is no library yet."""
    address = library_address(options.library)
    if options.library is None and not _exists(address):
        return frozenset()
    from library.store import open_library

    with open_library(address, create=options.number is not None) as library:
        return library_to_keys(library)


def library_to_keys(library: Library) -> frozenset[Key]:
    """What an open library says not to raise again."""
    known = [silence.key for silence in library.silenced()]
    return frozenset((code_to_family(key.code), fold_part_number(key.part_number), key.quantity or "",
                      key.value) for key in known)


def silence(library: Library, finding: TableFinding, by: Signature) -> None:
    """Remember one finding in an open library; raises InputError without a reason."""
    from library.silences import finding_to_key

    library.silence(finding_to_key(table_finding_to_finding(finding)), by)


def _exists(address: str) -> bool:
    return "://" in address or Path(address).is_file()


def silence_finding(report: TableReport, options: SilenceOptions) -> None:
    """Remember one finding of the report."""
    if options.number is None or options.number > len(report.findings):
        raise click.UsageError(f"--silence {options.number}: there are {len(report.findings)} findings")
    from library.records import Signature
    from library.store import open_library

    finding = report.findings[options.number - 1]
    with open_library(library_address(options.library)) as library:
        silence(library, finding, Signature(options.who, options.reason))
        say(f"finding {options.number}, {finding.code} of {finding.part_number or 'the table'}:"
            f" remembered in {library.name}")
