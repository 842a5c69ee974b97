"""Findings a person has looked at, "the source really says this", kept in the library.

Comes in: options, a report, the library. Goes out: keys not to raise again. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from extract.parts_table import TableFinding
from extract.parts_table.cells import fold_part_number
from extract.parts_table.checking import (
    Key,
    code_to_family,
    finding_to_statement,
    key_to_mark,
    table_finding_to_finding,
)
from holdtrip.column_meanings import texts_to_pairs
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.option_groups import option_group
from holdtrip.screen import say

if TYPE_CHECKING:
    from holdtrip.library.records import Signature
    from holdtrip.library.silences import Silence
    from holdtrip.library.store import Library


SAME_PART = "part-match-doubtful"
"""Under this code the library remembers which typed part numbers are which printed ones."""


@dataclass(frozen=True, slots=True)
class SilenceOptions:
    """Which findings are as the source says, why, who says so, and the library that remembers."""

    numbers: str
    reason: str
    who: str
    library: str | None


silence_options = option_group(
    "silence", SilenceOptions,
    click.option("--silence", "numbers", metavar="NUMBERS", default="",
                 help="The source really says what these findings find, by number or mark, such as 2,5-7:"
                      " remember it in the library, raise it no more. Needs --because; `holdtrip silences`"
                      " takes it back."),
    click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later."),
    who_option,
    library_option,
)


def silenced_keys(options: SilenceOptions) -> frozenset[Key]:
    """What the library says not to raise again; nothing if there is no library yet."""
    return silences_to_keys(_remembered(options))


def remembered_same(options: SilenceOptions) -> dict[str, str]:
    """Typed part numbers or patterns → printed ones, as remembered."""
    return dict(texts_to_pairs(one.key.value for one in _remembered(options)
                               if one.key.code == SAME_PART and "=" in one.key.value))


def _remembered(options: SilenceOptions) -> tuple[Silence, ...]:
    """Nothing if there is no library yet that was asked for, or that will be made."""
    address = library_address(options.library)
    if not _exists(address) and (options.library is None or options.numbers or options.reason):
        return ()
    from holdtrip.library.store import open_library

    with open_library(address, create=False) as library:
        return library.silenced()


def silences_to_keys(silences: Iterable[Silence]) -> frozenset[Key]:
    """The keys of findings that are not raised again."""
    return frozenset(map(_silence_to_key, silences))


def _silence_to_key(silence: Silence) -> Key:
    key = silence.key
    return code_to_family(key.code), fold_part_number(key.part_number), key.quantity or "", key.value


def silence_to_mark(silence: Silence) -> str:
    """The mark of the finding that was silenced, as `holdtrip check` shows it."""
    return key_to_mark(_silence_to_key(silence))


def library_to_keys(library: Library) -> frozenset[Key]:
    """What an open library says not to raise again."""
    return silences_to_keys(library.silenced())


def silence(library: Library, finding: TableFinding, by: Signature) -> None:
    """Remember one finding in an open library; raises InputError without a reason."""
    from holdtrip.library.silences import finding_to_key

    library.silence(finding_to_key(table_finding_to_finding(finding)), by)


def _exists(address: str) -> bool:
    return "://" in address or Path(address).is_file()


def silence_findings(findings: Sequence[TableFinding], options: SilenceOptions) -> None:
    """Remember findings."""
    from holdtrip.library.records import Signature
    from holdtrip.library.store import open_library

    with open_library(library_address(options.library)) as library:
        for finding in findings:
            silence(library, finding, Signature(options.who, options.reason))
            say(f"{finding.code} of {finding.part_number or 'the table'}, {finding_to_statement(finding)}:"
                f" remembered in {library.name}")


def remember_same(pairs: Iterable[tuple[str, str]], options: SilenceOptions) -> None:
    """Remember which typed part numbers are which printed ones."""
    from holdtrip.library.records import Signature
    from holdtrip.library.silences import FindingKey
    from holdtrip.library.store import open_library

    with open_library(library_address(options.library)) as library:
        for typed, printed in pairs:
            key = FindingKey(SAME_PART, "", None, f"{typed}={printed}")
            library.silence(key, Signature(options.who, options.reason))
            say(f"{typed} is {printed}: remembered in {library.name}")
