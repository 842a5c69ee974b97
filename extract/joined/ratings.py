"""The ratings of a table: each number with its quantity, kind, unit and test current.

Comes in: Named tables. Goes out: Drafts. Knows no ambient: ambients.py does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Source
from extract.joined.conditions import footnote_to_exception
from extract.joined.drafts import Draft, Named
from extract.joined.said_else import heading_to_doubts
from extract.meanings.assign import Assigned
from extract.meanings.conditions import field_to_condition
from extract.meanings.fields import entry_to_si, number_to_spelling, number_to_unit
from extract.meanings.series import Entry, Series
from extract.meanings.tables import Table
from extract.meanings.words import QUANTITY_OF, Meaning, hits_to_kinds, text_to_hits, weight
from extract.schema import UNIT_OF, Kind, Quantity
from extract.vocabulary import Unit

HEAT = (0.05, 0.7)
"""Hold current squared times R1max over tripped power: published rows lie within (checks/limits.toml)."""
LEAST_ROWS = 3
TYPICAL_TIME = "a typical time, not the longest"


def named_to_drafts(named: Named, multiple: float | None) -> Iterator[Draft]:
    """The ratings of one table."""
    table = named.table
    fields = {series.index: series for series in table.fields}
    tests = [a for a in table.assigned if a.meaning is Meaning.TEST_CURRENT]
    for assigned in table.assigned:
        if assigned.meaning in (Meaning.OTHER, Meaning.TEST_CURRENT):
            continue
        if named.further and not _belongs_further(assigned, named):
            continue
        field = fields[assigned.candidate.series]
        for item, parts in enumerate(named.items):
            draft = _item_to_draft(assigned, field, named, item) if parts else None
            if draft is None:
                continue
            if draft.quantity is Quantity.TIME_TO_TRIP:
                if draft.kind is Kind.TYP:
                    draft = replace(draft, doubts=(*draft.doubts, TYPICAL_TIME))
                draft = _with_test_current(draft, assigned, tests, item, multiple, named)
            for part in parts:
                yield with_footnotes(replace(draft, part=part), assigned.candidate.base, item)


def _item_to_draft(assigned: Assigned, field: Series, named: Named, item: int) -> Draft | None:
    """The number of an item that a meaning was found for, under its first part; None where there is none. In
    a table of one part whose rows say kinds, each meaning is of one row."""
    table, candidate = named.table, assigned.candidate
    if table.item_kinds and item != candidate.place:
        return None
    place = 0 if table.item_kinds else candidate.place
    entry = field.entries[item]
    value = entry_to_si(entry, place, field, candidate.base)
    if value is None or entry.cell is None:
        return None
    quantity, kind = _assigned_to_quantity(assigned, entry, table, item)
    unit = number_to_spelling(entry, place, field, UNIT_OF[quantity])
    doubts = (
        *named.doubts,
        *_assigned_doubts(assigned, table),
        *_cell_doubts(entry),
        *_unit_doubts(assigned, number_to_unit(entry, place, field, candidate.base)),
        *_supply_doubts(assigned, entry, table),
        *heading_to_doubts(candidate.head, assigned.meaning, unit),
    )
    return Draft(
        table,
        named.items[item][0],
        quantity,
        kind,
        value,
        entry.cell,
        unit,
        doubts=doubts,
        notes=_cell_notes(entry),
    )


def with_footnotes(draft: Draft, base: str, item: int) -> Draft:
    """The draft, doubted if a footnote of its number, or of the name in its row, names another value or, for
    a time, another current."""
    notes = draft.table.grid.notes
    bases = base + "A" * (draft.quantity is Quantity.TIME_TO_TRIP)
    note = footnote_to_exception(draft.cell.text, draft.part, notes, bases)
    labels = [cell.text for s in draft.table.labels if (cell := s.entries[item].cell) is not None]
    for text in labels if not note else ():
        said = footnote_to_exception(text, draft.part, notes, base)
        named = {hit.name for hit in text_to_hits(said) if hit.sense == "quantity"}
        note = note or (said if not named or draft.quantity.value in named else "")
    return replace(draft, doubts=(*draft.doubts, f"footnote:{note}")) if note else draft


def _belongs_further(assigned: Assigned, named: Named) -> bool:
    """Whether a column of a table without a hold current is one of ratings: words name it, or unit and
    numbers with a clear lead; and it is no hold or trip current, which another table gives."""
    if assigned.meaning in (Meaning.HOLD, Meaning.TRIP) and named.holds:
        return False
    return assigned.worded or (bool(assigned.candidate.base) and assigned.lead >= weight("clear_lead"))


def cell_of(entry: Entry) -> Cell:
    """The cell of an entry that has a number."""
    return entry.cell if entry.cell is not None else Cell("", ())


def _assigned_doubts(assigned: Assigned, table: Table) -> tuple[str, ...]:
    """Why a meaning is not proven."""
    doubts = []
    if assigned.lead < (0.8 if assigned.worded else weight("clear_lead")):
        doubts.append(f"meaning_unsure:{assigned.meaning.value}/{assigned.rival.value}")
    if not assigned.candidate.base and not _is_proven_by_heat(assigned, table):
        doubts.append("unit_not_printed")
    return tuple(doubts)


def _unit_doubts(assigned: Assigned, unit: Unit | None) -> tuple[str, ...]:
    """Whether a number has no unit where others of its series print theirs: "25" below "120 mOhm" and "80
    mOhm" may be in either."""
    return ("unit_not_printed",) if assigned.candidate.base and unit is None else ()


def _is_proven_by_heat(assigned: Assigned, table: Table) -> bool:
    """Whether a power without a unit is in watts: words name it, and in every row the heat that the hold
    current makes in the largest resistance is the share of it that the trade has."""
    if assigned.meaning not in (Meaning.POWER, Meaning.POWER_MAX) or not assigned.worded:
        return False
    known = {a.meaning: a.candidate.si for a in table.assigned if a.candidate.base}
    holds, resistances = known.get(Meaning.HOLD), known.get(Meaning.R_POST)
    if holds is None or resistances is None:
        return False
    rows = zip(holds, resistances, assigned.candidate.si, strict=False)
    shares = [hold**2 * ohms / watts for hold, ohms, watts in rows if hold and ohms and watts]
    return len(shares) >= LEAST_ROWS and all(HEAT[0] <= share <= HEAT[1] for share in shares)


def _is_lone_supply(assigned: Assigned, table: Table) -> bool:
    """Whether a table has no other series of the same quantity: whether its one limit is of AC or DC is then
    said by print alone."""
    quantity = QUANTITY_OF[assigned.meaning][0]
    others = (a for a in table.assigned if a is not assigned and a.meaning in QUANTITY_OF)
    return all(QUANTITY_OF[other.meaning][0] is not quantity for other in others)


def _supply_doubts(assigned: Assigned, entry: Entry, table: Table) -> tuple[str, ...]:
    """Whether one of two ratings in a cell, or in two series, is taken for that of AC or DC though neither
    heading nor cell says so: "60/30" under "Umax"."""
    quantity, kind = QUANTITY_OF[assigned.meaning]
    if quantity is Quantity.TRIPPED_POWER:
        return _power_doubts(assigned, entry, table)
    if quantity not in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT):
        return ()
    cell = entry.text
    head = next(field.head for field in table.fields if field.index == assigned.candidate.series)
    printed = hits_to_kinds(text_to_hits(f"{head} {cell}"))
    own = hits_to_kinds(text_to_hits(f"{assigned.candidate.head} {cell}"))
    guessed = kind in (Kind.AC, Kind.DC) and not own & {Kind.AC, Kind.DC}
    guessed = guessed and not _is_lone_supply(assigned, table)
    values = {number.value for number in entry.numbers}
    is_pair = len(entry.numbers) == 2 and len(values) == 2
    if not guessed and (not is_pair or printed >= {Kind.AC, Kind.DC}):
        return ()
    return (f"meaning_unsure:{assigned.meaning.value}/{assigned.rival.value}",)


def _power_doubts(assigned: Assigned, entry: Entry, table: Table) -> tuple[str, ...]:
    """Whether one of two powers says neither typical nor largest: it may be either."""
    if table.item_kinds or _is_lone_supply(assigned, table):
        return ()
    cell = entry.text
    said = hits_to_kinds(text_to_hits(f"{assigned.candidate.head} {cell}")) & {Kind.TYP, Kind.MAX}
    return () if said else (f"meaning_unsure:{assigned.meaning.value}/{assigned.rival.value}",)


def _cell_doubts(entry: Entry) -> tuple[str, ...]:
    return ("reach_guessed",) if entry.cell is not None and entry.cell.source is Source.GUESSED else ()


def _cell_notes(entry: Entry) -> tuple[str, ...]:
    if entry.cell is None or entry.cell.source is Source.OWN:
        return ()
    return (
        {Source.DITTO: "as above", Source.MERGED: "one cell over several rows"}.get(entry.cell.source, ""),
    )


def _assigned_to_quantity(assigned: Assigned, entry: Entry, table: Table, item: int) -> tuple[Quantity, Kind]:
    """Quantity and kind: the kind of supply and of power by what heading or cell prints."""
    quantity, kind = QUANTITY_OF[assigned.meaning]
    text = assigned.candidate.head
    kinds = hits_to_kinds(text_to_hits(text)) | hits_to_kinds(text_to_hits(entry.text))
    if quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT, Quantity.MAX_INTERRUPT_VOLTAGE):
        supply = kinds & {Kind.AC, Kind.DC}
        kind = Kind.NONE if _is_lone_supply(assigned, table) else kind
        kind = supply.pop() if len(supply) == 1 else kind if len(supply) < 1 else Kind.NONE
    if quantity is Quantity.TIME_TO_TRIP:
        kind = Kind.TYP if kinds & {Kind.TYP, Kind.MAX} == {Kind.TYP} else Kind.NONE
    if quantity is Quantity.TRIPPED_POWER:
        limits = kinds & {Kind.TYP, Kind.MAX}
        if table.item_kinds:
            limits = {k for k in (table.item_kinds[item],) if k in (Kind.TYP, Kind.MAX)}
        kind = limits.pop() if len(limits) == 1 else Kind.NONE
    return quantity, kind


def _with_test_current(
    draft: Draft,
    assigned: Assigned,
    tests: Sequence[Assigned],
    item: int,
    multiple: float | None,
    named: Named,
) -> Draft:
    """The current at which a time is measured: the one beside it, one in the heading, a multiple of the hold
    current."""
    field = next(f for f in named.table.fields if f.index == assigned.candidate.series)
    stated, own = field_to_condition(field)
    if stated is not None:
        return replace(draft, test_current_a=stated)
    near = _tests_near(assigned, tests, named.table)
    beside = near[0].candidate.si[item] if near and own is None and not named.table.item_kinds else None
    if beside is not None:
        return replace(
            draft, test_current_a=beside, doubts=(*draft.doubts, *_assigned_doubts(near[0], named.table))
        )
    factor = own if own is not None else multiple
    hold = _hold_of(named, item)
    if factor is not None and hold is not None:
        doubts = () if own is not None else ("test_current_from_text",)
        value = float(f"{factor * hold:.6g}")
        return replace(
            draft, test_current_a=value, doubts=(*draft.doubts, *doubts), notes=(f"{factor:g} x hold",)
        )
    return replace(draft, doubts=(*draft.doubts, "no_test_current"))


def _tests_near(assigned: Assigned, tests: Sequence[Assigned], table: Table) -> list[Assigned]:
    """Test currents, the nearest to a time first; of several those on the side where the first current stands
    of the first time before those on the other."""
    times = [a.candidate.series for a in table.assigned if a.meaning in (Meaning.TIME, Meaning.TIME_TYP)]
    is_left = min((test.candidate.series for test in tests), default=0) < min(times, default=0)

    def key(test: Assigned) -> tuple[bool, int]:
        off = test.candidate.series - assigned.candidate.series
        return (off > 0) == is_left, abs(off)

    return sorted(tests, key=key)


def _hold_of(named: Named, item: int) -> float | None:
    """The hold current of an item, in its table or in another one that rates the part."""
    for a in named.table.assigned:
        if a.meaning is Meaning.HOLD:
            return a.candidate.si[0 if named.table.item_kinds else item]
    parts = named.items[item]
    return named.holds.get(parts[0]) if len(parts) == 1 else None
