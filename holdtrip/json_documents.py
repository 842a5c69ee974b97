"""What commands say as JSON: one record for each command, its schema beside it (holdtrip/schemas/).

Comes in: what a command would show. Goes out: JSON text, or the JSON Schema of a record. Values are SI,
places
are points from the top left of the page. Decides nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter

from extract.schema import Part, Severity, SheetReading
from holdtrip.library.records import Change, Failure, PartRow, StoredNumber
from holdtrip.library.sheet_changes import SheetChanges


@dataclass(frozen=True, slots=True)
class NotRead:
    """A file that could not be read, and why."""

    path: str
    reason: str


@dataclass(frozen=True, slots=True)
class ReadDocument:
    """`holdtrip read --json`: every sheet with its numbers, findings, questions, curves and account."""

    sheets: tuple[SheetReading, ...]
    not_read: tuple[NotRead, ...]
    format: str = "holdtrip read 1"


@dataclass(frozen=True, slots=True)
class ShowDocument:
    """`holdtrip show --json`: the part as sheets say it (`parts`), or as the library has it (`rows`, and
    `numbers` with what was decided of each). `newer` are sentences on newer revisions."""

    source: str
    parts: tuple[Part, ...] = ()
    rows: tuple[PartRow, ...] = ()
    numbers: tuple[StoredNumber, ...] = ()
    newer: tuple[str, ...] = ()
    format: str = "holdtrip show 1"


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part of sheets or tables, and how many numbers they give for it."""

    part_number: str
    document: str
    sha256: str
    numbers: int


@dataclass(frozen=True, slots=True)
class ListDocument:
    """`holdtrip list --json`: the parts of a library (`rows`) or of sheets (`parts`), or what could not be
    read (`failures`)."""

    source: str
    rows: tuple[PartRow, ...] = ()
    parts: tuple[ListedPart, ...] = ()
    failures: tuple[Failure, ...] = ()
    format: str = "holdtrip list 1"


@dataclass(frozen=True, slots=True)
class HistoryDocument:
    """`holdtrip history --json`: the changes asked for, oldest first, times with their offset."""

    source: str
    changes: tuple[Change, ...]
    format: str = "holdtrip history 1"


@dataclass(frozen=True, slots=True)
class ChangesDocument:
    """`holdtrip changes --json`: what each newer revision changed."""

    source: str
    revisions: tuple[SheetChanges, ...]
    format: str = "holdtrip changes 1"


@dataclass(frozen=True, slots=True)
class ExplainedCode:
    """A code of findings, its worst severity, what it says, and its page in Markdown."""

    code: str
    severity: Severity
    title: str
    page: str


@dataclass(frozen=True, slots=True)
class ExplainDocument:
    """`holdtrip explain --json`: the codes asked for."""

    codes: tuple[ExplainedCode, ...]
    format: str = "holdtrip explain 1"


DOCUMENTS: dict[str, type[Any]] = {
    "read": ReadDocument,
    "show": ShowDocument,
    "list": ListDocument,
    "history": HistoryDocument,
    "changes": ChangesDocument,
    "explain": ExplainDocument,
}
"""The record of each command."""


def document_to_json(document: object) -> str:
    """A record as JSON, indented, one final line end. Raises ValueError for a number that JSON has not."""
    adapter: TypeAdapter[Any] = TypeAdapter(type(document))
    return adapter.dump_json(document, indent=1).decode("utf-8") + "\n"


def command_to_schema(command: str) -> dict[str, Any]:
    """The JSON Schema (2020-12) of what a command writes."""
    schema = TypeAdapter(DOCUMENTS[command]).json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
