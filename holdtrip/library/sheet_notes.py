"""What people say of a datasheet as a whole: who is to review it, and comments.

Comes in: a connection, a sheet, words, a signature. Goes out: notes with who said them when. Nothing is taken
away: who is assigned anew stands beside who was before, in the history.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import Connection, insert, select, update

from extract.errors import InputError
from holdtrip.library.filing import named_sheet
from holdtrip.library.history import SAID_AT, add_change, holds_at, text_to_time
from holdtrip.library.records import Action, Signature
from holdtrip.library.tables import change, sheet, sheet_note

LONGEST = 4000
"""A comment may be so long, characters."""


class NoteKind(StrEnum):
    """What a note is."""

    ASSIGNED = "assigned"
    COMMENT = "comment"


@dataclass(frozen=True, slots=True)
class SheetNote:
    """A note on a sheet; of the kind ASSIGNED the text is a name, empty for nobody."""

    sha256: str
    kind: NoteKind
    text: str
    who: str
    at: datetime


def connection_to_notes(connection: Connection, version: int, sha256: str = "") -> tuple[SheetNote, ...]:
    """The notes in force, oldest first: of every sheet, or of one."""
    query = (
        select(sheet.c.sha256, sheet_note.c.kind, sheet_note.c.text, change.c.who, SAID_AT)
        .join(sheet, sheet.c.id == sheet_note.c.sheet_id).join(change, change.c.id == sheet_note.c.change_id)
        .where(holds_at(sheet_note, version)).order_by(sheet_note.c.id))
    if sha256:
        query = query.where(sheet.c.sha256 == sha256)
    return tuple(SheetNote(digest, NoteKind(kind), text, who, text_to_time(at))
                 for digest, kind, text, who, at in connection.execute(query))


def assign(connection: Connection, named: str, name: str, by: Signature) -> str:
    """Say who is to review a sheet, nobody for an empty name; returns the sheet's name."""
    one, name = named_sheet(connection, named), " ".join(name.split())
    version = add_change(connection, Action.ASSIGN, by)
    connection.execute(update(sheet_note).values(replaced_by=version).where(
        sheet_note.c.sheet_id == one.sheet_id, sheet_note.c.kind == NoteKind.ASSIGNED.value,
        sheet_note.c.replaced_by.is_(None)))
    _add(connection, version, one.sheet_id, NoteKind.ASSIGNED, name)
    return one.document


def comment(connection: Connection, named: str, text: str, by: Signature) -> str:
    """Add a comment to a sheet; returns the sheet's name."""
    one, text = named_sheet(connection, named), text.strip()
    if not text or len(text) > LONGEST:
        raise InputError(one.document, f"a comment of {len(text)} characters", f"1 to {LONGEST}")
    _add(connection, add_change(connection, Action.COMMENT, by), one.sheet_id, NoteKind.COMMENT, text)
    return one.document


def take_in_notes(connection: Connection, notes: Iterable[SheetNote]) -> int:
    """Notes of another library; those known here, and assignments of sheets assigned here, are left out."""
    count = 0
    for one in notes:
        sheet_id = connection.execute(select(sheet.c.id).where(sheet.c.sha256 == one.sha256)).scalar()
        here = select(sheet_note.c.id).where(sheet_note.c.sheet_id == sheet_id,
                                             sheet_note.c.kind == one.kind.value)
        if one.kind is NoteKind.COMMENT:
            here = here.where(sheet_note.c.text == one.text)
        if sheet_id is None or connection.execute(here).first() is not None:
            continue
        action = Action.ASSIGN if one.kind is NoteKind.ASSIGNED else Action.COMMENT
        version = add_change(connection, action, Signature(one.who, said_at=one.at))
        _add(connection, version, sheet_id, one.kind, one.text)
        count += 1
    return count


def _add(connection: Connection, version: int, sheet_id: int, kind: NoteKind, text: str) -> None:
    connection.execute(insert(sheet_note).values(
        change_id=version, sheet_id=sheet_id, kind=kind.value, text=text))
