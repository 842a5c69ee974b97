"""All tables of a sheet become its readings.

Comes in: Tables, the sheet's lines of text. Goes out: Readings with their status.

    ratings   tables with a hold current; their labels are the sheet's parts
    further   tables without one whose labels are these parts
    derating  tables with ambients

A reading is single where its meaning, its part and its condition are proven by a clear lead; else disputed,
and a note says why. The same number read twice is one reading; two that differ are both disputed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from itertools import chain

from extract.joined.captions import captions_to_drafts
from extract.joined.conditions import table_to_ambient_votes, texts_to_ambients
from extract.joined.derating import derating_to_drafts
from extract.joined.drafts import SAME, Draft, Named, SheetText
from extract.joined.marked import named_to_noted
from extract.joined.named import is_rating, name_further, name_ratings, sole_item
from extract.joined.ratings import named_to_drafts
from extract.meanings.conditions import texts_to_multiple
from extract.meanings.tables import Table
from extract.meanings.words import text_to_hits
from extract.page import box_to_place
from extract.reference import is_room_of_a_column
from extract.schema import Kind, Quantity, Reading, Status

SURE_VOTES = 4
"""So much a heading or a caption says of the ambient of its own table; other than the sheet's is doubted."""


def tables_to_named(tables: Sequence[Table], sheet: SheetText) -> tuple[list[Named], tuple[str, ...]]:
    """The tables of ratings with the parts of their items, and all parts of the sheet."""
    return name_ratings([table for table in tables if is_rating(table)], tables, sheet)


def tables_to_drafts(
    tables: Sequence[Table], rated: tuple[Sequence[Named], tuple[str, ...]], sheet: SheetText
) -> tuple[Draft, ...]:
    """Every number of the trade in the tables of a sheet; `rated` are its tables of ratings and its parts."""
    named, parts = list(rated[0]), rated[1]
    if not parts:
        return ()
    ratings = [table for table in tables if is_rating(table)]
    multiple = texts_to_multiple(sheet.lines)
    drafts = _named_to_all(named, multiple)
    holds = _values_of(drafts, Quantity.HOLD_CURRENT)
    rest = [table for table in tables if table not in ratings and not table.has_ambients]
    further = [replace(entry, holds=holds) for entry in name_further(rest, parts, named)]
    drafts += _named_to_all(further, multiple)
    named += further
    drafts += named_to_noted(named, drafts, sheet)
    drafts += captions_to_drafts(named, parts, sheet, drafts)
    currents = {q: _values_of(drafts, q) for q in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT)}
    with_ambients = [table for table in tables if table.has_ambients]
    derated = [*chain(*(derating_to_drafts(table, parts, currents, named, sheet) for table in with_ambients))]
    reference, lead = _reference_ambient(ratings, derated, currents[Quantity.HOLD_CURRENT], sheet)
    told = (_with_ambient(draft, reference, lead) for draft in (*drafts, *derated))
    return tuple(map(_with_part_unsure, told) if _is_part_unsure(rated[0]) else told)


def _named_to_all(named: Sequence[Named], multiple: float | None) -> list[Draft]:
    """The ratings of all tables with names."""
    return [draft for entry in named for draft in named_to_drafts(entry, multiple)]


PART_UNSURE = "part_column_unsure"


def _is_part_unsure(named: Sequence[Named]) -> bool:
    """Whether all tables rate one part, or its variants, and it is not sure that this is its name."""
    return bool(sole_item(named)) and any(PART_UNSURE in entry.doubts for entry in named)


def _with_part_unsure(draft: Draft) -> Draft:
    """A number of a sheet's only part stands no better than that part's name."""
    return draft if PART_UNSURE in draft.doubts else replace(draft, doubts=(*draft.doubts, PART_UNSURE))


def _values_of(drafts: Sequence[Draft], quantity: Quantity) -> dict[str, float]:
    """Part -> its value of a quantity, where only one is read."""
    found: dict[str, set[float]] = {}
    for draft in drafts:
        if draft.quantity is quantity:
            found.setdefault(draft.part, set()).add(draft.value)
    return {part: values.pop() for part, values in found.items() if len(values) == 1}


def _reference_ambient(
    ratings: Sequence[Table], derated: Sequence[Draft], holds: dict[str, float], sheet: SheetText
) -> tuple[float | None, float]:
    """The ambient of the ratings and its lead: headings, captions, the column that equals the ratings."""
    votes: dict[float, float] = defaultdict(float)
    for table in ratings:
        for ambient, votes_of_table in table_to_ambient_votes(table).items():
            votes[ambient] += votes_of_table
    equal = Counter(draft.ambient_c or 0.0 for draft in derated if _is_whole(draft, holds))
    room = {ambient: n for ambient, n in equal.items() if is_room_of_a_column(ambient)}
    if room:
        votes[max(room, key=room.__getitem__)] += 8
    general = [line for line in sheet.lines if not _is_of_another_quantity(line)]
    for value, count in Counter(texts_to_ambients(general)).items():
        votes[value] += min(3, count)
    for value in set(texts_to_ambients(sheet.lines)) - set(votes):
        votes[value] += 0.5  # "resistance at 25 °C" does not say at what the currents hold
    ranked = sorted(votes.items(), key=lambda vote: -vote[1])
    if not ranked:
        return None, 0.0
    return ranked[0][0], ranked[0][1] - (ranked[1][1] if len(ranked) > 1 else 0)


def _is_whole(draft: Draft, holds: dict[str, float]) -> bool:
    """Whether a derated number is the rating itself, or all of it."""
    if draft.quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO):
        return abs(draft.value - 1) < 1e-9
    rating = holds.get(draft.part)
    is_hold = draft.quantity is Quantity.HOLD_CURRENT and draft.ambient_c is not None
    return bool(rating and is_hold and abs(draft.value - rating) <= SAME * rating)


def _is_of_another_quantity(line: str) -> bool:
    """Whether a line says of one quantity only at what temperature it holds, and that is no hold or trip
    current."""
    names = {hit.name for hit in text_to_hits(line) if hit.sense == "quantity"}
    return len(names) == 1 and names.isdisjoint({"hold_current", "trip_current"})


def _with_ambient(draft: Draft, reference: float | None, lead: float) -> Draft:
    if draft.ambient_c is not None or draft.quantity not in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT):
        return draft
    said = table_to_ambient_votes(draft.table)
    own = {ambient for ambient, votes in said.items() if votes >= SURE_VOTES}
    unsure = lead < 1 or not own <= {reference}
    return replace(draft, ambient_c=reference, doubts=(*draft.doubts, *("ambient_unsure",) * unsure))


def drafts_to_distinct(drafts: Sequence[Draft]) -> tuple[Draft, ...]:
    """One draft for each number read; what is read twice and differs is doubted."""
    keyed: dict[tuple[object, ...], list[Draft]] = {}
    for draft in drafts:
        key = (draft.part, draft.quantity, draft.kind, draft.ambient_c, draft.test_current_a)
        keyed.setdefault(key, []).append(draft)
    distinct = []
    for found in keyed.values():
        kept: list[Draft] = []
        for draft in sorted(found, key=lambda d: len(d.doubts)):
            if not any(abs(draft.value - other.value) <= SAME * abs(other.value) for other in kept):
                kept.append(draft)
        extra = ("printed_twice_and_different",) if len(kept) > 1 else ()
        distinct += [replace(draft, doubts=(*draft.doubts, *extra)) for draft in kept]
    return _doubt_said_beside(_without_said_again(distinct))


def _without_said_again(drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts without a doubted limit of no supply that is the value of a sure one of alternating or
    direct voltage: "16 V" in a description beside 16 under "Vmax (VDC)"."""
    sure = {(d.part, d.quantity, d.value) for d in drafts if d.kind is not Kind.NONE and not d.doubts}
    return [
        draft
        for draft in drafts
        if not (
            draft.quantity in LIMITS
            and draft.kind is Kind.NONE
            and draft.doubts
            and (draft.part, draft.quantity, draft.value) in sure
        )
    ]


LIMITS = (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT, Quantity.MAX_INTERRUPT_VOLTAGE)


def _doubt_said_beside(drafts: Sequence[Draft]) -> tuple[Draft, ...]:
    """The drafts; two values of a limit of one part, of which a text gives one, are both doubted where only
    one of them says AC or DC: the text may except the part."""
    found: dict[tuple[str, Quantity], list[Draft]] = {}
    for draft in drafts:
        if draft.quantity in LIMITS:
            found.setdefault((draft.part, draft.quantity), []).append(draft)
    beside = {
        key
        for key, own in found.items()
        if len({draft.value for draft in own}) > 1
        and any(draft.at is not None for draft in own)
        and any(draft.kind is Kind.NONE for draft in own)
    }
    return tuple(
        replace(draft, doubts=(*draft.doubts, "printed_twice_and_different"))
        if (draft.part, draft.quantity) in beside and "printed_twice_and_different" not in draft.doubts
        else draft
        for draft in drafts
    )


def draft_to_reading(draft: Draft, sheet: SheetText) -> Reading:
    """A number with its place, single unless anything is in doubt."""
    grid = draft.table.grid
    content = draft.cell.content or grid.content
    box = draft.cell.box if draft.cell.atoms else grid.box
    if draft.at is not None:
        content, box = draft.at.content, draft.at.box
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
        box_to_place(content, box),
        draft.cell.text,
        draft.unit,
        (*draft.doubts, *draft.notes),
    )
