"""The sheet Margins: every margin of every candidate, following the inputs.

Comes in: candidates with their cases, the layout of Corners. Goes out: the sheet, and the rows of each
candidate. Judges by the formulas of `workbook_margins`; the outcome as stated stands beside them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from openpyxl import Workbook

from compare.corners import Case
from compare.explain import margin_title
from compare.records import Candidate, Margin, Sense, Verdict, readings_to_source
from compare.workbook_cells import Cells, Row, finite_or_blank, rounded
from compare.workbook_corners import Corners
from compare.workbook_look import (
    MARGIN_FORMAT,
    PRINTED,
    SENSIBLE,
    Column,
    Formula,
    Value,
    finish,
    print_rows,
    put_table,
    put_title,
    tint_verdicts,
)
from compare.workbook_margins import ambient_formula, follows_inputs, row_to_cells
from compare.workbook_timed import TIMED, row_to_assumptions, row_to_readings

COLUMNS = (
    Column("Rank now", 7, "0"), Column("Part", 20), Column("Margin of", 40, wrap=True),
    Column("At, °C", 8, "General"), Column("Value", 11, SENSIBLE), Column("Unit", 6), Column("must be", 9),
    Column("Limit", 11, SENSIBLE), Column("Margin", 9, MARGIN_FORMAT), Column("Verdict", 14), Column("Basis",
                                                                                                      13),
    Column("Note", 34, wrap=True), Column("Source", 42, wrap=True), Column("Assumed", 42, wrap=True),
    Column("Follows the inputs", 14), Column("In words", 36), Column("Deciding", 10, "General"),
    Column("Value as stated", 11, "General"), Column("Limit as stated", 11, "General"),
    Column("Margin as stated", 10, MARGIN_FORMAT), Column("Verdict as stated", 14),
    Column("Note as stated", 40, wrap=True), Column("Source of the fault current", 40, wrap=True),
    Column("Assumed by the model", 40, wrap=True),
)
VERDICT_COLUMN = "J"
PRINTED_COLUMNS = 15
HEAD_ROW = 4
LARGE, LARGER = "1E+300", "1E+301"
"""A margin without number limits nothing where it fits; one of another verdict decides nothing."""


def candidate_rows(candidates: Sequence[Candidate]) -> tuple[tuple[int, int], ...]:
    """First and last row of each candidate, in the order given."""
    rows, first = [], HEAD_ROW + 1
    for candidate in candidates:
        rows.append((first, first + len(candidate.margins) - 1))
        first += len(candidate.margins)
    return tuple(rows)


def add_margins(book: Workbook, candidates: Sequence[Candidate], cases: Sequence[Case],
                corners: Corners) -> None:
    """Write the sheet."""
    sheet = book.create_sheet("Margins")
    put_title(sheet, "Margins", "How many times each need is met: 1.00 is just met. Values follow the inputs "
              "of Summary; those marked computed turn to recompute when an input they rest on changes.")
    last = put_table(sheet, HEAD_ROW, COLUMNS, _rows(candidates, cases, corners))
    tint_verdicts(sheet, f"{VERDICT_COLUMN}{HEAD_ROW + 1}:{VERDICT_COLUMN}{last}")
    for column in "PQRSTUVWX":
        sheet.column_dimensions[column].outlineLevel = 1
    finish(sheet, HEAD_ROW, len(COLUMNS), freeze_columns=3)
    print_rows(sheet, PRINTED_COLUMNS, candidate_rows(candidates)[:PRINTED][-1][1])


def _rows(
    candidates: Sequence[Candidate], cases: Sequence[Case], corners: Corners
) -> Iterator[list[Value]]:
    places = candidate_rows(candidates)
    for number, (candidate, case, (first, _)) in enumerate(zip(candidates, cases, places, strict=True)):
        for row, margin in enumerate(candidate.margins, first):
            yield _row(Row(margin, case, corners, row, number), candidate)


def _row(row: Row, candidate: Candidate) -> list[Value]:
    margin, cells, r = row.margin, row_to_cells(row), row.row
    at_c = ambient_formula(row)
    if isinstance(at_c, Formula):
        at_c = Formula(at_c.text, margin.at_c)
    sense = "at least" if margin.sense is Sense.AT_LEAST else "at most"
    assumed, source = "; ".join(margin.assumed), readings_to_source(row_to_readings(row))
    return [
        Formula(f"=Candidates!$A${row.candidate + HEAD_ROW + 1}", row.candidate + 1),
        candidate.part_number, margin_title(margin.name), at_c,
        Formula(f"={cells.value}", _shown(margin.value)),
        Formula(f"={cells.unit}", margin.unit) if cells.unit else margin.unit, sense,
        Formula(f"={cells.limit}", _shown(margin.limit)),
        Formula(f"={cells.margin}", finite_or_blank(margin.margin)),
        Formula(f"={cells.verdict}", margin.verdict.value), _basis(cells, margin),
        _text(cells.note, margin.note), _text(cells.source, margin.source, source),
        _text(cells.assumed, assumed, assumed),
        _follows(row),
        Formula(f"={_words(r)}", margin_words(margin)),
        Formula(f"={_deciding(r, row.candidate)}", _deciding_known(margin, candidate.verdict)),
        margin.value, margin.limit, margin.margin, margin.verdict.value, margin.note,
        readings_to_source(row.case.lowest_fault.readings),
        "; ".join(dict.fromkeys(row_to_assumptions(row))),
    ]


def _follows(row: Row) -> str:
    if not follows_inputs(row.margin.name):
        return "computed"
    asked_of_curve = row.margin.name in TIMED and row.case.trip_times.drawn is not None
    return "while tables decide" if asked_of_curve else "yes"


def _shown(value: float | None) -> str | float:
    if value is None:
        return ""
    return value if math.isfinite(value) else "never trips"


def _basis(cells: Cells, margin: Margin) -> Value:
    known = "" if margin.value is None and margin.margin is None else margin.basis.value
    if cells.basis:
        return Formula(f'=IFERROR({cells.basis},"")', known)
    return margin.basis.value


def _text(formula: str, known: str, otherwise: str = "") -> Value:
    """A text that follows the inputs, or as it stands where it does not."""
    return Formula(f'=IFERROR({formula}&"","")', known) if formula else otherwise


def _words(row: int) -> str:
    """Value and need in words, four digits."""
    value, limit = f"$E{row}", f"$H{row}"
    need = f'", needs "&$G{row}&" "&{rounded(limit, 4)}&" "&$F{row}&")"'
    with_need = f'IF(ISNUMBER({limit}),{need},")")'
    return f'IF(ISNUMBER({value})," ("&{rounded(value, 4)}&" "&$F{row}&{with_need},"")'


def margin_words(margin: Margin) -> str:
    """What `_words` gives for the requirement as stated."""
    if margin.value is None or not math.isfinite(margin.value):
        return ""
    need = ""
    if margin.limit is not None:
        side = "at least" if margin.sense is Sense.AT_LEAST else "at most"
        need = f", needs {side} {margin.limit:.4g} {margin.unit}"
    return f" ({margin.value:.4g} {margin.unit}{need})"


def _deciding(row: int, candidate: int) -> str:
    """Among the margins of the candidate's own verdict the smallest, as `margins.margins_to_limiting`."""
    verdict = f"Candidates!$C${candidate + HEAD_ROW + 1}"
    unnumbered = f'IF({verdict}="fits",{LARGE},-1)'
    return f"IF($J{row}={verdict},IF(ISNUMBER($I{row}),$I{row},{unnumbered}),{LARGER})"


def _deciding_known(margin: Margin, verdict: Verdict) -> float:
    if margin.verdict is not verdict:
        return float(LARGER)
    if margin.margin is None or not math.isfinite(margin.margin):
        return float(LARGE) if verdict is Verdict.FITS else -1.0
    return margin.margin
