"""The rows of a frame as text: what stands in each column, for parts below or beside each other.

Comes in: lines of ink, rules, a frame in their coordinates. Goes out: one row for each part, with a doubt
where it may hold less or more than its part's. Reads no number.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.cells.ink import CHUNK_EM, Atom, Line
from extract.cells.tables import Cell, lines_to_text
from extract.framed.frames import Frame, FrameColumn, Role
from extract.framed.wrapped import FramedLine, lines_to_stretches, names_to_doubt
from extract.page import Rule

RULED_PART = 0.6
"""A rule between two rows runs over so much of the frame's width."""
SAME_RULE_PT = 1.0


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
    return [
        FramedRow(tuple(_cell(lines_of_row, column.x0, column.x1) for column in frame.columns), doubt)
        for group in _between_rules(below, frame, horizontals)
        for lines_of_row, doubt in lines_to_stretches([_framed_line(line, frame) for line in group])
    ]


def _framed_line(line: Line, frame: Frame) -> FramedLine:
    """A line with what its columns of part numbers and of values hold."""
    names = [cell.text for cell in _cells(line, frame.columns, {Role.PART}) if cell]
    values = _cells(line, frame.columns, {Role.VALUE, Role.TEST_CURRENT})
    return FramedLine(line, " ".join(names), tuple(cell.atoms if cell else () for cell in values))


def _cells(line: Line, columns: Iterable[FrameColumn], roles: set[Role]) -> list[Cell | None]:
    return [_cell([line], column.x0, column.x1) for column in columns if column.role in roles]


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


def _parts_beside(lines: Sequence[Line], frame: Frame) -> list[FramedRow]:
    """One row for each part of a turned frame; a number that does not stand under its part is a doubt."""
    bands = [[line for line in lines if band.x0 <= line.mid_y < band.x1] for band in frame.columns]
    roles = [column.role for column in frame.columns]
    if Role.PART not in roles:
        return [FramedRow(tuple(_cell(band, frame.heading_bottom, frame.box[2]) for band in bands))]
    return _bands_to_rows(bands, bands[roles.index(Role.PART)], frame)


def _bands_to_rows(bands: Sequence[Sequence[Line]], named: Sequence[Line], frame: Frame) -> list[FramedRow]:
    """One row for each part number from left to right in the band that names them."""
    labels, right = frame.heading_bottom, frame.box[2]
    spans = _atoms_to_spans(atom for line in named for atom in line.atoms if atom.mid_x > labels)
    edges = [labels, *((one[1] + other[0]) / 2 for one, other in pairwise(spans)), right]
    rows: list[FramedRow] = []
    for span, (x0, x1) in zip(spans, pairwise(edges), strict=True):
        cells = tuple(_cell(band, x0, x1) for band in bands)
        names = [cell.text for line in named if (cell := _cell([line], x0, x1))]
        rows.append(FramedRow(cells, _aside_to_doubt(cells, span) or names_to_doubt(names)))
    return rows


def _aside_to_doubt(cells: Iterable[Cell | None], span: tuple[float, float]) -> str:
    """Why a column of a turned frame may be of another part: a cell left or right of the part number."""
    aside = next((cell for cell in cells if cell and (cell.box[2] < span[0] or cell.box[0] > span[1])), None)
    return f"“{aside.text}” does not stand under its part number" if aside else ""


def _atoms_to_spans(atoms: Iterable[Atom]) -> list[tuple[float, float]]:
    """Where the part numbers stand from left to right: words of one text are one, so are lines of it."""
    spans: list[tuple[float, float]] = []
    for atom in sorted(atoms, key=lambda one: one.x0):
        if spans and atom.x0 - spans[-1][1] < CHUNK_EM * atom.size:
            spans[-1] = spans[-1][0], max(spans[-1][1], atom.x1)
        else:
            spans.append((atom.x0, atom.x1))
    return spans
