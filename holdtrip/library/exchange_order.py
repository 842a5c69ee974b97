"""One order for the rows of an exchanged library, so that the same library gives the same file everywhere.

Comes in: records in any order. Goes out: the same in the order said: by time, then by name. Adds and drops
none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from holdtrip.library.exchange_records import (
    RECORDS,
    AnswerRecord,
    ComparedPartRecord,
    ComparisonRecord,
    CurveDecisionRecord,
    CurveRecord,
    CurveSecondRecord,
    DecisionRecord,
    FailureRecord,
    NoteRecord,
    NumberRecord,
    Record,
    ReviewRecord,
    SecondRecord,
    SheetRecord,
    SilenceRecord,
    records_of,
)


def in_canonical_order(records: Iterable[Record]) -> tuple[Record, ...]:
    """All tables in the order of RECORDS; sheets by the time of their import, what belongs to a sheet in its
    order, everything said by when it was said."""
    listed = list(records)
    imported = sorted(records_of(SheetRecord, listed), key=lambda one: (one.imported_at, one.sha256))
    kept = sorted(records_of(ComparisonRecord, listed), key=lambda one: (one.at, one.name))
    place = {one.sha256: index for index, one in enumerate(imported)}
    place |= {f"comparison {one.name}": index for index, one in enumerate(kept)}
    return tuple(record for kind in RECORDS
                 for record in sorted(records_of(kind, listed), key=_key_of(kind, place)))


def _key_of(kind: type[Record], place: Mapping[str, int]) -> Callable[[Any], tuple[Any, ...]]:
    keys: dict[type[Record], Callable[[Any], tuple[Any, ...]]] = {
        SheetRecord: lambda one: (place[one.sha256],),
        NumberRecord: lambda one: (place.get(one.sha256, -1), one.number),
        DecisionRecord: lambda one: (one.at, place.get(one.sha256, -1), one.number),
        CurveRecord: lambda one: (place.get(one.sha256, -1), one.curve),
        CurveDecisionRecord: lambda one: (one.at, place.get(one.sha256, -1), one.curve),
        SecondRecord: lambda one: (one.at, place.get(one.sha256, -1), one.number),
        CurveSecondRecord: lambda one: (one.at, place.get(one.sha256, -1), one.curve),
        NoteRecord: lambda one: (one.at, place.get(one.sha256, -1), one.what, one.text),
        ReviewRecord: lambda one: (place.get(one.sha256, -1), one.part_number),
        FailureRecord: lambda one: (one.at, one.document, one.sha256, one.reason),
        SilenceRecord: lambda one: (one.at, one.code, one.part_number, one.quantity or "", one.value),
        ComparisonRecord: lambda one: (one.at, one.name),
        ComparedPartRecord: lambda one: (place.get(f"comparison {one.name}", -1),),
        AnswerRecord: lambda one: (one.at, one.sha256, one.code, one.reach),
    }
    return keys.get(kind, lambda one: (place.get(getattr(one, "sha256", ""), -1),))
