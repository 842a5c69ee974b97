"""Parts: the list with search, range and order; one part with its numbers and history.

Comes in: queries. Goes out: JSON. Searches as `holdtrip list` does.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query
from pydantic import BaseModel, Field

from extract.schema import WHOLE_SERIES, PartText
from holdtrip.library.part_facts import PartFacts
from holdtrip.library.records import PartFilter, PartRow, PartState, StoredNumber
from holdtrip.library.sheet_changes import NumberChange
from holdtrip.numbers import KINDS, NAMES, conditions_to_text, value_to_text
from holdtrip.part_table import reading_to_order
from holdtrip.web.desk import Desk
from holdtrip.web.number_rows import NumberRow, number_to_row
from holdtrip.web.part_list import Order, PartsWanted
from holdtrip.web.typed_fields import Sha256InQuery, Words, WordsInQuery

Positive = Annotated[float | None, Field(ge=0, le=1e9)]


class PartsAsked(BaseModel):
    """Which parts, in which order, which page of them; V, A, ohm, s."""

    like: Words = ""
    state: PartState | None = None
    package: Words = ""
    hold_min_a: Positive = None
    hold_max_a: Positive = None
    voltage_min_v: Positive = None
    fault_min_a: Positive = None
    resistance_max_ohm: Positive = None
    time_max_s: Positive = None
    order: Order = "imported"
    descending: bool = False
    offset: Annotated[int, Field(ge=0, le=10_000_000)] = 0
    limit: Annotated[int, Field(ge=1, le=1000)] = 100


@dataclass(frozen=True, slots=True)
class PartOfList:
    """A part in short, with what its sheet gives: the least and the largest of each quantity."""

    part: PartRow
    facts: PartFacts


@dataclass(frozen=True, slots=True)
class PartList:
    """A page of the list: `found` counts all parts that match, `total` all parts in force."""

    found: int
    total: int
    offset: int
    rows: tuple[PartOfList, ...]


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
        """Parts in force, searched by number, package, state and ranges of what they give."""
        wanted = PartsWanted(asked.like, asked.state, asked.package, asked.hold_min_a, asked.hold_max_a,
                             asked.voltage_min_v, asked.fault_min_a, asked.resistance_max_ohm,
                             asked.time_max_s)
        found = desk.part_lists.search(wanted, asked.order, asked.descending)
        shown = found[asked.offset:asked.offset + asked.limit]
        return PartList(len(found), len(desk.part_lists.every()), asked.offset,
                        tuple(PartOfList(one.row, one.facts) for one in shown))

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
