"""Two readers that share no table, heading or record, held against each other: what both find is agreed.

Comes in: the readings of the first reader (sheet.py's tables, their digits read again by camelot and
pdfium) and
those of the second (model_reader.py). Goes out: one list with the standing that both together allow.
Changes no
value, and drops none.

    both give a number to the same part, quantity, limit and condition      agreed
    only one of them does, the other read nothing from that cell            single
    the other gives that cell to another part, quantity or condition        disputed, both
    one statement, two values                                               disputed, both
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from extract.schema import AT_AMBIENT, Kind, Quantity, Reading, Status

SAME_SHARE = 1e-6  # two readers take the same digits: only floating dust may differ
NEAR_PT = 1.0
STRAY = 3.0  # times off: a lone further value is no contradiction but another table's number
ONE_ONLY = "found by one of two readers only"
ELSEWHERE = "two readers give this cell to different parts, quantities or conditions"
TWO_VALUES = "two readers find different values"
DIGIT_DOUBTS = (
    "another text reader sees",
    "the second reading sees",
    "its part number:",
    "the sheet prints",
    "recognised as",
)
"""How notes begin that tell of digits seen differently, not of a meaning that one reader alone could not
prove."""

Statement = tuple[str, Quantity, Kind, float | None, float | None]
"""Part, quantity, kind, ambient and test current, as two readers may write them."""


@dataclass(frozen=True, slots=True)
class _Found:
    """A reading of one reader with what it states and where it stands."""

    reading: Reading
    statement: Statement


def readings_to_fused(
    first: Sequence[Reading], second: Sequence[Reading], digits_twice: frozenset[int]
) -> tuple[Reading, ...]:
    """The readings of both readers, each statement and value once, with the standing both allow.

    digits_twice: pages whose digits another library read too; on others two readers of one text are no two
    readings. What contradicts a value that both state is kept and disputed, but for what the second reader
    alone finds so far off that it can only come from another table.
    """
    ones, others = _told(first), _told(second)
    by_statement, ones_by_statement = _by_statement(others), _by_statement(ones)
    settled = {one.statement for one in ones if _has_same(one, by_statement)}
    ones = [one for one in ones if not (one.statement in settled and _is_refuted(one, others))]
    fused = [_first_fused(one, by_statement, others, digits_twice) for one in ones]
    for other in others:
        theirs = ones_by_statement.get(other.statement, [])
        stray = other.statement in settled and not any(_is_near(one.reading, other.reading) for one in theirs)
        if not (stray or _has_same(other, ones_by_statement) or _is_told(other, ones_by_statement)):
            fused.append(_second_only(other, ones_by_statement, ones))
    return _with_one_kind(fused)


def _is_refuted(one: _Found, others: Sequence[_Found]) -> bool:
    """Whether the other reader states something else of this cell, and this statement of another cell with
    another
    value that both readers find: a trip row taken for a second hold row."""
    same = [o for o in others if _is_same_cell(one.reading, o.reading)]
    return bool(same) and all(o.statement != one.statement for o in same)


def _is_near(one: Reading, other: Reading) -> bool:
    """Whether two values may be two printings of one number, one of them a misprint."""
    return one.value < STRAY * other.value and other.value < STRAY * one.value


def _with_one_kind(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Where one reader names AC or DC and the other no kind for the same value, the named kind is the
    kind."""
    named: dict[tuple[str, Quantity, float], set[Kind]] = defaultdict(set)
    for r in readings:
        if r.kind in (Kind.AC, Kind.DC):
            named[part_key(r.part_number), r.quantity, r.value].add(r.kind)
    kept = []
    for r in readings:
        kinds = named.get((part_key(r.part_number), r.quantity, r.value), set())
        if r.kind is not Kind.NONE or len(kinds) != 1:
            kept.append(r)
    return tuple(kept)


def _is_told(other: _Found, ones_by_statement: dict[Statement, list[_Found]]) -> bool:
    """Whether the first reader states something of the same cell in the same words: its dispute tells of
    both."""
    ones = ones_by_statement.get(other.statement, ())
    return any(_is_same_cell(one.reading, other.reading) for one in ones)


def _told(readings: Iterable[Reading]) -> list[_Found]:
    listed = list(readings)
    kinds: dict[tuple[str, Quantity], set[Kind]] = defaultdict(set)
    for reading in listed:
        kinds[part_key(reading.part_number), reading.quantity].add(reading.kind)
    return [_Found(r, _statement(r, kinds[part_key(r.part_number), r.quantity])) for r in listed]


def _statement(reading: Reading, kinds: set[Kind]) -> Statement:
    """What a reading states. AC or DC counts only where a part has both; a typical power and an unlabelled
    one
    are one."""
    kind = reading.kind
    if kind in (Kind.AC, Kind.DC) and len(kinds) == 1:
        kind = Kind.NONE
    if reading.quantity is Quantity.TRIPPED_POWER and kind is not Kind.MAX:
        kind = Kind.NONE
    test_a = reading.test_current_a
    return (
        part_key(reading.part_number),
        reading.quantity,
        kind,
        reading.ambient_c if reading.quantity in AT_AMBIENT else None,
        None if test_a is None else float(f"{test_a:.5g}"),
    )


def part_key(part_number: str) -> str:
    """A part number for comparing two readers: letters, digits and the series' `*`."""
    return re.sub(r"[^A-Z0-9*]", "", unicodedata.normalize("NFKC", part_number).upper())


def _by_statement(found: Iterable[_Found]) -> dict[Statement, list[_Found]]:
    grouped: dict[Statement, list[_Found]] = defaultdict(list)
    for one in found:
        grouped[one.statement].append(one)
    return grouped


def _has_same(one: _Found, by_statement: dict[Statement, list[_Found]]) -> bool:
    return any(_same(one.reading, other.reading) for other in by_statement.get(one.statement, ()))


def _same(one: Reading, other: Reading) -> bool:
    return abs(one.value - other.value) <= SAME_SHARE * max(abs(one.value), abs(other.value))


def _first_fused(
    one: _Found,
    by_statement: dict[Statement, list[_Found]],
    others: Sequence[_Found],
    digits_twice: frozenset[int],
) -> Reading:
    """A reading of the first reader, as the second bears it out or not."""
    theirs = by_statement.get(one.statement, [])
    equal = [other.reading for other in theirs if _same(one.reading, other.reading)]
    if not theirs:
        return _alone(one, others)
    if not equal:
        seen = ", ".join(dict.fromkeys(f"{other.reading.value:g}" for other in theirs))
        return _disputed(_surer(one, theirs), f"{TWO_VALUES}: {one.reading.value:g} and {seen}")
    return _borne_out(one.reading, equal, one.reading.place.page in digits_twice)


def _surer(one: _Found, theirs: Sequence[_Found]) -> Reading:
    """Of two values for one cell the one whose reader has no doubt of its own; else the first reader's."""
    if one.reading.status is not Status.DISPUTED:
        return one.reading
    surer = (o.reading for o in theirs if o.reading.status is not Status.DISPUTED)
    return next((r for r in surer if _is_same_cell(one.reading, r)), one.reading)


def _borne_out(reading: Reading, equal: Sequence[Reading], twice: bool) -> Reading:
    """Both readers state the same. A doubt about digits stays; one about meaning is settled where the other
    reader, on its own, has none."""
    sure = any(other.status is not Status.DISPUTED for other in equal)
    if reading.status is Status.SINGLE:
        return replace(reading, status=Status.AGREED, notes=()) if sure and twice else reading
    if reading.status is Status.DISPUTED and sure and not _doubts_digits(reading):
        return replace(reading, status=Status.SINGLE)
    return reading


def _doubts_digits(reading: Reading) -> bool:
    return any(note.startswith(DIGIT_DOUBTS) for note in reading.notes)


def _alone(one: _Found, others: Sequence[_Found]) -> Reading:
    """A reading that the other reader does not make: single, or disputed where it reads the cell
    otherwise."""
    if any(_is_same_cell(one.reading, other.reading) for other in others):
        return _disputed(one.reading, ELSEWHERE)
    if one.reading.status is Status.DISPUTED:
        return one.reading
    return replace(one.reading, status=Status.SINGLE, notes=(*one.reading.notes, ONE_ONLY))


def _second_only(
    other: _Found, by_statement: dict[Statement, list[_Found]], ones: Sequence[_Found]
) -> Reading:
    if by_statement.get(other.statement):
        return _disputed(other.reading, TWO_VALUES)
    return _alone(other, ones)


def _is_same_cell(one: Reading, other: Reading) -> bool:
    """Whether two readings stand in one cell: the middle of either lies in the other's box."""
    return one.place.page == other.place.page and (_holds(one, other) or _holds(other, one))


def _holds(outer: Reading, inner: Reading) -> bool:
    a, b = outer.place, inner.place
    x, y = (b.x0 + b.x1) / 2, (b.top + b.bottom) / 2
    return a.x0 - NEAR_PT <= x <= a.x1 + NEAR_PT and a.top - NEAR_PT <= y <= a.bottom + NEAR_PT


def _disputed(reading: Reading, note: str) -> Reading:
    return replace(reading, status=Status.DISPUTED, notes=(*reading.notes, note))
