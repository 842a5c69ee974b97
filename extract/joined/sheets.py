"""All tables of a sheet become its readings.

Comes in: Tables, the sheet's lines of text. Goes out: Readings with their status, findings, fates.

    ratings   tables with a hold current; their labels are the sheet's parts
    further   tables without one whose labels are these parts
    derating  tables with ambients, told hold or trip by equality with the rating at the reference ambient

A reading is single where its meaning, its part and its condition are proven by a clear lead; else disputed, and
a note says why. The same number read twice is one reading; two that differ are both disputed.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from extract.cells.tables import Cell, Source
from extract.joined.conditions import (
    Said,
    table_to_ambient_votes,
    text_to_current,
    text_to_said,
    texts_to_ambients,
    texts_to_multiple,
)
from extract.joined.part_names import (
    Naming,
    label_to_parts,
    name_to_key,
    names_of,
    table_to_naming,
    sheet_to_single_part,
)
from extract.meanings.series import Entry, Series, text_to_units
from extract.meanings.tables import Axis, Table, entry_to_si, place_to_unit
from extract.meanings.assign import Assigned
from extract.meanings.words import QUANTITY_OF, Meaning, hits_to_kinds, text_to_hits, weight
from extract.page import box_to_place
from extract.vocabulary import fold
from extract.schema import WHOLE_SERIES, Kind, Quantity, Reading, Status

SAME = 0.003
"""Values that differ by less are the same number in another unit or rounding."""


@dataclass(frozen=True, slots=True)
class SheetText:
    """What the readings of a sheet have in common: its file, and its lines of text, page by page."""

    document: str
    sha256: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """A number on its way to a reading: what it is of, and every doubt met on the way."""

    table: Table | None
    part: str
    quantity: Quantity
    kind: Kind
    value: float
    cell: Cell
    unit: str
    ambient_c: float | None = None
    test_current_a: float | None = None
    doubts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Named:
    """A table with the parts of its items: for each item the part numbers it stands for, and doubts of naming."""

    table: Table
    items: tuple[tuple[str, ...], ...]
    doubts: tuple[str, ...] = ()


def tables_to_drafts(tables: Sequence[Table], sheet: SheetText) -> tuple[Draft, ...]:
    """Every number of the trade in the tables of a sheet."""
    ratings = [table for table in tables if is_rating(table)]
    named, parts = _name_ratings(ratings, tables, sheet)
    if not parts:
        return ()
    named += _name_further([t for t in tables if t not in ratings and not t.has_ambients], parts)
    multiple = texts_to_multiple(sheet.lines)
    drafts = [draft for entry in named for draft in _named_to_drafts(entry, multiple)]
    drafts += _captions_to_drafts(named, parts, sheet, drafts)
    holds = _values_of(drafts, Quantity.HOLD_CURRENT)
    trips = _values_of(drafts, Quantity.TRIP_CURRENT)
    derated = [
        draft
        for table in tables
        if table.has_ambients
        for draft in _derating_to_drafts(table, parts, holds, trips, named)
    ]
    reference, lead = _reference_ambient(ratings, derated, holds, sheet)
    return tuple(_with_ambient(draft, reference, lead) for draft in (*drafts, *derated))


def is_rating(table: Table) -> bool:
    """Whether a table rates parts: it has a hold current that leads clearly, and two more quantities, with a trip
    current about twice the hold current or words that name them."""
    meanings = table.meanings()
    holds = [a for a in table.assigned if a.meaning is Meaning.HOLD]
    if not holds or len(meanings) < 3 or _is_series_range(table, holds[0]):
        return False
    if table.axis is Axis.COLUMNS and Meaning.TRIP not in meanings:
        return False
    return holds[0].worded or (holds[0].lead >= 1.0 and Meaning.TRIP in meanings)


def _is_series_range(table: Table, hold: Assigned) -> bool:
    """Whether the hold current is given from smallest to largest: the range of a series, no rating."""
    field = next(series for series in table.fields if series.index == hold.candidate.series)
    trips = {a.candidate.series for a in table.assigned if a.meaning is Meaning.TRIP}
    return field.width == 2 and field.index not in trips


def _name_ratings(
    ratings: Sequence[Table], tables: Sequence[Table], sheet: SheetText
) -> tuple[list[Named], tuple[str, ...]]:
    """The tables of ratings with their parts, and all parts in the order of the sheet."""
    known = names_of(tables)
    namings = [(table, _naming_of(table, known)) for table in ratings]
    parts: dict[str, str] = {}
    for _, naming in namings:
        for label in naming.labels if naming is not None else ():
            if name_to_key(label.text):
                parts.setdefault(name_to_key(label.text), label.text)
    single = "" if parts else sheet_to_single_part(tables, sheet.lines)
    named = []
    for table, naming in namings:
        if naming is not None:
            items = tuple((label.text,) if label.text else () for label in naming.labels)
            doubts = () if naming.lead >= 1.0 else ("part_column_unsure",)
            named.append(Named(table, items, doubts))
        elif single:
            named.append(Named(table, ((single,),) * table.size, ()))
    found = tuple(parts.values()) or ((single,) if single else ())
    return named, found


def _naming_of(table: Table, known: set[str]) -> Naming | None:
    return None if table.item_kinds else table_to_naming(table, known)


def _name_further(tables: Sequence[Table], parts: Sequence[str]) -> list[Named]:
    """Tables without a hold current whose labels are the sheet's parts."""
    named = []
    for table in tables:
        worded = [a for a in table.assigned if a.worded]
        items = _join_labels(table, parts) if worded else None
        if items is not None:
            named.append(Named(table, items, ()))
    return named


def _join_labels(table: Table, parts: Sequence[str]) -> tuple[tuple[str, ...], ...] | None:
    """The parts that each item's label stands for, by the series of labels that joins most; None if few do."""
    best: tuple[tuple[str, ...], ...] = ()
    count = 0
    for series in table.labels:
        joined = [label_to_parts(e.cell.text, parts) if e.cell is not None else None for e in series.entries]
        found = tuple(j.names if j is not None else () for j in joined)
        share = sum(map(bool, found))
        told = {(names, _item_words(table, n)) for n, names in enumerate(found) if names}
        distinct = len(told) >= 0.9 * share
        if share > count and distinct:
            best, count = found, share
    return best if count >= 0.6 * table.size and count else None


def _join_voltages(table: Table, named: Sequence[Named]) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item where labels tell them by their voltage ("16 V series")."""
    rated: dict[float, list[str]] = {}
    for draft in (d for entry in named for d in (*_named_to_drafts(entry, None), *_table_said(entry))):
        if draft.quantity is Quantity.MAX_VOLTAGE and draft.part not in rated.setdefault(draft.value, []):
            rated[draft.value].append(draft.part)
    items = []
    for item in range(table.size):
        match = re.search(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*v(?![a-z])", fold(_item_words(table, item)))
        items.append(tuple(rated.get(float(match[1].replace(",", ".")), ())) if match else ())
    return tuple(items) if items and all(items) else None


def _named_to_drafts(named: Named, multiple: float | None) -> Iterator[Draft]:
    """The ratings of one table."""
    table = named.table
    fields = {series.index: series for series in table.fields}
    tests = [a for a in table.assigned if a.meaning is Meaning.TEST_CURRENT]
    for assigned in table.assigned:
        if assigned.meaning in (Meaning.OTHER, Meaning.TEST_CURRENT):
            continue
        field = fields[assigned.candidate.series]
        for item, parts in enumerate(named.items):
            if table.item_kinds and item != assigned.candidate.place:
                continue
            place = 0 if table.item_kinds else assigned.candidate.place
            entry = field.entries[item]
            value = entry_to_si(entry, place, field, assigned.candidate.base)
            if value is None or entry.cell is None or not parts:
                continue
            doubts = (*named.doubts, *_assigned_doubts(assigned), *_cell_doubts(entry))
            draft = Draft(
                table,
                parts[0],
                *_assigned_to_quantity(assigned, entry, table, item),
                value,
                _cell_of(entry, table, item),
                _unit_of(entry, place, field),
                None,
                None,
                doubts,
                _cell_notes(entry),
            )
            if draft.quantity is Quantity.TIME_TO_TRIP:
                draft = _with_test_current(draft, assigned, tests, item, multiple, named)
            for part in parts:
                yield replace(draft, part=part)


def _cell_of(entry: Entry, table: Table, item: int) -> Cell:
    assert entry.cell is not None
    return entry.cell


def _unit_of(entry: Entry, place: int, field: Series) -> str:
    printed = entry.numbers[place].printed
    unit = place_to_unit(field, place)
    return printed or (unit.name if unit is not None else "")


def _assigned_doubts(assigned: Assigned) -> tuple[str, ...]:
    """Why a meaning is not proven."""
    doubts = []
    if assigned.lead < (0.8 if assigned.worded else weight("clear_lead")):
        doubts.append(f"meaning_unsure:{assigned.meaning.value}/{assigned.rival.value}")
    if not assigned.candidate.base:
        doubts.append("unit_not_printed")
    return tuple(doubts)


def _cell_doubts(entry: Entry) -> tuple[str, ...]:
    return ("reach_guessed",) if entry.cell is not None and entry.cell.source is Source.GUESSED else ()


def _cell_notes(entry: Entry) -> tuple[str, ...]:
    if entry.cell is None or entry.cell.source is Source.OWN:
        return ()
    return ({Source.DITTO: "as above", Source.MERGED: "one cell over several rows"}.get(entry.cell.source, ""),)


def _assigned_to_quantity(
    assigned: Assigned, entry: Entry, table: Table, item: int
) -> tuple[Quantity, Kind]:
    """Quantity and kind: the kind of supply and of power by what heading or cell prints."""
    quantity, kind = QUANTITY_OF[assigned.meaning]
    text = assigned.candidate.head
    kinds = hits_to_kinds(text_to_hits(text)) | hits_to_kinds(text_to_hits(entry.cell.text if entry.cell else ""))
    if quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT, Quantity.MAX_INTERRUPT_VOLTAGE):
        supply = kinds & {Kind.AC, Kind.DC}
        kind = supply.pop() if len(supply) == 1 else kind if len(supply) < 1 else Kind.NONE
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
    head = assigned.candidate.head
    place = assigned.candidate.place if not named.table.item_kinds else 0
    near = sorted(tests, key=lambda t: abs(t.candidate.series - assigned.candidate.series))
    if near and not named.table.item_kinds:
        test = near[0]
        value = test.candidate.si[item]
        if value is not None:
            return replace(draft, test_current_a=value, doubts=(*draft.doubts, *_assigned_doubts(test)))
    stated = text_to_current(head)
    if stated is not None:
        return replace(draft, test_current_a=stated)
    own = texts_to_multiple([head])
    factor = own if own is not None else multiple
    hold = _hold_of(named.table, item)
    if factor is not None and hold is not None:
        doubts = () if own is not None else ("test_current_from_text",)
        value = float(f"{factor * hold:.6g}")
        return replace(draft, test_current_a=value, doubts=(*draft.doubts, *doubts), notes=(f"{factor:g} x hold",))
    return replace(draft, doubts=(*draft.doubts, "no_test_current"))


def _hold_of(table: Table, item: int) -> float | None:
    for a in table.assigned:
        if a.meaning is Meaning.HOLD:
            if table.item_kinds:
                return a.candidate.si[0]
            return a.candidate.si[item]
    return None


def _values_of(drafts: Sequence[Draft], quantity: Quantity) -> dict[str, float]:
    """Part -> its value of a quantity, where only one is read."""
    found: dict[str, set[float]] = {}
    for draft in drafts:
        if draft.quantity is quantity:
            found.setdefault(draft.part, set()).add(draft.value)
    return {part: values.pop() for part, values in found.items() if len(values) == 1}


# ---- ratings said in captions ----


def _captions_to_drafts(
    named: Sequence[Named], parts: Sequence[str], sheet: SheetText, drafts: Sequence[Draft]
) -> Iterator[Draft]:
    """Ratings that a caption or a group line gives to the parts below it; those of the whole sheet only where
    its text says so and no table does."""
    have = {(draft.part, draft.quantity) for draft in drafts}
    for entry in named:
        if is_rating(entry.table):
            found = [draft for draft in _table_said(entry) if (draft.part, draft.quantity) not in have]
            have |= {(draft.part, draft.quantity) for draft in found}
            yield from found
    yield from _sheet_said_to_drafts(named, parts, sheet, have)


def _table_said(entry: Named) -> Iterator[Draft]:
    """Ratings of the captions of a table, and of the group lines over some of its items."""
    for item, groups in enumerate(entry.table.item_groups):
        for text in (*groups, *entry.table.grid.captions[:3]):
            for said in text_to_said(text):
                for part in entry.items[item]:
                    yield _said_to_draft(said, part, entry.table, ())


def _sheet_said_to_drafts(
    named: Sequence[Named], parts: Sequence[str], sheet: SheetText, have: set[tuple[str, Quantity]]
) -> Iterator[Draft]:
    said = [s for text in sheet.lines for s in text_to_said(text)]
    said += [
        s
        for one, two in zip(sheet.lines, sheet.lines[1:], strict=False)
        for s in text_to_said(f"{one} {two}")
        if s not in said
    ]
    for quantity in {s.quantity for s in said}:
        values = {s.value for s in said if s.quantity is quantity}
        missing = [part for part in parts if (part, quantity) not in have]
        if len(values) == 1 and len(missing) == len(parts) and named:
            first = next(s for s in said if s.quantity is quantity)
            for part in missing:
                yield _said_to_draft(first, part, named[0].table, ("said_in_text",))


def _said_to_draft(said: Said, part: str, table: Table, doubts: tuple[str, ...]) -> Draft:
    cell = Cell(said.text, ())
    return Draft(
        table, part, said.quantity, said.kind, said.value, cell, said.unit, None, None, doubts, ("said in a caption",)
    )


# ---- derating ----


def _derating_to_drafts(
    table: Table,
    parts: Sequence[str],
    holds: dict[str, float],
    trips: dict[str, float],
    named: Sequence[Named],
) -> Iterator[Draft]:
    """The hold or trip currents, or shares, of a table with ambients."""
    own = next((n for n in named if n.table is table), None)
    joined = own.items if own is not None else _join_labels(table, parts) or _join_voltages(table, named)
    if joined is None and len(parts) == 1:
        joined = ((parts[0],),) * table.size
    quantities = [_row_quantities(table, item) for item in range(table.size)]
    for item in range(table.size):
        items = joined[item] if joined is not None else ()
        group = _item_words(table, item)
        cells = [
            (ambient, field, field.entries[item], value)
            for field, ambient in zip(table.fields, table.ambients, strict=True)
            if ambient is not None and field.entries[item].numbers
            for value in (field.entries[item].numbers[0].value,)
        ]
        if len(cells) < 3:
            continue
        yield from _row_to_drafts(table, item, cells, items, parts, holds, trips, quantities[item], group)


def _item_words(table: Table, item: int) -> str:
    labels = [s.entries[item].cell.text for s in table.labels if s.entries[item].cell is not None]
    return " ".join((*table.item_groups[item], *labels))


def _row_quantities(table: Table, item: int) -> set[Quantity]:
    """Hold or trip, as the words nearest to a row name it: its label and group, the heading, the caption."""
    heads = " ".join(dict.fromkeys(s.head for s in table.fields))
    for text in (_item_words(table, item), heads, *table.grid.captions[:3]):
        named = {
            Quantity(hit.name)
            for hit in text_to_hits(text)
            if hit.sense == "quantity" and hit.name in ("hold_current", "trip_current")
        }
        if named:
            return named
    return set()


def _row_to_drafts(
    table: Table,
    item: int,
    cells: Sequence[tuple[float, Series, Entry, float]],
    items: Sequence[str],
    parts: Sequence[str],
    holds: dict[str, float],
    trips: dict[str, float],
    worded: set[Quantity],
    group: str,
) -> Iterator[Draft]:
    """One row over ambients: shares if its values pass through 100 % (or 1), else amperes."""
    by_ambient: dict[tuple[float, str], list[tuple[float, Series, Entry, float]]] = {}
    for cell in cells:
        by_ambient.setdefault((cell[0], _field_group(cell[1], table)), []).append(cell)
    groups: dict[str, list[tuple[float, Series, Entry, float]]] = {}
    for (_, name), found in by_ambient.items():
        groups.setdefault(name, []).extend(found)
    for name, row in groups.items():
        share = _share_factor(table, row)
        said = _named_currents(name) or worded
        if share is not None:
            yield from _shares_to_drafts(table, row, items, parts, said, share)
        else:
            yield from _amps_to_drafts(table, row, items, holds, trips, said)


def _field_group(field: Series, table: Table) -> str:
    """What a field's heading says beside its temperature, if some fields are of hold and some of trip."""
    heads = [_named_currents(f.head) for f, a in zip(table.fields, table.ambients, strict=True) if a is not None]
    if len({frozenset(h) for h in heads if len(h) == 1}) < 2:
        return ""
    names = _named_currents(field.head)
    return "/".join(sorted(q.value for q in names)) if len(names) == 1 else ""


def _named_currents(text: str) -> set[Quantity]:
    if text in ("hold_current", "trip_current"):
        return {Quantity(text)}
    return {
        Quantity(hit.name)
        for hit in text_to_hits(text)
        if hit.sense == "quantity" and hit.name in ("hold_current", "trip_current")
    }


def _share_factor(table: Table, row: Sequence[tuple[float, Series, Entry, float]]) -> float | None:
    """The factor of a row of shares: 0.01 for percent, 1 for fractions; None for amperes. All rows of a table of
    shares are 100 % (or 1) at one room temperature; a part of 100 mA is so in one row only."""
    bases = {u.base for _, f, e, _ in row for u in (e.numbers[0].unit, *f.head_units) if u is not None}
    captioned = {u.base for text in table.grid.captions[:1] for u in text_to_units(text)}
    if "1" in bases:
        return 0.01 if max(value for *_, value in row) > 5 else 1.0
    if "A" in bases:
        return None
    for whole, factor in ((100.0, 0.01), (1.0, 1.0)):
        if _all_rows_pass(table, whole) and max(value for *_, value in row) > 1.05 * whole:
            single = table.size == 1 and "1" not in captioned and "A" in captioned
            return None if single else factor
    return None


def _all_rows_pass(table: Table, whole: float) -> bool:
    """Whether every row of a table is the whole at one room temperature."""
    for field, at in zip(table.fields, table.ambients, strict=True):
        if at is not None and 15 <= at <= 35 and field.numbers:
            if all(abs(value - whole) < 1e-6 for value in field.numbers):
                return True
    return False


def _shares_to_drafts(
    table: Table,
    row: Sequence[tuple[float, Series, Entry, float]],
    items: Sequence[str],
    parts: Sequence[str],
    said: set[Quantity],
    factor: float,
) -> Iterator[Draft]:
    whole = not items or set(items) == set(parts)
    names = (WHOLE_SERIES,) if whole else tuple(items)
    quantities = said or {Quantity.HOLD_CURRENT}
    doubts = () if said else ("hold_or_trip_unsure",)
    for ambient, _, entry, value in row:
        for quantity in sorted(quantities):
            ratio = Quantity.HOLD_RATIO if quantity is Quantity.HOLD_CURRENT else Quantity.TRIP_RATIO
            for name in names:
                share = float(f"{value * factor:.6g}")
                yield Draft(table, name, ratio, Kind.NONE, share, entry.cell, "%", ambient, None, doubts)


def _amps_to_drafts(
    table: Table,
    row: Sequence[tuple[float, Series, Entry, float]],
    items: Sequence[str],
    holds: dict[str, float],
    trips: dict[str, float],
    said: set[Quantity],
) -> Iterator[Draft]:
    """Amperes over ambients: told by the column that equals the rating."""
    if len(items) < 1:
        return
    for part in items:
        told = _told_by_rating(row, holds.get(part), trips.get(part), table)
        if told is None:
            continue
        quantity, factor, proven = told
        doubts: tuple[str, ...] = ()
        if not proven and said != {quantity}:
            doubts = ("hold_or_trip_unsure",)
        if proven and said and quantity not in said:
            doubts = ("words_say_another",)
        for ambient, field, entry, value in row:
            amps = float(f"{value * factor:.9g}")
            yield Draft(table, part, quantity, Kind.NONE, amps, entry.cell, "A", ambient, None, doubts)


def _told_by_rating(
    row: Sequence[tuple[float, Series, Entry, float]],
    hold: float | None,
    trip: float | None,
    table: Table,
) -> tuple[Quantity, float, bool] | None:
    """Quantity and factor to A of a row of amperes: equality at a room temperature, whatever the unit."""
    unit = next((u for _, f, e, _ in row for u in [e.numbers[0].unit, *f.head_units] if u and u.base == "A"), None)
    factors = [float(unit.factor)] if unit is not None else [1.0, 0.001]
    for factor in factors:
        for quantity, rating in ((Quantity.HOLD_CURRENT, hold), (Quantity.TRIP_CURRENT, trip)):
            if rating is not None and any(
                15 <= ambient <= 35 and abs(value * factor - rating) <= SAME * rating for ambient, _, _, value in row
            ):
                return quantity, factor, True
    for factor in factors:
        nearest = [
            (abs(math.log(value * factor / rating)), quantity)
            for quantity, rating in ((Quantity.HOLD_CURRENT, hold), (Quantity.TRIP_CURRENT, trip))
            for ambient, _, _, value in row
            if rating and value > 0 and 15 <= ambient <= 35
        ]
        if nearest and min(nearest)[0] < 0.12:
            return min(nearest)[1], factor, False
    return None


# ---- ambient of the ratings, status ----


def _reference_ambient(
    ratings: Sequence[Table], derated: Sequence[Draft], holds: dict[str, float], sheet: SheetText
) -> tuple[float | None, float]:
    """The ambient of the ratings and its lead: headings, captions, the column that equals the ratings."""
    votes: Counter[float] = Counter()
    for table in ratings:
        votes.update(table_to_ambient_votes(table))
    equal: Counter[float] = Counter()
    for draft in derated:
        if draft.quantity is Quantity.HOLD_CURRENT and draft.ambient_c is not None:
            rating = holds.get(draft.part)
            if rating and abs(draft.value - rating) <= SAME * rating:
                equal[draft.ambient_c] += 1
        if draft.quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO) and abs(draft.value - 1) < 1e-9:
            equal[draft.ambient_c or 0.0] += 1
    room = {ambient: n for ambient, n in equal.items() if 15 <= ambient <= 35}
    if room:
        votes[max(room, key=room.__getitem__)] += 8
    for value, count in Counter(texts_to_ambients(sheet.lines)).items():
        votes[value] += min(3, count)
    ranked = votes.most_common(2)
    if not ranked:
        return None, 0.0
    return ranked[0][0], ranked[0][1] - (ranked[1][1] if len(ranked) > 1 else 0)


def _with_ambient(draft: Draft, reference: float | None, lead: float) -> Draft:
    if draft.ambient_c is not None or draft.quantity not in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT):
        return draft
    doubts = draft.doubts if lead >= 1 else (*draft.doubts, "ambient_unsure")
    return replace(draft, ambient_c=reference, doubts=doubts)


def drafts_to_readings(drafts: Sequence[Draft], sheet: SheetText) -> tuple[Reading, ...]:
    """Readings: one for each number read; what is read twice and differs is disputed."""
    keyed: dict[tuple[object, ...], list[Draft]] = {}
    for draft in drafts:
        key = (draft.part, draft.quantity, draft.kind, draft.ambient_c, draft.test_current_a)
        keyed.setdefault(key, []).append(draft)
    readings = []
    for found in keyed.values():
        kept: list[Draft] = []
        for draft in sorted(found, key=lambda d: len(d.doubts)):
            if not any(abs(draft.value - other.value) <= SAME * abs(other.value) for other in kept):
                kept.append(draft)
        for draft in kept:
            extra = ("printed_twice_and_different",) if len(kept) > 1 else ()
            readings.append(_draft_to_reading(replace(draft, doubts=(*draft.doubts, *extra)), sheet))
    return tuple(readings)


def _draft_to_reading(draft: Draft, sheet: SheetText) -> Reading:
    assert draft.table is not None
    grid = draft.table.grid
    box = draft.cell.box if draft.cell.atoms else grid.box
    return Reading(
        sheet.document,
        sheet.sha256,
        draft.part,
        draft.quantity,
        draft.kind,
        draft.ambient_c,
        draft.test_current_a,
        float(f"{draft.value:.9g}"),
        Status.DISPUTED if draft.doubts else Status.SINGLE,
        box_to_place(grid.content, box),
        draft.cell.text,
        draft.unit,
        (*draft.doubts, *draft.notes),
    )
