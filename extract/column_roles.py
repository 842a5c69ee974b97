"""What the columns of a table are for, settled by their texts and their neighbours.

Comes in: columns with what their headings say alone, the grid, its data rows. Goes out: the part
column and the columns with open questions answered or left unknown. Reads no values except to tell
words, codes and units apart.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.grid import Grid
from extract.headings import HeadingMeaning, Role
from extract.name_columns import heading_is_order, heading_is_part
from extract.quantities import CellSort, cell_to_numbers, is_rising_range
from extract.schema import Kind, Quantity
from extract.temperatures import text_to_bare_ambient
from extract.vocabulary import Unit, fold

CODE = re.compile(r"(?=.*\d)[A-Z0-9][A-Z0-9.,/_+\-() ]{1,30}", re.IGNORECASE)

_SEVERAL_DECIMALS = re.compile(r"\d*[.,]\d+(?:\s+\d*[.,]\d+)+")


@dataclass(frozen=True, slots=True)
class Column:
    """One grid column: its heading's levels and what they mean in this table."""

    index: int
    levels: tuple[str, ...]
    meaning: HeadingMeaning


def find_part_column(
    grid: Grid, body: Sequence[int], columns: Sequence[Column], is_derating: bool
) -> int | None:
    """The column that names the parts: by heading if its texts allow it, else by its texts alone."""
    shares = {c.index: _code_share(grid, body, c.index) for c in columns}
    by_heading = [c.index for c in columns if c.meaning.role is Role.PART_NUMBER and shares[c.index] >= 0.6]
    if by_heading:
        return _makers_own(columns, by_heading)
    candidates = [
        c.index
        for c in columns
        if c.meaning.role in (Role.UNKNOWN, Role.TEXT, Role.PART_NUMBER)
        and c.meaning.text_name not in ("marking", "approval")
        and shares[c.index] >= 0.8
        and _is_mostly_distinct(grid, body, c.index)
    ]
    if candidates:
        return candidates[0]
    others = [c.index for c in columns if c.meaning.role is Role.OTHER and shares[c.index] >= 0.9]
    if others and _is_mostly_distinct(grid, body, others[0]):
        return others[0]  # "Catalogue No." and whatever else a maker calls it
    if is_derating:
        labels = [
            c.index for c in columns if not c.meaning.is_ambient_column and _column_texts(grid, body, c.index)
        ]
        named = [index for index in labels if shares[index] >= 0.8]
        return next(iter(named or labels), None)
    return None


def _makers_own(columns: Sequence[Column], candidates: Sequence[int]) -> int:
    """The first column that is headed as the parts; one headed "part number" wins over an order number before
    it."""
    headings = {c.index: " ".join(c.levels) for c in columns if c.index in candidates}
    if heading_is_order(headings[candidates[0]]):
        return next((n for n in candidates if heading_is_part(headings[n])), candidates[0])
    return candidates[0]


def _column_texts(grid: Grid, body: Sequence[int], index: int) -> list[str]:
    cells = (grid.cell_at(row, index) for row in body)
    return [plain_text(cell.text) for cell in cells if cell is not None and cell.text]


def _code_share(grid: Grid, body: Sequence[int], index: int) -> float:
    """Share of rows whose text looks like a part number: letters and digits, or a long code."""
    texts = _column_texts(grid, body, index)
    good = [
        t
        for t in texts
        if CODE.fullmatch(t.rstrip("*†‡ "))
        and (re.search(r"[A-Za-z]", t) or len(re.sub(r"\D", "", t)) >= 5)
        and cell_to_numbers(t).sort is not CellSort.NUMBERS
    ]
    return len(good) / len(body) if body else 0.0


def _is_mostly_distinct(grid: Grid, body: Sequence[int], index: int) -> bool:
    texts = _column_texts(grid, body, index)
    return len(set(texts)) >= 0.9 * len(texts)


def settle_columns(
    grid: Grid, body: Sequence[int], columns: tuple[Column, ...], part_column: int | None
) -> tuple[Column, ...]:
    """Resolve what headings alone leave open, by the cells below and by the neighbours."""
    names_parts = HeadingMeaning(Role.PART_NUMBER, reasons=("names the parts",))
    by_cells = [_settle_by_cells(grid, body, column) for column in columns]
    settled = [replace(c, meaning=names_parts) if c.index == part_column else c for c in by_cells]
    if any(column.meaning.is_ambient_column for column in settled):
        settled = _doubt_odd_ambients(settled)
    settled = _settle_lone_kinds(grid, body, _settle_test_current(settled))
    return tuple(_doubt_wordy(grid, body, column) for column in settled)


def _doubt_odd_ambients(columns: list[Column]) -> list[Column]:
    """A column among ambient columns that is none itself, or whose temperature has an unknown sign
    before it, may be cold or hot: it is not read."""
    ambient = [c.index for c in columns if c.meaning.is_ambient_column]
    named = {c.meaning.quantity for c in columns if c.meaning.is_ambient_column} - {None}
    result: list[Column] = []
    for column in columns:
        last = column.levels[-1] if column.levels else ""
        odd = re.sub(r"[\W\d_c]", "", fold(last)) == "" and re.search(r"\d", last) is not None
        among = ambient[0] < column.index < ambient[-1]
        other = bool(named) and column.meaning.quantity not in (None, *named)
        if other and not among and text_to_bare_ambient(last) is not None:  # "Trip at 23 °C" beside hold
            result.append(column)
            continue
        if (odd or among) and column.index not in ambient and column.meaning.role is Role.VALUE:
            reasons = (*column.meaning.reasons, f"'{last}' among temperatures is not understood")
            unknown = replace(column.meaning, role=Role.UNKNOWN, quantity=None, reasons=reasons)
            column = replace(column, meaning=unknown)
        result.append(column)
    return result


def _settle_by_cells(grid: Grid, body: Sequence[int], column: Column) -> Column:
    """A time to trip whose cells are printed in amps is its test current; one whose cells print amps and
    seconds each time holds both."""
    meaning = column.meaning
    if meaning.quantity is Quantity.RESISTANCE and meaning.kind is Kind.NONE and not meaning.pair:
        return _settle_range(grid, body, column)
    if meaning.quantity is not Quantity.TIME_TO_TRIP or meaning.is_test_current or meaning.pair:
        return column
    parsed = [cell_to_numbers(text) for text in _column_texts(grid, body, column.index)]
    printed = {tuple(n.unit.base if n.unit is not None else "" for n in cell.numbers) for cell in parsed}
    printed.discard(())
    if printed == {("A",)} and meaning.unit is None:
        reasons = (*meaning.reasons, "its cells are printed in amps")
        return replace(column, meaning=replace(meaning, is_test_current=True, reasons=reasons))
    both = next(iter(printed)) if len(printed) == 1 else ()
    timed = sorted(both) == ["A", "s"] or (sorted(both) == ["", "A"] and meaning.unit is not None)
    if timed and meaning.test_current_a is None and meaning.test_multiple is None:
        reasons = (*meaning.reasons, "its cells print a current and a time")
        pair = tuple(
            replace(meaning, is_test_current=base == "A", unit=_unless_amps(meaning, base)) for base in both
        )
        return replace(column, meaning=replace(meaning, pair=pair, reasons=reasons))
    return column


def _settle_range(grid: Grid, body: Sequence[int], column: Column) -> Column:
    """A resistance without a limit whose cells all go from one number to a larger one holds both limits."""
    texts = _column_texts(grid, body, column.index)
    if not texts or not all(map(is_rising_range, texts)):
        return column
    reasons = (*column.meaning.reasons, "its cells go from the least to the largest")
    pair = tuple(replace(column.meaning, kind=kind) for kind in (Kind.MIN, Kind.MAX))
    return replace(column, meaning=replace(column.meaning, pair=pair, reasons=reasons))


def _unless_amps(meaning: HeadingMeaning, base: str) -> Unit | None:
    """The unit of a heading for the time of a cell; its current prints its own."""
    return None if base == "A" else meaning.unit


def _doubt_wordy(grid: Grid, body: Sequence[int], column: Column) -> Column:
    """A column headed as a quantity whose cells are mostly words holds something else (a code)."""
    if column.meaning.role is not Role.VALUE:
        return column
    sorts = [cell_to_numbers(text).sort for text in _column_texts(grid, body, column.index)]
    wordy = sum(sort is CellSort.TEXT for sort in sorts)
    if wordy * 2 <= len(sorts):
        return column
    reasons = (*column.meaning.reasons, f"{wordy} of {len(sorts)} cells are words")
    return replace(column, meaning=replace(column.meaning, role=Role.UNKNOWN, quantity=None, reasons=reasons))


def _settle_test_current(columns: list[Column]) -> list[Column]:
    """A bare current beside a time is the test current; a second trip current is one too; a bare
    current without any time stays unknown."""
    columns = _settle_shared_maximum(_settle_lone_seconds(columns))
    has_time = any(is_time(c) for c in columns)
    result: list[Column] = []
    for number, column in enumerate(columns):
        meaning = column.meaning
        beside = [columns[n] for n in (number - 1, number + 1) if 0 <= n < len(columns)]
        if meaning.is_test_current and not has_time:
            rival = meaning.rivals[0] if len(meaning.rivals) == 1 else None
            meaning = replace(
                meaning,
                role=Role.UNKNOWN,
                quantity=None,
                is_test_current=False,
                reasons=(*meaning.reasons, f"no time column beside it{f' (or {rival})' if rival else ''}"),
            )
        elif meaning.quantity is Quantity.TRIP_CURRENT and has_time and any(is_time(c) for c in beside):
            earlier = any(
                c.meaning.quantity is Quantity.TRIP_CURRENT for c in columns if c.index != column.index
            )
            has_test = any(c.meaning.is_test_current for c in columns)
            if earlier and not has_test:
                meaning = replace(
                    meaning,
                    quantity=Quantity.TIME_TO_TRIP,
                    is_test_current=True,
                    reasons=(*meaning.reasons, "a second trip current beside the time: its test current"),
                )
        result.append(replace(column, meaning=meaning))
    return result


def _settle_lone_seconds(columns: list[Column]) -> list[Column]:
    """Seconds without a name right of a current that is named as that of the time to trip are this time:
    the common heading stands over its first column only."""
    if any(is_time(column) for column in columns):
        return columns
    result = list(columns)
    for left, right in pairwise(columns):
        meaning = right.meaning
        named = left.meaning.is_test_current and not left.meaning.rivals
        lone = meaning.quantity is None and meaning.unit is not None and meaning.unit.base == "s"
        if named and lone:
            reasons = (*meaning.reasons, "seconds beside the current of the time to trip")
            time = replace(meaning, quantity=Quantity.TIME_TO_TRIP, reasons=reasons)
            result[columns.index(right)] = replace(right, meaning=time)
    return result


def _settle_shared_maximum(columns: list[Column]) -> list[Column]:
    """Amps beside the largest voltage, under the same "Maximum", are the largest current."""
    result = list(columns)
    for left, right in pairwise(columns):
        volts, amps = left.meaning, right.meaning
        lone = amps.quantity is None and amps.unit is not None and amps.unit.name == "A"
        lone = lone and amps.kind is Kind.MAX
        shared = left.levels[:1] == right.levels[:1] and len(right.levels) > 1
        if lone and shared and volts.quantity is Quantity.MAX_VOLTAGE:
            reasons = (*amps.reasons, "amps under the same maximum as the voltage")
            current = replace(amps, quantity=Quantity.MAX_CURRENT, reasons=reasons)
            result[columns.index(right)] = replace(right, meaning=current)
    return result


def is_time(column: Column) -> bool:
    meaning = column.meaning
    return meaning.quantity is Quantity.TIME_TO_TRIP and not meaning.is_test_current and not meaning.pair


def _settle_lone_kinds(grid: Grid, body: Sequence[int], columns: list[Column]) -> list[Column]:
    """A column that says only "typ. (W)" beside one that says "power, max. (W)" is the other limit of
    the same quantity, and so is one without a unit whose numbers keep the order of the limits row by
    row; any other column without a quantity stays unknown."""
    result: list[Column] = []
    for number, column in enumerate(columns):
        meaning = column.meaning
        if meaning.role is Role.VALUE and meaning.quantity is None and not meaning.is_ambient_column:
            beside = [columns[n] for n in (number - 1, number + 1) if 0 <= n < len(columns)]
            pairs = [
                other.meaning
                for other in beside
                if _are_limits_of_one(meaning, other.meaning)
                and (meaning.unit is not None or _are_in_order(grid, body, column, other))
            ]
            quantities = {other.quantity for other in pairs}
            if len(quantities) == 1:
                reasons = (*meaning.reasons, "the other limit of the quantity beside it")
                meaning = replace(meaning, quantity=quantities.pop(), unit=pairs[0].unit, reasons=reasons)
            else:
                meaning = replace(meaning, role=Role.UNKNOWN)
        result.append(replace(column, meaning=meaning))
    return result


def _are_limits_of_one(lone: HeadingMeaning, named: HeadingMeaning) -> bool:
    """Whether a lone kind and a named column differ only in the limit, with one unit; a lone "Min" for
    which no unit is printed stands under the same common heading, whose unit is its own."""
    limits = {Kind.MIN, Kind.TYP, Kind.MAX}
    no_such = named.quantity is Quantity.TRIPPED_POWER and lone.kind is Kind.MIN
    return (
        named.quantity in (Quantity.RESISTANCE, Quantity.TRIPPED_POWER)
        and not no_such
        and lone.kind in limits
        and named.kind in limits
        and lone.kind is not named.kind
        and named.unit is not None
        and lone.unit in (None, named.unit)
    )


def _are_in_order(grid: Grid, body: Sequence[int], lone: Column, named: Column) -> bool:
    """Whether two columns of limits rise as their kinds do in every row that holds both."""
    order = [Kind.MIN, Kind.TYP, Kind.MAX]
    lower, upper = sorted((lone, named), key=lambda column: order.index(column.meaning.kind))
    rows = [(grid.cell_at(row, lower.index), grid.cell_at(row, upper.index)) for row in body]
    read = [
        (cell_to_numbers(low.text).numbers, cell_to_numbers(high.text).numbers)
        for low, high in rows
        if low is not None and high is not None
    ]
    both = [(low[0].value, high[0].value) for low, high in read if low and high]
    return len(both) >= 2 and all(low <= high for low, high in both)


def is_numeric(grid: Grid, body: Sequence[int], index: int) -> bool:
    """Whether most cells of a column hold a number, or several decimals that should have been parted."""
    texts = _column_texts(grid, body, index)
    numbers = sum(
        cell_to_numbers(text).sort is CellSort.NUMBERS or _SEVERAL_DECIMALS.fullmatch(text) is not None
        for text in texts
    )
    return bool(texts) and numbers >= 0.6 * len(texts)


def plain_text(text: str) -> str:
    return " ".join(text.split())
