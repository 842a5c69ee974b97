"""Headings become columns: what each column of a typed table holds, and in which unit.

Comes in: the levels over each column and the texts below. Goes out: Columns, and findings where a
heading, a unit or the order of temperatures is doubtful. Uses the vocabulary that datasheets are read
with; has no wording of its own.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from statistics import median

from extract.checks.limits import limits
from extract.errors import InputError
from extract.headings import HeadingMeaning, Role, heading_to_meaning
from extract.parts_table.mapping import text_to_column
from extract.parts_table.records import Column, ColumnRole
from extract.parts_table.shorthand import heading_to_shorthand
from extract.quantities import CellNumber, cell_to_numbers
from extract.reference import is_room
from extract.schema import AT_AMBIENT, UNIT_OF, Kind, Quantity
from extract.temperatures import text_to_bare_ambient
from extract.vocabulary import Unit, fold, scan, unit_spellings

_RATED = (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE, Quantity.MAX_CURRENT)
_SHARE = {Quantity.HOLD_CURRENT: Quantity.HOLD_RATIO, Quantity.TRIP_CURRENT: Quantity.TRIP_RATIO}


def levels_to_columns(
    levels: Sequence[Sequence[str]], texts: Sequence[Sequence[str]], mapping: Mapping[str, str]
) -> tuple[Column, ...]:
    """One Column for each column of the sheet. `texts` are the cells below each heading.

    Raises InputError for a mapping whose heading the table does not have.
    """
    wanted = {_plain(heading): meaning for heading, meaning in mapping.items()}
    columns = [_levels_to_column(n + 1, tuple(over), wanted) for n, over in enumerate(levels)]
    missing = wanted.keys() - {_plain(column.heading) for column in columns}
    if missing:
        name = next(heading for heading in mapping if _plain(heading) in missing)
        found = ", ".join(f"'{column.heading}'" for column in columns if column.heading)
        raise InputError("--map", f"no column '{name}'", f"one of {found}")
    columns = _find_part_column(columns, texts)
    columns = _join_test_currents(columns)
    columns = [
        _settle_unit(_percent_cells(column, texts[column.index - 1]), texts[column.index - 1])
        for column in columns
    ]
    columns = _settle_ambient_only(_settle_factors(columns, texts), texts)
    return tuple(_drop_lone_kinds(columns))


def _plain(text: str) -> str:
    return " ".join(fold(text).split())


def _levels_to_column(index: int, levels: tuple[str, ...], mapping: Mapping[str, str]) -> Column:
    heading = " ".join(" ".join(levels).split())
    meant = mapping.get(_plain(heading))
    if meant is not None:
        return text_to_column(index, heading, meant)
    if not heading:
        return Column(index, "", ColumnRole.IGNORED, how="no heading")
    meaning = _with_bare_ambient(levels)
    column = _meaning_to_column(index, heading, meaning)
    if _names_test_current(heading) and (meaning.unit is None or meaning.unit.base == "A"):
        return replace(column, role=ColumnRole.TEST_CURRENT, quantity=None, how="names a test current")
    lost = column.role is ColumnRole.VALUE and column.quantity is None and column.ambient_c is None
    if column.role is ColumnRole.UNKNOWN or (lost and not column.pair):
        return heading_to_shorthand(index, heading) or column
    return column


def _with_bare_ambient(levels: tuple[str, ...]) -> HeadingMeaning:
    """A level that is a temperature alone ("85") gives the ambient of the words above it."""
    bare = [level for level in levels if text_to_bare_ambient(level) is not None]
    if len(bare) == 1 and len(levels) > 1:
        rest = tuple(level for level in levels if level != bare[0])
        meaning = heading_to_meaning(rest)
        if meaning.role is Role.VALUE or any(hit.sense == "derating" for hit in scan(fold(" ".join(rest)))):
            return replace(meaning, role=Role.VALUE, ambient_c=text_to_bare_ambient(bare[0]))
    return heading_to_meaning(levels)


@lru_cache(maxsize=4096)
def _names_test_current(heading: str) -> bool:
    folded = fold(heading)
    return any(
        hit.sense == "test_current"
        and re.search(r"\s", folded[hit.start : hit.end])
        and "fault" not in folded[hit.start : hit.end]
        for hit in scan(folded.replace("_", " "))
    )


def _meaning_to_column(index: int, heading: str, meaning: HeadingMeaning) -> Column:
    how = "; ".join(meaning.reasons)
    if meaning.role is Role.PART_NUMBER:
        return Column(index, heading, ColumnRole.PART_NUMBER, how=how)
    if meaning.role in (Role.TEXT, Role.OTHER):
        role = ColumnRole.TEXT if meaning.role is Role.TEXT else ColumnRole.IGNORED
        return Column(index, heading, role, how=how)
    if meaning.role is Role.UNKNOWN:
        return Column(index, heading, ColumnRole.UNKNOWN, how=how)
    if meaning.is_test_current:
        return Column(index, heading, ColumnRole.TEST_CURRENT, unit=meaning.unit, how=how)
    column = Column(
        index,
        heading,
        ColumnRole.VALUE,
        meaning.quantity,
        _supply_kind(heading, meaning.kind) if meaning.quantity in _RATED else meaning.kind,
        meaning.unit,
        ambient_c=meaning.ambient_c,
        test_current_a=meaning.test_current_a,
        test_multiple=meaning.test_multiple,
        how=how,
    )
    if meaning.pair:
        column = replace(
            column,
            pair=tuple(
                _meaning_to_column(index, heading, half)
                for half in (replace(m, pair=()) for m in meaning.pair)
            ),
        )
    if meaning.quantity in AT_AMBIENT or meaning.quantity is None:
        return _as_share(column)
    return replace(column, ambient_c=None)


def _supply_kind(heading: str, kind: Kind) -> Kind:
    """AC where the heading says so in any way ("Max AC voltage", "V~") and names no DC beside it."""
    folded = fold(heading)
    says_dc = re.search(r"dc|=|⎓", folded) is not None
    return Kind.AC if re.search(r"ac\b|rms|~", folded) and not says_dc else kind


def _as_share(column: Column) -> Column:
    """Hold or trip in percent is a ratio."""
    is_share = column.unit is not None and column.unit.base == "1"
    if is_share and column.quantity in _SHARE:
        return replace(column, quantity=_SHARE[column.quantity])
    return column


def _percent_cells(column: Column, texts: Sequence[str]) -> Column:
    """A hold or trip column whose cells print percent holds ratios."""
    filled = [text for text in texts if text]
    if (
        column.quantity in _SHARE
        and column.unit is None
        and column.ambient_c is not None
        and sum("%" in text for text in filled) > 0.5 * len(filled)
    ):
        return replace(column, quantity=_SHARE[column.quantity], how=f"{column.how}; its cells are percent")
    return column


def _find_part_column(columns: list[Column], texts: Sequence[Sequence[str]]) -> list[Column]:
    """One column names parts: the mapped one, else the one so headed whose texts differ most, else one
    without a known heading whose cells look like part numbers."""

    def rank(column: Column) -> tuple[float, int]:
        return _code_share(texts[column.index - 1]), -column.index

    named = [c for c in columns if c.role is ColumnRole.PART_NUMBER]
    if not named:
        return _with_likely_part_column(columns, rank)
    chosen = next((c for c in named if c.is_mapped), None) or max(named, key=rank)
    return [
        replace(c, role=ColumnRole.TEXT, how="another column names the parts")
        if c in named and c is not chosen
        else c
        for c in columns
    ]


_NOT_KNOWN = (ColumnRole.UNKNOWN, ColumnRole.TEXT, ColumnRole.IGNORED)


def _with_likely_part_column(
    columns: list[Column], rank: Callable[[Column], tuple[float, int]]
) -> list[Column]:
    free = [c for c in columns if c.role in _NOT_KNOWN and not c.is_mapped and rank(c)[0] > 0.6]
    if not free:
        return columns
    chosen = max(free, key=rank)
    how = "its cells look like part numbers"
    return [replace(c, role=ColumnRole.PART_NUMBER, how=how) if c is chosen else c for c in columns]


def _code_share(texts: Sequence[str]) -> float:
    """Share of cells with letters and digits, counted by distinct text."""
    filled = [text for text in texts if text]
    codes = {text for text in filled if re.search(r"\d", text) and re.search(r"[^\W\d_]", text)}
    return len(codes) / len(filled) if filled else 0.0


def _join_test_currents(columns: list[Column]) -> list[Column]:
    """A test-current column belongs to one time column beside it; amps without a name next to a time
    are its test current ("Trip time [s]", "at [A]"). Of two ways to pair them the one that leaves fewer
    times alone."""
    times = [
        c
        for c in columns
        if c.quantity is Quantity.TIME_TO_TRIP and c.test_current_a is None and c.test_multiple is None
    ]
    partners = max((_pair_times(times, columns, sides) for sides in ((1, -1), (-1, 1))), key=len)
    settled = list(columns)
    for time in times:
        partner = partners.get(time.index)
        if partner is None:
            continue
        settled[time.index - 1] = replace(settled[time.index - 1], test_column=partner.index)
        settled[partner.index - 1] = replace(
            partner, role=ColumnRole.TEST_CURRENT, how=f"the current of '{time.heading}'"
        )
    return settled


def _pair_times(
    times: Sequence[Column], columns: Sequence[Column], sides: tuple[int, int]
) -> dict[int, Column]:
    """Index of a time column → its test current, each current for one time only, by preferred side."""
    partners: dict[int, Column] = {}
    currents = [c for c in columns if c.role is ColumnRole.TEST_CURRENT]
    for time in times:
        beside = [columns[n - 1] for n in (time.index + side for side in sides) if 1 <= n <= len(columns)]
        named = [c for c in beside if c in currents] or (currents if len(times) == 1 else [])
        free = [c for c in (*named, *filter(_is_bare_current, beside)) if c not in partners.values()]
        if free:
            partners[time.index] = free[0]
    return partners


def _is_bare_current(column: Column) -> bool:
    """Amps without a name."""
    return (
        column.role is ColumnRole.VALUE
        and column.quantity is None
        and column.ambient_c is None
        and column.unit is not None
        and column.unit.base == "A"
    )


def _settle_unit(column: Column, texts: Sequence[str]) -> Column:
    """A column without a unit, whose cells print none, is taken in the one unit that fits the trade."""
    quantity = Quantity.TRIP_CURRENT if column.role is ColumnRole.TEST_CURRENT else column.quantity
    if column.role not in (ColumnRole.TEST_CURRENT, ColumnRole.VALUE) or quantity is None:
        return column
    if column.unit is not None or column.pair:
        return column
    numbers = _first_numbers(texts)
    carried = Counter(n.unit for n in numbers if n.unit is not None and n.unit.base == UNIT_OF[quantity])
    if carried and carried.most_common(1)[0][1] >= _MOST_CARRY * len(numbers):
        return replace(column, assumed=carried.most_common(1)[0][0])
    bare = [abs(n.value) for n in numbers if n.unit is None]
    chosen = _fitting_unit(quantity, Decimal(median(bare))) if bare else None
    return replace(column, assumed=chosen) if chosen is not None else column


_MOST_CARRY = 0.7
"""Share of a column's cells that name one unit, from which a bare number among them is taken in it."""


def _fitting_unit(quantity: Quantity, middle: Decimal) -> Unit | None:
    """The SI unit where it fits the usual values, else the only unit that does."""
    base = UNIT_OF[quantity]
    low, high = (Decimal(str(bound)) for bound in limits().bounds[quantity].usual)
    units = dict.fromkeys(unit for unit in unit_spellings().values() if unit.base == base)
    if base == "1":
        units = dict.fromkeys((*units, Unit("factor", "1", Decimal(1))))
    fitting = [unit for unit in units if low <= middle * unit.factor <= high]
    plain = next((unit for unit in fitting if unit.factor == 1), None)
    return plain or (fitting[0] if len(fitting) == 1 else None)


def _first_numbers(texts: Sequence[str]) -> list[CellNumber]:
    """The first number of each cell that has one."""
    return [n for text in texts for n in cell_to_numbers(text).numbers[:1]]


_FACTOR = re.compile(r"factor|faktor|facteur|fattore|fator|\bratio|relativ|系数|係数|계수", re.IGNORECASE)


_FACTORS, _PERCENT = Unit("factor", "1", Decimal(1)), Unit("%", "1", Decimal("0.01"))


def _settle_factors(columns: list[Column], texts: Sequence[Sequence[str]]) -> list[Column]:
    """Hold or trip over the ambient without a unit, called a factor or one at the reference, are shares."""
    settled = list(columns)
    for quantity, share in _SHARE.items():
        row = [c for c in columns if c.quantity is quantity and c.ambient_c is not None and c.unit is None]
        chosen, why = _row_to_shares(row, texts)
        unit = _FACTORS if _middle(_filled_cells(chosen, texts)) < 5 else _PERCENT
        for column in chosen:
            how = f"{column.how}; {why}: shares"
            settled[column.index - 1] = replace(column, quantity=share, unit=unit, assumed=None, how=how)
    return settled


def _row_to_shares(row: Sequence[Column], texts: Sequence[Sequence[str]]) -> tuple[Sequence[Column], str]:
    """Which columns of one current over the ambient are shares, and what tells: all of them if one is whole
    at the reference ambient, else those called so."""
    near = [c for c in row if is_room(c.ambient_c)]
    ones = any(_are_whole_shares([n.value for n in _first_numbers(texts[c.index - 1])]) for c in near)
    named = [c for c in row if _FACTOR.search(c.heading)]
    return (
        row if ones and len(row) > 2 else named,
        "one at the reference ambient" if ones else "called a factor",
    )


def _filled_cells(columns: Sequence[Column], texts: Sequence[Sequence[str]]) -> list[str]:
    """The texts of all cells of some columns that are not empty."""
    return [text for c in columns for text in texts[c.index - 1] if text]


def _settle_ambient_only(columns: list[Column], texts: Sequence[Sequence[str]]) -> list[Column]:
    """Columns headed by a temperature alone hold hold currents or shares: percent says shares, else
    the column near 23 °C tells, which repeats the hold current or is one."""
    bare = [
        c for c in columns if c.role is ColumnRole.VALUE and c.quantity is None and c.ambient_c is not None
    ]
    if not bare:
        return columns
    hold = next((c for c in columns if c.quantity is Quantity.HOLD_CURRENT and c.ambient_c is None), None)
    quantity, how = _tell_share(bare, hold, texts)
    settled = []
    for column in columns:
        if column in bare:
            column = replace(column, quantity=quantity, how=f"{column.how}; {how}")
            column = _settle_unit(_as_share(column), texts[column.index - 1])
        settled.append(column)
    return settled


def _tell_share(
    bare: Sequence[Column], hold: Column | None, texts: Sequence[Sequence[str]]
) -> tuple[Quantity, str]:
    cells = _filled_cells(bare, texts)
    if _say_percent(bare, cells):
        return Quantity.HOLD_RATIO, "shares of the hold current"
    near = min(bare, key=lambda c: abs((c.ambient_c or 0) - 23))
    if _are_whole_shares([n.value for n in _first_numbers(texts[near.index - 1])]):
        return Quantity.HOLD_RATIO, "1 or 100 at the reference ambient: shares of the hold current"
    holds = [n.value for n in _first_numbers(texts[hold.index - 1])] if hold else []
    if _middle(cells) > 20 and (not holds or median(holds) < 20):
        return Quantity.HOLD_RATIO, "numbers near 100: percent of the hold current"
    return Quantity.HOLD_CURRENT, "read as hold currents"


def _say_percent(columns: Sequence[Column], cells: Sequence[str]) -> bool:
    named = any(c.unit is not None and c.unit.base == "1" for c in columns)
    return named or sum("%" in text for text in cells) > 0.5 * len(cells)


def _are_whole_shares(values: Sequence[Decimal]) -> bool:
    return len(values) > 1 and sum(value in (1, 100) for value in values) > 0.7 * len(values)


def _middle(texts: Sequence[str]) -> Decimal:
    return Decimal(median([n.value for n in _first_numbers(texts)] or [Decimal(0)]))


def _drop_lone_kinds(columns: Sequence[Column]) -> list[Column]:
    """AC and DC tell two columns of one quantity apart; DC alone is what a rating without a word means, AC
    alone is kept: it says nothing about DC."""
    kinds: dict[Quantity | None, set[Kind]] = {}
    for column in columns:
        kinds.setdefault(column.quantity, set()).add(column.kind)
    return [
        replace(c, kind=Kind.NONE)
        if c.kind is Kind.DC and Kind.AC not in kinds[c.quantity] and not c.is_mapped
        else c
        for c in columns
    ]
