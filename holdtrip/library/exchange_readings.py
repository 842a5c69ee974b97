"""Readings from a table become the records that libraries exchange, so that a table can be imported too.

Comes in: readings (SI, points) of a long or wide table, who imports it. Goes out: records. A table knows
less than a library: a sheet's pages are those its numbers stand on, and an accepted or corrected number is
taken as single, accepted or corrected by whoever imports the table, who stands for it; accepted in bulk, it
stays single.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from hashlib import sha256

from extract.schema import Reading, Status
from holdtrip.library.exchange_records import DecisionRecord, NumberRecord, Record, SheetRecord
from holdtrip.library.history import time_to_text
from holdtrip.library.records import Signature, Verdict

_VERDICTS = {Status.ACCEPTED: Verdict.ACCEPTED, Status.CORRECTED: Verdict.CORRECTED,
             Status.BULK: Verdict.BULK}


def readings_to_records(readings: Iterable[Reading], by: Signature) -> tuple[Record, ...]:
    """The records of the sheets that the readings are of, in the order given.

    Readings without the hash of their sheet are one sheet for each document; its hash is theirs.
    """
    sheets: dict[tuple[str, str], list[Reading]] = {}
    for one in readings:
        sheets.setdefault((one.document, one.sha256), []).append(one)
    at = time_to_text(datetime.now(UTC))
    return tuple(record for (document, digest), numbers in sheets.items()
                 for record in _sheet_to_records(document, digest or _hash_of(numbers), numbers, by.who, at))


def _hash_of(numbers: list[Reading]) -> str:
    return sha256(repr(numbers).encode("utf-8", errors="backslashreplace")).hexdigest()


def _sheet_to_records(
    document: str, digest: str, numbers: list[Reading], who: str, at: str
) -> Iterator[Record]:
    pages = tuple(sorted({one.place.page for one in numbers}))
    yield SheetRecord(digest, document, "", max(pages), pages, who, at)
    for index, one in enumerate(numbers, 1):
        verdict = _VERDICTS.get(one.status)
        place = one.place
        yield NumberRecord(
            digest, index, one.part_number, one.quantity.value, one.kind.value, one.ambient_c,
            one.test_current_a, one.value, (Status.SINGLE if verdict else one.status).value, place.page,
            place.x0, place.top, place.x1, place.bottom, one.raw, one.unit, one.notes)
        if verdict is not None:
            value = one.value if verdict is Verdict.CORRECTED else None
            reason = f"{verdict.value.replace('_', ' ')} in the table imported"
            yield DecisionRecord(digest, index, verdict.value, value, who, at, reason)
