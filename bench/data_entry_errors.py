"""A second planter: mistakes by published classes of data-entry errors, not by what the checks look for.

Comes in: a WideTable and a random generator. Goes out: plantings. Checks nothing: seeded_errors.py does.

Classes of digit errors: "Error Detecting Decimal Codes", Mathematical Centre Tracts 29, Amsterdam 1969
(single error, omitted and added digit, adjacent transposition, jump transposition, twin, jump twin and
phonetic error; named from memory). Classes of spreadsheet errors: "Spreadsheets on Trial: A Survey of
Research on Spreadsheet Risks", HICSS-29, 1996 (mechanical: mistyping and pointing at a wrong cell;
omission: something left out; named from memory).
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from itertools import pairwise

from bench.seeded_kinds import Planting, Rows
from bench.seeded_tables import WideColumn, WideTable

Change = Callable[[str, random.Random], str]


def table_to_data_entry_errors(
    table: WideTable, chance: random.Random, each: int
) -> Iterator[Planting]:
    """Plantings of every class, about `each` in every column for digits, a few for the rest."""
    for kind, change in DIGIT_ERRORS:
        yield from _in_cells(table, chance, each, kind, change)
        yield from _in_part_numbers(table, chance, each, kind, change)
    for make in MECHANICAL:
        for _ in range(4 * each):
            yield from make(table, chance)


# Digits


def _digits(text: str) -> list[int]:
    return [n for n, char in enumerate(text) if char.isdigit()]


def _put(text: str, changes: dict[int, str]) -> str:
    return "".join(changes.get(n, char) for n, char in enumerate(text))


def _single(text: str, chance: random.Random) -> str:
    """One digit is struck as another."""
    places = _digits(text)
    place = chance.choice(places)
    return _put(text, {place: chance.choice([d for d in "0123456789" if d != text[place]])})


def _omitted(text: str, chance: random.Random) -> str:
    """One digit is not struck."""
    return _put(text, {chance.choice(_digits(text)): ""})


def _added(text: str, chance: random.Random) -> str:
    """One digit too many is struck."""
    place = chance.choice(_digits(text))
    return _put(text, {place: text[place] + chance.choice("0123456789")})


def _adjacent(text: str, chance: random.Random) -> str:
    """ab → ba."""
    return _exchange(text, chance, 1)


def _jump(text: str, chance: random.Random) -> str:
    """abc → cba."""
    return _exchange(text, chance, 2)


def _exchange(text: str, chance: random.Random, far: int) -> str:
    places = _digits(text)
    pairs = [(a, b) for a, b in zip(places, places[far:], strict=False) if text[a] != text[b]]
    if not pairs:
        return text
    a, b = chance.choice(pairs)
    return _put(text, {a: text[b], b: text[a]})


def _twin(text: str, chance: random.Random) -> str:
    """aa → bb."""
    return _same_pair(text, chance, 1)


def _jump_twin(text: str, chance: random.Random) -> str:
    """aca → bcb."""
    return _same_pair(text, chance, 2)


def _same_pair(text: str, chance: random.Random, far: int) -> str:
    places = _digits(text)
    pairs = [(a, b) for a, b in zip(places, places[far:], strict=False) if text[a] == text[b]]
    if not pairs:
        return text
    a, b = chance.choice(pairs)
    other = chance.choice([d for d in "0123456789" if d != text[a]])
    return _put(text, {a: other, b: other})


def _phonetic(text: str, chance: random.Random) -> str:
    """a0 ↔ 1a, thirty and thirteen."""
    places = _digits(text)
    found = [(a, b) for a, b in pairwise(places)
             if b == a + 1 and ((text[b] == "0" and text[a] in "23456789")
                                or (text[a] == "1" and text[b] in "23456789"))]
    if not found:
        return text
    a, b = chance.choice(found)
    return _put(text, {a: "1", b: text[a]} if text[b] == "0" else {a: text[b], b: "0"})


DIGIT_ERRORS: tuple[tuple[str, Change], ...] = (
    ("digit: single error", _single),
    ("digit: omitted", _omitted),
    ("digit: added", _added),
    ("digit: adjacent transposition", _adjacent),
    ("digit: jump transposition", _jump),
    ("digit: twin error", _twin),
    ("digit: jump twin error", _jump_twin),
    ("digit: phonetic error", _phonetic),
)


def _texts(table: WideTable, rows: Rows) -> tuple[tuple[str, ...], ...]:
    return (tuple(c.heading for c in table.columns), *map(tuple, rows))


def _name(column: WideColumn) -> str:
    return "derating" if column.ambient_c else column.quantity


def _in_cells(
    table: WideTable, chance: random.Random, each: int, kind: str, change: Change
) -> Iterator[Planting]:
    for index, column in enumerate(table.columns):
        filled = [n for n, row in enumerate(table.rows) if _digits(row[index])]
        if column.quantity == "part" or not filled:
            continue
        for row in chance.sample(filled, min(each, len(filled))):
            before = table.rows[row][index]
            after = change(before, chance)
            if after in ("", ".") or _same_number(before, after):
                continue
            rows = [list(one) for one in table.rows]
            rows[row][index] = after
            yield Planting(kind, _name(column), _texts(table, rows), frozenset({row + 2}), frozenset({index}))


def _same_number(before: str, after: str) -> bool:
    try:
        return float(before) == float(after)
    except ValueError:
        return before == after


def _in_part_numbers(
    table: WideTable, chance: random.Random, each: int, kind: str, change: Change
) -> Iterator[Planting]:
    listed = {row[0] for row in table.rows}
    for row in chance.sample(range(len(table.rows)), min(2 * each, len(table.rows))):
        before = table.rows[row][0]
        after = change(before, chance) if _digits(before) else before
        if after not in listed:
            rows = [list(one) for one in table.rows]
            rows[row][0] = after
            yield Planting(f"part number {kind}", "part", _texts(table, rows), frozenset({row + 2}),
                           frozenset({0}))


# Spreadsheets: mechanical errors and omissions


def _wrong_cell(table: WideTable, chance: random.Random) -> Iterator[Planting]:
    """The eye points at a cell up to two rows and two columns away."""
    row, index = chance.randrange(len(table.rows)), chance.randrange(1, len(table.columns))
    other = row + chance.choice((-2, -1, 0, 1, 2)), index + chance.choice((-2, -1, 0, 1, 2))
    if not (0 <= other[0] < len(table.rows) and 1 <= other[1] < len(table.columns)):
        return
    before, after = table.rows[row][index], table.rows[other[0]][other[1]]
    if before and after and not _same_number(before, after):
        rows = [list(one) for one in table.rows]
        rows[row][index] = after
        yield Planting("mechanical: wrong cell pointed at", _name(table.columns[index]), _texts(table, rows),
                       frozenset({row + 2}), frozenset({index}))


def _wrong_line(table: WideTable, chance: random.Random) -> Iterator[Planting]:
    """Half of a row is copied from the line below."""
    if len(table.rows) < 3 or len(table.columns) < 5:
        return
    row = chance.randrange(len(table.rows) - 1)
    start = chance.randrange(2, len(table.columns) - 1)
    rows = [list(one) for one in table.rows]
    rows[row][start:] = rows[row + 1][start:]
    if rows[row] != list(table.rows[row]):
        yield Planting("mechanical: line changed half way", "block", _texts(table, rows),
                       frozenset({row + 2}), frozenset(range(start, len(table.columns))))


def _left_out(table: WideTable, chance: random.Random) -> Iterator[Planting]:
    """A cell is left out and the rest of the column moves up, to a row some way down."""
    if len(table.rows) < 6:
        return
    index = chance.randrange(1, len(table.columns))
    first = chance.randrange(len(table.rows) - 3)
    last = chance.randrange(first + 2, len(table.rows))
    rows = [list(one) for one in table.rows]
    for n in range(first, last):
        rows[n][index] = table.rows[n + 1][index]
    if rows != [list(one) for one in table.rows]:
        yield Planting("omission: cell left out, column closed up", _name(table.columns[index]),
                       _texts(table, rows), frozenset(range(first + 2, last + 3)), frozenset({index}))


def _line_left_out(table: WideTable, chance: random.Random) -> Iterator[Planting]:
    """The numbers of a line are left out and all lines below move up beside their part numbers."""
    if len(table.rows) < 6:
        return
    first = chance.randrange(len(table.rows) - 4)
    rows = [list(one) for one in table.rows]
    for n in range(first, len(rows) - 1):
        rows[n][1:] = table.rows[n + 1][1:]
    rows[-1][1:] = [""] * (len(table.columns) - 1)
    yield Planting("omission: line of numbers left out", "block", _texts(table, rows),
                   frozenset(range(first + 2, len(rows) + 2)), frozenset(range(len(table.columns))))


MECHANICAL = (_wrong_cell, _wrong_line, _left_out, _line_left_out)
