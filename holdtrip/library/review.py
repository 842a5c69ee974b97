"""Accepting, correcting, rejecting: what a person says of a part's numbers is added beside them.

Comes in: a writing connection, a target, a signature. Goes out: what was decided and what is left to look
at. The printed number is never altered. A part accepted as a whole is accepted in bulk: its disputed numbers
stay undecided, each needs a look of its own, and those read once too unless they are asked for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from sqlalchemy import Connection, select

from extract.errors import InputError
from extract.schema import UNIT_OF, WHOLE_SERIES, Reading, Status
from holdtrip.library.chunks import chunks
from holdtrip.library.curves import accept_in_bulk as accept_curves_in_bulk
from holdtrip.library.decisions import add_decisions
from holdtrip.library.history import add_change, text_to_time, version_at
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.parts import part_id_to_row, part_ids_of
from holdtrip.library.records import (
    LARGEST,
    Action,
    ConflictError,
    PartRow,
    ReviewOutcome,
    Signature,
    StoredNumber,
    Target,
    Verdict,
)
from holdtrip.library.signing import Signing, add_seconds, needs_two
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import change, part, reading


def start_review(connection: Connection, target: Target, by: Signature) -> ReviewOutcome:
    """Mark a part as being in review."""
    part_id, version = _target_to_part(connection, target)
    renew_states(connection, add_change(connection, Action.START_REVIEW, by), [part_id], under_review=True)
    undecided = [one for one in connection_to_numbers(connection, version, [part_id]) if not one.is_decided]
    return _outcome(connection, part_id, left=undecided)


def accept(
    connection: Connection, target: Target, by: Signature, singles: bool = False, in_bulk: bool = False
) -> ReviewOutcome:
    """Accept a whole part, with what its sheet says of the whole series, or the numbers named.

    A number named by itself was looked at; it rejects those that compete with it (same quantity and
    condition, other value). A part, or several numbers named by what they have in common, are accepted in
    bulk; with `singles` those read once too. `in_bulk`: the numbers named were not looked at either.
    """
    part_id, version = _target_to_part(connection, target)
    if target.whole_part:
        part_ids = [part_id, *_series_of(connection, part_id)]
        accept_curves_in_bulk(connection, part_ids, by, singles)
        return _accept_in_bulk(connection, part_id, by, connection_to_numbers(connection, version, part_ids),
                               singles)
    if in_bulk or not target.names_each:
        named = named_numbers(target, connection_to_numbers(connection, version, [part_id]))
        if in_bulk or len({_slot(one.reading) for one in named}) > 1:
            return _accept_in_bulk(connection, part_id, by, named, singles)
    chosen, rivals = _choose(connection, target, part_id, version)
    _refuse_overruling(target, by, chosen, Verdict.ACCEPTED)
    _refuse_overruling(target, by, rivals, Verdict.REJECTED)
    said = _all(chosen, Verdict.ACCEPTED) + _all(rivals, Verdict.REJECTED)
    return _decide(connection, part_id, Action.ACCEPT, by, said)


def _accept_in_bulk(
    connection: Connection, part_id: int, by: Signature, numbers: Iterable[StoredNumber], singles: bool
) -> ReviewOutcome:
    sorted_out = numbers_to_bulk(numbers, singles, by)
    outcome = _decide(connection, part_id, Action.BULK, by, _all(sorted_out.chosen, Verdict.BULK),
                      sorted_out.disputed)
    return replace(outcome, singles=sorted_out.singles, in_bulk=True)


@dataclass(frozen=True, slots=True)
class SortedOut:
    """Undecided numbers sorted out for an acceptance in bulk: those to accept, those to look at."""

    chosen: tuple[StoredNumber, ...]
    disputed: tuple[StoredNumber, ...]
    singles: tuple[StoredNumber, ...]


def numbers_to_bulk(numbers: Iterable[StoredNumber], with_singles: bool, by: Signature) -> SortedOut:
    """Which numbers may be accepted, or signed second, without a look at each: never a disputed one, and
    never a correction."""
    undecided = [one for one in numbers if not one.is_decided or (
        one.waiting and Signing(by, True).may_sign(one.decision, one.second)
        and one.decision is not None and one.decision.verdict is not Verdict.CORRECTED)]
    disputed = tuple(one for one in undecided if one.reading.status is Status.DISPUTED)
    single = tuple(one for one in undecided if one.reading.status is Status.SINGLE and not with_singles)
    apart = {one.number_id for one in (*disputed, *single)}
    return SortedOut(tuple(one for one in undecided if one.number_id not in apart), disputed, single)


def correct(connection: Connection, target: Target, value: float, by: Signature) -> ReviewOutcome:
    """Put a value (SI) beside the printed one; it goes out instead. Competing numbers are rejected."""
    _need_reason(by, "a correction")
    if target.whole_part:
        raise InputError(target.part_number, "no number named", "a quantity, and its condition if it has one")
    if not (math.isfinite(value) and 0 < value <= LARGEST):
        raise InputError(target.part_number, f"the value {value:g}",
                         f"a number above 0 and up to {LARGEST:g}, in SI units")
    part_id, version = _target_to_part(connection, target)
    chosen, rivals = _choose(connection, target, part_id, version)
    _refuse_overruling(target, by, chosen, Verdict.CORRECTED, value)
    _refuse_overruling(target, by, rivals, Verdict.REJECTED)
    said = _all(chosen, Verdict.CORRECTED, value) + _all(rivals, Verdict.REJECTED)
    return _decide(connection, part_id, Action.CORRECT, by, said)


def reject(connection: Connection, target: Target, by: Signature) -> ReviewOutcome:
    """Take a whole part, or the numbers named, out of every comparison."""
    _need_reason(by, "a rejection")
    part_id, version = _target_to_part(connection, target)
    numbers = named_numbers(target, connection_to_numbers(connection, version, [part_id]))
    _refuse_overruling(target, by, numbers, Verdict.REJECTED)
    return _decide(connection, part_id, Action.REJECT, by, _all(numbers, Verdict.REJECTED))


def reopen(connection: Connection, target: Target, by: Signature) -> ReviewOutcome:
    """Take back what was said of a whole part or of the numbers named; it stays in the history."""
    _need_reason(by, "taking a decision back")
    part_id, version = _target_to_part(connection, target)
    numbers = named_numbers(target, connection_to_numbers(connection, version, [part_id]))
    _refuse_overruling(target, by, numbers, Verdict.REOPENED)
    decided = [one for one in numbers if one.is_decided]
    return _decide(connection, part_id, Action.REOPEN, by, _all(decided, Verdict.REOPENED))


def _need_reason(by: Signature, what: str) -> None:
    if not by.reason.strip():
        raise InputError("library", f"{what} without a reason", "a reason that others can follow",
                         "Say why, such as --because 'printed table on page 3 says 0.50'")


def _target_to_part(connection: Connection, target: Target) -> tuple[int, int]:
    """(part, version of the library); raises if it is unknown, in several sheets, or newer than seen."""
    version = version_at(connection)
    found = part_ids_of(connection, version, target.part_number, target.sha256)
    if not found:
        where = f" of sheet {target.sha256[:12]}" if target.sha256 else ""
        raise InputError(target.part_number, f"no such part in the library{where}", "",
                         "`holdtrip list --like TEXT` finds its number")
    rows = [part_id_to_row(connection, version, part_id) for part_id in found]
    if len(rows) > 1:
        sheets = ", ".join(f"{row.document} ({row.sha256[:12]})" for row in rows)
        raise InputError(target.part_number, f"{len(rows)} sheets in force give it: {sheets}", "one sheet",
                         "Name the sheet: --sheet and the first letters of its sha256")
    _refuse_outdated(connection, target, rows[0])
    return found[0], version


def _refuse_outdated(connection: Connection, target: Target, row: PartRow) -> None:
    if target.seen_version in (None, row.version):
        return
    last = connection.execute(select(change).where(change.c.id == row.version)).mappings().one()
    raise ConflictError(
        f"{row.part_number}: changed since you looked: {last['action']} by {last['who']} on"
        f" {text_to_time(last['at']):%Y-%m-%d %H:%M} UTC; you saw version {target.seen_version}, now it is"
        f" {row.version}. Nothing was changed. Look at the part again and repeat")


def _series_of(connection: Connection, part_id: int) -> list[int]:
    """The whole series (`*`) of a part's sheet, if it has one."""
    sheet_id = select(part.c.sheet_id).where(part.c.id == part_id).scalar_subquery()
    return list(connection.execute(
        select(part.c.id).where(part.c.sheet_id == sheet_id, part.c.part_number == WHOLE_SERIES,
                              part.c.replaced_by.is_(None))).scalars())


def named_numbers(target: Target, numbers: Iterable[StoredNumber]) -> list[StoredNumber]:
    """The numbers that a target names; raises InputError if there is none."""
    def is_named(one: StoredNumber) -> bool:
        read = one.reading
        pairs = ((target.quantity, read.quantity), (target.kind, read.kind),
                 (target.ambient_c, read.ambient_c), (target.test_current_a, read.test_current_a),
                 (target.number_id, one.number_id))
        is_listed = not target.number_ids or one.number_id in target.number_ids
        return is_listed and all(wanted is None or wanted == found for wanted, found in pairs)

    named = [one for one in numbers if is_named(one)]
    if not named:
        raise InputError(target.part_number, "no such number of this part", "",
                         "`holdtrip show PART` lists its quantities and conditions")
    return named


def _choose(
    connection: Connection, target: Target, part_id: int, version: int
) -> tuple[list[StoredNumber], list[StoredNumber]]:
    """(the numbers named, those that compete with them); raises InputError if the named ones compete."""
    numbers = connection_to_numbers(connection, version, [part_id])
    chosen = named_numbers(target, numbers)
    values: dict[object, float] = {}
    for one in chosen:
        if values.setdefault(_slot(one.reading), one.reading.value) != one.reading.value:
            rivals = [rival for rival in chosen if _slot(rival.reading) == _slot(one.reading)]
            said = ", ".join(
                f"{rival.reading.raw} (number {rival.number_id}, page {rival.reading.place.page})"
                for rival in rivals)
            raise InputError(target.part_number, f"{len(rivals)} numbers compete: {said}", "one of them",
                             "Name it: --number NUMBER")
    return chosen, [one for one in numbers if _slot(one.reading) in values
                    and one.reading.value != values[_slot(one.reading)]]


def _slot(read: Reading) -> object:
    """What a number is the number of: only one value can be right for it."""
    return read.quantity, read.kind, read.ambient_c, read.test_current_a


def _refuse_overruling(
    target: Target, by: Signature, numbers: Iterable[StoredNumber], verdict: Verdict,
    value: float | None = None,
) -> None:
    """Whoever overrules another's decision must have seen it: without a version seen it is a conflict."""
    if target.seen_version is not None:
        return
    for one in numbers:
        said = one.decision
        if said is None or not one.is_decided or said.who == by.who or _says(one, verdict, value):
            continue
        if (said.verdict, verdict) == (Verdict.BULK, Verdict.ACCEPTED):
            continue  # a look at what was accepted in bulk
        new = f" to {said.value:g} {UNIT_OF[one.reading.quantity]}" if said.value is not None else ""
        raise ConflictError(
            f"{one.reading.part_number}: {one.reading.quantity.value} {one.reading.raw} was"
            f" {said.verdict.value}{new} by {said.who} on {said.at:%Y-%m-%d %H:%M} UTC. Nothing was changed."
            " Look at the part, then repeat with --seen VERSION to overrule it")


_Said = tuple[StoredNumber, Verdict, float | None]


def _all(numbers: Iterable[StoredNumber], verdict: Verdict, value: float | None = None) -> list[_Said]:
    return [(one, verdict, value) for one in numbers]


def _decide(
    connection: Connection, part_id: int, action: Action, by: Signature, said: Iterable[_Said],
    left: Iterable[StoredNumber] = (),
) -> ReviewOutcome:
    """Write down what is news; a change that says nothing new is none."""
    signing = Signing(by, needs_two(connection, version_at(connection)))
    seconds, rest = signing.sort_out(said)
    news = [(one, verdict, value) for one, verdict, value in rest if not _says(one, verdict, value)]
    touched = [*news, *seconds]
    if touched:
        version = add_change(connection, action if news else Action.SECOND, by)
        if news:
            add_decisions(connection, version,
                          [(one.number_id, verdict, value) for one, verdict, value in news])
        add_seconds(connection, version, [(one.number_id, verdict) for one, verdict, _ in seconds])
        renew_states(connection, version, _parts_of(connection, [one for one, _, _ in touched]))
    decided = [one for one, verdict, _ in touched if verdict is _VERDICT_OF[action]]
    rivals = [one for one, verdict, _ in news if verdict is not _VERDICT_OF[action]]
    return _outcome(connection, part_id, decided, rivals, left)


_VERDICT_OF = {
    Action.ACCEPT: Verdict.ACCEPTED, Action.BULK: Verdict.BULK, Action.CORRECT: Verdict.CORRECTED,
    Action.REJECT: Verdict.REJECTED,
    Action.REOPEN: Verdict.REOPENED,
}


def _says(one: StoredNumber, verdict: Verdict, value: float | None) -> bool:
    return one.decision is not None and (one.decision.verdict, one.decision.value) == (verdict, value)


def _parts_of(connection: Connection, numbers: list[StoredNumber]) -> set[int]:
    return {part_id for some in chunks(one.number_id for one in numbers)
            for part_id in connection.execute(
                select(reading.c.part_id).distinct().where(reading.c.id.in_(some))).scalars()}


def _outcome(
    connection: Connection, part_id: int, decided: Iterable[StoredNumber] = (),
    rejected: Iterable[StoredNumber] = (), left: Iterable[StoredNumber] = (),
) -> ReviewOutcome:
    row = part_id_to_row(connection, version_at(connection), part_id)
    return ReviewOutcome(row, tuple(decided), tuple(rejected), tuple(left))
