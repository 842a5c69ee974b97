"""Tables of sizes as the model of tables shows them: each cell under its heading, beside its parts.

Comes in: the grids of a page, the sheet's parts and their package codes. Goes out: `Size`s: of one part, of a
range of parts ("AB-010 to AB-040"), of all parts of a case size. A table whose columns are not told apart by
their headings gives nothing. Reads no rating.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from extract.cells.tables import Cell, Grid, Row
from extract.joined.part_names import label_to_parts
from extract.particulars.size_columns import SizeColumn, heading_to_column
from extract.particulars.size_heads import Leaf
from extract.particulars.size_rows import LARGEST_MM, MM_PER_INCH, Size, same_length
from extract.particulars.wording import is_dimension_title, is_other_title, text_to_length_units
from extract.schema import Kind, Status

_LENGTH = r"\d{0,3}[.,]\d{1,4}|\d{1,3}"
_SINGLE = re.compile(
    rf"(?P<low>{_LENGTH})(?:\s?(?:±|\+/-)\s?(?P<tolerance>{_LENGTH}))?[*]?"
    rf"(?:\s?[(\[]\s?(?P<other>{_LENGTH})\s?[)\]])?"
)
_PAIR = re.compile(rf"(?P<low>{_LENGTH})\s?(?:-|–|—|~|～|/|…|to)\s?(?P<high>{_LENGTH})")
NEAR_CAPTIONS = 3
SAME_MM = {True: 0.005, False: 0.13}
"""Sizes are one if they differ by less: in one unit, or mm beside hundredths of an inch."""


@dataclass(frozen=True, slots=True)
class _Owned:
    """A column of sizes with its place in the grid."""

    index: int
    column: SizeColumn


def grids_to_sizes(
    grids: Sequence[Grid], parts: Sequence[str], cases: Mapping[str, str], unit: str
) -> list[Size]:
    """The sizes of every grid under a title of sizes. cases: part number to its package code; unit: what the
    page says all lengths are in, or empty."""
    return [size for grid in grids for size in _grid_to_sizes(grid, parts, cases, unit)]


def sizes_seen_twice(first: Sequence[Size], second: Sequence[Size]) -> list[Size]:
    """What two ways of reading the tables of a page found: agreed where both found one size, the same; what
    only one found as it stands; both where they differ (whoever gathers them disputes what differs). A size
    without a limit is the same as one with it, of the same letter."""
    by_key = {_size_key(size): size for size in second}
    unlimited = {_size_key(size)[:3]: _size_key(size) for size in second}
    sizes = []
    for size in first:
        key = _size_key(size)
        if key not in by_key and size.leaf.kind is Kind.NONE:
            key = unlimited.get(key[:3], key)
        other = by_key.get(key)
        if other is None or abs(other.value_mm - size.value_mm) > SAME_MM[size.unit == other.unit]:
            sizes.append(size)
        else:
            one = size if size.leaf.kind is other.leaf.kind else other
            by_key[key] = replace(one, status=Status.AGREED) if one.status is Status.SINGLE else one
    return [*sizes, *by_key.values()]


def _size_key(size: Size) -> tuple[str, str, str, str]:
    return size.part_number, size.leaf.name.value, size.leaf.letter, size.leaf.kind.value


def _grid_to_sizes(grid: Grid, parts: Sequence[str], cases: Mapping[str, str], unit: str) -> Iterator[Size]:
    title = _grid_to_title(grid)
    columns = _grid_to_columns(grid)
    if title is None or len(columns) < 2:
        return
    printed = next(iter(text_to_length_units(title)), unit)
    labels = [index for index in range(len(grid.columns)) if index not in {c.index for c in columns}]
    for row in grid.rows:
        owners = _row_to_owners([row.cells[index] for index in labels], parts, cases)
        for size in _row_to_sizes(row, columns, printed):
            yield from (replace(size, part_number=owner) for owner in owners)


def _row_to_sizes(row: Row, columns: Sequence[_Owned], unit: str) -> Iterator[Size]:
    """The sizes of one row, in the unit of their column or, without one, that of the table."""
    for owned in columns:
        cell, printed = row.cells[owned.index], owned.column.unit or unit
        if cell is not None and printed:
            yield from _cell_to_sizes(cell, owned.column, printed)


def _grid_to_title(grid: Grid) -> str | None:
    """The text that announces sizes of parts: over its columns, or the nearest title above it that speaks of
    sizes or of tape, reel or pads."""
    heads = [head.text for head in grid.heads if is_dimension_title(head.text)]
    if heads:
        return heads[0]
    titled = (
        text for text in grid.captions[:NEAR_CAPTIONS] if is_dimension_title(text) or is_other_title(text)
    )
    nearest = next(titled, None)
    return nearest if nearest is not None and is_dimension_title(nearest) else None


def _grid_to_columns(grid: Grid) -> list[_Owned]:
    """The columns of sizes; none if two of them have one name."""
    found = [(index, heading_to_column(grid.heading(index))) for index in range(len(grid.columns))]
    columns = [_Owned(index, column) for index, column in found if column is not None]
    return columns if len({owned.column for owned in columns}) == len(columns) else []


def _row_to_owners(
    labels: Sequence[Cell | None], parts: Sequence[str], cases: Mapping[str, str]
) -> tuple[str, ...]:
    """The parts that the label cells of a row name; those of a case size where a cell is one."""
    for cell in labels:
        if cell is None:
            continue
        of_case = tuple(part for part in parts if cases.get(part) == cell.text.strip())
        if of_case:
            return of_case
        pieces = [label_to_parts(piece, parts) for piece in re.split(r"\s*[;；]\s*", cell.text) if piece]
        if pieces and all(joined.sure for joined in pieces):
            return tuple(dict.fromkeys(name for joined in pieces for name in joined.names))
    return ()


def _cell_to_sizes(cell: Cell, column: SizeColumn, unit: str) -> Iterator[Size]:
    """The sizes that one cell prints; none where it is no length, or says other limits than its heading."""
    text = " ".join(cell.text.split())
    single, pair = _SINGLE.fullmatch(text), _PAIR.fullmatch(text)
    if single is not None and len(column.kinds) <= 1:
        yield from _single_to_sizes(single, cell, column, unit)
    elif pair is not None and column.kinds in ((), (Kind.MIN, Kind.MAX)):
        low, high = _to_number(pair["low"]), _to_number(pair["high"])
        if low < high:
            yield from _sized(cell, column, unit, ((Kind.MIN, low), (Kind.MAX, high)))


def _single_to_sizes(match: re.Match[str], cell: Cell, column: SizeColumn, unit: str) -> Iterator[Size]:
    value, kind = _to_number(match["low"]), column.kinds[0] if column.kinds else Kind.NONE
    limits: tuple[tuple[Kind, float], ...] = ((kind, value),)
    if match["tolerance"] is not None:
        if kind is not Kind.NONE:
            return
        step = _to_number(match["tolerance"])
        limits = ((Kind.TYP, value), (Kind.MIN, value - step), (Kind.MAX, value + step))
    sizes = _sized(cell, column, unit, limits)
    if match["other"] is not None:
        mm, inches = (match["low"], match["other"]) if unit == "mm" else (match["other"], match["low"])
        same = same_length(_to_number(mm), _to_number(inches), mm, inches)
        note = () if same else (f"{mm} mm and {inches} in are not the same length",)
        status = Status.AGREED if same else Status.DISPUTED
        sizes = [replace(size, status=status, notes=note) for size in sizes]
    yield from sizes


def _sized(cell: Cell, column: SizeColumn, unit: str, limits: Sequence[tuple[Kind, float]]) -> list[Size]:
    factor = 1.0 if unit == "mm" else MM_PER_INCH
    x0, top, x1, bottom = cell.box
    sizes = [
        Size(
            "",
            Leaf(column.name, column.letter, kind, unit, (x0 + x1) / 2),
            round(value * factor, 4),
            unit,
            cell.text,
            (x0, top, x1, bottom),
            Status.SINGLE,
        )
        for kind, value in limits
    ]
    return [size for size in sizes if 0.0 < size.value_mm <= LARGEST_MM]


def _to_number(text: str) -> float:
    return float(text.replace(",", "."))
