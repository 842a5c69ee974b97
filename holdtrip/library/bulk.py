"""Accepting many parts at once, without a look at each number: a standing of its own, never a person's word.

Comes in: a writing connection, which parts, a signature. Goes out: counts of what was decided and what is
left. Disputed numbers stay undecided, those read once too unless asked for.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, or_, select

from extract.errors import InputError
from extract.schema import WHOLE_SERIES
from holdtrip.library.chunks import chunks
from holdtrip.library.curves import accept_in_bulk as accept_curves_in_bulk
from holdtrip.library.decisions import add_decisions
from holdtrip.library.history import add_change, holds_at, version_at
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.part_numbers import fold
from holdtrip.library.parts import part_id_to_row
from holdtrip.library.records import Action, BulkChoice, BulkOutcome, Signature, StoredNumber, Verdict
from holdtrip.library.review import numbers_to_bulk
from holdtrip.library.signing import add_seconds
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import part, part_state, sheet


def accept_in_bulk(connection: Connection, chosen: BulkChoice, by: Signature) -> BulkOutcome:
    """Accept the undecided numbers of all parts chosen, and of their series, by one change."""
    version = version_at(connection)
    part_ids = _choice_to_parts(connection, version, chosen)
    with_series = [*part_ids, *_series_of(connection, part_ids)]
    accept_curves_in_bulk(connection, with_series, by, chosen.singles)
    numbers = connection_to_numbers(connection, version, with_series)
    sorted_out = numbers_to_bulk(numbers, chosen.singles, by)
    if sorted_out.chosen:
        _add_in_bulk(connection, sorted_out.chosen, by)
        version = version_at(connection)
        for of_family in _by_family(connection, with_series):
            renew_states(connection, version, of_family)
    rows = tuple(part_id_to_row(connection, version, part_id) for part_id in part_ids)
    return BulkOutcome(rows, len(sorted_out.chosen), len(sorted_out.disputed), len(sorted_out.singles))


def _add_in_bulk(connection: Connection, chosen: Sequence[StoredNumber], by: Signature) -> None:
    """Accept numbers in bulk, and sign those second that another person accepted: one change."""
    seconds = [one.number_id for one in chosen if one.waiting]
    news = [one.number_id for one in chosen if not one.waiting]
    version = add_change(connection, Action.BULK if news else Action.SECOND, by)
    if news:
        add_decisions(connection, version, [(one, Verdict.BULK, None) for one in news])
    add_seconds(connection, version, [(one, Verdict.BULK) for one in seconds])


def _choice_to_parts(connection: Connection, version: int, chosen: BulkChoice) -> list[int]:
    """Parts chosen, in the order imported; raises InputError where there is none."""
    if not (chosen.sha256 or chosen.like):
        raise InputError("library", "nothing named to accept in bulk", "a datasheet or part of a number",
                         "Name it: --sheet, --like, or a part")
    query = (select(part.c.id).join(sheet, sheet.c.id == part.c.sheet_id)
             .join(part_state, part_state.c.part_id == part.c.id)
             .where(holds_at(part_state, version), part.c.part_number != WHOLE_SERIES)
             .order_by(sheet.c.id, part.c.position))
    if chosen.sha256:
        of_sheet = sheet.c.sha256.startswith(chosen.sha256, autoescape=True)
        query = query.where(or_(of_sheet, sheet.c.document == chosen.sha256))
    else:
        query = query.where(part_state.c.live)
    if chosen.like:
        query = query.where(part.c.folded.contains(fold(chosen.like), autoescape=True))
    found = list(connection.execute(query).scalars())
    if not found:
        raise InputError("library", f"no part of {chosen.sha256[:12] or 'any sheet'} with"
                         f" '{chosen.like}' in its number", "", "`holdtrip list` shows what is there")
    return found


def _series_of(connection: Connection, part_ids: Sequence[int]) -> list[int]:
    """The whole series (`*`) of the sheets of some parts."""
    sheets = {sheet_id for some in chunks(part_ids) for sheet_id in connection.execute(
        select(part.c.sheet_id).where(part.c.id.in_(some))).scalars()}
    return [part_id for some in chunks(sheets) for part_id in connection.execute(
        select(part.c.id).where(part.c.sheet_id.in_(some), part.c.part_number == WHOLE_SERIES,
                                part.c.replaced_by.is_(None))).scalars()]


def _by_family(connection: Connection, part_ids: Sequence[int]) -> list[list[int]]:
    """Parts sorted by the family of their sheets: states are renewed family by family."""
    families: dict[int, list[int]] = {}
    for some in chunks(part_ids):
        for part_id, family in connection.execute(
            select(part.c.id, sheet.c.family).join(sheet, sheet.c.id == part.c.sheet_id)
            .where(part.c.id.in_(some))
        ):
            families.setdefault(family, []).append(part_id)
    return list(families.values())
