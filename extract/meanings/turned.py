"""A table read with its axes exchanged: rows are fields, the headings of columns name the items.

Comes in: a Grid with its columns of values and of texts. Goes out: a Table whose axis is COLUMNS, and
whether it is known better than the upright one.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Grid, Source, join_texts
from extract.cells.temperatures import text_to_bare_ambient
from extract.meanings.ambients import fields_to_ambients, heads_to_ambients, rows_to_ambients
from extract.meanings.series import (
    Entry,
    Series,
    cell_to_entry,
)
from extract.meanings.tables import Axis, Table
from extract.meanings.words import hits_to_kinds, priors, text_to_hits
from extract.quantities import NumberStyle
from extract.schema import Kind
from extract.vocabulary import fold


def turned_table(grid: Grid, fields: Sequence[Series], labels: Sequence[Series]) -> Table:
    """The same cells with rows as fields: their labels are headings, the headings of columns name the
    items."""
    pairs = _label_value_pairs(fields, labels)
    if pairs:
        return _stacked_table(grid, pairs)
    turned = []
    before: list[str] = []
    for number, row in enumerate(grid.rows):
        texts = _label_texts(number, labels)
        if _is_unnamed(number, labels):
            texts = [*before, *texts]
        before = texts[:-1] if len(texts) > 1 else texts
        entries = _dittos_from_left([series.entries[number] for series in fields])
        levels = [*row.groups, *texts, *_supply(number, labels), *_unit_at_end(entries)]
        own = " ".join(levels[len(row.groups) :])
        condition = _condition_text(number, labels)
        turned.append(Series(number, " ".join(levels), own, entries, tuple(levels), condition))
    kinds = tuple(_only_kind(series.own or series.head) for series in fields)
    return Table(
        grid,
        Axis.COLUMNS,
        tuple(turned),
        (*_heading_series(grid, fields), *_rows_of_texts(turned)),
        rows_to_ambients(grid, labels) or _rows_to_some_ambients(turned),
        ((),) * len(fields),
        (),
        kinds if sum(kind is not None for kind in kinds) >= 2 else (),
    )


def _rows_to_some_ambients(rows: Sequence[Series]) -> tuple[float | None, ...]:
    """The temperatures of the rows whose label is one, with its degree sign; bare numbers may count the
    rows."""
    bare = [level for row in rows for level in row.levels if text_to_bare_ambient(level) is not None]
    signed = all(re.search("[°℃cC]", level) for level in bare)
    return fields_to_ambients(rows) if signed else heads_to_ambients(rows)


def _dittos_from_left(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The cells of a row of one quantity: a sign "as before" means the part at its left, for above it stands
    another quantity.

        Max. voltage    120 VAC      "       "
        Max. current      3 A        "      10 A
    """
    told: list[Entry] = []
    for entry in entries:
        cell = entry.cell
        is_sign = cell is not None and (
            cell.source is Source.DITTO or (len(cell.atoms) == 1 and cell.atoms[0].ditto)
        )
        left = told[-1] if told else None
        if is_sign and cell is not None and left is not None and left.cell is not None:
            entry = replace(
                left, cell=replace(left.cell, source=Source.DITTO, signs=cell.signs or cell.atoms)
            )
        told.append(entry)
    return tuple(told)


def _unit_at_end(entries: Sequence[Entry]) -> list[str]:
    """The unit that stands once, behind the last value of a row: "0.05 | - | 0.12 Ω", "2.2 | - | - A"."""
    cells = [entry.cell for entry in entries if entry.cell is not None]
    printed = {n.unit for entry in entries[:-1] for n in entry.numbers} - {None}
    last = cells[-1].atoms[-1] if cells and cells[-1].atoms else None
    return [last.text] if len(cells) > 1 and last is not None and last.unit and not printed else []


def _is_unnamed(number: int, labels: Sequence[Series]) -> bool:
    """Whether a row goes on with the quantity of the row above: its first label column that has names is
    empty."""
    wordy = [s for s in labels if sum(_names_quantity(entry) for entry in s.entries) >= 2]
    return bool(wordy) and all(series.entries[number].cell is None for series in wordy)


def _condition_text(number: int, labels: Sequence[Series]) -> str:
    """What stands in the columns of conditions of a row."""
    return " ".join(filter(None, (s.texts[number] for s in labels if _is_condition(s.head))))


def _supply(number: int, labels: Sequence[Series]) -> list[str]:
    """AC or DC, where the condition of a row says one of them."""
    for series in labels:
        if series.texts[number] and _is_condition(series.head):
            kinds = hits_to_kinds(text_to_hits(series.texts[number])) & {Kind.AC, Kind.DC}
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
    return pairs if len(pairs) == len(fields) >= 2 and all(named) else []


def _names_quantity(entry: Entry) -> bool:
    return any(hit.sense == "quantity" for hit in text_to_hits(entry.text))


def _stacked_table(grid: Grid, pairs: Sequence[tuple[Series, Series]]) -> Table:
    """Pairs of label and value as the fields of one item."""
    fields: list[Series] = []
    for label, values in pairs:
        for head, entry in zip(label.entries, values.entries, strict=True):
            fields.append(Series(len(fields), head.text, head.text, (entry,), (head.text,)))
    return Table(grid, Axis.COLUMNS, tuple(fields), (), (None,) * len(fields), ((),))


def _label_texts(number: int, labels: Sequence[Series]) -> list[str]:
    """The label texts of a row; running numbers and columns headed as conditions are none."""
    texts = [series.texts[number] for series in labels if not _is_condition(series.head)]
    return [text for text in texts if text and not re.fullmatch(r"\d{1,2}(?:[.)]|\.\d)?", text)]


def _is_condition(head: str) -> bool:
    return any(word in fold(head) for word in priors()["conditions"]["headings"])


def _heading_series(grid: Grid, fields: Sequence[Series]) -> list[Series]:
    """The headings of columns as series of labels, one for each line of the heading that begins with a text
    of its own on the left.

    Part No.   | AB-010   | AB-020          two series, "Part No." and "Order No."
    Order No.  | 701-0010 | 701-0020
    """
    if not any(field.head for field in fields):
        return []
    first = min(field.index for field in fields)
    stubs: dict[int, str] = {}
    for head in grid.heads:
        if head.last < first:
            stubs[head.level] = f"{stubs.get(head.level, '')} {head.text}".strip()
    above = {head.level for head in grid.heads if head.last >= first}
    starts = sorted(level for level in stubs if level in above)
    whole = _block_to_series(grid, fields, (0, 99), " ".join(stubs.values()), 0)
    if len(starts) < 2:
        return [whole]
    blocks = zip([0, *starts[1:]], [*starts[1:], 99], strict=True)
    parted = [
        _block_to_series(grid, fields, block, stubs[start], n)
        for n, (block, start) in enumerate(zip(blocks, starts, strict=True))
    ]
    goes_on = any(_goes_on(series) for series in parted[:-1])
    return parted if any(map(_is_of_names, parted)) and not goes_on else [whole]


def _rows_of_texts(rows: Sequence[Series]) -> list[Series]:
    """Rows that hold no number and say that they name the items: "Order No." further down."""
    return [row for row in rows if not row.numbers and _is_of_names(row) and _says_part(row.head)]


def _says_part(head: str) -> bool:
    hits = text_to_hits(head)
    return any(hit.sense == "part_number" for hit in hits) and not any(h.sense == "quantity" for h in hits)


def _goes_on(series: Series) -> bool:
    """Whether texts end as names do that go on in the next line: "AB-S030-"."""
    return sum(text[-1] in "-/" for text in series.filled) > 0.5 * len(series.filled)


def _is_of_names(series: Series) -> bool:
    """Whether texts are names: all unequal, with letters and digits."""
    texts = series.texts
    mixed = all(re.search(r"\d", text) and re.search(r"[^\W\d_]", text) for text in texts)
    return mixed and len(set(texts)) == len(texts)


def _block_to_series(
    grid: Grid, fields: Sequence[Series], block: tuple[int, int], stub: str, index: int
) -> Series:
    """The texts over each column within some lines of a heading: those over one column alone, else all."""
    entries, shared = [], ""
    for field in fields:
        heads = [head for head in grid.heads_over(field.index) if block[0] <= head.level < block[1]]
        own = [head for head in heads if head.first == head.last] or heads
        atoms = tuple(atom for head in own for atom in head.atoms)
        text = join_texts([head.text for head in own])
        entries.append(cell_to_entry(Cell(text, atoms) if text else None, NumberStyle()))
        rest = join_texts([head.text for head in heads if head not in own])
        shared = max(shared, rest, key=len)
    return Series(index, f"{stub} {shared}".strip(), "", tuple(entries))


def _only_kind(text: str) -> Kind | None:
    """The kind that a heading consists of."""
    kinds = hits_to_kinds(text_to_hits(text))
    letters = re.sub(r"[^\w]", "", text)
    return kinds.pop() if len(kinds) == 1 and len(letters) <= 12 else None


def is_turned(upright: Table, turned: Table) -> bool:
    """Whether rows are better known than columns, by words and units; or
    temperatures run down the rows."""
    if sum(ambient is not None for ambient in turned.ambients) > 0.5 * len(turned.fields):
        return True
    return _known(turned.fields) > _known(upright.fields)


def _known(fields: Sequence[Series]) -> float:
    """How many quantities the headings of series name, counting units a little."""
    names = {hit.name for s in fields for hit in text_to_hits(s.head) if hit.sense == "quantity"}
    units = sum(bool(s.head_units) for s in fields) / max(1, len(fields))
    return len(names) + units
