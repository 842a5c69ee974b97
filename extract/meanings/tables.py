"""Grids as tables of the trade: what each row or column holds, what names the parts, at which ambients.

Comes in: a Grid. Goes out: a Table: items (parts, still as labels) and fields (meanings or ambients), with
one entry where they cross. The same code reads a turned table with its axes exchanged: the orientation is
the one whose fields are known by more words and units.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from extract.cells.tables import Cell, Grid
from extract.cells.temperatures import is_ambient_row, text_to_bare_ambient
from extract.meanings.assign import Assigned, Candidate, candidates_to_assigned
from extract.meanings.series import (
    Entry,
    Series,
    cell_to_entry,
    grid_to_columns,
    grid_to_style,
    label_columns,
    text_to_units,
)
from extract.meanings.words import Meaning, hits_to_kinds, priors, text_to_hits
from extract.quantities import NumberStyle
from extract.schema import Kind
from extract.vocabulary import Unit, fold, foreign_words

WORD_EM, BLANK_EM = 0.8, 0.4


class Axis(StrEnum):
    """Along which axis the parts of a table stand."""

    ROWS = "rows"
    COLUMNS = "columns"


@dataclass(frozen=True, eq=False)
class Table:
    """A grid whose series are told: `fields` are the series of values, `labels` the series of texts beside
    them (each as long as the items), `ambients` the temperature of each field or None; `item_groups` the
    group lines over each item, `field_groups` those over each field; `assigned` the meanings of the fields
    without ambient; `item_kinds` where items are "min", "typ", "max" of one part."""

    grid: Grid
    axis: Axis
    fields: tuple[Series, ...]
    labels: tuple[Series, ...]
    ambients: tuple[float | None, ...]
    item_groups: tuple[tuple[str, ...], ...]
    assigned: tuple[Assigned, ...] = ()
    item_kinds: tuple[Kind | None, ...] = ()

    @property
    def size(self) -> int:
        """Number of items."""
        return len(self.item_groups)

    @property
    def has_ambients(self) -> bool:
        """Whether some fields are ambients."""
        return any(ambient is not None for ambient in self.ambients)

    def meanings(self) -> set[Meaning]:
        """All meanings found."""
        return {a.meaning for a in self.assigned if a.meaning is not Meaning.OTHER}


def grid_to_table(grid: Grid) -> Table | None:
    """The table in its likelier orientation; None if the grid has no series of values."""
    style = grid_to_style(grid)
    columns = grid_to_columns(grid, style)
    texts = set(label_columns(columns))
    fields = [series for series in columns if series.index not in texts]
    labels = [series for series in columns if series.index in texts]
    labels = _joined_labels(grid, labels)
    labels, fields = _ambient_labels(grid, labels, fields)
    if not fields:
        return None
    upright = _upright_table(grid, fields, labels)
    if upright.has_ambients:
        return _assign(_with_leading_labels(upright, grid))
    turned = _turned_table(grid, fields, labels)
    return _assign(turned if _is_turned(upright, turned) else upright)


def _joined_labels(grid: Grid, labels: Sequence[Series]) -> list[Series]:
    """Neighbouring columns of texts under one heading of their own are one: "0020 | thru | 0110"."""
    joined: list[Series] = []
    last = -2
    for series in labels:
        before = joined[-1] if joined else None
        spans = {(head.first, head.last) for head in grid.heads_over(series.index)}
        low = min(spans, key=lambda span: span[1] - span[0], default=(series.index, series.index))
        headed = low[0] < low[1] and low[0] <= last and low[1] - low[0] < 4
        bare = before is not None and _is_close(
            grid, series.index, WORD_EM if not spans and not before.head else BLANK_EM
        )
        if before is not None and last == series.index - 1 and (headed or bare):
            joined[-1] = _join_series(before, series)
        else:
            joined.append(series)
        last = series.index
    return joined


def _is_close(grid: Grid, index: int, most_em: float) -> bool:
    """Whether a column stands as close to the one before as the words of one text, and not each has a heading
    of its own."""
    before, column = grid.columns[index - 1], grid.columns[index]
    if all(any(h.first == h.last for h in grid.heads_over(n)) for n in (index - 1, index)):
        return False
    return column.x0 - before.x1 < most_em * (grid.rows[0].bottom - grid.rows[0].top)


def _join_series(one: Series, other: Series) -> Series:
    entries = []
    for a, b in zip(one.entries, other.entries, strict=True):
        cells = [entry.cell for entry in (a, b) if entry.cell is not None]
        text = " ".join(cell.text for cell in cells)
        atoms = tuple(atom for cell in cells for atom in cell.atoms)
        cell = Cell(text, atoms, cells[0].source) if cells else None
        entries.append(cell_to_entry(cell, NumberStyle()))
    return replace(one, entries=tuple(entries), head=one.head or other.head)


def _ambient_labels(
    grid: Grid, labels: Sequence[Series], fields: Sequence[Series]
) -> tuple[list[Series], list[Series]]:
    """A first column of temperatures labels its rows, even if it has no degree signs."""
    kept = list(fields)
    found = list(labels)
    for series in fields[:2]:
        if series.index <= 1 and len(fields) > 1 and _rows_to_ambients(grid, [series]) is not None:
            kept.remove(series)
            found.append(series)
    return sorted(found, key=lambda s: s.index), kept


def _rows_to_ambients(grid: Grid, labels: Sequence[Series]) -> tuple[float | None, ...] | None:
    """The temperature of each row, if a label column holds temperatures that rise within each group."""
    for series in labels:
        values = [text_to_bare_ambient(e.cell.text) if e.cell is not None else None for e in series.entries]
        signed = sum(bool(e.cell and re.search("[°℃cC]", e.cell.text)) for e in series.entries)
        groups: dict[tuple[str, ...], list[float]] = {}
        for row, value in zip(grid.rows, values, strict=True):
            if value is not None:
                groups.setdefault(row.groups, []).append(value)
        if sum(map(len, groups.values())) < 0.8 * len(values) or not groups:
            continue
        is_signed = signed > 0.5 * len(values)
        if all(
            is_ambient_row(group, is_signed) or (len(group) < 3 and is_signed) for group in groups.values()
        ):
            return tuple(values)
    return None


def _upright_table(grid: Grid, fields: Sequence[Series], labels: Sequence[Series]) -> Table:
    ambients: list[float | None] = []
    for series in fields:
        bare = [text_to_bare_ambient(level) for level in series.levels]
        ambients.append(next((value for value in bare if value is not None), None))
    known = [value for value in ambients if value is not None]
    texts = [level for s in fields for level in s.levels if text_to_bare_ambient(level) is not None]
    signed = sum(bool(re.search("[°℃cC]", text)) for text in texts) > 0.5 * len(texts)
    if not is_ambient_row(known, signed):
        ambients = [None] * len(fields)
    return Table(
        grid, Axis.ROWS, tuple(fields), tuple(labels), tuple(ambients), tuple(row.groups for row in grid.rows)
    )


def _with_leading_labels(table: Table, grid: Grid) -> Table:
    """A table of ambients whose columns left of them hold values that tell the rows: "60 V", "0.1 A to 0.5
    A"."""
    first = next(n for n, ambient in enumerate(table.ambients) if ambient is not None)
    leading = table.fields[:first]
    if not 1 <= first <= 2 or any(not series.head and series.numbers for series in leading):
        return table
    labels = sorted((*table.labels, *leading), key=lambda series: series.index)
    joined = tuple(_joined_labels(grid, labels))
    return replace(table, fields=table.fields[first:], ambients=table.ambients[first:], labels=joined)


def _turned_table(grid: Grid, fields: Sequence[Series], labels: Sequence[Series]) -> Table:
    """The same cells with rows as fields: their labels are headings, the headings of columns name the
    items."""
    row_ambients = _rows_to_ambients(grid, labels) or (None,) * len(grid.rows)
    pairs = _label_value_pairs(fields, labels)
    if pairs:
        return _stacked_table(grid, pairs)
    turned = []
    before: list[str] = []
    for number, row in enumerate(grid.rows):
        texts = _label_texts(number, labels)
        if number and labels and _is_unnamed(number, labels):
            texts = [*before, *texts]
        before = texts[:-1] if len(texts) > 1 else texts
        levels = [*row.groups, *texts, *_supply(number, labels)]
        entries = tuple(series.entries[number] for series in fields)
        turned.append(
            Series(number, " ".join(levels), " ".join(levels[len(row.groups) :]), entries, tuple(levels))
        )
    names = tuple(_heading_series(fields, level) for level in range(_levels(fields)))
    kinds = tuple(_only_kind(series.own or series.head) for series in fields)
    return Table(
        grid,
        Axis.COLUMNS,
        tuple(turned),
        names,
        row_ambients,
        ((),) * len(fields),
        (),
        kinds if sum(kind is not None for kind in kinds) >= 2 else (),
    )


def _is_unnamed(number: int, labels: Sequence[Series]) -> bool:
    """Whether a row goes on with the quantity of the row above: its first label column that has names is
    empty."""
    wordy = [s for s in labels if sum(_names_quantity(entry) for entry in s.entries) >= 2]
    return bool(wordy) and all(series.entries[number].cell is None for series in wordy)


def _supply(number: int, labels: Sequence[Series]) -> list[str]:
    """AC or DC, where the condition of a row says one of them."""
    for series in labels:
        cell = series.entries[number].cell
        if cell is not None and _is_condition(series.head):
            kinds = hits_to_kinds(text_to_hits(cell.text)) & {Kind.AC, Kind.DC}
            return [kind.value for kind in kinds] if len(kinds) == 1 else []
    return []


def _label_value_pairs(fields: Sequence[Series], labels: Sequence[Series]) -> list[tuple[Series, Series]]:
    """Columns that stand in pairs of label and value, several pairs side by side; none if it is no such
    table.

    Hold current | 350 mA | Trip current | 700 mA
    Max. voltage | 30 V   | Max. current | 40 A
    """
    by_index = {series.index: series for series in labels}
    pairs = [(by_index[f.index - 1], f) for f in fields if f.index - 1 in by_index]
    named = [sum(_names_quantity(e) for e in label.entries) for label, _ in pairs]
    return pairs if len(pairs) == len(fields) >= 2 and all(n >= 1 for n in named) and sum(named) >= 3 else []


def _names_quantity(entry: Entry) -> bool:
    return entry.cell is not None and any(h.sense == "quantity" for h in text_to_hits(entry.cell.text))


def _stacked_table(grid: Grid, pairs: Sequence[tuple[Series, Series]]) -> Table:
    """Pairs of label and value as the fields of one item."""
    fields: list[Series] = []
    for label, values in pairs:
        for head, entry in zip(label.entries, values.entries, strict=True):
            text = head.cell.text if head.cell is not None else ""
            fields.append(Series(len(fields), text, text, (entry,), (text,)))
    return Table(grid, Axis.COLUMNS, tuple(fields), (), (None,) * len(fields), ((),))


def _label_texts(number: int, labels: Sequence[Series]) -> list[str]:
    """The label texts of a row; running numbers and columns headed as conditions are none."""
    texts = []
    for series in labels:
        cell = series.entries[number].cell
        if cell is None or re.fullmatch(r"\d{1,2}(?:[.)]|\.\d)?", cell.text) or _is_condition(series.head):
            continue
        texts.append(cell.text)
    return texts


def _is_condition(head: str) -> bool:
    return any(word in fold(head) for word in priors()["conditions"]["headings"])


def _levels(fields: Sequence[Series]) -> int:
    return 1 if any(series.head for series in fields) else 0


def _heading_series(fields: Sequence[Series], level: int) -> Series:
    """The headings of columns as a series of labels: the text over one column alone, else all of it."""
    entries = []
    for series in fields:
        text = series.own or series.head
        entries.append(cell_to_entry(Cell(text, ()), NumberStyle()))
    heads = [series.head.replace(series.own, "").strip() for series in fields if series.own]
    return Series(level, max(heads, key=len, default=""), "", tuple(entries))


def _only_kind(text: str) -> Kind | None:
    """The kind that a heading consists of."""
    kinds = hits_to_kinds(text_to_hits(text))
    letters = re.sub(r"[^\w]", "", text)
    return kinds.pop() if len(kinds) == 1 and len(letters) <= 12 else None


def _is_turned(upright: Table, turned: Table) -> bool:
    """Whether rows are better known than columns, by words and units; or temperatures run down the rows."""
    if turned.has_ambients:
        return True
    return _known(turned.fields) > _known(upright.fields)


def _known(fields: Sequence[Series]) -> float:
    """How many quantities the headings of series name, counting units a little."""
    names = {hit.name for s in fields for hit in text_to_hits(s.head) if hit.sense == "quantity"}
    units = sum(bool(s.head_units) for s in fields) / max(1, len(fields))
    return len(names) + units


def _assign(table: Table) -> Table:
    """Find the meanings of the fields that are no ambients."""
    families = _fields_to_families(
        [f for f, a in zip(table.fields, table.ambients, strict=True) if a is None]
    )
    candidates = [c for family in families for c in _field_to_candidates(family[0], table)]
    assigned = list(candidates_to_assigned(candidates))
    siblings = {family[0].index: family[1:] for family in families}
    for told in tuple(assigned):
        if told.meaning in (Meaning.TIME, Meaning.TIME_TYP):
            for field in siblings.get(told.candidate.series, ()):
                mine = [c for c in _field_to_candidates(field, table) if c.place == told.candidate.place]
                assigned += [replace(told, candidate=c) for c in mine[:1]]
    return replace(table, assigned=tuple(assigned))


_CONDITION = re.compile(r"\d+(?:[.,]\d+)?\s*(?:m?a\b|[x×]\s*(?:i\w*)?)")


def _fields_to_families(fields: Sequence[Series]) -> list[list[Series]]:
    """Fields whose headings differ in a test current or a multiple only ("3 A", "8 A"), or that stand side by
    side each under a bare one, are one family: the same quantity at several conditions. The field that words
    name best stands first. Each other field stands alone."""
    families: dict[str, list[Series]] = {}
    run = 0
    for before, field in zip((None, *fields), fields, strict=False):
        folded = fold(field.head)
        bare = _is_bare_condition(field)
        run += not (
            bare and before is not None and _is_bare_condition(before) and field.index == before.index + 1
        )
        has_condition = bool(_CONDITION.search(folded)) and field.width == 1
        key = f"run {run}" if bare else _CONDITION.sub("#", folded) if has_condition else f"{field.index}"
        families.setdefault(key, []).append(field)
    return [sorted(family, key=lambda f: -_timed(f)) for family in families.values()]


def _is_bare_condition(field: Series) -> bool:
    """Whether the lowest line of a heading is nothing but a current or a multiple."""
    return bool(field.levels) and _CONDITION.fullmatch(fold(field.levels[-1]).strip(" ()@")) is not None


def _timed(field: Series) -> int:
    """How many words of a heading speak of a time."""
    return sum(hit.sense == "time" or hit.name == "time_to_trip" for hit in text_to_hits(field.head))


def _field_to_candidates(field: Series, table: Table) -> list[Candidate]:
    foreign = _is_foreign(field) or _is_foreign_table(table)
    if table.item_kinds:
        return _kinds_to_candidates(field, table, foreign)
    width = min(2, field.width)
    found = []
    for place in range(width):
        unit = place_to_unit(field, place)
        base = unit.base if unit is not None else ""
        values = tuple(entry_to_si(entry, place, field, base) for entry in field.entries)
        bonus = {Meaning.R_MIN: 0.5, Meaning.R_POST: -0.5} if place == 0 and width == 2 else {}
        found.append(Candidate(field.index, place, field.head, base, values, foreign, bonus))
    return found


def _kinds_to_candidates(field: Series, table: Table, foreign: bool) -> list[Candidate]:
    """One candidate for each kind that a row of a one-part table gives: its heading is the row's and the
    column's."""
    found = []
    unit = place_to_unit(field, 0)
    base = unit.base if unit is not None else ""
    for place, (kind, entry) in enumerate(zip(table.item_kinds, field.entries, strict=True)):
        if entry.numbers:
            name = kind.value if kind is not None else ""
            value = entry_to_si(entry, 0, field, base)
            found.append(Candidate(field.index, place, f"{field.head} {name}", base, (value,), foreign))
    return found


def _is_foreign_table(table: Table) -> bool:
    """Whether the caption right above a table says that it holds dimensions, packing, tests: no ratings."""
    text = fold(" ".join(table.grid.captions[:1]))
    if not text or len(text) > 90 or any(hit.sense == "quantity" for hit in text_to_hits(text)):
        return False
    named = sum(hit.sense == "quantity" for s in table.fields for hit in text_to_hits(s.head))
    return named < 3 and bool(
        foreign_words("unless_ratings").search(text) or foreign_words("always").search(text)
    )


def _is_foreign(field: Series) -> bool:
    """Whether a series is in units of something else."""
    head = re.sub(r"\d\s*(?:°\s?c|℃)", " ", fold(field.head))  # "at 20 °C" says where, not what
    words = set(re.split(r"[\s()\[\]（）,/]+", head))
    return bool(words & set(priors()["foreign"]["units"])) and not field.head_units


def place_to_unit(field: Series, place: int) -> Unit | None:
    """The unit of the numbers at a place of a series' cells: as the cells print it, else as the heading
    does."""
    printed = {e.numbers[place].unit for e in field.entries if len(e.numbers) > place}
    known = {unit for unit in printed if unit is not None}
    if known:
        return max(known, key=lambda unit: unit.name) if len({u.base for u in known}) == 1 else None
    units = field.head_units
    if not units:
        return None
    bases = list(dict.fromkeys(unit.base for unit in units))
    if field.width == 2 and len(bases) == 2:
        ordered = [unit for level in field.levels or (field.head,) for unit in text_to_units(level)]
        return ordered[place] if len(ordered) > place else None
    return units[0]


def entry_to_si(entry: Entry, place: int, field: Series, base: str) -> float | None:
    """The SI value of a number of a cell; None if there is none or its unit is of another base."""
    if len(entry.numbers) <= place:
        return None
    number = entry.numbers[place]
    unit = number.unit if number.unit is not None else _head_unit(field, base)
    if unit is None:
        return number.value
    return None if base and unit.base != base else float(unit.factor) * number.value


def _head_unit(field: Series, base: str) -> Unit | None:
    return next((unit for unit in field.head_units if unit.base == base), None)
