"""Realistic typing errors, planted one at a time in a wide table.

Comes in: a WideTable and a random generator. Goes out: plantings. Checks nothing: seeded_errors.py does.
A planting that changes no value is left out.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from itertools import pairwise

from bench.seeded_tables import WideColumn, WideTable

Rows = list[list[str]]


@dataclass(frozen=True, slots=True)
class Planting:
    """One planted error: the table's texts with it (heading first), the rows and columns it touched
    (rows as in the file, the heading is 1; columns from 0), its kind and quantity."""

    kind: str
    quantity: str
    texts: tuple[tuple[str, ...], ...]
    rows: frozenset[int]
    columns: frozenset[int]


RATINGS = (
    "hold_current",
    "trip_current",
    "max_voltage",
    "max_current",
    "tripped_power",
    "resistance",
    "time_to_trip",
    "test_current",
)


def table_to_plantings(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """Plantings of every kind that fits the table, about `each` of a kind and column."""
    for make in KINDS:
        yield from make(table, chance, each)


def _planting(
    table: WideTable, kind: str, quantity: str, rows: Rows, touched: set[int], columns: set[int]
) -> Iterator[Planting]:
    if _values(rows) != _values(table.rows):
        heading = tuple(c.heading for c in table.columns)
        yield Planting(kind, quantity, (heading, *map(tuple, rows)), frozenset(touched), frozenset(columns))


def _values(rows: Sequence[Sequence[str]]) -> list[list[Decimal | str]]:
    """Texts, numbers by their value: 2.0 is 2.00."""
    return [[text if (number := _number(text)) is None else number for text in row] for row in rows]


def _copy(table: WideTable) -> Rows:
    return [list(row) for row in table.rows]


def _number(text: str) -> Decimal | None:
    try:
        return Decimal(text)
    except InvalidOperation:
        return None


def _write(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _is_rating(column: WideColumn) -> bool:
    return column.quantity in RATINGS and not column.ambient_c


def _is_derating(column: WideColumn) -> bool:
    return bool(column.ambient_c)


def _name(column: WideColumn) -> str:
    if column.ambient_c:
        return "derating"
    return f"{column.quantity} {column.kind}".strip() if column.quantity == "resistance" else column.quantity


def _cells(
    table: WideTable, chance: random.Random, each: int, fits: Callable[[WideColumn], bool]
) -> Iterator[tuple[int, int]]:
    """Some filled number cells of every column that fits: (row, column), from 0."""
    for index, column in enumerate(table.columns):
        if column.quantity == "part" or not fits(column):
            continue
        filled = [n for n, row in enumerate(table.rows) if _number(row[index]) is not None]
        for row in sorted(chance.sample(filled, min(each, len(filled)))):
            yield row, index


def _edit(
    kind: str, change: Callable[[str], str], fits: Callable[[WideColumn], bool]
) -> Callable[..., Iterator[Planting]]:
    """A kind that changes the text of one cell."""

    def make(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
        for row, index in _cells(table, chance, each, fits):
            rows = _copy(table)
            changed = change(rows[row][index])
            old, new = _number(rows[row][index]), _number(changed)
            if new is not None and new == old:
                continue
            rows[row][index] = changed
            yield from _planting(table, kind, _name(table.columns[index]), rows, {row + 2}, {index})

    return make


def _times(power: int) -> Callable[[str], str]:
    return lambda text: _write(Decimal(text).scaleb(power))


def _transpose(text: str) -> str:
    """Swap the first two neighbouring digits that differ, seen from the end."""
    places = [n for n, char in enumerate(text) if char.isdigit()]
    for right, left in zip(reversed(places), list(reversed(places))[1:], strict=False):
        if text[right] != text[left]:
            chars = list(text)
            chars[right], chars[left] = chars[left], chars[right]
            return "".join(chars)
    return text


def _glue(text: str) -> str:
    return text + "2"


def _letter(text: str) -> str:
    return text.replace("0", "O", 1) if "0" in text else text.replace("1", "l", 1)


def _shrink(text: str) -> str:
    return _write(Decimal(text) * Decimal("1.1"))


def _swap_columns(kind: str, a: tuple[str, str], b: tuple[str, str]) -> Callable[..., Iterator[Planting]]:
    """A kind that swaps two columns' cells of one row."""

    def make(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
        places = {(c.quantity, c.kind): n for n, c in enumerate(table.columns) if not c.ambient_c}
        first = places.get(a)
        second = next((places[key] for key in ((b[0], b[1]), (b[0], "")) if key in places), None)
        if first is None or second is None:
            return
        rows_with = [n for n, row in enumerate(table.rows) if row[first] and row[second]]
        factor = table.columns[second].factor / table.columns[first].factor
        for row in sorted(chance.sample(rows_with, min(3 * each, len(rows_with)))):
            rows = _copy(table)
            x, y = Decimal(rows[row][first]) * factor, Decimal(rows[row][second]) / factor
            if y != Decimal(rows[row][first]):
                rows[row][first], rows[row][second] = _write(y), _write(x)
                yield from _planting(table, kind, a[0], rows, {row + 2}, {first, second})

    return make


def _derating_neighbours(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    columns = [n for n, c in enumerate(table.columns) if c.ambient_c]
    for left, right in pairwise(columns):
        if table.columns[left].quantity != table.columns[right].quantity:
            continue
        filled = [n for n, row in enumerate(table.rows) if row[left] and row[right]]
        for row in sorted(chance.sample(filled, min(each, len(filled)))):
            rows = _copy(table)
            rows[row][left], rows[row][right] = rows[row][right], rows[row][left]
            yield from _planting(
                table, "derating neighbours swapped", "derating", rows, {row + 2}, {left, right}
            )


def _neighbour_row(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    for row, index in _cells(table, chance, 2 * each, _any):
        other = row + chance.choice((-1, 1))
        if not 0 <= other < len(table.rows):
            other = row + (1 if row == 0 else -1)
        if not 0 <= other < len(table.rows) or not table.rows[other][index]:
            continue
        if Decimal(table.rows[other][index]) == Decimal(table.rows[row][index]):
            continue
        rows = _copy(table)
        rows[row][index] = table.rows[other][index]
        yield from _planting(
            table, "cell of the neighbouring row", _name(table.columns[index]), rows, {row + 2}, {index}
        )


def _neighbour_column(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    for row, index in _cells(table, chance, each, _any):
        other = index + 1 if index + 1 < len(table.columns) else index - 1
        text = table.rows[row][other]
        if other == 0 or not text or Decimal(text) == Decimal(table.rows[row][index]):
            continue
        rows = _copy(table)
        rows[row][index] = text
        yield from _planting(
            table, "cell of the neighbouring column", _name(table.columns[index]), rows, {row + 2}, {index}
        )


def _column_shift(kind: str, step: int, *, keep_end: bool) -> Callable[..., Iterator[Planting]]:
    """A column moved by one row: a cell put in at the top (its last number then stands below the last
    part) or one taken out; or moved with its end filled again, which leaves no gap to see."""

    def make(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:  # noqa: ARG001
        if len(table.rows) < 4:
            return
        for index, column in enumerate(table.columns):
            values = [row[index] for row in table.rows]
            if column.quantity == "part" or len(set(values)) < 2 or "" in values:
                continue
            rows = _copy(table)
            moved = ["", *values] if step == 1 else [*values[1:], ""]
            if keep_end:
                moved = [values[0], *values[:-1]] if step == 1 else [*values[1:], values[-1]]
            if len(moved) > len(rows):
                rows.append([""] * len(table.columns))
            touched = set(range(2, len(rows) + 2))
            for row, value in zip(rows, moved, strict=True):
                row[index] = value
            yield from _planting(table, kind, _name(column), rows, touched, {index})

    return make


def _row_shift(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """A row's cells moved one column to the left from some column on, the last left empty."""
    last = max((n for n, c in enumerate(table.columns) if _is_rating(c)), default=0)
    for row in sorted(chance.sample(range(len(table.rows)), min(2 * each, len(table.rows)))):
        start = chance.randrange(1, max(2, last - 2))
        rows = _copy(table)
        rows[row] = [*rows[row][:start], *rows[row][start + 1 :], ""]
        touched = set(range(start, len(table.columns)))
        yield from _planting(table, "row shifted one column left", "row", rows, {row + 2}, touched)


def _test_current(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """The other usual test current: 8 A for a multiple of hold, or the multiple for 8 A."""
    index = next((n for n, c in enumerate(table.columns) if c.quantity == "test_current"), None)
    hold = next(
        (n for n, c in enumerate(table.columns) if c.quantity == "hold_current" and not c.ambient_c), None
    )
    if index is None or hold is None:
        return
    factor = table.columns[hold].factor
    for row, _ in _cells(table, chance, 3 * each, lambda c: c.quantity == "test_current"):
        if not table.rows[row][hold]:
            continue
        rows = _copy(table)
        current = Decimal(rows[row][index])
        changed = Decimal(8) if current != 8 else 5 * Decimal(rows[row][hold]) / factor
        if changed != current:
            rows[row][index] = _write(changed)
            yield from _planting(table, "other usual test current", "test_current", rows, {row + 2}, {index})


def _minus_lost(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:  # noqa: ARG001
    """The headings of the cold columns lose their minus signs."""
    cold = [n for n, c in enumerate(table.columns) if c.ambient_c.startswith("-")]
    for columns in ([cold] + [[n] for n in cold]) if cold else []:
        heading = tuple(
            c.heading.replace(" at -", " at ") if n in columns else c.heading
            for n, c in enumerate(table.columns)
        )
        yield Planting(
            "minus sign of a heading lost",
            "ambient",
            (heading, *table.rows),
            frozenset(range(1, len(table.rows) + 2)),
            frozenset(columns),
        )


def _duplicate(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """A row typed again at the end with one number of another row."""
    for row, index in _cells(table, chance, 1, _is_rating):
        other = table.rows[(row + 1) % len(table.rows)][index]
        if other and Decimal(other) != Decimal(table.rows[row][index]) and each:
            rows = _copy(table)
            again = list(table.rows[row])
            again[index] = other
            rows.append(again)
            yield from _planting(
                table,
                "row typed twice, differing",
                _name(table.columns[index]),
                rows,
                {len(rows) + 1},
                {index},
            )


def _any(column: WideColumn) -> bool:  # noqa: ARG001
    return True


def _drop_digit(text: str) -> str:
    """A digit in the middle, or the last, is not struck."""
    places = [n for n, char in enumerate(text) if char.isdigit()]
    if len(places) < 2:
        return text
    place = places[len(places) // 2]
    changed = text[:place] + text[place + 1:]
    return changed if _number(changed) and _number(changed) != _number(text) else text


def _rows_slid(step: int) -> Callable[..., Iterator[Planting]]:
    """From some row on all cells stand one part lower (1) or higher (-1); the part numbers stay."""

    def make(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
        if len(table.rows) < 6:
            return
        for _ in range(2 * each):
            first = chance.randrange(0, len(table.rows) - 4)
            rows = _copy(table)
            cells = [row[1:] for row in table.rows]
            blank = [""] * (len(table.columns) - 1)
            moved = [*cells[:first], blank, *cells[first:-1]] if step > 0 else \
                [*cells[:first], *cells[first + 1:], blank]
            for row, own in zip(rows, moved, strict=True):
                row[1:] = own
            touched = set(range(first + 2, len(rows) + 2))
            kind = "rows slid one part lower" if step > 0 else "rows slid one part higher"
            yield from _planting(table, kind, "block", rows, touched, set(range(len(table.columns))))

    return make


def _rows_slid_inside(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """The cells of some rows in the middle stand one part lower; the first is typed twice, none is blank."""
    if len(table.rows) < 8:
        return
    for _ in range(2 * each):
        first = chance.randrange(0, len(table.rows) - 5)
        last = chance.randrange(first + 4, len(table.rows))
        rows = _copy(table)
        for n in range(first + 1, last + 1):
            rows[n][1:] = table.rows[n - 1][1:]
        touched = set(range(first + 3, last + 3))
        yield from _planting(table, "rows slid, nothing blank", "block", rows, touched,
                             set(range(len(table.columns))))


def _exchanged_rows(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """The part numbers of two neighbouring rows are exchanged."""
    for _ in range(2 * each):
        if len(table.rows) < 3:
            return
        n = chance.randrange(0, len(table.rows) - 1)
        rows = _copy(table)
        rows[n][0], rows[n + 1][0] = rows[n + 1][0], rows[n][0]
        if rows[n][1:] != rows[n + 1][1:]:
            yield from _planting(table, "part numbers exchanged", "block", rows, {n + 2, n + 3},
                                 set(range(len(table.columns))))


def _exchanged_in_column(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """Two cells of one column are exchanged between neighbouring rows."""
    for row, index in _cells(table, chance, each, _is_rating):
        if row + 1 >= len(table.rows):
            continue
        rows = _copy(table)
        rows[row][index], rows[row + 1][index] = rows[row + 1][index], rows[row][index]
        if rows[row][index]:
            yield from _planting(table, "cells of two rows exchanged", _name(table.columns[index]), rows,
                                 {row + 2, row + 3}, {index})


def _exchanged_headings(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:
    """Two neighbouring headings are exchanged."""
    for left in range(1, len(table.columns) - 1):
        pair = (table.columns[left], table.columns[left + 1])
        if "test_current" in (pair[0].quantity, pair[1].quantity) or not each:
            continue
        if all(row[left] == row[left + 1] for row in table.rows):
            continue
        headings = [c.heading for c in table.columns]
        headings[left], headings[left + 1] = headings[left + 1], headings[left]
        if len(table.rows) >= 3 and chance.random() < 0.5:
            yield Planting("headings exchanged", "block", (tuple(headings), *table.rows),
                           frozenset(range(1, len(table.rows) + 2)), frozenset({left, left + 1}))


def _wrong_unit(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:  # noqa: ARG001
    """A whole column is typed in another unit than its heading says."""
    for index, column in enumerate(table.columns):
        power = {"resistance": 3, "hold_current": 3, "trip_current": 3, "time_to_trip": 3,
                 "tripped_power": 3, "hold_ratio": -2}.get(column.quantity, 0)
        if not power or len([row for row in table.rows if row[index]]) < 3:
            continue
        if not re.search(r"[\[(%]|[mkO]?(?:A|hm)$", column.heading):
            continue  # without a unit in the heading the one that fits is meant
        power = -power if column.factor == 1000 else power
        rows = _copy(table)
        for row in rows:
            row[index] = _times(power)(row[index]) if _number(row[index]) is not None else row[index]
        yield from _planting(table, "unit of a heading", _name(column), rows,
                             set(range(1, len(rows) + 2)), {index})


def _wrong_kind(table: WideTable, chance: random.Random, each: int) -> Iterator[Planting]:  # noqa: ARG001
    """A heading says another limit than the column holds."""
    other = {"min": "max", "typ": "max", "max": "typ", "post_trip_max": "max"}
    have = {(c.quantity, c.kind) for c in table.columns}
    for index, column in enumerate(table.columns):
        said = other.get(column.kind, "")
        if column.quantity != "resistance" or (column.quantity, said) in have or len(table.rows) < 3:
            continue
        unit = "mOhm" if column.factor == 1000 else "Ohm"
        headings = [c.heading for c in table.columns]
        headings[index] = f"R {said} [{unit}]"
        yield Planting("heading says another limit", _name(column), (tuple(headings), *table.rows),
                       frozenset(range(1, len(table.rows) + 2)), frozenset({index}))


def _any_number(column: WideColumn) -> bool:
    return not column.ambient_c and column.quantity != "part"


KINDS: tuple[Callable[..., Iterator[Planting]], ...] = (
    _edit("x 10", _times(1), _any),
    _edit("/ 10", _times(-1), _any),
    _edit("x 1000", _times(3), _is_rating),
    _edit("/ 1000", _times(-3), _is_rating),
    _edit("digits transposed", _transpose, _any),
    _edit("footnote digit glued", _glue, _is_rating),
    _edit("dash glued as minus", lambda text: "-" + text, _is_rating),
    _edit("letter for a digit", _letter, _any),
    _edit("ten percent too large", _shrink, _is_rating),
    _edit("digit missing", _drop_digit, _any_number),
    _edit("comma for a point", lambda text: text.replace(".", ","), _any_number),
    _edit("date for a number", lambda text: "2026-05-01" if "." in text else text, _any_number),
    _swap_columns("hold and trip swapped", ("hold_current", ""), ("trip_current", "")),
    _swap_columns("V and I swapped", ("max_voltage", ""), ("max_current", "")),
    _swap_columns("Rmin and R1max swapped", ("resistance", "min"), ("resistance", "post_trip_max")),
    _derating_neighbours,
    _neighbour_row,
    _neighbour_column,
    _column_shift("column shifted down", 1, keep_end=False),
    _column_shift("column shifted up", -1, keep_end=False),
    _column_shift("column shifted, no gap", 1, keep_end=True),
    _row_shift,
    _test_current,
    _minus_lost,
    _duplicate,
    _rows_slid(1),
    _rows_slid(-1),
    _rows_slid_inside,
    _exchanged_rows,
    _exchanged_in_column,
    _exchanged_headings,
    _wrong_unit,
    _wrong_kind,
)
