"""Disputed numbers of a sheet in groups, each with one question a person can answer at once.

Comes in: stored numbers of one sheet. Goes out: causes: what is in doubt, in plain words, and the numbers
that hang on it. Numbers belong together when they share a reason: the same row of a table, the same two
values, the same broken rule. Decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from extract.schema import Reading, Status
from holdtrip.library.records import StoredNumber
from holdtrip.numbers import NAMES, condition_to_text, value_to_text
from holdtrip.web.plain_reasons import note_to_words, notes_to_label, notes_to_reasons


@dataclass(frozen=True, slots=True)
class ReviewCause:
    """`sort` is row (one printed row, several parts), values (one number, several values) or other; `title`
    names it, `reasons` are sentences, `number_ids` are its numbers in printed order."""

    cause_id: int
    sort: str
    title: str
    reasons: tuple[str, ...]
    parts: tuple[str, ...]
    pages: tuple[int, ...]
    number_ids: tuple[int, ...]


def numbers_to_causes(numbers: Iterable[StoredNumber]) -> tuple[ReviewCause, ...]:
    """Every number in doubt in exactly one cause, numbered from 1 in printed order: those disputed, and
    those of a row that may speak of several parts."""
    groups = _grouped([one for one in numbers if _is_in_doubt(one.reading)])
    return tuple(_group_to_cause(number, group) for number, group in enumerate(groups, 1))


def _is_in_doubt(reading: Reading) -> bool:
    return reading.status is Status.DISPUTED or (
        reading.status is Status.SINGLE and any(note.startswith("the row '") for note in reading.notes))


def _grouped(numbers: list[StoredNumber]) -> list[list[StoredNumber]]:
    """Numbers that share a key, however indirectly; each group in printed order, the groups by their
    first."""
    leader: dict[object, object] = {}

    def root(of: object) -> object:
        while leader.setdefault(of, of) != of:
            of = leader[of]
        return of

    for one in numbers:
        for key in _keys(one.reading):
            leader[root(key)] = root(one.number_id)
    groups: dict[object, list[StoredNumber]] = {}
    for one in sorted(numbers, key=_printed_order):
        groups.setdefault(root(one.number_id), []).append(one)
    return list(groups.values())


def _keys(reading: Reading) -> Iterator[object]:
    """What ties a number to others: a row of several parts, a rule its part breaks, a column's fault."""
    reasons = notes_to_reasons(reading.notes)
    row = [reason for reason in reasons if reason.startswith("the row '")]
    if row:  # whatever else is said of such numbers follows from not knowing whose they are
        yield reading.place.page, row[0]
        return
    for reason in reasons:
        if _is_of_column(reason):
            yield reason, reading.place.page, reading.quantity, reading.kind
        else:
            slot = (reading.quantity, reading.ambient_c) if reason.startswith("the sheet prints") else ()
            yield reading.part_number, reason, slot


def _is_of_column(reason: str) -> bool:
    """Whether a doubt is about a heading or a unit, so about every number below it."""
    return any(word in reason for word in _OF_COLUMN)


_OF_COLUMN = ("heading", "unit", "column", "ambient is stated", "says hold or trip")


def _printed_order(one: StoredNumber) -> tuple[float, ...]:
    place = one.reading.place
    return place.page, place.top, place.x0, one.number_id


def _group_to_cause(number: int, group: list[StoredNumber]) -> ReviewCause:
    parts = tuple(dict.fromkeys(one.reading.part_number for one in group))
    notes = dict.fromkeys(note for one in group for note in notes_to_reasons(one.reading.notes))
    sort = _group_to_sort(group, parts)
    if sort == "row":
        notes = dict.fromkeys(note for note in notes if note.startswith("the row '"))
    # What tells the values apart stands before what the pictures show anyway.
    listed = sorted(notes, key=lambda note: note.startswith("the sheet prints") or "both given as" in note)
    reasons = [note_to_words(note) for note in listed]
    return ReviewCause(number, sort, _title(sort, group, parts), tuple(reasons), parts,
                       tuple(sorted({one.reading.place.page for one in group})),
                       tuple(one.number_id for one in group))


def _group_to_sort(group: list[StoredNumber], parts: tuple[str, ...]) -> str:
    if len(parts) > 1 and any(note.startswith("the row '") for one in group for note in one.reading.notes):
        return "row"
    slots = {(one.reading.quantity, one.reading.kind, one.reading.ambient_c, one.reading.test_current_a)
             for one in group}
    return "values" if len(parts) == 1 and len(slots) == 1 and len(group) > 1 else "other"


def _title(sort: str, group: list[StoredNumber], parts: tuple[str, ...]) -> str:
    first = group[0].reading
    what = " ".join(filter(None, (NAMES[first.quantity], condition_to_text(first))))
    if sort == "row":
        label = notes_to_label(first.notes) or first.part_number
        return f"Does the row “{label}” speak of {len(parts)} parts?"
    if sort == "values":
        values = dict.fromkeys(value_to_text(one.reading.quantity, one.reading.value) for one in group)
        return f"{what[:1].upper()}{what[1:]}: {' or '.join(values)}?"
    of = parts[0] if len(parts) == 1 else f"{len(parts)} parts"
    if len(group) == 1:
        return f"{what[:1].upper()}{what[1:]} of {of}: {value_to_text(first.quantity, first.value)}?"
    quantities = dict.fromkeys(NAMES[one.reading.quantity] for one in group)
    return f"{', '.join(quantities).capitalize()} of {of}: do they fit together?"
