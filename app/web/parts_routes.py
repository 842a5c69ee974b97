"""Parts: the list with search, range and order; one part with its numbers and history.

Comes in: queries. Goes out: JSON. Searches as `holdtrip list` does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, HTTPException, Query
from pydantic import BaseModel, Field

from app.numbers import KINDS, NAMES, conditions_to_text, value_to_text
from app.part_table import reading_to_order
from app.web.desk import Desk
from app.web.number_rows import NumberRow, number_to_row
from app.web.typed_fields import Sha256InQuery, Words, WordsInQuery
from extract.schema import WHOLE_SERIES, PartText
from library.records import PartFilter, PartRow, PartState, StoredNumber
from library.sheet_changes import NumberChange

Order = Literal["imported", "part_number", "hold_current", "disputed", "undecided", "state", "document"]
Amperes = Annotated[float | None, Field(ge=0, le=1e6)]

_KEYS: dict[str, Callable[[PartRow], tuple[object, ...]]] = {
    "part_number": lambda row: (row.part_number.casefold(),),
    "hold_current": lambda row: (row.hold_current_max_a is None, row.hold_current_max_a or 0.0),
    "disputed": lambda row: (row.disputed,),
    "undecided": lambda row: (row.undecided,),
    "state": lambda row: (list(PartState).index(row.state),),
    "document": lambda row: (row.document.casefold(),),
}


class PartsAsked(BaseModel):
    """Which parts, in which order, how many at most; hold currents in A."""

    like: Words = ""
    state: PartState | None = None
    hold_min_a: Amperes = None
    hold_max_a: Amperes = None
    order: Order = "imported"
    descending: bool = False
    limit: Annotated[int, Field(ge=1, le=1000)] = 200


@dataclass(frozen=True, slots=True)
class PartList:
    """A page of the list: `found` counts all parts that match, `total` all parts in force."""

    found: int
    total: int
    rows: tuple[PartRow, ...]


@dataclass(frozen=True, slots=True)
class PartEvent:
    """One change that touched a part."""

    at: datetime
    who: str
    action: str
    reason: str
    subject: str


@dataclass(frozen=True, slots=True)
class RevisionChange:
    """A number that a newer revision of the sheet prints otherwise; texts with unit, "absent" for none."""

    document: str
    revision: str
    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PartSheet:
    """One part of one datasheet: every number as printed with what was said of it, its texts, its story."""

    part: PartRow
    numbers: tuple[NumberRow, ...]
    texts: tuple[PartText, ...]
    events: tuple[PartEvent, ...]
    revisions: tuple[RevisionChange, ...]
    others: tuple[PartRow, ...]


def parts_router(desk: Desk) -> APIRouter:
    """The routes of parts."""
    router = APIRouter(prefix="/api/parts", tags=["parts"])

    @router.get("")
    def list_parts(asked: Annotated[PartsAsked, Query()]) -> PartList:
        """Parts in force, those with a text in their number, of a state, within a range of hold current."""
        states = (asked.state,) if asked.state else ()
        where = PartFilter(asked.like, states, asked.hold_min_a, asked.hold_max_a)
        rows = list(desk.library.list_parts(where))
        if asked.order in _KEYS:
            rows.sort(key=_KEYS[asked.order], reverse=asked.descending)
        elif asked.descending:
            rows.reverse()
        total = len(rows) if where == PartFilter() else len(desk.library.list_parts())
        return PartList(len(rows), total, tuple(rows[:asked.limit]))

    @router.get("/one")
    def one_part(number: WordsInQuery, sheet: Sha256InQuery) -> PartSheet:
        """One part of one datasheet, whole."""
        rows = desk.library.sheet_rows(sheet)
        row = next((row for row in rows if row.part_number == number), None)
        if row is None:
            raise HTTPException(404, "no such part in that datasheet")
        return _row_to_sheet(desk, row)

    return router


def _row_to_sheet(desk: Desk, row: PartRow) -> PartSheet:
    numbers = [one for one in desk.library.sheet_numbers(row.sha256)
               if one.reading.part_number in (row.part_number, WHOLE_SERIES)]
    numbers.sort(key=lambda one: reading_to_order(one.reading))
    stored = desk.library.sheet(row.sha256)
    texts = tuple(text for text in stored.texts if text.part_number == row.part_number) if stored else ()
    events = tuple(PartEvent(one.at, one.who, one.action.value, one.reason, one.subject)
                   for one in desk.library.history(row.part_number))
    others = tuple(other for other in desk.library.list_parts(PartFilter(like=row.part_number), None, False)
                   if other.part_number == row.part_number and other.sha256 != row.sha256)
    return PartSheet(row, tuple(map(number_to_row, numbers)), texts, events, _revisions(desk, row), others)


def _revisions(desk: Desk, row: PartRow) -> tuple[RevisionChange, ...]:
    return tuple(
        RevisionChange(changes.newer.document, changes.newer.revision, _what(number), _values(number.before),
                       _values(number.after))
        for changes in desk.library.changes()
        if row.sha256 in (changes.newer.sha256, changes.older.sha256)
        for number in changes.numbers if number.part_number == row.part_number)


def _what(change: NumberChange) -> str:
    words = (NAMES[change.quantity], KINDS[change.kind],
             conditions_to_text(change.ambient_c, change.test_current_a))
    return " ".join(filter(None, words))


def _values(numbers: tuple[StoredNumber, ...]) -> str:
    texts = (value_to_text(one.reading.quantity, one.reading.value) for one in numbers)
    return ", ".join(dict.fromkeys(texts)) or "absent"
