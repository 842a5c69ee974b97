"""The rows of a frame as text: what stands in each column, for parts below or beside each other.

Comes in: lines of ink, rules, a frame in their coordinates. Goes out: one row for each part, with a doubt
where its part number may go on in another line. Reads no number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from extract.cells.ink import CHUNK_EM, Atom, Line
from extract.cells.tables import Cell, join_texts, lines_to_text
from extract.framed.frames import Frame, Role
from extract.page import Rule

RULED_PART = 0.6
"""A rule between two rows runs over so much of the frame's width."""
SAME_RULE_PT = 1.0
TIGHT = 0.85
"""The lines of one cell stand closer than the rows."""
_GLUE = ("-", "‐", "‑", "/")


@dataclass(frozen=True, slots=True)
class FramedRow:
    """The cells of one part, column by column (of a turned frame: row by row)."""

    cells: tuple[Cell | None, ...]
    doubt: str = ""


def lines_to_rows(lines: Sequence[Line], frame: Frame, horizontals: Sequence[Rule] = ()) -> list[FramedRow]:
    """One row for each part below the heading, or for each part beside the labels of a turned frame."""
    if frame.turned:
        return _parts_beside(lines, frame)
    below = [line for line in lines if line.mid_y > frame.heading_bottom]
    rows: list[FramedRow] = []
    for group in _between_rules(below, frame, horizontals):
        cells = [tuple(_cell([line], column.x0, column.x1) for column in frame.columns) for line in group]
        if len(group) > 1 and _is_one_row(cells, frame):
            whole = tuple(_cell(group, column.x0, column.x1) for column in frame.columns)
            rows.append(FramedRow(whole, _name_doubt(_names(cells, frame))))
        else:
            rows += _with_wrapped_names(group, cells, frame)
    return rows


def _cell(lines: Iterable[Line], x0: float, x1: float) -> Cell | None:
    parts = [tuple(atom for atom in line.atoms if x0 <= atom.mid_x < x1) for line in lines]
    atoms = tuple(atom for part in parts for atom in part)
    return Cell(lines_to_text(parts), atoms) if atoms else None


def _between_rules(lines: Sequence[Line], frame: Frame, rules: Sequence[Rule]) -> list[list[Line]]:
    """Lines that no rule over most of the frame's width parts."""
    width = frame.box[2] - frame.box[0]
    parting = [rule.at for rule in rules if _covered(rule.at, rules) > RULED_PART * width]
    groups: list[list[Line]] = []
    for line in lines:
        if groups and not any(groups[-1][-1].mid_y < at < line.mid_y for at in parting):
            groups[-1].append(line)
        else:
            groups.append([line])
    return groups


def _covered(at: float, rules: Sequence[Rule]) -> float:
    """How much of a height is ruled, by all rules there."""
    covered, end = 0.0, float("-inf")
    for rule in sorted((one for one in rules if abs(one.at - at) < SAME_RULE_PT), key=lambda one: one.start):
        covered += max(0.0, rule.end - max(rule.start, end))
        end = max(end, rule.end)
    return covered


def _has_number(cell: Cell | None) -> bool:
    return cell is not None and any(atom.number for atom in cell.atoms)


def _is_one_row(cells: Sequence[tuple[Cell | None, ...]], frame: Frame) -> bool:
    """Whether no column of values has numbers in two of the lines, and some has one."""
    counts = [sum(_has_number(row[n]) for row in cells)
              for n, column in enumerate(frame.columns) if column.role is Role.VALUE]
    return max(counts, default=0) == 1


def _names(cells: Sequence[tuple[Cell | None, ...]], frame: Frame) -> list[str]:
    """What stands in the column of part numbers, line by line."""
    at = [n for n, column in enumerate(frame.columns) if column.role is Role.PART]
    return [cell.text for row in cells for n in at if (cell := row[n]) is not None]


def _name_doubt(names: Sequence[str]) -> str:
    """Why a part number may be another; empty for one line, and where each line says that it goes on."""
    if names and names[-1].endswith(_GLUE):
        return f"its part number “{names[-1]}” may go on in another line"
    if all(text.endswith(_GLUE) for text in names[:-1]):
        return ""
    return f"its part number is printed in {len(names)} lines: “{'” “'.join(names)}”"


def _with_wrapped_names(
    lines: Sequence[Line], cells: Sequence[tuple[Cell | None, ...]], frame: Frame
) -> list[FramedRow]:
    """Each line a row; a line with nothing but a text under a part number, closer than rows stand, may be
    the rest of it: it is where the number ends in a hyphen, else a doubt."""
    full = [any(_has_number(cell) for cell, column in zip(row, frame.columns, strict=True)
                if column.role is Role.VALUE) for row in cells]
    at = [line.mid_y for line, has in zip(lines, full, strict=True) if has]
    pitch = median(b - a for a, b in pairwise(at)) if len(at) > 1 else float("inf")
    name = next((n for n, column in enumerate(frame.columns) if column.role is Role.PART), None)
    rows: list[FramedRow] = []
    last: int | None = None
    for n, (line, row) in enumerate(zip(lines, cells, strict=True)):
        rest = row[name] if name is not None else None
        close = n > 0 and line.mid_y - lines[n - 1].mid_y < TIGHT * pitch
        if last is None or full[n] or rest is None or not close:
            rows.append(FramedRow(row, _name_doubt(_names([row], frame))))
            last = len(rows) - 1 if full[n] else None if not close else last
            continue
        rows[last] = _with_rest(rows[last], rest, name or 0)
    return rows


def _with_rest(row: FramedRow, rest: Cell, at: int) -> FramedRow:
    first = row.cells[at]
    if first is None:
        return row
    joined = Cell(join_texts([first.text, rest.text]), (*first.atoms, *rest.atoms))
    doubt = _name_doubt([first.text, rest.text])
    return FramedRow((*row.cells[:at], joined, *row.cells[at + 1:]), doubt)


def _parts_beside(lines: Sequence[Line], frame: Frame) -> list[FramedRow]:
    """One row for each part of a turned frame; a number that does not stand under its part is a doubt."""
    bands = [[line for line in lines if band.x0 <= line.mid_y < band.x1] for band in frame.columns]
    named = next((lines_ for lines_, band in zip(bands, frame.columns, strict=True)
                  if band.role is Role.PART), None)
    if named is None:
        return [FramedRow(tuple(_cell(band, frame.heading_bottom, frame.box[2]) for band in bands))]
    right_of = [atom for line in named for atom in line.atoms if atom.mid_x > frame.heading_bottom]
    spans = _atoms_to_spans(right_of)
    edges = [frame.heading_bottom, *((one[1] + other[0]) / 2 for one, other in pairwise(spans)), frame.box[2]]
    rows = []
    for (x0, x1), (left, right) in zip(spans, pairwise(edges), strict=True):
        cells = tuple(_cell(band, left, right) for band in bands)
        aside = next((cell for cell in cells if cell and (cell.box[2] < x0 or cell.box[0] > x1)), None)
        names = [cell.text for line in named if (cell := _cell([line], left, right))]
        beside = f"“{aside.text}” does not stand under its part number" if aside else ""
        rows.append(FramedRow(cells, beside or _name_doubt(names)))
    return rows


def _atoms_to_spans(atoms: Sequence[Atom]) -> list[tuple[float, float]]:
    """Where the part numbers stand from left to right: words of one text are one, so are lines of it."""
    spans: list[tuple[float, float]] = []
    for atom in sorted(atoms, key=lambda one: one.x0):
        if spans and atom.x0 - spans[-1][1] < CHUNK_EM * atom.size:
            spans[-1] = spans[-1][0], max(spans[-1][1], atom.x1)
        else:
            spans.append((atom.x0, atom.x1))
    return spans
