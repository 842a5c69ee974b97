"""Entries of all tables of a sheet become readings: joined by part, units and ambients settled.

Comes in: entries in page order and what the sheet says of itself. Goes out: Readings (status single
or disputed; second_reading.py raises them to agreed) and findings. Never chooses between two
different printed values: both stay, disputed.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from extract.agreement import Verdict
from extract.cell_entries import Entry, Unread, names_quantity
from extract.joins import (
    Joined,
    clean_part_number,
    group_to_parts,
    label_to_parts,
    voltage_class_to_parts,
)
from extract.page import PageContent, box_to_place
from extract.schema import AT_AMBIENT, WHOLE_SERIES, Finding, Kind, Quantity, Reading, Severity, Status
from extract.settling import (
    settle_deratings,
    settle_kinds,
    settle_milliamps,
    settle_multiples,
    settle_shares,
    settle_units,
)


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """What holds for all readings of a sheet.

    `ambients`: table title's or note's reference ambients, most trusted first; `contents`: page
    number -> PageContent, for places; `verdicts`: id of a cell -> what the second reading says;
    `noted_multiple`: how many times hold current the notes say that times to trip are measured at.
    """

    document: str
    sha256: str
    contents: dict[int, PageContent]
    note_ambients: tuple[float, ...]
    title_ambients: dict[int, float] = field(default_factory=dict)
    verdicts: dict[int, Verdict] = field(default_factory=dict)
    noted_multiple: float | None = None


def entries_to_readings(
    entries: Sequence[Entry], unread: Sequence[Unread], facts: SheetFacts
) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """Join, settle and place all entries of a sheet; a number printed twice is in twice."""
    parts = _entries_to_parts(entries)
    settled = settle_units(settle_milliamps(settle_shares(entries, parts), parts))
    settled = settle_multiples(settle_deratings(settled, parts), parts, facts.noted_multiple)
    settled = settle_kinds(settled)
    findings = [_unread_to_finding(item, facts) for item in unread]
    readings: list[Reading] = []
    unknown: dict[str, Entry] = {}
    reference = _reference_ambient(settled, parts, facts)
    classes = PartClasses(_entries_to_voltages(settled), _entries_to_groups(settled))
    for entry in settled:
        joined = _join(entry, parts, classes)
        if not joined.parts:
            unknown.setdefault(entry.label, entry)
            continue
        doubts = entry.doubts
        # A family has one row of shares; one row of amps for parts of several currents cannot be.
        unsure = joined.how == "short" or (joined.how == "family" and not entry.is_factor)
        if unsure and len(joined.parts) > 1:
            doubts = (*doubts, f"the row '{entry.label}' may mean any of {', '.join(joined.parts)}")
        for part in joined.parts:
            readings.append(
                _entry_to_reading(replace(entry, doubts=doubts), part, joined.how, reference, facts)
            )
    findings += [_unknown_to_finding(label, entry, facts) for label, entry in unknown.items()]
    return tuple(readings), tuple(findings)


def _entries_to_parts(entries: Sequence[Entry]) -> tuple[str, ...]:
    """The sheet's parts in printed order: the labels of tables that rate hold currents, else of the
    table with the most quantities, else of all tables in amps. Rows of shares may be named after groups
    of parts, and a label may say what the row holds: neither makes a part."""
    ratings: dict[int, set[Quantity]] = defaultdict(set)
    for entry in entries:
        if entry.is_rating:
            ratings[id(entry.table)].add(entry.quantity)
    richest = max((len(quantities) for quantities in ratings.values()), default=0)
    rated = {
        table
        for table, quantities in ratings.items()
        if Quantity.HOLD_CURRENT in quantities and len(quantities) > 1
    }
    chosen = rated or {table for table, quantities in ratings.items() if len(quantities) == richest}
    named = [entry for entry in entries if id(entry.table) in chosen]
    named = named or [entry for entry in entries if not entry.is_factor]
    labels = dict.fromkeys(entry.label for entry in named if not names_quantity(entry.label))
    names = (clean_part_number(label) for label in labels)
    return tuple(dict.fromkeys(name for name in names if _may_name_a_part(name))) or (
        _entries_to_repeated_labels(entries)
    )


def _may_name_a_part(name: str) -> bool:
    """No maker names a part "60": a voltage or a current came to stand for a label."""
    return name != "" and re.fullmatch(r"\d{1,3}", name) is None


def _entries_to_repeated_labels(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Where the ratings name no part: labels with a digit that two tables in amps or ohms share."""
    tables: dict[str, set[int]] = defaultdict(set)
    for entry in entries:
        name = clean_part_number(entry.label)
        if re.search(r"\d", name) and _may_name_a_part(name) and not entry.is_factor:
            tables[name].add(id(entry.table))
    return tuple(name for name, ids in tables.items() if len(ids) > 1)


def _entries_to_voltages(entries: Sequence[Entry]) -> dict[str, set[Decimal]]:
    """Part -> its rated voltages."""
    voltages: dict[str, set[Decimal]] = defaultdict(set)
    for entry in entries:
        if entry.quantity is Quantity.MAX_VOLTAGE and entry.is_rating:
            voltages[clean_part_number(entry.label)].add(entry.value)
    return voltages


def _entries_to_groups(entries: Sequence[Entry]) -> dict[str, str]:
    """Part -> the line over its group of rows, or the title of its table of ratings."""
    groups: dict[str, str] = {}
    for entry in entries:
        if entry.is_rating and entry.quantity is Quantity.HOLD_CURRENT:
            section = entry.table.sections.get(entry.cell.row)
            title = " ".join(entry.table.grid.titles[-1:])
            groups[clean_part_number(entry.label)] = section.text if section is not None else title
    return groups


@dataclass(frozen=True, slots=True)
class PartClasses:
    """By what a row of shares may call its parts: their rated voltages, the title over their ratings."""

    voltages: Mapping[str, set[Decimal]]
    groups: Mapping[str, str]


def _join(entry: Entry, parts: Sequence[str], classes: PartClasses) -> Joined:
    if not entry.label:
        return Joined((), "unknown")
    if entry.is_factor and (of_class := voltage_class_to_parts(entry.label, parts, classes.voltages)):
        return Joined(of_class, "voltage class")
    joined = label_to_parts(entry.label, parts, len(entry.table.body))
    if not joined.parts and entry.is_factor and (grouped := group_to_parts(entry.label, classes.groups)):
        return Joined(grouped, "group")
    if not joined.parts and entry.is_factor and _is_row_of_all(entry):
        return Joined((WHOLE_SERIES,), "series")
    if entry.is_factor or joined.how != "series":
        return joined
    return Joined((), "unknown")


def _is_row_of_all(entry: Entry) -> bool:
    """Whether a row of shares says which current it holds and no other row of its table says the same."""
    table, column = entry.table, entry.table.part_column
    if column is None or not names_quantity(entry.label) or re.search(r"\d", entry.label):
        return False
    cells = [table.grid.cell_at(row, column) for row in table.body]
    return [" ".join(c.text.split()) for c in cells if c is not None].count(entry.label) == 1


def _reference_ambient(
    entries: Sequence[Entry], parts: Sequence[str], facts: SheetFacts
) -> tuple[float | None, str]:
    """The sheet's reference ambient and where it comes from, or None and why."""
    printed = {
        e.ambient_c for e in entries if e.is_rating and e.quantity in AT_AMBIENT and e.ambient_c is not None
    }
    if len(printed) == 1:
        return printed.pop(), "heading"
    if facts.title_ambients and len(set(facts.title_ambients.values())) == 1:
        return next(iter(facts.title_ambients.values())), "title"
    if facts.note_ambients:
        return facts.note_ambients[0], "note"
    proven = _proven_ambient(entries, parts)
    if proven is not None:
        return proven, "the derating column that equals the ratings"
    return None, "the sheet names no reference ambient"


def _proven_ambient(entries: Sequence[Entry], parts: Sequence[str]) -> float | None:
    """The one derating column in which nearly every part has its rated hold current, or 100 %."""
    rated = {
        clean_part_number(e.label): e.value
        for e in entries
        if e.quantity is Quantity.HOLD_CURRENT and e.ambient_c is None and e.is_rating
    }
    hits: dict[float, int] = defaultdict(int)
    seen: dict[float, int] = defaultdict(int)
    for e in entries:
        if e.ambient_c is None or not 15 <= e.ambient_c <= 30:
            continue
        if e.is_factor:
            seen[e.ambient_c] += 1
            hits[e.ambient_c] += e.value == 1
        elif e.quantity is Quantity.HOLD_CURRENT:
            for part in label_to_parts(e.label, parts, 99).parts:
                seen[e.ambient_c] += part in rated
                hits[e.ambient_c] += rated.get(part) == e.value
    proven = [ambient for ambient, count in seen.items() if count and hits[ambient] >= 0.8 * count]
    return proven[0] if len(proven) == 1 else None


def _entry_to_reading(
    entry: Entry, part: str, how: str, reference: tuple[float | None, str], facts: SheetFacts
) -> Reading:
    quantity, doubts = entry.quantity, list(entry.doubts)
    ambient_c = entry.ambient_c
    if quantity in AT_AMBIENT and ambient_c is None:
        ambient_c = facts.title_ambients.get(id(entry.table), reference[0])
        if ambient_c is None:
            doubts.append(reference[1])
    if entry.is_factor:
        quantity = Quantity.TRIP_RATIO if quantity is Quantity.TRIP_CURRENT else Quantity.HOLD_RATIO
    verdict = facts.verdicts.get(id(entry.cell), Verdict(Status.SINGLE, "read once only"))
    status = verdict.status
    if verdict.status is Status.DISPUTED:
        doubts.append(verdict.reason)
    elif any(mark.isdigit() for mark in entry.cell.marks):
        status = Status.SINGLE
    notes = (
        *entry.notes,
        *((f"joined by {how}: '{entry.label}'",) if how not in ("exact", "series") else ()),
        *doubts,
    )
    content = facts.contents[entry.table.grid.page]
    return Reading(
        facts.document,
        facts.sha256,
        part,
        quantity,
        entry.kind if quantity not in AT_AMBIENT else Kind.NONE,
        ambient_c,
        entry.test_current_a,
        float(entry.value),
        Status.DISPUTED if doubts else status,
        box_to_place(content, entry.cell.box),
        " ".join(entry.cell.text.split()),
        entry.printed_unit,
        notes,
    )


def mark_contradictions(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """One row for each number: equal repeats go, different ones stay and are disputed."""
    groups: dict[tuple[object, ...], list[Reading]] = {}
    for reading in readings:
        key = (
            reading.part_number,
            reading.quantity,
            reading.kind,
            reading.ambient_c if reading.quantity in AT_AMBIENT else None,
            reading.test_current_a,
        )
        groups.setdefault(key, []).append(reading)
    kept: list[Reading] = []
    for group in groups.values():
        distinct: dict[float, Reading] = {}
        for reading in group:
            best = distinct.get(reading.value)
            if best is None or (best.status is Status.DISPUTED and reading.status is not Status.DISPUTED):
                distinct[reading.value] = reading
        if len(distinct) == 1:
            kept += distinct.values()
            continue
        values = ", ".join(f"'{r.raw}' on page {r.place.page}" for r in distinct.values())
        kept += [
            replace(r, status=Status.DISPUTED, notes=(*r.notes, f"the sheet prints {values}"))
            for r in distinct.values()
        ]
    return tuple(kept)


def _unread_to_finding(item: Unread, facts: SheetFacts) -> Finding:
    place = box_to_place(facts.contents[item.table.grid.page], item.cell.box)
    return Finding(
        "cell-unreadable",
        Severity.DOUBT,
        f"{item.quantity.value} of '{item.label}' not read: {item.reason}",
        found=" ".join(item.cell.text.split()),
        expected="one number",
        document=facts.document,
        part_number=clean_part_number(item.label),
        quantity=item.quantity,
        place=place,
    )


def _unknown_to_finding(label: str, entry: Entry, facts: SheetFacts) -> Finding:
    place = box_to_place(facts.contents[entry.table.grid.page], entry.cell.box)
    what = f"row '{label}' names no part of this sheet" if label else "numbers without a part number"
    return Finding(
        "row-without-part",
        Severity.DOUBT,
        f"{what}; its numbers were left out",
        found=label,
        expected="a part number of the ratings table",
        document=facts.document,
        place=place,
    )
