"""Compares the two readings of each cell: agreed, single or disputed, and why.

Comes in: tables of the first reading, cells of the second, pdfium's text in the cell's box. Goes
out: a Verdict for each value cell. Chooses no text: a dispute shows both.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from extract.columns import Table
from extract.grid import Cell
from extract.schema import Status
from extract.second_reading import WitnessCell
from extract.vocabulary import fold

BAND_PT = 20.0  # witness cells are looked up by bands of the page so high
SHIFTS_PT = (8, -8, 6, -6, 4, -4, 10, -10, 12, -12)
LEVEL_SHARE = 0.8  # from so many cells found on, the second reading is where it should be
LEAST_SHARE = 0.7  # so many must be found, and so much more than without, for a shift to be believed
GAIN = 1.4


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a second reading bears a cell out; `reason` if it does not."""

    status: Status
    reason: str = ""


@dataclass(frozen=True, slots=True)
class _Matched:
    """A cell of ours with the witness cell over it."""

    table: Table
    cell: Cell
    witness: WitnessCell | None


def tables_to_verdicts(
    tables: Sequence[Table], witness: Sequence[WitnessCell], third_texts: Mapping[int, str]
) -> dict[int, Verdict]:
    """id(cell) -> Verdict for every cell of the data rows; `third_texts`: id(cell) -> pdfium's text, of
    data and heading cells."""
    verdicts: dict[int, Verdict] = {}
    for table in tables:
        own = [w for w in witness if w.page == table.grid.page]
        if table.grid.turned:  # rows and columns changed places on our side only
            own = [replace(w, row=w.column, column=w.row) for w in own]
        matched = _match_cells(table, own)
        usual = _usual_columns(matched)
        rows = _rows_of(own)
        misread = _misread_headings(table, third_texts)
        for match in matched:
            verdict = _judge(match, usual, rows, third_texts.get(id(match.cell), ""))
            if match.cell.column in misread and match.cell.column != table.part_column:
                verdict = Verdict(Status.DISPUTED, misread[match.cell.column])
            verdicts[id(match.cell)] = verdict
        verdicts.update(_rows_of_disputed_labels(matched, verdicts))
    return verdicts


def _rows_of_disputed_labels(
    matched: Sequence[_Matched], verdicts: Mapping[int, Verdict]
) -> dict[int, Verdict]:
    """Cells of rows whose part number two readers see differently: of which part are they?"""
    found: dict[int, Verdict] = {}
    for match in matched:
        grid, column = match.table.grid, match.table.part_column
        label = grid.cell_at(match.cell.row, column) if column is not None else None
        verdict = verdicts.get(id(label))
        if verdict is not None and verdict.status is Status.DISPUTED:
            found[id(match.cell)] = Verdict(Status.DISPUTED, f"its part number: {verdict.reason}")
    return found


def _match_cells(table: Table, own: Sequence[WitnessCell]) -> list[_Matched]:
    """Each data cell with the witness cell over it. The second reader sets the text of some fonts too low or
    too high and so into other rows: where one shift sets nearly all right again, it is applied."""
    cells = list(table_to_data_cells(table))
    bands = _cells_to_bands(own)
    matched = [_Matched(table, cell, _cell_over(cell, bands)) for cell in cells]
    level = _count_found(matched)
    if level >= LEVEL_SHARE * len(cells) or not own:
        return matched
    for shift in SHIFTS_PT:
        shifted = [_Matched(table, cell, _cell_over(cell, bands, shift)) for cell in cells]
        if _count_found(shifted) > max(GAIN * level, LEAST_SHARE * len(cells)):
            return shifted
    return matched


def _count_found(matched: Sequence[_Matched]) -> int:
    """Cells whose text is that of the witness cell, or a line of it: two rows may have fallen together."""
    found = [(_squeeze(m.cell.text), m.witness.text.split("\n")) for m in matched if m.witness is not None]
    return sum(ours in map(_squeeze, lines) or ours == _squeeze("".join(lines)) for ours, lines in found)


def _misread_headings(table: Table, third_texts: Mapping[int, str]) -> dict[int, str]:
    """Column -> why its heading is in doubt: pdfium sees other digits in it ("R1max" for "Rmax")."""
    misread: dict[int, str] = {}
    for column in table.columns:
        cells = {id(c): c for r in range(table.heading_rows) if (c := table.grid.cell_at(r, column.index))}
        printed = [(c, third_texts[id(c)]) for c in cells.values() if c.text and id(c) in third_texts]
        ours = {sign for cell, _ in printed for sign in _digits(cell.text + "".join(cell.marks))}
        theirs = {sign for _, text in printed for sign in _digits(text)}
        if ours != theirs and theirs:
            texts = " ".join(" ".join(text.split()) for _, text in printed)
            misread[column.index] = f"another text reader sees '{texts}' in the heading"
    return misread


def _digits(text: str) -> str:
    return re.sub(r"\D", "", fold(text))


def table_to_heading_cells(table: Table) -> Iterable[Cell]:
    """The cells of a table's heading rows that hold any text."""
    cells = (cell for row in range(table.heading_rows) for cell in table.grid.row_cells(row))
    return {id(cell): cell for cell in cells if cell.text}.values()


def table_to_data_cells(table: Table) -> Iterable[Cell]:
    """The cells of a table's data rows that hold any text, and the lines over groups of them."""
    cells = (cell for row in table.body for cell in table.grid.row_cells(row))
    lines = (*table.sections.values(), *table.captions)
    return {id(cell): cell for cell in (*cells, *lines) if cell.text}.values()


def _cells_to_bands(witness: Iterable[WitnessCell]) -> dict[int, list[WitnessCell]]:
    """For each band of the page, counted from its top, the witness cells that reach into it."""
    bands: dict[int, list[WitnessCell]] = defaultdict(list)
    for cell in witness:
        for band in range(int((cell.box[1] - 1) // BAND_PT), int((cell.box[3] + 1) // BAND_PT) + 1):
            bands[band].append(cell)
    return bands


def _cell_over(
    cell: Cell, bands: Mapping[int, Sequence[WitnessCell]], shift_pt: float = 0.0
) -> WitnessCell | None:
    x, y = (cell.box[0] + cell.box[2]) / 2, (cell.box[1] + cell.box[3]) / 2 + shift_pt
    near = bands.get(int(y // BAND_PT), ())
    over = [w for w in near if w.box[0] - 1 <= x <= w.box[2] + 1 and w.box[1] - 1 <= y <= w.box[3] + 1]
    ours = _squeeze(cell.text)
    return min(
        over,
        key=lambda w: (
            _squeeze(w.text) != ours,
            ours not in map(_squeeze, w.text.split("\n")),
            (w.box[2] - w.box[0]) * (w.box[3] - w.box[1]),
        ),
        default=None,
    )


def _usual_columns(matched: Sequence[_Matched]) -> dict[tuple[int, int], int]:
    """(our column, witness table) -> the witness column most of its cells fell into."""
    counts: dict[tuple[int, int], Counter[int]] = defaultdict(Counter)
    for match in matched:
        if match.witness is not None:
            counts[match.cell.column, match.witness.table][match.witness.column] += 1
    return {key: count.most_common(1)[0][0] for key, count in counts.items()}


def _rows_of(witness: Sequence[WitnessCell]) -> dict[tuple[int, int], list[str]]:
    rows: dict[tuple[int, int], list[str]] = defaultdict(list)
    for cell in witness:
        rows[cell.table, cell.row].append(_squeeze(cell.text))
    return rows


def _judge(
    match: _Matched,
    usual: dict[tuple[int, int], int],
    rows: dict[tuple[int, int], list[str]],
    third_text: str,
) -> Verdict:
    cell, witness = match.cell, match.witness
    ours = _squeeze(cell.text)
    third = _squeeze(third_text)
    if third and _contradicts(ours, third, cell):
        return Verdict(Status.DISPUTED, f"another text reader sees '{third}'")
    if witness is None:
        return Verdict(Status.SINGLE, "the second reading has no cell here")
    theirs = _squeeze(witness.text)
    if theirs != ours:
        if _contradicts(ours, theirs, cell):
            return Verdict(Status.DISPUTED, f"the second reading sees '{witness.text}'")
        return Verdict(
            Status.SINGLE,
            f"the second reading joins this cell with others: '{' '.join(witness.text.split())[:60]}'",
        )
    if usual.get((cell.column, witness.table)) != witness.column:
        return Verdict(Status.SINGLE, "the second reading puts this cell into another column")
    if not _has_label(match, rows):
        return Verdict(Status.SINGLE, "the second reading does not see the part in this row")
    return Verdict(Status.AGREED)


def _contradicts(ours: str, theirs: str, cell: Cell) -> bool:
    """Whether another text of the same place cannot be ours with neighbours or footnote marks."""
    marked = ours + "".join(_squeeze(mark) for mark in cell.marks)
    if ours in theirs or theirs in ours or marked in theirs:
        return False
    digits = re.sub(r"[^\d]", "", theirs)
    return bool(digits) and re.sub(r"[^\d]", "", ours) not in digits


def _has_label(match: _Matched, rows: dict[tuple[int, int], list[str]]) -> bool:
    """Whether the witness row holds our row's label; merged label cells reach over several rows."""
    table, witness = match.table, match.witness
    if table.part_column is None or witness is None:
        return True
    label = table.grid.cell_at(match.cell.row, table.part_column)
    if label is None or not label.text or label.row_span > 1 or match.cell.row_span > 1:
        return label is not None
    wanted = _squeeze(label.text)
    return any(wanted in text for text in rows[witness.table, witness.row])


@lru_cache(maxsize=4096)
def _squeeze(text: str) -> str:
    return re.sub(r"[\s*†‡§]", "", fold(text)).replace("\ufeff", "")
