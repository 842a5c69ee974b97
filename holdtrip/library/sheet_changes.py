"""What a new revision of a sheet changed, number by number, and whom it concerns.

Comes in: a connection, a version. Goes out: one SheetChanges for each pair of neighbouring revisions.
Compares what is printed, decisions left aside; changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from sqlalchemy import Connection, select

from extract.errors import InputError
from extract.schema import (
    UNIT_OF_PARTICULAR,
    WHOLE_SERIES,
    ChartName,
    Curve,
    Kind,
    ParticularName,
    Quantity,
)
from holdtrip.library.comparisons import connection_to_comparisons
from holdtrip.library.curves import curve_moved, sheets_to_curves
from holdtrip.library.filing import Filed, filed_sheets
from holdtrip.library.history import fact_holds_at, holds_at
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.part_numbers import fold
from holdtrip.library.particulars import sheets_to_particulars
from holdtrip.library.records import StoredNumber
from holdtrip.library.tables import part, part_state, part_text


@dataclass(frozen=True, slots=True)
class NumberChange:
    """A number that is not the same in both revisions: `before` or `after` is empty where it is absent."""

    part_number: str
    quantity: Quantity
    kind: Kind
    ambient_c: float | None
    test_current_a: float | None
    before: tuple[StoredNumber, ...]
    after: tuple[StoredNumber, ...]


@dataclass(frozen=True, slots=True)
class TextChange:
    """A text, size, temperature or the like that is not the same in both revisions."""

    part_number: str
    name: str
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CurveChange:
    """A drawn curve that is not the same in both revisions, and what changed, in words."""

    part_number: str
    chart: ChartName
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class SheetOfRevision:
    """One of the two revisions."""

    document: str
    sha256: str
    revision: str


@dataclass(frozen=True, slots=True)
class SheetChanges:
    """From one revision to the next. `accepted_parts` and `comparisons` are those that a change touches:
    parts of the older revision with accepted numbers, and kept comparisons that used them."""

    older: SheetOfRevision
    newer: SheetOfRevision
    parts_added: tuple[str, ...]
    parts_gone: tuple[str, ...]
    numbers: tuple[NumberChange, ...]
    texts: tuple[TextChange, ...]
    accepted_parts: tuple[str, ...]
    comparisons: tuple[str, ...]
    curves: tuple[CurveChange, ...] = ()


def connection_to_changes(connection: Connection, version: int, sha256: str = "") -> tuple[SheetChanges, ...]:
    """Changes of every sheet that has an older revision, or of the one whose sha256 begins so."""
    rows = filed_sheets(connection, version)
    if sha256 and not any(row.sha256.startswith(sha256) for row in rows):
        raise InputError(sha256, "no such sheet in the library", "the first letters of a sheet's sha256")
    return tuple(
        _pair_to_changes(connection, version, _to_pair(older), _to_pair(newer))
        for older, newer in pairwise(rows)
        if older.family == newer.family and newer.sha256.startswith(sha256))


def part_to_number_changes(
    connection: Connection, version: int, old_ids: list[int], new_ids: list[int]
) -> tuple[NumberChange, ...]:
    """What is printed otherwise of one part in two revisions."""
    old, new = ({"": (ids, "")} for ids in (old_ids, new_ids))
    return _number_changes(_numbers(connection, version, old), _numbers(connection, version, new))


_Sheet = tuple[int, SheetOfRevision]


def _to_pair(filed: Filed) -> _Sheet:
    return filed.sheet_id, SheetOfRevision(filed.document, filed.sha256, filed.revision)


def _pair_to_changes(connection: Connection, version: int, older: _Sheet, newer: _Sheet) -> SheetChanges:
    old_parts, new_parts = (_parts(connection, version, one[0]) for one in (older, newer))
    numbers = _number_changes(
        _numbers(connection, version, old_parts), _numbers(connection, version, new_parts))
    texts = _text_changes(*(_texts(connection, version, one[0]) for one in (older, newer)))
    curves = _curve_changes(*(_curves(connection, version, one[0]) for one in (older, newer)))
    changed = {fold(one.part_number) for one in numbers} | {fold(one.part_number) for one in texts}
    changed |= {fold(one.part_number) for one in curves}
    gone = [name for folded, (_, name) in old_parts.items() if folded not in new_parts]
    added = [name for folded, (_, name) in new_parts.items() if folded not in old_parts]
    touched = set(old_parts) if WHOLE_SERIES in changed else changed | set(map(fold, gone))
    return SheetChanges(
        older[1], newer[1], tuple(added), tuple(gone), numbers, texts,
        _accepted(connection, version, older[0], touched),
        _comparisons(connection, version, older[1].sha256, touched), curves)


def _parts(connection: Connection, version: int, sheet_id: int) -> dict[str, tuple[list[int], str]]:
    """Folded number → (identifiers, number as printed), in the order listed."""
    parts: dict[str, tuple[list[int], str]] = {}
    query = (select(part.c.id, part.c.folded, part.c.part_number)
             .where(part.c.sheet_id == sheet_id, fact_holds_at(part, version)).order_by(part.c.position))
    for part_id, folded, number in connection.execute(query):
        parts.setdefault(folded, ([], number))[0].append(part_id)
    return parts


_Slot = tuple[str, Quantity, Kind, float | None, float | None]


def _numbers(
    connection: Connection, version: int, parts: dict[str, tuple[list[int], str]]
) -> dict[_Slot, list[StoredNumber]]:
    ids = [part_id for some, _ in parts.values() for part_id in some]
    numbers: dict[_Slot, list[StoredNumber]] = {}
    for one in connection_to_numbers(connection, version, ids):
        read = one.reading
        slot = (fold(read.part_number), read.quantity, read.kind, read.ambient_c, read.test_current_a)
        numbers.setdefault(slot, []).append(one)
    return numbers


def _number_changes(
    before: dict[_Slot, list[StoredNumber]], after: dict[_Slot, list[StoredNumber]]
) -> tuple[NumberChange, ...]:
    changes = []
    for slot in dict.fromkeys((*before, *after)):
        old, new = before.get(slot, []), after.get(slot, [])
        if {one.reading.value for one in old} != {one.reading.value for one in new}:
            number = (old or new)[0].reading.part_number
            changes.append(NumberChange(number, *slot[1:], tuple(old), tuple(new)))
    return tuple(changes)


def _texts(
    connection: Connection, version: int, sheet_id: int
) -> dict[tuple[str, str], tuple[str, list[str]]]:
    """(folded number, name) → (number as printed, texts), what is said beside the ratings too."""
    texts: dict[tuple[str, str], tuple[str, list[str]]] = {}
    query = (select(part.c.folded, part_text.c.name, part.c.part_number, part_text.c.text)
             .join(part, part.c.id == part_text.c.part_id)
             .where(part_text.c.sheet_id == sheet_id, fact_holds_at(part, version))
             .order_by(part_text.c.position))
    for folded, name, number, text in connection.execute(query):
        texts.setdefault((folded, name), (number, []))[1].append(text)
    for one in sheets_to_particulars(connection, version, [sheet_id]).get(sheet_id, ()):
        if one.name not in _AS_TEXTS:
            name = " ".join(filter(None, (one.name.value, one.label, one.kind.value)))
            unit = UNIT_OF_PARTICULAR.get(one.name, "")
            said = one.text if one.value is None else f"{one.value:g} {unit}".removesuffix(" 1")
            key = fold(one.part_number) or one.part_number, name
            texts.setdefault(key, (one.part_number, []))[1].append(said)
    return texts


_AS_TEXTS = (ParticularName.PACKAGE, ParticularName.MARKING)
"""These stand among the texts of a part already."""


def _text_changes(
    before: dict[tuple[str, str], tuple[str, list[str]]], after: dict[tuple[str, str], tuple[str, list[str]]]
) -> tuple[TextChange, ...]:
    changes = []
    for key in dict.fromkeys((*before, *after)):
        number = (before.get(key) or after[key])[0]
        old, new = (texts.get(key, ("", []))[1] for texts in (before, after))
        if set(old) != set(new):
            changes.append(TextChange(number, key[1], tuple(old), tuple(new)))
    return tuple(changes)


_Line = tuple[str, ChartName]


def _curves(connection: Connection, version: int, sheet_id: int) -> dict[_Line, list[Curve]]:
    found: dict[_Line, list[Curve]] = {}
    for stored in sheets_to_curves(connection, version, [sheet_id]).get(sheet_id, ()):
        found.setdefault((fold(stored.curve.part_number), stored.curve.chart), []).append(stored.curve)
    return found


def _curve_changes(
    before: dict[_Line, list[Curve]], after: dict[_Line, list[Curve]]
) -> tuple[CurveChange, ...]:
    """Curves that came, went, moved by more than both lines are wide, or changed their ends or ambient."""
    changes = []
    for key in dict.fromkeys((*before, *after)):
        old, new = before.get(key, []), after.get(key, [])
        words = tuple(map(_lines_to_words, (old, new)))
        moved = ""
        if len(old) == len(new) == 1 and (apart := curve_moved(old[0], new[0])) is not None:
            moved = f", {apart[1]:.2f} times as high at {apart[0]:.3g}"
        if words[0] != words[1] or moved:
            number = (old or new)[0].part_number
            changes.append(CurveChange(number, key[1], _with_page(old, words[0]),
                                       _with_page(new, words[1] + moved)))
    return tuple(changes)


def _lines_to_words(curves: list[Curve]) -> str:
    """Ends and ambient of curves; empty without one."""
    return "; ".join(
        f"from {one.points[0][0]:.2g} to {one.points[-1][0]:.2g}"
        + ("" if one.ambient_c is None else f", at {one.ambient_c:g} °C") for one in curves)


def _with_page(curves: list[Curve], words: str) -> str:
    return f"{words} (page {curves[0].place.page})" if curves else ""


def _accepted(connection: Connection, version: int, sheet_id: int, touched: Iterable[str]) -> tuple[str, ...]:
    """Parts of a sheet with accepted numbers, of those touched."""
    query = (
        select(part.c.folded, part.c.part_number).join(part_state, part_state.c.part_id == part.c.id)
        .where(part.c.sheet_id == sheet_id, part.c.part_number != WHOLE_SERIES, part_state.c.accepted > 0,
               holds_at(part_state, version)).order_by(part.c.position))
    wanted = set(touched)
    return tuple(number for folded, number in connection.execute(query) if folded in wanted)


def _comparisons(
    connection: Connection, version: int, sha256: str, touched: Iterable[str]
) -> tuple[str, ...]:
    """Names of the comparisons kept that judged one of the parts touched with this sheet's numbers."""
    wanted = {(folded, sha256) for folded in touched}
    return tuple(
        saved.comparison.name for saved in connection_to_comparisons(connection, version)
        if wanted & {(fold(one.part_number), one.sha256) for one in saved.comparison.parts})
