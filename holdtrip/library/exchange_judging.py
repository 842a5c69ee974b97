"""Files of other libraries judged before anything of them is taken in: no row twice, no time to come, no
number that a reading would not have passed.

Comes in: records, sheets made of them. Goes out: the sheets, numbers that a check calls wrong disputed; or an
InputError naming table and row. Stores nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from extract.checked_sheet import sheet_to_checked
from extract.errors import InputError
from extract.schema import UNIT_OF, Quantity, SheetReading, Status
from holdtrip.library.exchange_print import is_printed
from holdtrip.library.exchange_records import (
    AnswerRecord,
    ComparisonRecord,
    CurveDecisionRecord,
    CurveRecord,
    CurveSecondRecord,
    DecisionRecord,
    FailureRecord,
    NoteRecord,
    NumberRecord,
    ParticularRecord,
    Record,
    ReviewRecord,
    SecondRecord,
    SheetRecord,
    SilenceRecord,
    TextRecord,
    records_of,
)
from holdtrip.library.records import LARGEST, Verdict

CLOCKS_APART = timedelta(minutes=10)
"""Two machines' clocks differ by less."""
COLDEST_C = -273.15
MOST_NUMBERS = 10_000_000
"""Of one sheet; a count beyond it is none."""
_DECIDED = frozenset({Status.ACCEPTED.value, Status.CORRECTED.value, Status.BULK.value})
_PLACED = (NumberRecord, TextRecord, CurveRecord, ParticularRecord)
_OF_SHEETS = (*_PLACED, DecisionRecord, CurveDecisionRecord, SecondRecord, CurveSecondRecord, ReviewRecord,
              NoteRecord)
_SHA256 = re.compile(r"[0-9a-f]{64}")
_LETTERS = re.compile(r"[A-Za-zΩΩµμ°%]+")
_MEASURES = {"A": "A", "V": "V", "W": "W", "ohm": "ohm", "Ω": "ohm", "s": "s"}
"""Printed unit, without a prefix → what it measures."""

_KEYS: Mapping[type[Record], Callable[[Any], tuple[object, ...]]] = {
    SheetRecord: lambda row: (row.sha256,),
    NumberRecord: lambda row: (row.sha256, row.number),
    DecisionRecord: lambda row: (row.sha256, row.number, row.at),
    CurveRecord: lambda row: (row.sha256, row.curve),
    CurveDecisionRecord: lambda row: (row.sha256, row.curve, row.at),
    ReviewRecord: lambda row: (row.sha256, row.part_number),
    SilenceRecord: lambda row: (row.code, row.part_number, row.quantity, row.value),
    ComparisonRecord: lambda row: (row.name,),
    AnswerRecord: lambda row: (row.sha256, row.code, row.reach),
    SecondRecord: lambda row: (row.sha256, row.number),
    CurveSecondRecord: lambda row: (row.sha256, row.curve),
    NoteRecord: lambda row: (row.sha256, row.what, row.text, row.who, row.at),
}
"""What names a row of a table: two of the same name are one too many."""

_TIMES: Mapping[type[Record], str] = {
    SheetRecord: "imported_at", DecisionRecord: "at", FailureRecord: "at", SilenceRecord: "at",
    ComparisonRecord: "at", AnswerRecord: "at", CurveDecisionRecord: "at", SecondRecord: "at",
    CurveSecondRecord: "at", NoteRecord: "at",
}


def check_records(records: Sequence[Record]) -> None:
    """Raise InputError for a row that stands twice or belongs to no sheet, a time to come, a hash that is
    none, a place, a value or a temperature that cannot be, or a unit that does not measure its quantity."""
    latest = datetime.now(UTC) + CLOCKS_APART
    for kind, column in _TIMES.items():
        for index, row in enumerate(records_of(kind, records), 1):
            _check_time(f"table {kind.TABLE}, row {index}", getattr(row, column), latest)
    _check_keys(records)
    for index, number in enumerate(records_of(NumberRecord, records), 1):
        _check_unit(f"table numbers, row {index}", number)
        if number.ambient_c is not None and number.ambient_c < COLDEST_C:
            raise InputError(f"table numbers, row {index}", f"the ambient {number.ambient_c:g} °C",
                             "a temperature above absolute zero")
        _check_number(f"table numbers, row {index}", number)
    for index, said in enumerate(records_of(DecisionRecord, records), 1):
        _check_decision(f"table decisions, row {index}", said)
    _check_places(records)


def _check_number(where: str, number: NumberRecord) -> None:
    """Raise InputError for a count, a value or a status that no reading gives."""
    if not 1 <= number.number <= MOST_NUMBERS:
        raise InputError(where, f"number {number.number}", "numbers from 1, in the order read")
    if abs(number.value) > LARGEST:
        raise InputError(where, f"the value {number.value:g}", "a value of a datasheet, in A, V, W, ohm or s")
    if number.status in _DECIDED:
        raise InputError(where, f"the status {number.status}", "agreed, single or disputed, as it was read",
                         "Who accepted it stands in the table decisions")


def _check_decision(where: str, said: DecisionRecord) -> None:
    """Raise InputError for a correction without a value, or with one that no part can have."""
    if said.verdict == Verdict.CORRECTED.value and not 0 < (said.value or 0) <= LARGEST:
        raise InputError(where, "a correction without a value above 0" if not said.value
                         else f"a correction to {said.value:g}", "the right value, in A, V, W, ohm or s")


def _check_places(records: Sequence[Record]) -> None:
    """Raise InputError for a page that a sheet does not have, and for a row of a sheet that is not there."""
    pages: dict[str, int] = {}
    for index, one in enumerate(records_of(SheetRecord, records), 1):
        where = f"table sheets, row {index}"
        if not 1 <= one.page_count <= MOST_NUMBERS:
            raise InputError(where, f"{one.page_count} pages", "one or more")
        if any(not 1 <= page <= one.page_count for page in one.pages_read):
            raise InputError(where, f"pages read: {', '.join(map(str, one.pages_read))[:60]}",
                             f"pages from 1 to {one.page_count}")
        if one.revision_of == one.sha256:
            raise InputError(where, "a revision of itself", "the sha256 of an older sheet")
        pages[one.sha256] = one.page_count
    for row in records:
        if isinstance(row, _OF_SHEETS):
            if row.sha256 not in pages:
                raise InputError(f"table sheets, sha256 {row.sha256[:12]}", "no such row",
                                 "a row for each sheet that other tables name")
            if isinstance(row, _PLACED) and not 1 <= row.page <= pages[row.sha256]:
                raise InputError(f"table {row.TABLE}, sheet {row.sha256[:12]}", f"page {row.page}",
                                 f"pages from 1 to {pages[row.sha256]}")


def _check_keys(records: Sequence[Record]) -> None:
    for kind, key in _KEYS.items():
        seen: set[tuple[object, ...]] = set()
        for index, row in enumerate(records_of(kind, records), 1):
            if key(row) in seen:
                raise InputError(f"table {kind.TABLE}, row {index}", "the same as a row before",
                                 f"one row for each {', '.join(map(str, key(row)))[:80]}")
            seen.add(key(row))
    for index, sheet in enumerate(records_of(SheetRecord, records), 1):
        if not _SHA256.fullmatch(sheet.sha256):
            raise InputError(f"table sheets, row {index}", f"the sha256 '{sheet.sha256[:70]}'",
                             "64 of the letters 0-9 a-f")


def _check_time(where: str, text: str, latest: datetime) -> None:
    try:
        time = datetime.fromisoformat(text)
    except ValueError:
        time = datetime.min
    if time.tzinfo is None:
        raise InputError(where, f"the time '{text}'", "a time such as 2030-01-31T12:00:00+00:00")
    if time > latest:
        raise InputError(where, f"the time {text} lies in the future",
                         f"nothing after {latest:%Y-%m-%d %H:%M}", "Check the clocks of both machines")


def _check_unit(where: str, number: NumberRecord) -> None:
    """A printed unit that is known to measure something else than the quantity does."""
    if number.quantity not in {quantity.value for quantity in Quantity}:
        return  # named when the row is made a reading
    wanted = UNIT_OF[Quantity(number.quantity)]
    measured = {_MEASURES.get(word) or _MEASURES.get(word[1:]) for word in _LETTERS.findall(number.unit)}
    if wanted != "1" and measured - {None} and wanted not in measured:
        raise InputError(where, f"{number.quantity} in '{number.unit}'", f"a unit of {wanted}")


def sheet_to_judged(sheet: SheetReading) -> SheetReading:
    """The sheet with every number disputed that a check calls wrong, as at a reading, or that is not what its
    printed text says; its findings stay."""
    printed = tuple(one if is_printed(one) else replace(one, status=Status.DISPUTED)
                    for one in sheet.readings)
    checked = sheet_to_checked(replace(sheet, readings=printed))
    return SheetReading(
        sheet.document, sheet.sha256, sheet.page_count, sheet.pages_read, sheet.revision, checked.readings,
        sheet.texts, sheet.findings, sheet.curves, sheet.particulars, house=sheet.house)
