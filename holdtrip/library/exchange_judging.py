"""Files of other libraries judged before anything of them is taken in: no row twice, no time to come, no
number that a reading would not have passed.

Comes in: records, sheets made of them. Goes out: the sheets, numbers that a check calls wrong disputed; or an
InputError naming table and row. Stores nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from extract.checked_sheet import sheet_to_checked
from extract.errors import InputError
from extract.schema import UNIT_OF, Quantity, SheetReading
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

CLOCKS_APART = timedelta(minutes=10)
"""Two machines' clocks differ by less."""
COLDEST_C = -273.15
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
    """Raise InputError for a row that stands twice, a time to come, a hash that is none, a place or a
    temperature that cannot be, or a unit that does not measure its quantity."""
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
    for one in records:
        if isinstance(one, (NumberRecord, TextRecord, CurveRecord, ParticularRecord)) and one.page < 1:
            raise InputError(f"table {one.TABLE}, sheet {one.sha256[:12]}", f"page {one.page}",
                             "pages from 1")


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
    """The sheet with every number disputed that a check calls wrong, as at a reading; its findings stay."""
    checked = sheet_to_checked(sheet)
    return SheetReading(
        sheet.document, sheet.sha256, sheet.page_count, sheet.pages_read, sheet.revision, checked.readings,
        sheet.texts, sheet.findings, sheet.curves, sheet.particulars, house=sheet.house)
