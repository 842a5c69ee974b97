"""Keeps the rows of part_state true: counts decisions anew and puts one revision of each part in force.

Comes in: the parts a change touched. Goes out: new rows of part_state, old ones marked as replaced.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import groupby

from sqlalchemy import Connection, RowMapping, and_, insert, select, update

from extract.schema import Quantity, Status
from holdtrip.library.chunks import chunks
from holdtrip.library.part_states import counts_to_state, index_in_force, verdicts_to_counts
from holdtrip.library.records import PartState, Verdict
from holdtrip.library.signing import POSITIVE, needs_two, weaker_verdict
from holdtrip.library.tables import decision, part, part_state, reading, second_signature, sheet


@dataclass(frozen=True, slots=True)
class StateRow:
    """A row of part_state, of what it is about, without the changes it holds between."""

    part_id: int
    own_state: PartState
    superseded: bool
    live: bool
    undecided: int
    disputed: int
    accepted: int
    rejected: int
    hold_current_min_a: float | None
    hold_current_max_a: float | None
    single: int
    in_bulk: int
    waiting: int


@dataclass(frozen=True, slots=True)
class _Member:
    """A part among the revisions of its family, with its state before the change (None: just imported)."""

    folded: str
    age: float
    before: StateRow | None
    now: StateRow


def renew_states(
    connection: Connection, version: int, part_ids: Iterable[int], under_review: bool = False,
    withdrawn: bool | None = None,
) -> None:
    """Write the states that follow from today's numbers and decisions of some parts of one family;
    `withdrawn` says that they count no longer, or again; None leaves that as it is."""
    touched = set(part_ids)
    counted = _parts_to_counted(connection, touched, needs_two(connection, version))
    members = [_withdrawn(member, withdrawn) if member.now.part_id in touched else member
               for member in _members(connection, touched, counted, under_review)]
    settled: list[_Member] = []
    for _, group in groupby(sorted(members, key=lambda member: (member.folded, -member.age)),
                            key=lambda member: member.folded):
        settled += _put_in_force(list(group))
    _write(connection, version, [member for member in settled if _is_news(member, touched)])


def _withdrawn(member: _Member, withdrawn: bool | None) -> _Member:
    """A part that is withdrawn stays so until it is put back, whatever is decided on it."""
    was = member.before is not None and member.before.own_state is PartState.WITHDRAWN
    if withdrawn or (withdrawn is None and was):
        return replace(member, now=replace(member.now, own_state=PartState.WITHDRAWN))
    return member


def _is_news(member: _Member, touched: set[int]) -> bool:
    """Every part touched gets a row, for its version; others only if their state changes."""
    return member.now.part_id in touched or member.now != member.before


def _put_in_force(newest_first: list[_Member]) -> list[_Member]:
    """The parts of one number with one sheet's in force and the older ones superseded."""
    counting = [member for member in newest_first if member.now.own_state is not PartState.WITHDRAWN]
    if len(counting) < len(newest_first):
        out = [member for member in newest_first if member.now.own_state is PartState.WITHDRAWN]
        dead = [replace(member, now=replace(member.now, live=False, superseded=False)) for member in out]
        return dead + (_put_in_force(counting) if counting else [])
    ages = list(dict.fromkeys(member.age for member in newest_first))
    states = [_state_of_age(newest_first, age) for age in ages]
    with_accepted = [any(member.now.accepted for member in newest_first if member.age == age) for age in ages]
    in_force = ages[index_in_force(states, with_accepted)]
    return [replace(member, now=replace(member.now, live=member.age == in_force,
                                        superseded=member.age < in_force))
            for member in newest_first]


def _state_of_age(members: list[_Member], age: float) -> PartState:
    states = {member.now.own_state for member in members if member.age == age}
    return states.pop() if len(states) == 1 else PartState.IN_REVIEW


@dataclass(slots=True)
class _Counted:
    """Numbers of one part on the way to its counts."""

    verdicts: list[tuple[Status, Verdict | None, bool]]
    holds_a: list[float]


def renew_decided(connection: Connection, version: int) -> int:
    """Renew the states of all parts on which somebody decided: what counts as accepted has changed. Returns
    how many parts."""
    query = (
        select(reading.c.part_id, sheet.c.family).distinct()
        .join(decision, decision.c.reading_id == reading.c.id).join(part, part.c.id == reading.c.part_id)
        .join(sheet, sheet.c.id == part.c.sheet_id)
        .where(decision.c.replaced_by.is_(None), part.c.replaced_by.is_(None)))
    families: dict[int, list[int]] = {}
    for part_id, family in connection.execute(query):
        families.setdefault(family, []).append(part_id)
    for part_ids in families.values():
        renew_states(connection, version, part_ids)
    return sum(map(len, families.values()))


def _parts_to_counted(connection: Connection, part_ids: set[int], two: bool) -> dict[int, _Counted]:
    counted = {part_id: _Counted([], []) for part_id in part_ids}
    for some in chunks(part_ids):
        query = (
            select(reading.c.part_id, reading.c.status, reading.c.quantity, reading.c.value,
                   decision.c.verdict, decision.c.value.label("decided"), second_signature.c.verdict)
            .outerjoin(decision,
                       and_(decision.c.reading_id == reading.c.id, decision.c.replaced_by.is_(None)))
            .outerjoin(second_signature, and_(second_signature.c.reading_id == reading.c.id,
                                              second_signature.c.replaced_by.is_(None)))
            .where(reading.c.part_id.in_(some))
        )
        for part_id, status, quantity, value, verdict, decided, second in connection.execute(query):
            one = counted[part_id]
            said, waits = Verdict(verdict) if verdict else None, False
            if two and said in POSITIVE:
                waits = second is None
                said = weaker_verdict(said, Verdict(second) if second else None)
            one.verdicts.append((Status(status), said, waits))
            if quantity == Quantity.HOLD_CURRENT and verdict != Verdict.REJECTED:
                one.holds_a.append(value if decided is None or waits else decided)
    return counted


def _members(
    connection: Connection, touched: set[int], counted: Mapping[int, _Counted], under_review: bool
) -> list[_Member]:
    """All parts, of any revision, that share family and number with the parts touched."""
    families: set[int] = set()
    folded: set[str] = set()
    for some in chunks(touched):
        for family, number in connection.execute(
            select(sheet.c.family, part.c.folded).join(sheet, sheet.c.id == part.c.sheet_id)
            .where(part.c.id.in_(some))
        ):
            families.add(family)
            folded.add(number)
    rows: list[RowMapping] = []
    for numbers in chunks(folded):
        rows += connection.execute(
            select(part.c.id.label("of_part"), part.c.folded, sheet.c.age, part_state)
            .join(sheet, sheet.c.id == part.c.sheet_id)
            .outerjoin(part_state,
                       and_(part_state.c.part_id == part.c.id, part_state.c.replaced_by.is_(None)))
            .where(sheet.c.family.in_(families), part.c.folded.in_(numbers), part.c.replaced_by.is_(None))
        ).mappings().all()
    return [_row_to_member(row, counted.get(row["of_part"]), under_review) for row in rows]


def _row_to_member(row: RowMapping, counted: _Counted | None, under_review: bool) -> _Member:
    before = None
    if row["own_state"] is not None:
        before = StateRow(
            row["of_part"], PartState(row["own_state"]), row["superseded"], row["live"], row["undecided"],
            row["disputed"], row["accepted"], row["rejected"], row["hold_current_min_a"],
            row["hold_current_max_a"], row["single"], row["in_bulk"], row["waiting"])
    if counted is None:
        assert before is not None, "a part that is not touched has a state"
        return _Member(row["folded"], row["age"], before, before)
    counts = verdicts_to_counts(counted.verdicts)
    unread = (PartState.READ, PartState.WITHDRAWN)
    reviewed = under_review or (before is not None and before.own_state not in unread)
    now = StateRow(
        row["of_part"], counts_to_state(counts, reviewed), False, True, counts.undecided, counts.disputed,
        counts.accepted, counts.rejected, min(counted.holds_a, default=None),
        max(counted.holds_a, default=None), counts.single, counts.in_bulk, counts.waiting)
    return _Member(row["folded"], row["age"], before, now)


def _write(connection: Connection, version: int, members: list[_Member]) -> None:
    for some in chunks([member.now.part_id for member in members if member.before is not None]):
        connection.execute(
            update(part_state).values(replaced_by=version)
            .where(part_state.c.part_id.in_(some), part_state.c.replaced_by.is_(None)))
    rows = [
        {"change_id": version, "part_id": now.part_id, "own_state": now.own_state.value,
         "superseded": now.superseded, "live": now.live, "undecided": now.undecided,
         "disputed": now.disputed, "accepted": now.accepted, "rejected": now.rejected,
         "hold_current_min_a": now.hold_current_min_a, "hold_current_max_a": now.hold_current_max_a,
         "single": now.single, "in_bulk": now.in_bulk, "waiting": now.waiting}
        for now in (member.now for member in members)
    ]
    if rows:
        connection.execute(insert(part_state), rows)
