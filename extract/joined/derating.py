"""Hold and trip currents over ambients, in amperes or in shares.

Comes in: Tables with ambients, the ratings read so far. Goes out: Drafts. Hold and trip are told by equality
with the rating at a room temperature; words and that must not contradict each other. Shares are 100 % (or 1)
there."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from extract.joined.captions import table_said
from extract.joined.conditions import text_excepts
from extract.joined.drafts import SAME, Draft, Named, SheetText
from extract.joined.grouped import TITLE, join_groups, join_title
from extract.joined.named import item_words, join_attached, join_holds, join_labels, join_rows, sole_item
from extract.joined.pair_currents import Point, heads_to_current, named_currents
from extract.joined.part_names import label_to_parts
from extract.joined.ratings import cell_of, named_to_drafts
from extract.meanings.left_over import title_hedges
from extract.meanings.series import Entry, Series, text_to_spelled_units, text_to_units
from extract.meanings.tables import Table
from extract.meanings.words import text_to_hits
from extract.reference import is_room_of_a_column
from extract.schema import WHOLE_SERIES, Kind, Quantity
from extract.vocabulary import Unit, fold

LEAST_SHARE, MOST_SHARE = 0.1, 2.5
"""No ambient of the trade takes a hold or trip current below or above these shares of its rating (common
practice, no source)."""
NEAR_RATING = 0.12
"""Natural logarithm of the ratio of two currents that may be one."""
Rated = dict[Quantity, dict[str, float]]
"""Hold and trip current of each part, in A, where one is read."""


def derating_to_drafts(
    table: Table,
    parts: Sequence[str],
    rated: Rated,
    named: Sequence[Named],
    sheet: SheetText,
) -> Iterator[Draft]:
    """The hold or trip currents, or shares, of a table with ambients."""
    joined = _table_to_items(table, parts, rated[Quantity.HOLD_CURRENT], named, sheet)
    for item in range(table.size):
        items = joined[item] if joined is not None else ()
        for place in (0, 1):
            cells = _item_to_points(table, item, place)
            if len(cells) >= 3 or (len(cells) >= 1 and _each_says(cells)):
                drafts = _row_to_drafts(table, cells, items, parts, rated, item)
                drafts = map(_doubted, drafts) if _is_mixed(table, item) else drafts
                yield from map(_hedged, drafts) if _titles_hedge(table) else drafts


def _table_to_items(
    table: Table, parts: Sequence[str], holds: dict[str, float], named: Sequence[Named], sheet: SheetText
) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item: those it names itself, else told by what labels say of voltage, hold current or
    names, by the same rows elsewhere, by codes; else the only ones rated; None if unknown."""
    own = next((n.items for n in named if n.table is table), None)
    if own is None and _is_of_voltages(table):
        own = _join_voltages(table, named, sheet)
    joined = (
        own
        or join_holds(table, holds)
        or join_labels(table, parts)
        or join_rows(table, named)
        or join_groups(table, named)
        or join_attached(table, named)
        or _join_voltages(table, named, sheet)
    )
    only = sole_item(named) or sole_item(named, table.grid.page)
    alone = (only,) * table.size if only else join_title(table, parts)
    return alone if joined is None else joined


def _item_to_points(table: Table, item: int, place: int) -> list[Point]:
    """The numbers at a place of an item's cells, over their ambients."""
    return [
        (ambient, field, field.entries[item], field.entries[item].numbers[place].value)
        for field, ambient in zip(table.fields, table.ambients, strict=True)
        if ambient is not None and len(field.entries[item].numbers) > place
    ]


def _is_mixed(table: Table, item: int) -> bool:
    """Whether some cells of a row hold two numbers and others one: halves of pairs may stand on lines of
    their own, and then do not belong together."""
    fields = zip(table.fields, table.ambients, strict=True)
    return {1, 2} <= {len(field.entries[item].numbers) for field, ambient in fields if ambient is not None}


def _doubted(draft: Draft) -> Draft:
    return replace(draft, doubts=(*draft.doubts, "pairs_beside_single_numbers"))


def _hedged(draft: Draft) -> Draft:
    return replace(draft, doubts=(*draft.doubts, "said_with_exception"))


def _each_says(cells: Sequence[Point]) -> bool:
    """Whether every field's own heading names one current, hold or trip."""
    return all(len(named_currents(field.head)) == 1 for _, field, _, _ in cells)


def _titles_hedge(table: Table) -> bool:
    """Whether the nearest title says that the table is not of all it names, or of something else."""
    return any(text_excepts(title) or title_hedges(title) for title in _titles(table)[:1])


def _is_of_voltages(table: Table) -> bool:
    """Whether every label begins with a voltage: "60 V / 30 V", "16 V series"."""
    cells = [entry.cell for series in table.labels[:1] for entry in series.entries]
    return bool(cells) and all(
        cell is not None and re.match(r"\d+(?:[.,]\d+)?\s*v(?![a-z])", fold(cell.text)) for cell in cells
    )


def _join_voltages(
    table: Table, named: Sequence[Named], sheet: SheetText
) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item where labels tell them by their voltage ("16 V series")."""
    rated: dict[float, list[str]] = {}
    for draft in (d for entry in named for d in (*named_to_drafts(entry, None), *table_said(entry, sheet))):
        if draft.quantity is Quantity.MAX_VOLTAGE and draft.part not in rated.setdefault(draft.value, []):
            rated[draft.value].append(draft.part)
    items = []
    for item in range(table.size):
        volts = re.findall(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*v(?![a-z])", fold(item_words(table, item)))
        items.append(tuple(part for v in volts for part in rated.get(float(v.replace(",", ".")), ())))
    return tuple(items) if all(items) else None


def _row_quantities(table: Table, item: int) -> set[Quantity]:
    """Hold or trip, as the words nearest to a row name it: its label and group, the heading, the caption."""
    fields = zip(table.fields, table.ambients, strict=True)
    heads = " ".join(dict.fromkeys(field.head for field, ambient in fields if ambient is not None))
    for text in (item_words(table, item), heads, *_titles(table)):
        named = {
            Quantity(hit.name) for hit in text_to_hits(text) if hit.name in ("hold_current", "trip_current")
        }
        if named:
            return named
    return set()


def _titles(table: Table) -> list[str]:
    """The captions of a table that are titles: short, no sentence; a sentence above ends them."""
    titles: list[str] = []
    for text in table.grid.captions[:3]:
        if len(text) > TITLE or (text.rstrip().endswith((".", "。")) and not _NUMBERED.match(text)):
            break
        titles.append(text)
    return titles


_NUMBERED = re.compile(r"\d+(?:\.\d+)*[.)]\s+[A-ZÀ-ÝА-Я/,.()\d\s°%-]+$")
"""A title of a typed sheet, numbered and in capitals, ends with a full stop as well."""


def _row_to_drafts(
    table: Table,
    cells: Sequence[Point],
    items: Sequence[str],
    parts: Sequence[str],
    rated: Rated,
    item: int,
) -> Iterator[Draft]:
    """One row over ambients: shares if its values pass through 100 % (or 1), else amperes."""
    by_ambient: dict[tuple[float, str], list[Point]] = {}
    for cell in cells:
        by_ambient.setdefault((cell[0], _field_group(cell[1], table)), []).append(cell)
    words, worded = item_words(table, item), _row_quantities(table, item)
    groups: dict[str, list[Point]] = {}
    for (_, name), found in by_ambient.items():
        groups.setdefault(name, []).extend(found)
    for name, row in groups.items():
        share = _share_factor(table, row, words)
        said = named_currents(name) or heads_to_current(row, _titles(table)) or worded
        if share is not None and not items and _is_of_a_group(table, item):
            continue
        if share is not None:
            shares = Shares(share, (words, *table.grid.captions[:1]))
            yield from _shares_to_drafts(table, row, items, parts, said, shares)
        else:
            yield from _amps_to_drafts(table, row, items, rated, said)


def _is_of_a_group(table: Table, item: int) -> bool:
    """Whether a row of shares stands for some parts only: another row is of the same current."""
    own = _row_quantities(table, item)
    return any(_row_quantities(table, other) == own for other in range(table.size) if other != item)


def _field_group(field: Series, table: Table) -> str:
    """What a field's heading says beside its temperature, if some fields are of hold and some of trip."""
    heads = [
        named_currents(f.head) for f, a in zip(table.fields, table.ambients, strict=True) if a is not None
    ]
    if len({frozenset(h) for h in heads if len(h) == 1}) < 2:
        return ""
    names = named_currents(field.head)
    return "/".join(sorted(q.value for q in names)) if len(names) == 1 else ""


def _share_factor(table: Table, row: Sequence[Point], words: str) -> float | None:
    """The factor of a row of shares: 0.01 for percent, 1 for fractions; None for amperes. All rows of a
    table of shares are 100 % (or 1) at one room temperature; a part of 100 mA is so in one row only."""
    bases, largest = {unit.base for unit in _row_to_units(row)}, max(value for *_, value in row)
    if "1" in bases or ("%" in words and "A" not in {u.base for u in text_to_units(words)}):
        return 0.01 if largest > 5 else 1.0
    if "A" in bases:
        return None
    for whole, factor in ((100.0, 0.01), (1.0, 1.0)):
        if _all_rows_pass(table, whole) and largest > 1.05 * whole:
            return None if table.size == 1 and _is_captioned_in_amperes(table) else factor
    return None


def _is_captioned_in_amperes(table: Table) -> bool:
    """Whether the caption right above a table names amperes, and no shares."""
    bases = {unit.base for text in table.grid.captions[:1] for unit in text_to_units(text)}
    return "A" in bases and "1" not in bases


def _all_rows_pass(table: Table, whole: float) -> bool:
    """Whether every row of a table is the whole at one room temperature."""
    for field, at in zip(table.fields, table.ambients, strict=True):
        room = is_room_of_a_column(at) and bool(field.numbers)
        if room and all(abs(value - whole) < 1e-6 for value in field.numbers):
            return True
    return False


@dataclass(frozen=True, slots=True)
class Shares:
    """How a row writes shares: the factor to fractions, and the texts beside it that may print their unit."""

    factor: float
    texts: tuple[str, ...]


def _shares_to_drafts(
    table: Table,
    row: Sequence[Point],
    items: Sequence[str],
    parts: Sequence[str],
    said: set[Quantity],
    shares: Shares,
) -> Iterator[Draft]:
    if not items and table.size > 1 and len(said) != 1:
        return
    whole = not items or len(parts) == 1 or (set(items) == set(parts) and not _is_range(table, parts))
    names = (WHOLE_SERIES,) if whole else tuple(items)
    quantities = said or {Quantity.HOLD_CURRENT}
    notes = () if said else ("hold by common practice: no word says trip",)
    for ambient, field, entry, value in row:
        unit = _point_to_spelling(field, entry, row, shares.texts, "1")
        for quantity in sorted(quantities):
            ratio = Quantity.HOLD_RATIO if quantity is Quantity.HOLD_CURRENT else Quantity.TRIP_RATIO
            for name in names:
                share = float(f"{value * shares.factor:.6g}")
                yield Draft(table, name, ratio, Kind.NONE, share, cell_of(entry), unit, ambient, notes=notes)


def _is_range(table: Table, parts: Sequence[str]) -> bool:
    """Whether labels of a table name parts one by one or from first to last."""
    return any(
        label_to_parts(text, parts).how in ("range", "list", "same")
        for series in table.labels
        for text in series.filled
    )


def _amps_to_drafts(
    table: Table,
    row: Sequence[Point],
    items: Sequence[str],
    rated: Rated,
    said: set[Quantity],
) -> Iterator[Draft]:
    """Amperes over ambients: told by the column that equals the rating."""
    titles = _titles(table)
    for part in items:
        told = _told_by_rating(row, [(q, rated[q].get(part)) for q in rated])
        if told is None and len(said) == 1:
            told = next(iter(said)), _row_to_factor(row), False
        if told is None:
            continue
        quantity, factor, proven = told
        doubts: tuple[str, ...] = ()
        near = _is_near_rating(row, rated[quantity].get(part), factor)
        if not proven and not (near and (_each_says(row) or heads_to_current(row, titles))):
            doubts = ("no_ambient_equals_the_rating",)
        if proven and said and quantity not in said:
            doubts = ("words_say_another",)
        for ambient, field, entry, value in row:
            amps = float(f"{_to_amps(entry, value, factor):.9g}")
            unit = _point_to_spelling(field, entry, row, titles, "A")
            yield Draft(table, part, quantity, Kind.NONE, amps, cell_of(entry), unit, ambient, None, doubts)


def _is_near_rating(row: Sequence[Point], rating: float | None, factor: float) -> bool:
    """Whether all currents of a row are shares of the rating that derating can give."""
    amps = [_to_amps(entry, value, factor) for _, _, entry, value in row]
    return rating is None or all(LEAST_SHARE * rating <= a <= MOST_SHARE * rating for a in amps)


def _to_amps(entry: Entry, value: float, factor: float) -> float:
    """A value in A: by the unit its own cell prints ("720 mA" beside "1.06 A"), else by the row's."""
    unit = entry.numbers[0].unit
    return value * (float(unit.factor) if unit is not None and unit.base == "A" else factor)


def _point_to_spelling(
    field: Series, entry: Entry, row: Sequence[Point], texts: Sequence[str], base: str
) -> str:
    """The unit of a point as printed: in its cell, else over it, else in its row or in these texts beside
    the table; empty where it is printed nowhere."""
    cells = [(n.unit, n.printed) for _, _, e, _ in row for n in e.numbers[:1] if n.unit is not None]
    over = [spelled for _, f, _, _ in row for spelled in f.spelled_units]
    beside = [spelled for text in texts for spelled in text_to_spelled_units(text)]
    nearest_first = (*field.spelled_units, *cells, *over, *beside)
    found = (spelling for unit, spelling in nearest_first if unit.base == base)
    percent = "%" if base == "1" and any("%" in text for text in texts) else ""
    return entry.numbers[0].printed or next(found, percent)


def _row_to_units(row: Sequence[Point]) -> list[Unit]:
    """The units that a row's cells and headings print."""
    return [u for _, f, e, _ in row for u in (e.numbers[0].unit, *f.head_units) if u is not None]


def _row_to_ampere_unit(row: Sequence[Point]) -> Unit | None:
    """The unit of amperes that a row's cells or headings print."""
    return next((unit for unit in _row_to_units(row) if unit.base == "A"), None)


def _row_to_factor(row: Sequence[Point]) -> float:
    unit = _row_to_ampere_unit(row)
    return float(unit.factor) if unit is not None else 1.0


def _told_by_rating(
    row: Sequence[Point], ratings: Sequence[tuple[Quantity, float | None]]
) -> tuple[Quantity, float, bool] | None:
    """Quantity and factor to A of a row of amperes: equality at a room temperature, whatever the unit."""
    unit = _row_to_ampere_unit(row)
    factors = [float(unit.factor)] if unit is not None else [1.0, 0.001]
    room = [(entry, value) for ambient, _, entry, value in row if is_room_of_a_column(ambient)]
    for factor in factors:
        amps = [_to_amps(entry, value, factor) for entry, value in room]
        for quantity, rating in ratings:
            if rating is not None and any(abs(a - rating) <= SAME * rating for a in amps):
                return quantity, factor, True
    for factor in factors:
        amps = [_to_amps(entry, value, factor) for entry, value in room if value > 0]
        near = _nearest_rating(amps, ratings)
        if near is not None:
            return near, factor, False
    return None


def _nearest_rating(
    amps: Sequence[float], ratings: Sequence[tuple[Quantity, float | None]]
) -> Quantity | None:
    """The rating that one of some currents is nearest to, if it is near."""
    away = [(abs(math.log(a / rating)), quantity) for quantity, rating in ratings if rating for a in amps]
    return min(away)[1] if away and min(away)[0] < NEAR_RATING else None
