"""`holdtrip sheet`: a stored datasheet as a whole: its name, its revisions, who reviews it, comments."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.filing import Filed
from holdtrip.library.records import SheetRow, Signature
from holdtrip.library.sheet_notes import NoteKind
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say, show_table

EXAMPLES = """\b
Examples:
  holdtrip sheet                                       every datasheet, with who reviews it
  holdtrip sheet qx_2031.pdf                           one: revisions, assignment, comments
  holdtrip sheet qx_2031.pdf --assign Ann
  holdtrip sheet qx_2031.pdf --comment "page 4 is a scan; ask the maker for the original"
  holdtrip sheet 3fa1c2 --rename qx_2031_rev_b.pdf
  holdtrip sheet 3fa1c2 --apart --because "another series, only the numbers are alike"
  holdtrip sheet 3fa1c2 --revision-of 9b02 --because "the maker's change notice"
"""


@click.command("sheet", epilog=EXAMPLES)
@click.argument("sheet", metavar="[SHEET]", default="")
@click.option("--rename", "document", metavar="NAME", help="Call it otherwise; its bytes and numbers stay.")
@click.option("--apart", is_flag=True,
              help="It is no revision of the datasheets it was filed with: undo a wrong match.")
@click.option("--revision-of", "older", metavar="SHEET",
              help="It is the next newer revision of this datasheet.")
@click.option("--assign", "name", metavar="NAME", help="Who is to review it; '' for nobody.")
@click.option("--comment", "text", metavar="TEXT", help="A comment, for everybody who opens it.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
@library_option
def command(sheet: str, reason: str, who: str, library: str | None, **said: Any) -> int:
    """Show stored datasheets, or say something of one: its name, or the first letters of its hash.

    An import takes a sheet for a revision of another where they share half of their part numbers. Where that
    is wrong --apart undoes it, and both count; --revision-of says it where it was not seen. Nothing is
    deleted: all stands in the history, and `--as-of` shows how things stood.
    """
    if not sheet and any(value not in (None, False) for value in said.values()):
        raise click.UsageError("name the datasheet: its file name, or the first letters of its hash")
    if said["apart"] and said["older"]:
        raise click.UsageError("--apart or --revision-of, not both")
    with open_library(library_address(library), create=False) as opened:
        if not sheet:
            _list(opened)
        elif any(value not in (None, False) for value in said.values()):
            _change(opened, sheet, Signature(who, reason), Said(**said))
        else:
            _show(opened, sheet)
    return ALL_WELL


@dataclass(frozen=True, slots=True)
class Said:
    """What was typed of one datasheet; None or False where it was not."""

    document: str | None
    apart: bool
    older: str | None
    name: str | None
    text: str | None


def _change(library: Library, sheet: str, by: Signature, said: Said) -> None:
    """Say each thing that was typed, by its own change; the name last, since the sheet is called by it."""
    if said.apart:
        filed = library.set_apart(sheet, by)
        say(f"{filed.document}: no revision of another datasheet any more; its parts stand by themselves")
    if said.older:
        now, before = library.file_after(sheet, said.older, by)
        say(f"{now.document}: filed as the next newer revision of {before.document}")
    if said.name is not None:
        reviewer = said.name.strip() or "nobody in particular"
        say(f"{library.assign(sheet, said.name, by)}: to be reviewed by {reviewer}")
    if said.text is not None:
        say(f"{library.comment(sheet, said.text, by)}: comment kept")
    if said.document is not None:
        was, since = library.rename_sheet(sheet, said.document, by)
        say(f"{was}: called {since} from now on")


def _list(library: Library) -> None:
    rows = library.sheets()
    show_table(["Datasheet", "Hash", "Revision", "Maker", "Parts", "Newest", "Assigned to", "Comments"],
               [[row.document, row.sha256[:12], row.revision, row.house, str(row.parts),
                 "" if row.newest else "a newer one is stored", row.assigned, str(row.comments or "")]
                for row in rows], numbers=[4])
    say(f"{counted(len(rows), 'datasheet')} in {library.name}")


def _show(library: Library, sheet: str) -> None:
    from holdtrip.web.settling import cause_to_name, open_causes

    one = _one(library, sheet)
    filed = library.filed_sheets()
    family = next(each.family for each in filed if each.sha256 == one.sha256)
    revisions = [each for each in filed if each.family == family]
    holds = f"{counted(one.parts, 'part')}, {counted(one.readings, 'number')}"
    say(f"{one.document} ({one.sha256[:12]}), {holds},"
        f" imported by {one.imported_by} on {one.imported_at.astimezone():%Y-%m-%d %H:%M:%S %z}")
    say(f"maker as far as told: {one.house or 'not told'};"
        f" to be reviewed by: {one.assigned or 'nobody named'}")
    say(_revisions(one.sha256, revisions))
    for cause in open_causes(library.sheet_numbers(one.sha256)):
        say(f"open question '{cause_to_name(cause)}', {counted(cause.count, 'number')}: {cause.question}")
    for note in library.notes(one.sha256):
        if note.kind is NoteKind.COMMENT:
            say(f"{note.at.astimezone():%Y-%m-%d %H:%M:%S %z} {note.who}: {note.text}")


def _revisions(sha256: str, revisions: Sequence[Filed]) -> str:
    if len(revisions) == 1:
        return "no other revision of it is stored"
    names = [f"{one.document} ({one.revision or one.sha256[:12]})" for one in revisions]
    this = [one.sha256 for one in revisions].index(sha256)
    names[this] += ", this one"
    return f"revisions, oldest first: {'; '.join(names)}"


def _one(library: Library, sheet: str) -> SheetRow:
    found = library.named_sheet(sheet)
    return next(row for row in library.sheets() if row.sha256 == found.sha256)
