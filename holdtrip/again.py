"""`holdtrip import --again`: stored copies read again, by this holdtrip and with what is remembered now.

Comes in: an open library, its copies. Goes out: a table of what changes; nothing is changed without --take,
and what somebody decided on never is.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from extract.batch import SheetOutcome
from extract.errors import InputError
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.library.reading_again import AgainOutcome
from holdtrip.library.records import SheetRow
from holdtrip.library.store import Library
from holdtrip.memory import library_to_known, sheet_with_memory
from holdtrip.screen import say, show_table
from holdtrip.sheet_files import SheetFiles
from holdtrip.sheets import read_each, sheet_to_renamed

HEADINGS = ["Datasheet", "Settled", "In doubt now", "Other value", "New", "Gone", "Parts", "Kept",
            "Sizes and the like"]


def read_stored_again(
    opened: Library, files: SheetFiles, names: Sequence[str], take: str | None, one_reading: bool
) -> int:
    """Read the copies of all sheets, or of those named (file name or first letters of the sha256), again;
    `take` is who takes what is read otherwise now into the library."""
    rows = _named_rows(opened.sheets(), names)
    copies = {path: row for row in rows if (path := files.path_of(row.sha256)) is not None}
    known = library_to_known(opened)
    outcomes: list[AgainOutcome] = []
    failed = [f"{row.document}: no sound copy is kept" for row in rows if row not in copies.values()]
    lines: list[str] = []
    for outcome in read_each(list(copies), one_reading=one_reading, particulars=True):
        row = copies[outcome.path]
        if outcome.reading is None:
            failed.append(_reason(outcome, row))
            continue
        read, used = sheet_with_memory(sheet_to_renamed(outcome.reading, row.document), known)
        lines += used
        outcomes.append(opened.take_again(read, take) if take else opened.compare_again(read))
    _tell(outcomes, failed, lines, took=take is not None)
    return FOUND_SOMETHING if failed else ALL_WELL


def _named_rows(rows: Sequence[SheetRow], names: Sequence[str]) -> list[SheetRow]:
    wanted = [Path(name).name for name in names]
    for name in wanted:
        if not any(_is_called(row, name) for row in rows):
            raise InputError(name, "no such datasheet in the library",
                             "the file name of a stored one, or the first letters of its sha256")
    return [row for row in rows if not wanted or any(_is_called(row, name) for name in wanted)]


def _is_called(row: SheetRow, name: str) -> bool:
    return row.document == name or row.sha256.startswith(name)


def _reason(outcome: SheetOutcome, row: SheetRow) -> str:
    return (outcome.error or "").replace(outcome.path.name, row.document)


def _tell(outcomes: Sequence[AgainOutcome], failed: Sequence[str], lines: Sequence[str], took: bool) -> None:
    other = sorted((one for one in outcomes if not one.is_same), key=lambda one: one.document)
    if other:
        show_table(HEADINGS, [_outcome_to_row(one) for one in other],
                   numbers=range(1, len(HEADINGS)), title="Read otherwise now")
    for line in (*lines, *(_kept_to_said(one) for one in other if one.kept)):
        say(line)
    for reason in failed:
        say(f"not read: {reason}", style="bold red")
    say(f"{counted(len(outcomes), 'datasheet')} read again, {len(outcomes) - len(other)} as they are stored"
        + _taken_to_said(sum(len(one.parts) for one in other), took))


def _outcome_to_row(one: AgainOutcome) -> list[str]:
    """How many numbers and parts of a sheet are read otherwise."""
    figures = (one.settled, one.doubted, one.changed, one.new, one.gone, len(one.parts), len(one.kept))
    return [one.document, *map(str, figures), "other" if one.particulars else "same"]


def _kept_to_said(one: AgainOutcome) -> str:
    """What is not taken, since a person's word stands."""
    more = " ..." if len(one.kept) > 6 else ""
    return (f"{one.document}: left as they are, since somebody decided on them: "
            f"{', '.join(one.kept[:6])}{more}; `holdtrip reopen` a part, then read again")


def _taken_to_said(parts: int, took: bool) -> str:
    """What became of the parts read otherwise."""
    if took:
        return f"; {counted(parts, 'part')} taken as read now"
    return f"; nothing was changed: --take takes {counted(parts, 'part')} as read now" if parts else ""
