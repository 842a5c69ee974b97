"""The parts of every table: of those that rate parts, and of those whose labels are these parts.

Comes in: Tables, the sheet's text. Goes out: Named tables and all part numbers in the order of the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from extract.joined.drafts import Named, SheetText
from extract.joined.item_names import Naming, table_to_naming
from extract.joined.label_names import cell_to_label, lines_to_printed
from extract.joined.part_names import (
    captions_to_part,
    headed_names,
    is_title_alone,
    label_to_parts,
    may_name_a_part,
    name_to_key,
    names_of,
    sheet_to_single_part,
    texts_to_labelled,
)
from extract.joined.variants import lines_to_listed
from extract.meanings.assign import Assigned
from extract.meanings.tables import Axis, Table
from extract.meanings.words import Meaning
from extract.vocabulary import fold

SAME_HEIGHT = 1.5


def is_rating(table: Table) -> bool:
    """Whether a table rates parts: it has a hold current that leads clearly, and two more quantities, with a
    trip current about twice the hold current or words that name them; or nothing but these two currents, both
    named by words."""
    meanings = table.meanings()
    holds = [a for a in table.assigned if a.meaning is Meaning.HOLD]
    pair = {a.meaning for a in table.assigned if a.worded} == {Meaning.HOLD, Meaning.TRIP} == meanings
    few = len(meanings) < 3 and not (pair and table.axis is Axis.ROWS and table.size > 1)
    if not holds or few or _is_series_range(table, holds[0]):
        return False
    if table.axis is Axis.COLUMNS and Meaning.TRIP not in meanings:
        return False
    return holds[0].worded or (holds[0].lead >= 1.0 and Meaning.TRIP in meanings)


def _is_series_range(table: Table, hold: Assigned) -> bool:
    """Whether the hold current is given from smallest to largest: the range of a series, no rating."""
    field = next(series for series in table.fields if series.index == hold.candidate.series)
    trips = {a.candidate.series for a in table.assigned if a.meaning is Meaning.TRIP}
    return field.width == 2 and field.index not in trips


def name_ratings(
    ratings: Sequence[Table], tables: Sequence[Table], sheet: SheetText
) -> tuple[list[Named], tuple[str, ...]]:
    """The tables of ratings with their parts, and all parts in the order of the sheet."""
    known = names_of(tables)
    printed = lines_to_printed(tables, (*sheet.lines, *sheet.others), name_to_key)
    namings = [(table, _naming_of(table, known, printed)) for table in ratings]
    named: list[Named] = []
    headed = headed_names(tables)
    paged = _pages_to_parts([table for table, naming in namings if naming is None], sheet)
    for table, naming in namings:
        if naming is not None:
            named.append(_naming_to_named(table, naming))
        elif not _has_rows_of_parts(table) and (
            name := paged.get(table.grid.page) or captions_to_part(table, headed)
        ):
            named.append(_name_to_named(table, name, sheet))
    nameless = not named and not any(map(_has_rows_of_parts, ratings))
    texts = (*sheet.others, *sheet.lines)
    if nameless and (single := sheet_to_single_part(tables, texts)):
        unsure = ("part_column_unsure",) if is_title_alone(single, tables, texts) else ()
        named = [Named(table, ((single,),) * table.size, unsure) for table in ratings]
    return named, _named_to_parts(named)


def _named_to_parts(named: Sequence[Named]) -> tuple[str, ...]:
    """All parts that tables name, each as first printed."""
    parts: dict[str, str] = {}
    for part in (part for entry in named for item in entry.items for part in item):
        parts.setdefault(name_to_key(part), part)
    return tuple(parts.values())


def _naming_to_named(table: Table, naming: Naming) -> Named:
    """A table with the names of its rows; doubted where another column might name them, or two rows share a
    name."""
    items = tuple(tuple(name for name in label.names if _is_name(name, naming)) for label in naming.labels)
    names = [name for item in items for name in item]
    twice = () if len(set(names)) == len(names) else ("rows_share_a_name",)
    return Named(table, items, twice if naming.lead >= 1.0 else ("part_column_unsure", *twice))


def _name_to_named(table: Table, name: str, sheet: SheetText) -> Named:
    """A table without names, of the part named above it, or of all its variants listed there; doubted below a
    list that does not say whether it rates them all."""
    listed = lines_to_listed(sheet.lines_above(table.grid))
    own = listed.names if listed.alike and name in listed.names else (name,)
    unsure = bool(listed.names) and not (listed.sure and own == listed.names)
    return Named(table, (own,) * table.size, ("part_column_unsure",) * unsure)


def _pages_to_parts(tables: Sequence[Table], sheet: SheetText) -> dict[int, str]:
    """Page -> its part, where every table without names stands on a page that names one part above it, and
    each page another: specifications of one part each, in one file."""
    named: dict[int, str] = {}
    for table in tables:
        name = texts_to_labelled(sheet.lines_above(table.grid))
        if not name or named.setdefault(table.grid.page, name) != name:
            return {}
    return named if len(set(named.values())) == len(named) > 1 else {}


def _is_name(text: str, naming: Naming) -> bool:
    """Whether a label may be a part number: it looks like one, or stands under a heading that says so."""
    coded = len(name_to_key(text)) >= 2 and not text.isdigit()
    return may_name_a_part(text, naming.worded) or (naming.worded and coded)


def _has_rows_of_parts(table: Table) -> bool:
    """Whether the rows of a table are of several parts, if nothing names them: they differ."""
    return table.axis is Axis.ROWS and table.size > 1 and not table.item_kinds


def _naming_of(table: Table, known: set[str], printed: dict[str, str]) -> Naming | None:
    return None if table.item_kinds else table_to_naming(table, known, printed)


def name_further(tables: Sequence[Table], parts: Sequence[str], ratings: Sequence[Named]) -> list[Named]:
    """Tables without a hold current whose labels are the sheet's parts."""
    found = ((table, _further_to_items(table, parts, ratings)) for table in tables)
    return [Named(table, items, (), further=True) for table, items in found if items is not None]


def _further_to_items(
    table: Table, parts: Sequence[str], ratings: Sequence[Named]
) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item of a table that words name at all; the only part's where it is one of times."""
    if _is_overview(table):
        return None
    worded = [a for a in table.assigned if a.worded]
    items = join_labels(table, parts) or join_rows(table, ratings) if worded else None
    only = sole_item(ratings, table.grid.page) or sole_item(ratings)
    if items is None and only and len(worded) == len(table.assigned) and _is_of_times(table):
        return (only,) * table.size
    return items


def _is_overview(table: Table) -> bool:
    """Whether a table gives series from smallest to largest: "TQ30 | 0.3 ~ 3 A | 6 ~ 60 V" limits no part."""
    holds = [a for a in table.assigned if a.meaning is Meaning.HOLD]
    return bool(holds) and _is_series_range(table, holds[0])


def sole_item(named: Sequence[Named], page: int | None = None) -> tuple[str, ...]:
    """The one part, or the variants of one, that every item of the tables of ratings stands for, on a page or
    on the whole sheet; empty if they rate several."""
    items = {item for n in named for item in n.items if item and page in (None, n.table.grid.page)}
    return next(iter(items)) if len(items) == 1 else ()


def _is_of_times(table: Table) -> bool:
    """Whether a table without names gives times to trip beside their test currents, as a sheet of one part
    does."""
    meanings = table.meanings()
    return (
        not table.labels
        and Meaning.TEST_CURRENT in meanings
        and bool(meanings & {Meaning.TIME, Meaning.TIME_TYP})
    )


def join_labels(table: Table, parts: Sequence[str]) -> tuple[tuple[str, ...], ...] | None:
    """The parts that each item's label stands for, by the series of labels that joins most, of two the one
    that tells more apart; None if few do."""
    best: tuple[tuple[str, ...], ...] = ()
    count = 0
    for found in (*_series_to_found(table, parts), _pieces_to_found(table, parts)):
        share = sum(map(bool, found))
        told = {(names, item_words(table, n)) for n, names in enumerate(found) if names}
        distinct = len(told) >= 0.9 * share
        if distinct and (share, len(set(found))) > (count, len(set(best))):
            best, count = found, share
    return best if count >= 0.6 * table.size else None


def _series_to_found(table: Table, parts: Sequence[str]) -> Iterator[tuple[tuple[str, ...], ...]]:
    """The parts that each label stands for, series by series."""
    for series in table.labels:
        cells = (entry.cell for entry in series.entries)
        yield tuple(label_to_parts(cell_to_label(c), parts).names if c is not None else () for c in cells)


def _pieces_to_found(table: Table, parts: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """The part whose number the labels of an item print together: "TQ | 24-050"."""
    keys = {name_to_key(part): part for part in parts}
    texts = (
        "".join(cell.text for s in table.labels if (cell := s.entries[item].cell) is not None)
        for item in range(table.size)
    )
    return tuple((keys[key],) if (key := name_to_key(text)) in keys else () for text in texts)


def join_rows(table: Table, named: Sequence[Named]) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item where a table goes on on another page to the right, as a spreadsheet does: the
    rows bear the same numbers, or, where they bear none, stand at the same heights."""
    if table.axis is not Axis.ROWS:
        return None
    numbers = _row_numbers(table)
    for entry in named:
        other = entry.table
        if other.axis is not Axis.ROWS or other.size != table.size or other.grid.page == table.grid.page:
            continue
        theirs = _row_numbers(other)
        if numbers and numbers == theirs:
            return entry.items
        heights = [(a.mid_y, b.mid_y) for a, b in zip(table.grid.rows, other.grid.rows, strict=True)]
        if not table.labels and table.size > 2 and all(abs(a - b) < SAME_HEIGHT for a, b in heights):
            return entry.items
    return None


def _row_numbers(table: Table) -> tuple[str, ...]:
    """The running numbers of a table's rows; empty if it has none."""
    for series in table.labels[:1]:
        texts = series.texts
        if all(re.fullmatch(r"\d{1,4}[.)]?", text) for text in texts) and len(set(texts)) == len(texts):
            return texts
    return ()


_BOUND = re.compile(
    r"(?:(?P<least>\d+(?:[.,]\d+)?)\s*(?P<low>m?a)\s*(?P<from>[<≤])\s*)?i?[\w. ]{0,24}?"
    r"(?:(?P<sign>[<≤>≥])\s*(?P<most>\d+(?:[.,]\d+)?)\s*(?P<high>m?a))?"
)


def join_holds(table: Table, holds: dict[str, float]) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item where every label bounds their hold current by signs: "1.75 A < Ih ≤ 4.2 A"."""
    items = []
    for item in range(table.size):
        match = _BOUND.fullmatch(fold(item_words(table, item)).strip())
        if match is None or (match["least"] is None and match["most"] is None):
            return None
        items.append(tuple(part for part, hold in holds.items() if _is_within(hold, match)))
    return tuple(items) if all(items) else None


def _is_within(hold: float, bounds: re.Match[str]) -> bool:
    """Whether a current lies within the bounds of a label."""
    checks = []
    for value, unit, sign in (("least", "low", "from"), ("most", "high", "sign")):
        if bounds[value] is not None:
            amps = float(bounds[value].replace(",", ".")) * (0.001 if bounds[unit] == "ma" else 1.0)
            checks.append(
                (hold, amps, {"<": ">", "≤": "≥"}[bounds[sign]] if value == "least" else bounds[sign])
            )
    tests = {"<": float.__lt__, "≤": float.__le__, ">": float.__gt__, "≥": float.__ge__}
    return all(tests[sign](a, b) for a, b, sign in checks)


def join_attached(table: Table, named: Sequence[Named]) -> tuple[tuple[str, ...], ...] | None:
    """The parts of each item where labels tell them by a code that stands in the caption or group of some
    parts, or beside them: "0805 series"."""
    attached = _codes_to_parts(named)
    everyone = {p for entry in named for parts in entry.items for p in parts}
    items = []
    for item in range(table.size):
        found = [attached[code] for code in _text_to_codes(item_words(table, item)) if code in attached]
        found = [parts for parts in found if len(parts) < len(everyone)]
        items.append(tuple(found[0]) if len(found) == 1 else ())
    return tuple(items) if all(items) else None


def _codes_to_parts(named: Sequence[Named]) -> dict[str, list[str]]:
    """The codes of captions, groups and labels, each with the parts it stands over or beside."""
    attached: dict[str, list[str]] = {}
    for entry in named:
        for item, parts in enumerate(entry.items):
            texts = (*entry.table.grid.captions[:1], item_words(entry.table, item))
            for code in {code for text in texts for code in _text_to_codes(text)}:
                own = attached.setdefault(code, [])
                own += [part for part in dict.fromkeys(parts) if part not in own]
    return attached


def _text_to_codes(text: str) -> set[str]:
    """Codes of a text: words with three digits or more, or with letters and digits."""
    return {
        name_to_key(word)
        for word in re.split(r"[\s,;:()]+", text)
        if re.search(r"\d{3}|[A-Za-z]\d|\d[A-Za-z]{2}", word) and len(word) < 20
    }


def item_words(table: Table, item: int) -> str:
    labels = [cell.text for s in table.labels if (cell := s.entries[item].cell) is not None]
    return " ".join((*table.item_groups[item], *labels))
