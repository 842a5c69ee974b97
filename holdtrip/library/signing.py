"""Two people for one decision: who else has signed it, and whether a library demands that.

Comes in: a connection, decisions. Goes out: which of them wait for another person, and second signatures
stored. A library demands one signature unless its settings say two. Names are what people sign with.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, insert, select, update

from holdtrip.library.chunks import chunks
from holdtrip.library.history import SAID_AT, holds_at, text_to_time
from holdtrip.library.records import Decision, Signature, StoredNumber, Verdict
from holdtrip.library.tables import change, second_signature, setting

SIGNATURES = "signatures"
"""The name of the setting."""
TWO = "2"
_Said = tuple[StoredNumber, Verdict, float | None]
"""A number, what is said of it, the corrected value."""
POSITIVE = (Verdict.ACCEPTED, Verdict.BULK, Verdict.CORRECTED)
"""Verdicts that let a number or a curve be used."""


def needs_two(connection: Connection, version: int) -> bool:
    """Whether two people must say so before a number counts as accepted, at a version."""
    query = select(setting.c.value).where(setting.c.name == SIGNATURES, holds_at(setting, version))
    return connection.execute(query).scalar() == TWO


def is_same_person(name: str, other: str) -> bool:
    """Whether two names are one: case, spaces, the form of accents and unseen characters make nobody another
    person."""
    return _name_to_person(name) == _name_to_person(other)


def _name_to_person(name: str) -> str:
    seen = "".join(one for one in unicodedata.normalize("NFKC", name) if unicodedata.category(one) != "Cf")
    return " ".join(seen.casefold().split())


@dataclass(frozen=True, slots=True)
class Signing:
    """What a signature under decisions needs: whose, and whether the library demands two people."""

    by: Signature
    two: bool

    def may_sign(self, said: Decision | None, second: Decision | None) -> bool:
        """Whether this person's word on a decided number would be a second signature that is missing."""
        return (self.two and said is not None and said.verdict in POSITIVE and second is None
                and not is_same_person(said.who, self.by.who))

    def signs(
        self, said: Decision | None, second: Decision | None, verdict: Verdict, value: float | None
    ) -> bool:
        """Whether saying this of a decided number is a second signature, or makes one's own a firmer one."""
        if said is None or verdict not in POSITIVE or said.verdict not in POSITIVE or said.value != value:
            return False
        if self.may_sign(said, second):
            return True
        if not self.has_signed(second) or second is None:
            return False
        return second.verdict is Verdict.BULK and verdict is not Verdict.BULK

    def sort_out(self, said: Iterable[_Said]) -> tuple[list[_Said], list[_Said]]:
        """(second signatures, what is a decision of its own) of what one person says of numbers."""
        seconds, rest = [], []
        for one, verdict, value in said:
            if self.signs(one.decision, one.second, verdict, value):
                seconds.append((one, verdict, value))
            elif not (self.has_signed(one.second) and verdict in POSITIVE and one.decision is not None
                      and one.decision.value == value):
                rest.append((one, verdict, value))
        return seconds, rest

    def has_signed(self, second: Decision | None) -> bool:
        """Whether the second signature is this person's own."""
        return self.two and second is not None and is_same_person(second.who, self.by.who)


def second_signatures(
    connection: Connection, version: int, column: ColumnElement[int | None], ids: Iterable[int]
) -> dict[int, Decision]:
    """Number or curve → its second signature at a version; `column` says which of the two."""
    query = (
        select(column, second_signature.c.verdict, change.c.who, SAID_AT, change.c.reason)
        .join(change, change.c.id == second_signature.c.change_id)
        .where(holds_at(second_signature, version)))
    return {one: Decision(Verdict(verdict), None, who, text_to_time(at), reason)
            for some in chunks(ids)
            for one, verdict, who, at, reason in connection.execute(query.where(column.in_(some)))}


def add_seconds(
    connection: Connection, version: int, signed: Sequence[tuple[int, Verdict]],
    column: ColumnElement[int | None] = second_signature.c.reading_id,
) -> None:
    """Sign numbers or curves second, each with what the person said; an earlier one is replaced."""
    if signed:
        void_seconds(connection, version, [one for one, _ in signed], column)
        rows = [{"change_id": version, str(column.key): one, "verdict": verdict.value}
                for one, verdict in signed]
        connection.execute(insert(second_signature), rows)


def void_seconds(
    connection: Connection, version: int, ids: Iterable[int],
    column: ColumnElement[int | None] = second_signature.c.reading_id,
) -> None:
    """Something else was decided: nobody has signed that second yet."""
    for some in chunks(ids):
        connection.execute(update(second_signature).values(replaced_by=version).where(
            column.in_(some), second_signature.c.replaced_by.is_(None)))


def weaker_verdict(said: Verdict, second: Verdict | None) -> Verdict:
    """What two people's words are worth: in bulk, where one of them did not look at the number."""
    return Verdict.BULK if second is Verdict.BULK and said is Verdict.ACCEPTED else said
