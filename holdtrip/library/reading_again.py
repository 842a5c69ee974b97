"""A stored sheet read again: what would change, and the change itself where nobody has decided yet.

Comes in: a SheetReading of the stored bytes, a connection. Goes out: an AgainOutcome; on request the parts
that are read otherwise now take the place of those as read before, which stay in the history. A part of which
a person has decided a number is never touched: what would change of it is told, and waits for a decision.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, func, insert, select, update

from extract.schema import Curve, Particular, Reading, SheetReading, Status
from holdtrip.library.curves import connection_to_curves, take_curves_again
from holdtrip.library.history import add_change, version_at
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.particulars import take_particulars_again
from holdtrip.library.records import Action, Signature, StoredNumber
from holdtrip.library.sheet_rows import connection_to_sheet
from holdtrip.library.sheets import content_to_rows, insert_parts
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import finding, part, part_state, reading, sheet
from holdtrip.library.withdrawing import withdrawn_sheets


@dataclass(frozen=True, slots=True)
class AgainOutcome:
    """What reading a stored sheet again comes to. Of its numbers: `settled` are no longer in doubt, `doubted`
    newly in doubt, `changed` have another value, `new` were not read before, `gone` are not read any more.
    `parts` are read otherwise now and nobody decided on them; `kept` are those somebody decided on, left as
    they are; `curves` says whether its drawn curves are read otherwise and nobody decided on one,
    `particulars` whether its sizes, temperatures and the like are."""

    document: str
    sha256: str
    settled: int
    doubted: int
    changed: int
    new: int
    gone: int
    parts: tuple[str, ...]
    kept: tuple[str, ...]
    curves: bool = False
    particulars: bool = False

    @property
    def is_same(self) -> bool:
        """Whether the sheet is read as it is stored."""
        return not (self.parts or self.kept or self.curves or self.particulars)


def read_to_outcome(connection: Connection, read: SheetReading) -> AgainOutcome:
    """What would change if the sheet were stored as read now; ValueError for a sheet that is not stored."""
    before = connection_to_sheet(connection, read.sha256)
    if before is None:
        raise ValueError(f"{read.document} is not stored")
    numbers = _stored_numbers(connection, read.sha256)
    decided = {one.reading.part_number for one in numbers if one.is_decided}
    decided |= _parts_with_later(connection, read.sha256)
    old, new = _by_part(before), _by_part(read)
    differing = [name for name in dict.fromkeys((*old, *new)) if old.get(name) != new.get(name)]
    counts = _counts(*([r for r in of.readings if r.part_number in differing] for of in (before, read)))
    return AgainOutcome(
        before.document, read.sha256, counts["settled"], counts["doubted"], counts["changed"], counts["new"],
        counts["gone"], tuple(name for name in differing if name not in decided),
        tuple(name for name in differing if name in decided),
        _curves_differ(connection, before, read),
        _nameless(before.particulars) != _nameless(read.particulars))


def take_again(connection: Connection, read: SheetReading, by: Signature) -> AgainOutcome:
    """Put the parts that are read otherwise now, and that nobody decided on, in the place of those before."""
    outcome = read_to_outcome(connection, read)
    if not outcome.parts and not outcome.curves and not outcome.particulars:
        return outcome
    version = add_change(connection, Action.READ_AGAIN, by)
    sheet_id = connection.execute(select(sheet.c.id).where(sheet.c.sha256 == read.sha256)).scalar_one()
    if outcome.curves:
        take_curves_again(connection, sheet_id, read.curves, version)
    if outcome.particulars:
        take_particulars_again(connection, sheet_id, read.particulars, version)
    if not outcome.parts:
        return outcome
    is_out = sheet_id in withdrawn_sheets(connection)
    _replace_parts(connection, sheet_id, outcome.parts, version)
    taken = set(outcome.parts)
    part_ids = _insert_again(connection, replace(
        read, readings=tuple(r for r in read.readings if r.part_number in taken),
        texts=tuple(text for text in read.texts if text.part_number in taken), curves=(), particulars=()),
        sheet_id, version)
    renew_states(connection, version, part_ids, withdrawn=is_out or None)
    return outcome


def _curves_differ(connection: Connection, before: SheetReading, read: SheetReading) -> bool:
    decided = any(one.decision is not None
                  for one in connection_to_curves(connection, version_at(connection), sha256=read.sha256))
    return _nameless(before.curves) != _nameless(read.curves) and not decided


def _nameless(said: Sequence[Curve | Particular]) -> list[Curve | Particular]:
    """Records without the name of their file: the same sheet may be read under another name."""
    return [replace(one, document="") for one in said]


def _parts_with_later(connection: Connection, sha256: str) -> set[str]:
    """The parts that gained numbers by a person's word: an answer, a framed table."""
    return set(connection.execute(
        select(part.c.part_number).join(reading, reading.c.part_id == part.c.id)
        .join(sheet, sheet.c.id == part.c.sheet_id)
        .where(sheet.c.sha256 == sha256, part.c.replaced_by.is_(None),
               reading.c.added_by.is_not(None))).scalars())


def _stored_numbers(connection: Connection, sha256: str) -> tuple[StoredNumber, ...]:
    part_ids = connection.execute(
        select(part.c.id).join(sheet, sheet.c.id == part.c.sheet_id)
        .where(sheet.c.sha256 == sha256, part.c.replaced_by.is_(None))).scalars().all()
    return connection_to_numbers(connection, version_at(connection), part_ids)


def _by_part(read: SheetReading) -> dict[str, list[object]]:
    """Part → all that is read of it, the numbers of questions and the name of the file left aside."""
    found: dict[str, list[object]] = {}
    for r in read.readings:
        found.setdefault(r.part_number, []).append(replace(r, cause=0, document=""))
    for text in read.texts:
        found.setdefault(text.part_number, []).append(replace(text, document=""))
    return found


_Slot = tuple[object, ...]


def _slots(readings: Iterable[Reading]) -> dict[_Slot, list[Reading]]:
    found: dict[_Slot, list[Reading]] = {}
    for r in readings:
        slot = (r.part_number, r.quantity, r.kind, r.ambient_c, r.test_current_a)
        found.setdefault(slot, []).append(r)
    return found


def _counts(before: Iterable[Reading], after: Iterable[Reading]) -> Counter[str]:
    """How many numbers are settled, doubted, changed, new, gone."""
    old, new = _slots(before), _slots(after)
    counts = Counter[str]()
    for slot in dict.fromkeys((*old, *new)):
        if slot not in old:
            counts["new"] += len(new[slot])
        elif slot not in new:
            counts["gone"] += len(old[slot])
        elif {r.value for r in old[slot]} != {r.value for r in new[slot]}:
            counts["changed"] += 1
        elif _is_doubted(old[slot]) != _is_doubted(new[slot]):
            counts["settled" if _is_doubted(old[slot]) else "doubted"] += 1
    return counts


def _is_doubted(readings: Sequence[Reading]) -> bool:
    return any(r.status is Status.DISPUTED for r in readings)


def _replace_parts(connection: Connection, sheet_id: int, names: Sequence[str], version: int) -> None:
    """Let parts of a sheet, their states and the sheet's findings hold no longer."""
    rows = connection.execute(select(part.c.id, part.c.part_number).where(
        part.c.sheet_id == sheet_id, part.c.replaced_by.is_(None))).all()
    wanted = set(names)
    ids = [part_id for part_id, number in rows if number in wanted]
    for table, own in ((part, part.c.id), (part_state, part_state.c.part_id)):
        for part_id in ids:
            connection.execute(update(table).values(replaced_by=version)
                               .where(own == part_id, table.c.replaced_by.is_(None)))
    connection.execute(update(finding).values(replaced_by=version)
                       .where(finding.c.sheet_id == sheet_id, finding.c.replaced_by.is_(None)))


def _insert_again(connection: Connection, read: SheetReading, sheet_id: int, version: int) -> list[int]:
    """Add what was read now behind what stands there already; returns the identifiers of its parts."""
    names = list(dict.fromkeys([*(r.part_number for r in read.readings),
                                *(text.part_number for text in read.texts)]))
    part_ids = insert_parts(connection, sheet_id, names, version)
    for table, rows in content_to_rows(read, part_ids):
        if table is finding:
            rows = [row | {"change_id": version} for row in rows]
        last = connection.execute(select(func.coalesce(func.max(table.c.position), -1))
                                  .where(table.c.sheet_id == sheet_id)).scalar_one()
        if rows:
            connection.execute(insert(table), [row | {"sheet_id": sheet_id, "position": last + 1 + index}
                                               for index, row in enumerate(rows)])
    return list(part_ids.values())
