"""Drawn curves of sheets, stored and given out, and what people decide on them.

Comes in: a connection, curves of sheets, decisions. Goes out: rows, StoredCurve, and the curves that may be
used. A decision corrects the part that a label names, never a point of the line. Reads no PDF.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, and_, insert, select, update

from extract.curve_lines import curves_apart
from extract.errors import InputError
from extract.schema import WHOLE_SERIES, ChartName, Curve, Kind, Place, Status
from holdtrip.library.chunks import chunks
from holdtrip.library.history import SAID_AT, add_change, fact_holds_at, holds_at, text_to_time, version_at
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Action, ConflictError, Decision, Signature, Verdict
from holdtrip.library.signing import (
    POSITIVE,
    add_seconds,
    is_same_person,
    needs_two,
    second_signatures,
    void_seconds,
    weaker_verdict,
)
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import change, curve, curve_decision, part, second_signature, sheet

_CURVE = (
    curve.c.part_number, curve.c.chart, curve.c.kind, curve.c.ambient_c, curve.c.points, curve.c.status,
    curve.c.page, curve.c.x0, curve.c.top, curve.c.x1, curve.c.bottom, curve.c.label, curve.c.x_error,
    curve.c.y_error, curve.c.notes)
_SAID = (curve_decision.c.verdict, change.c.who, SAID_AT, change.c.reason, curve_decision.c.part_number)
_TO_STATUS = {Verdict.ACCEPTED: Status.ACCEPTED, Verdict.BULK: Status.BULK,
              Verdict.CORRECTED: Status.CORRECTED}
TO_ACTION = {Verdict.ACCEPTED: Action.ACCEPT, Verdict.BULK: Action.BULK, Verdict.CORRECTED: Action.CORRECT,
              Verdict.REJECTED: Action.REJECT, Verdict.REOPENED: Action.REOPEN}
SAME_LINE = 0.02
"""Curves that lie no farther apart than this share are the same line drawn anew."""
NEEDS_REASON = (Verdict.CORRECTED, Verdict.REJECTED, Verdict.REOPENED)


@dataclass(frozen=True, slots=True)
class StoredCurve:
    """A curve as read, what was said of it, and the part it was given to where its label was corrected.
    `curve_id` names it in this library; `second`, `waiting` as of a StoredNumber."""

    curve_id: int
    curve: Curve
    decision: Decision | None
    given_to: str = ""
    second: Decision | None = None
    waiting: bool = False

    @property
    def is_open(self) -> bool:
        """Whether nobody's word on it stands."""
        return self.decision is None or self.decision.verdict is Verdict.REOPENED

    def usable(self, accepted_only: bool) -> Curve | None:
        """The curve as it may be used, or None."""
        said = None if self.decision is None else self.decision.verdict
        if self.waiting:
            given = said is Verdict.CORRECTED  # two parts stand against each other
            read = replace(self.curve, status=Status.DISPUTED) if given else self.curve
            return None if accepted_only else read
        if self.decision is None or said not in _TO_STATUS:
            return None if accepted_only or said is Verdict.REJECTED else self.curve
        if said is Verdict.CORRECTED:
            return self._given(self.decision)
        second = None if self.second is None else self.second.verdict
        worth = weaker_verdict(self.decision.verdict, second)
        return replace(self.curve, status=_TO_STATUS[worth])

    def _given(self, decision: Decision) -> Curve:
        """The curve under the part its label was given to, with who gave it and why."""
        by = f"by {decision.who}" + (f": {decision.reason}" if decision.reason else "")
        note = f"label given to {self.given_to}, read as that of {self.curve.part_number}, {by}"
        return replace(self.curve, status=Status.CORRECTED, part_number=self.given_to,
                       notes=(*self.curve.notes, note))


def curve_to_row(one: Curve) -> dict[str, str | float | None]:
    """The cells of a curve, without sheet and position."""
    place = one.place
    return {
        "part_number": one.part_number, "chart": one.chart.value, "kind": one.kind.value,
        "ambient_c": one.ambient_c, "points": points_to_text(one), "status": one.status.value,
        "page": place.page, "x0": place.x0, "top": place.top, "x1": place.x1, "bottom": place.bottom,
        "label": one.label, "x_error": one.x_error, "y_error": one.y_error,
        "notes": json.dumps(one.notes) if one.notes else "",
    }


def points_to_text(one: Curve) -> str:
    """Points as a JSON list of [x, y], or of [x, y, left, top] with where each stands on the page."""
    if len(one.on_page) != len(one.points):
        return json.dumps(one.points)
    return json.dumps([(*point, *place) for point, place in zip(one.points, one.on_page, strict=True)])


def text_to_points(text: str) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Points and where each stands on the page, as `points_to_text` wrote them; raises ValueError."""
    rows = [tuple(map(float, row)) for row in json.loads(text)]
    if any(len(row) not in (2, 4) for row in rows) or len({len(row) for row in rows}) > 1:
        raise ValueError("points are pairs, or pairs with a place")
    return tuple((row[0], row[1]) for row in rows), tuple((row[2], row[3]) for row in rows if len(row) == 4)


def sheets_to_curves(
    connection: Connection, version: int, sheet_ids: Iterable[int]
) -> dict[int, list[StoredCurve]]:
    """Sheet → its curves with what was said of them, in the order read."""
    found: dict[int, list[StoredCurve]] = {}
    query = (
        select(curve.c.sheet_id, curve.c.id, sheet.c.document, sheet.c.sha256, *_CURVE, *_SAID)
        .join(sheet, sheet.c.id == curve.c.sheet_id)
        .outerjoin(curve_decision, and_(curve_decision.c.curve_id == curve.c.id,
                                        holds_at(curve_decision, version)))
        .outerjoin(change, change.c.id == curve_decision.c.change_id)
        .where(sheet.c.change_id <= version, fact_holds_at(curve, version))
        .order_by(curve.c.sheet_id, curve.c.position))
    for some in chunks(sheet_ids):
        for sheet_id, curve_id, document, sha256, *row in connection.execute(
                query.where(curve.c.sheet_id.in_(some))):
            found.setdefault(sheet_id, []).append(_row_to_stored(curve_id, document, sha256, row))
    return _with_seconds(connection, version, found) if needs_two(connection, version) else found


def _with_seconds(
    connection: Connection, version: int, found: dict[int, list[StoredCurve]]
) -> dict[int, list[StoredCurve]]:
    """The curves with who signed second, where the library demands that."""
    decided = [one.curve_id for own in found.values() for one in own
               if one.decision is not None and one.decision.verdict in POSITIVE]
    seconds = second_signatures(connection, version, second_signature.c.curve_id, decided)
    waiting = set(decided) - seconds.keys()
    return {sheet_id: [replace(one, second=seconds.get(one.curve_id), waiting=one.curve_id in waiting)
                       for one in own] for sheet_id, own in found.items()}


def stored_to_usable(stored: Iterable[StoredCurve], accepted_only: bool) -> dict[str, tuple[Curve, ...]]:
    """Part → the curves of a sheet that may be used for it; those of the whole series under its `*`."""
    found: dict[str, tuple[Curve, ...]] = {}
    for each in stored:
        if (one := each.usable(accepted_only)) is not None:
            found[one.part_number] = (*found.get(one.part_number, ()), one)
    return found


def drawn_parts(connection: Connection, version: int, accepted_only: bool) -> set[tuple[int, str]]:
    """Sheet and part of every curve that `StoredCurve.usable` gives out, without its points."""
    said = curve_decision.c
    query = (
        select(curve.c.sheet_id, curve.c.id, curve.c.part_number, said.verdict, said.part_number)
        .outerjoin(curve_decision, and_(said.curve_id == curve.c.id, holds_at(curve_decision, version)))
        .where(fact_holds_at(curve, version)))
    rows = connection.execute(query).fetchall()
    waiting: set[int] = set()
    if needs_two(connection, version):
        decided = {row[1] for row in rows if row[3] in POSITIVE}
        signed = second_signatures(connection, version, second_signature.c.curve_id, decided)
        waiting = decided - signed.keys()
    found = set()
    for sheet_id, curve_id, part_number, verdict, given_to in rows:
        counts = verdict in POSITIVE and curve_id not in waiting
        if counts or not (accepted_only or verdict == Verdict.REJECTED):
            found.add((sheet_id, given_to if counts and verdict == Verdict.CORRECTED else part_number))
    return found


def curve_moved(before: Curve, after: Curve) -> tuple[float, float] | None:
    """Where two curves lie apart by more than both lines are wide, and there the second over the first."""
    apart = curves_apart(before, after)
    wide = before.x_error + before.y_error + after.x_error + after.y_error
    return apart if apart is not None and abs(math.log(apart[1])) > max(wide, SAME_LINE) else None


def carry_curves(
    before: Sequence[StoredCurve], after: Sequence[StoredCurve]
) -> tuple[tuple[StoredCurve, ...], tuple[StoredCurve, ...]]:
    """(curves to which decisions are carried, those left to be looked at) of a newer revision: carried where
    both draw one line for the part, kind and ambient, with the same ends, accepted there, in doubt here
    nowhere."""
    old, new = _lines(before), _lines(after)
    carried: list[StoredCurve] = []
    left: list[StoredCurve] = []
    for line, curves in new.items():
        here = [one for one in curves if one.is_open]
        there = old.get(line, [])
        if any(one.decision is not None for one in there):
            alike = len(curves) == len(there) == 1 and _is_carried(there[0], curves[0])
            (carried if alike else left).extend(here)
    return tuple(carried), tuple(left)


_Line = tuple[str, ChartName, Kind, float | None]


def _lines(stored: Iterable[StoredCurve]) -> dict[_Line, list[StoredCurve]]:
    found: dict[_Line, list[StoredCurve]] = {}
    for one in stored:
        read = one.curve
        found.setdefault((fold(read.part_number) or read.part_number, read.chart, read.kind, read.ambient_c),
                         []).append(one)
    return found


def _is_carried(before: StoredCurve, after: StoredCurve) -> bool:
    said = before.decision
    if said is None or said.verdict not in (Verdict.ACCEPTED, Verdict.BULK) or before.waiting:
        return False
    ends = [[f"{end[0]:.2g}" for end in (one.curve.points[0], one.curve.points[-1])]
            for one in (before, after)]
    return (after.curve.status is not Status.DISPUTED and ends[0] == ends[1]
            and curves_apart(before.curve, after.curve) is not None
            and curve_moved(before.curve, after.curve) is None)


def connection_to_curves(
    connection: Connection, version: int, part_number: str = "", sha256: str = ""
) -> tuple[StoredCurve, ...]:
    """Curves of every sheet, or of one, or those read as or given to a part."""
    query = select(sheet.c.id).where(sheet.c.change_id <= version).order_by(sheet.c.id)
    if sha256:
        query = query.where(sheet.c.sha256.startswith(sha256, autoescape=True))
    ids = connection.execute(query).scalars().all()
    stored = [one for own in sheets_to_curves(connection, version, ids).values() for one in own]
    wanted = fold(part_number)
    return tuple(one for one in stored if not wanted or wanted in (
        fold(one.curve.part_number), fold(one.given_to)))


def decide(
    connection: Connection, curve_id: int, verdict: Verdict, by: Signature, part_number: str = ""
) -> StoredCurve:
    """Say of a curve that it is accepted, rejected, taken back to undecided, or that its label names another
    part of its sheet. Raises InputError for an unknown curve, a part the sheet does not list, or a missing
    reason; ConflictError where somebody else has decided."""
    version = version_at(connection)
    sheet_id = connection.execute(select(curve.c.sheet_id).where(
        curve.c.id == curve_id, fact_holds_at(curve, version))).scalar()
    if sheet_id is None:
        raise InputError("library", f"no curve {curve_id}", "a number of `holdtrip curves PART`")
    stored = next(one for one in sheets_to_curves(connection, version, [sheet_id])[sheet_id]
                  if one.curve_id == curve_id)
    if verdict in NEEDS_REASON and not by.reason.strip():
        raise InputError(f"curve {curve_id}", "no reason", "a reason that others can follow",
                         "Say why, such as --because 'the arrow of page 3 points at the next curve'")
    given_to = _part_of_sheet(connection, sheet_id, part_number) if verdict is Verdict.CORRECTED else ""
    if stored.waiting and _signs(stored, verdict, given_to, by):
        change_id = add_change(connection, Action.SECOND, by)
        add_seconds(connection, change_id, [(curve_id, verdict)], second_signature.c.curve_id)
        _renew(connection, change_id, sheet_id, {stored.curve.part_number, stored.given_to})
        return replace(stored, waiting=False, second=Decision(
            verdict, None, by.who, _now(connection, change_id), by.reason))
    _refuse_overruling(stored, verdict, by)
    change_id = add_change(connection, TO_ACTION[verdict], by)
    add_curve_decisions(connection, change_id, [(curve_id, verdict, given_to)])
    _renew(connection, change_id, sheet_id, {stored.curve.part_number, stored.given_to, given_to})
    return replace(stored, given_to=given_to,
                   decision=Decision(verdict, None, by.who, _now(connection, change_id), by.reason))


def _signs(stored: StoredCurve, verdict: Verdict, given_to: str, by: Signature) -> bool:
    """Whether somebody else says the same of a curve that waits for a second signature."""
    said = stored.decision
    if said is None or is_same_person(said.who, by.who) or verdict not in POSITIVE:
        return False
    is_label = verdict is Verdict.CORRECTED
    return (said.verdict is Verdict.CORRECTED) == is_label and stored.given_to == given_to


def _refuse_overruling(stored: StoredCurve, verdict: Verdict, by: Signature) -> None:
    said = stored.decision
    if said is not None and said.who != by.who and Verdict.REOPENED not in (verdict, said.verdict):
        raise ConflictError(f"curve {stored.curve_id}: {said.who} has {said.verdict.value} it on "
                            f"{said.at.date().isoformat()}; reopen it first, with a reason")


def accept_in_bulk(
    connection: Connection, part_ids: Sequence[int], by: Signature, singles: bool = False
) -> int:
    """Accept the undecided curves of some parts without a look at each, and sign those second that another
    person accepted: never a disputed one, those read once with `singles` only. Returns how many."""
    may = {Status.AGREED, Status.SINGLE} if singles else {Status.AGREED}
    open_ones = [one for one in _curves_of_parts(connection, part_ids) if one.curve.status in may]
    chosen = [one.curve_id for one in open_ones if one.is_open]
    signed = [one.curve_id for one in open_ones if one.waiting and _signs(one, Verdict.BULK, "", by)]
    if chosen or signed:
        change_id = add_change(connection, Action.BULK if chosen else Action.SECOND, by)
        if chosen:
            add_curve_decisions(connection, change_id, [(one, Verdict.BULK, "") for one in chosen])
        add_seconds(connection, change_id, [(one, Verdict.BULK) for one in signed],
                    second_signature.c.curve_id)
    return len(chosen) + len(signed)


def _curves_of_parts(connection: Connection, part_ids: Sequence[int]) -> list[StoredCurve]:
    """The curves of some parts, and of the whole series they belong to."""
    names: dict[int, set[str]] = {}
    for some in chunks(part_ids):
        for sheet_id, number in connection.execute(
                select(part.c.sheet_id, part.c.part_number).where(part.c.id.in_(some))):
            names.setdefault(sheet_id, {WHOLE_SERIES}).add(number)
    stored = sheets_to_curves(connection, version_at(connection), names)
    return [one for sheet_id, curves in stored.items()
            for one in curves if one.curve.part_number in names[sheet_id]]


def add_curve_decisions(
    connection: Connection, change_id: int, decided: Sequence[tuple[int, Verdict, str]]
) -> None:
    """Add (curve, verdict, part that the label names) for each; at least one. Nobody has signed it second."""
    void_seconds(connection, change_id, [one for one, _, _ in decided], second_signature.c.curve_id)
    for some in chunks(curve_id for curve_id, _, _ in decided):
        connection.execute(update(curve_decision).values(replaced_by=change_id).where(
            curve_decision.c.curve_id.in_(some), curve_decision.c.replaced_by.is_(None)))
    connection.execute(insert(curve_decision), [
        {"change_id": change_id, "curve_id": curve_id, "verdict": verdict.value, "part_number": number}
        for curve_id, verdict, number in decided])


def take_curves_again(
    connection: Connection, sheet_id: int, curves: Sequence[Curve], version: int
) -> None:
    """Put the curves of a sheet as read again in the place of those before."""
    connection.execute(update(curve).values(replaced_by=version).where(
        curve.c.sheet_id == sheet_id, curve.c.replaced_by.is_(None)))
    if curves:
        connection.execute(insert(curve), [
            curve_to_row(one) | {"sheet_id": sheet_id, "position": position, "change_id": version}
            for position, one in enumerate(curves)])


def _part_of_sheet(connection: Connection, sheet_id: int, part_number: str) -> str:
    """The part as the sheet prints it."""
    listed = {fold(number): number for number in connection.execute(select(part.c.part_number).where(
        part.c.sheet_id == sheet_id, part.c.replaced_by.is_(None))).scalars()}
    found: str | None = listed.get(fold(part_number))
    if found is None:
        raise InputError(part_number, "no part of the curve's datasheet", ", ".join(sorted(listed.values())))
    return found


def _renew(connection: Connection, change_id: int, sheet_id: int, numbers: set[str]) -> None:
    """Let the change stand in the history of the parts it touches."""
    ids = connection.execute(select(part.c.id).where(
        part.c.sheet_id == sheet_id, part.c.part_number.in_(numbers),
        part.c.replaced_by.is_(None))).scalars().all()
    if ids:
        renew_states(connection, change_id, ids)


def _now(connection: Connection, change_id: int) -> datetime:
    return text_to_time(connection.execute(select(change.c.at).where(change.c.id == change_id)).scalar_one())


def _row_to_stored(curve_id: int, document: str, sha256: str, row: Sequence[Any]) -> StoredCurve:
    (number, chart, kind, ambient_c, points, status, page, x0, top, x1, bottom, label, x_error, y_error,
     notes, verdict, who, at, reason, given_to) = row
    line, on_page = text_to_points(points)
    read = Curve(document, sha256, number, ChartName(chart), Kind(kind), ambient_c, line, Status(status),
                 Place(page, x0, top, x1, bottom), label, x_error, y_error,
                 tuple(json.loads(notes)) if notes else (), on_page)
    said = None if verdict is None else Decision(Verdict(verdict), None, who, text_to_time(at), reason)
    return StoredCurve(curve_id, read, said, given_to or "")
