"""Rows told once: what a line between data lines is, and which rows a cell reaches over.

Comes in: a Region, its Columns, the page's rules. Goes out: Rows whose cells are filled: own text, the rest
of a wrapped text, a text merged over rows, a sign "as above". Does not look at headings.

    a float near one row, no rule between      the wrapped rest of that row's cell
    a float between rows without ink there     a merged cell: rules bound it, else it is centred on its rows
    any other float                            a group line: it stands over the rows below it
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter

from extract.cells.ink import Atom, Ink, Line
from extract.cells.regions import Region
from extract.cells.spread import columns_to_middles, row_to_spread
from extract.cells.tables import Cell, Column, Row, Source, lines_to_text
from extract.page import Rule
from extract.vocabulary import vocabulary

WRAPPED = 0.45
"""The rest of a wrapped cell stands nearer to its row than this share of the pitch; a cell merged over two
rows stands at 0.5."""
NEAR_ROW = 0.8
THROUGH_PT = 2.0
CENTRED = 0.36
ON_ROW = 0.2
MOST_LEADING = 2.6
"""Lines of one text in a cell stand closer, middle to middle, in heights of its letters."""
_TAIL = re.compile(r"[-–/]\w+$")
AS_LEFT = frozenset(vocabulary()["wording"]["as_left"])


@dataclass(frozen=True, slots=True)
class _Piece:
    """Ink of one column: its height, its lines of atoms."""

    mid_y: float
    lines: tuple[tuple[Atom, ...], ...]


def region_to_rows(region: Region, columns: Sequence[Column], ink: Ink) -> tuple[Row, ...]:
    """The rows of a region."""
    horizontals, first, last = ink.horizontals, region.data[0], region.data[-1]
    verticals = [rule for rule in ink.verticals if rule.start < last.bottom and rule.end > first.top]
    pitch = region.pitch or 2.0 * region.data[0].size
    groups = [line for line in region.floats if _is_group(line, region, pitch, columns, horizontals)]
    pieces = [line for line in region.floats if line not in groups]
    filled = [_column_to_cells(column, region.data, pieces, pitch, ink, columns) for column in columns]
    middles = columns_to_middles(filled)
    rows = []
    for number, line in enumerate(region.data):
        above = [g for g in groups if g.mid_y < line.mid_y]
        cells = row_to_spread(tuple(cells[number] for cells in filled), line, columns, (verticals, middles))
        cells = row_to_filled(cells)
        rows.append(Row(cells, _groups_over(above, region.data, number), line.top, line.bottom, line.mid_y))
    return tuple(rows)


def _groups_over(above: Sequence[Line], data: Sequence[Line], number: int) -> tuple[str, ...]:
    """The texts of the nearest run of group lines above a row: lines without data lines between them."""
    texts: list[str] = []
    near = 0
    for line in reversed(above):
        between = sum(row.mid_y > line.mid_y for row in data[:number])
        if texts and between != near:
            break
        near = between
        texts.insert(0, line.text)
    return tuple(texts)


def _is_group(
    line: Line, region: Region, pitch: float, columns: Sequence[Column], horizontals: Sequence[Rule]
) -> bool:
    """Whether a float stands over the rows below it: it is no value, and belongs to no row's cell."""
    if all(atom.value or atom.unit for atom in line.atoms) or line.mid_y > region.data[-1].mid_y:
        return False
    if _boxed_with(line.mid_y, line.atoms[0].mid_x, region.data, horizontals) is not None:
        return False
    nearest = min(region.data, key=lambda row: abs(row.mid_y - line.mid_y))
    ruled = _is_ruled(horizontals, line.mid_y, nearest.mid_y, line.atoms[0].mid_x)
    near = abs(nearest.mid_y - line.mid_y) < NEAR_ROW * pitch and not ruled
    if len(region.data) == 1 and not ruled:
        return False
    if not near:
        return True
    homes = {_column_of(atom, columns) for atom in line.atoms}
    free = [row for row in region.data if abs(row.mid_y - line.mid_y) < 1.2 * pitch]
    return len(homes) > 2 and len(line.chunks) == 1 and len(free) < 2


def _boxed_with(mid_y: float, x: float, data: Sequence[Line], horizontals: Sequence[Rule]) -> int | None:
    """The only row that rules leave in one box with a text between rows: no rule parts it from that row, one
    parts it from the row on its other side."""
    above = max((n for n, row in enumerate(data) if row.mid_y < mid_y), default=None)
    below = min((n for n, row in enumerate(data) if row.mid_y > mid_y), default=None)
    if above is None or below is None:
        return None
    from_above = _is_ruled(horizontals, mid_y, data[above].mid_y, x)
    from_below = _is_ruled(horizontals, mid_y, data[below].mid_y, x)
    if from_above == from_below:
        return None
    return below if from_above else above


def _column_of(atom: Atom, columns: Sequence[Column]) -> int:
    inside = [n for n, column in enumerate(columns) if column.left <= atom.mid_x < column.right]
    return inside[0] if inside else -1


def _is_ruled(horizontals: Sequence[Rule], text_y: float, row_y: float, x: float) -> bool:
    """Whether a rule parts a text from a row; the edge of a stripe that runs through the text parts
    nothing."""
    low, high = sorted((text_y, row_y))
    return any(
        low < rule.at < high and abs(rule.at - text_y) > THROUGH_PT and rule.start - 1 <= x <= rule.end + 1
        for rule in horizontals
    )


def _column_to_cells(
    column: Column,
    data: Sequence[Line],
    floats: Sequence[Line],
    pitch: float,
    ink: Ink,
    columns: Sequence[Column],
) -> list[Cell | None]:
    """The cells of one column, row by row."""
    own = [_line_to_atoms(line, column) for line in data]
    lines: list[list[tuple[Atom, ...]]] = [[atoms] if atoms else [] for atoms in own]
    merged: list[_Piece] = []
    for line in floats:
        atoms = _line_to_atoms(line, column)
        if atoms:
            mid_y = sum(atom.mid_y for atom in atoms) / len(atoms)
            home = _wrapped_row(mid_y, column, data, own, pitch, ink.horizontals)
            if home is None:
                merged.append(_Piece(mid_y, (atoms,)))
            else:
                lines[home].append(atoms)
    cells: list[Cell | None] = [_lines_to_cell(found) if found else None for found in lines]
    _fill_ditto(cells)
    if any(cell is None for cell in cells):
        drawn = _not_under(merged, ink.content.horizontals, column)
        shaded = _not_under(merged, ink.horizontals, column)
        ruled = [
            _boundary(above.mid_y, below.mid_y, column, columns, drawn, shaded)
            for above, below in pairwise(data)
        ]
        _fill_merged(cells, merged, [line.mid_y for line in data], pitch, ruled)
    return cells


def _line_to_atoms(line: Line, column: Column) -> tuple[Atom, ...]:
    return tuple(atom for atom in line.atoms if column.left <= atom.mid_x < column.right)


def _lines_to_cell(lines: Sequence[tuple[Atom, ...]]) -> Cell:
    ordered = sorted(lines, key=lambda atoms: atoms[0].mid_y)
    return Cell(lines_to_text(ordered), tuple(atom for atoms in ordered for atom in atoms))


def _wrapped_row(
    mid_y: float,
    column: Column,
    data: Sequence[Line],
    own: Sequence[tuple[Atom, ...]],
    pitch: float,
    horizontals: Sequence[Rule],
) -> int | None:
    """The row whose cell goes on in a piece between rows; None for a piece of its own."""
    boxed = _boxed_with(mid_y, column.mid_x, data, horizontals)
    if boxed is not None:
        return boxed
    order = sorted(range(len(data)), key=lambda n: abs(data[n].mid_y - mid_y))
    nearest = order[0]
    distance = abs(data[nearest].mid_y - mid_y)
    if _is_ruled(horizontals, mid_y, data[nearest].mid_y, column.mid_x):
        return None
    if (
        len(data) == 1
        or mid_y > data[-1].mid_y
        or distance < WRAPPED * pitch
        or (own[nearest] and distance < NEAR_ROW * pitch)
    ):
        return nearest
    return None


def _fill_ditto(cells: list[Cell | None]) -> None:
    """Signs that say "as above" become the text above them, or its beginning where an end of its own stands
    beside the sign: "TQ-010" over " " -017"."""
    for number, cell in enumerate(cells):
        above = cells[number - 1] if number else None
        if cell is None or above is None or not cell.atoms or not cell.atoms[0].ditto:
            continue
        ends = [atom.text for atom in cell.atoms[1:]]
        begins = _TAIL.sub("", above.text)
        if not ends:
            cells[number] = Cell(above.text, above.atoms, Source.DITTO, signs=cell.atoms)
        elif len(ends) == 1 and _TAIL.fullmatch(ends[0]) and begins != above.text:
            cells[number] = Cell(begins + ends[0], cell.atoms, Source.DITTO, signs=cell.atoms[:1])


def row_to_filled(cells: tuple[Cell | None, ...]) -> tuple[Cell | None, ...]:
    """A row, words that say "as to the left" become the text to their left."""
    filled: list[Cell | None] = []
    for cell in cells:
        before = filled[-1] if filled else None
        if cell is not None and before is not None and cell.text.strip() in AS_LEFT:
            cell = Cell(before.text, before.atoms, Source.DITTO, signs=cell.atoms)
        filled.append(cell)
    return tuple(filled)


def _not_under(pieces: Sequence[_Piece], horizontals: Sequence[Rule], column: Column) -> list[Rule]:
    """The rules without those that run through a text of the column: edges of stripes below a merged cell."""
    boxes = [(min(a.top for a in atoms), max(a.bottom for a in atoms)) for p in pieces for atoms in p.lines]
    return [
        rule
        for rule in horizontals
        if not any(
            top + 1.5 < rule.at < bottom - 1.5 and rule.start < column.mid_x < rule.end
            for top, bottom in boxes
        )
    ]


def _boundary(
    y0: float,
    y1: float,
    column: Column,
    columns: Sequence[Column],
    drawn: Sequence[Rule],
    shaded: Sequence[Rule],
) -> bool | None:
    """Whether a rule parts two rows in a column; None where none parts them anywhere. Where rules are drawn,
    the edges of stripes say nothing: a stripe runs on below a merged cell."""
    for rules in (drawn, shaded):
        crossing = [rule for rule in rules if y0 < rule.at < y1]
        others = sum(any(r.start - 1 <= c.mid_x <= r.end + 1 for r in crossing) for c in columns)
        if others >= 0.4 * len(columns):
            return any(rule.start - 1 <= column.mid_x <= rule.end + 1 for rule in crossing)
    return None


def _fill_merged(
    cells: list[Cell | None],
    pieces: Sequence[_Piece],
    mids: Sequence[float],
    pitch: float,
    ruled: Sequence[bool | None],
) -> None:
    """Give rows without ink the cell that reaches over them: bounded by rules, else centred on its rows."""
    anchors = [(mid_y, cell) for mid_y, cell in zip(mids, cells, strict=True) if cell is not None]
    anchors += [(piece.mid_y, _lines_to_cell(piece.lines)) for piece in pieces]
    anchors.sort(key=itemgetter(0))
    if not anchors:
        return
    spans, source = _heights_to_spans([y for y, _ in anchors], mids, pitch, ruled)
    for first, last in spans:
        inside = [cell for y, cell in anchors if mids[first] - 0.5 * pitch < y < mids[last] + 0.5 * pitch]
        reach, merged = slice(first, last + 1), _merged(inside, source)
        if source is Source.MERGED and len(inside) <= last - first and _is_one_text(inside):
            cells[reach] = [merged] * (last + 1 - first)
        elif len(inside) == 1:
            cells[reach] = [cell or merged for cell in cells[reach]]


def _merged(cells: Sequence[Cell], source: Source) -> Cell:
    """The cell over several rows that these are the lines of."""
    atoms = tuple(atom for cell in cells for atom in cell.atoms)
    return Cell(" ".join(cell.text for cell in cells), atoms, source)


def _is_one_text(cells: Sequence[Cell]) -> bool:
    """Whether the lines in a cell over several rows are one text: the first a name, close to each other.

    |        | -020 |
    |  TQ72  | -030 |
    | 72 V   | -040 |
    """
    lines = [cell.atoms for cell in cells]
    if len(lines) < 2 or not all(lines) or any(atom.value for atom in lines[0]):
        return False
    steps = [(b[0].mid_y - a[0].mid_y, max(a[0].size, b[0].size)) for a, b in pairwise(lines)]
    return all(step < MOST_LEADING * size for step, size in steps)


def _heights_to_spans(
    heights: Sequence[float], mids: Sequence[float], pitch: float, ruled: Sequence[bool | None]
) -> tuple[list[tuple[int, int]], Source]:
    """Over which rows each text reaches: as rules say, else as if centred; a guess where the texts could as
    well stand at the ends of their rows."""
    if any(is_ruled is not None for is_ruled in ruled):
        return _ruled_spans(ruled), Source.MERGED
    spans = _centred_spans(heights, mids, pitch)
    is_guess = spans != _spans_from_ends(heights, mids, pitch, spans)
    return spans or [], Source.GUESSED if is_guess else Source.MERGED


def _ruled_spans(ruled: Sequence[bool | None]) -> list[tuple[int, int]]:
    """Rows that no rule parts in this column though one parts them in others."""
    spans = [(0, 0)]
    for number, is_ruled in enumerate(ruled, start=1):
        if is_ruled is False:
            spans[-1] = (spans[-1][0], number)
        else:
            spans.append((number, number))
    return spans


def _spans_from_ends(
    heights: Sequence[float],
    mids: Sequence[float],
    pitch: float,
    spans: list[tuple[int, int]] | None,
) -> list[tuple[int, int]] | None:
    """The rows of each text if texts stand in the first of their rows, or in the last; `spans` where they
    cannot all stand so.

    row 1 | 60    centred: row 1 alone, and rows 2 to 6; from their first: rows 1 to 3, and 4 to 6
    row 4 | 30
    """
    on = [next((n for n, mid in enumerate(mids) if abs(mid - y) < ON_ROW * pitch), None) for y in heights]
    rows = [n for n in on if n is not None]
    if len(rows) < max(2, len(on)):
        return spans
    if rows[0] == 0:
        return [(a, b - 1) for a, b in pairwise([*rows, len(mids)])]
    if rows[-1] == len(mids) - 1:
        return [(a + 1, b) for a, b in pairwise([-1, *rows])]
    return spans


def _centred_spans(
    heights: Sequence[float], mids: Sequence[float], pitch: float
) -> list[tuple[int, int]] | None:
    """Rows shared out among texts so that each stands in the middle of its rows; None if that does not work
    out.

    row 1 |       row 1..3: "60" stands in the middle, at row 2
    row 2 |  60
    row 3 |
    """
    spans: list[tuple[int, int]] = []
    start = 0
    for height in heights:
        last = next(
            (
                n
                for n in range(start, len(mids))
                if abs((mids[start] + mids[n]) / 2 - height) < CENTRED * pitch
            ),
            None,
        )
        if last is None:
            return None
        spans.append((start, last))
        start = last + 1
    return spans if start == len(mids) else None
