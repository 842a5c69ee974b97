"""The sheets of the verdicts: summary, candidates side by side, every margin.

Comes in: a ranking. Goes out: three sheets. Judges nothing anew.
"""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl import Workbook

from compare.explain import candidate_to_sentence, margin_title, ranking_to_gap
from compare.ranking import Ranking
from compare.records import Candidate, Margin
from compare.requirement_file import field_rules
from compare.workbook_look import Column, Value, finish, put_table, put_title, set_page, tint_verdicts

RANK_COLUMNS = (
    Column("Rank", 7), Column("Part", 22), Column("Verdict", 14), Column("Smallest margin", 10, "0.00"),
    Column("Limiting margin", 40), Column("Why", 90, wrap=True), Column("Datasheet", 28),
)
MARGIN_COLUMNS = (
    Column("Rank", 6), Column("Part", 20), Column("Margin of", 42, wrap=True), Column("At, °C", 8, "0.##"),
    Column("Value", 11, "0.####"), Column("Unit", 6), Column("must be", 9), Column("Limit", 11, "0.####"),
    Column("Margin", 9, "0.00"), Column("Verdict", 14), Column("Basis", 13), Column("Note", 40, wrap=True),
    Column("Source", 48, wrap=True), Column("Assumed", 48, wrap=True),
)
INPUT_COLUMNS = (Column("Requirement", 7), Column("Value", 22, "0.######"), Column("Unit", 14), Column("", 10),
                 Column("Meaning", 40))


def add_summary(book: Workbook, ranking: Ranking, shown: int) -> None:
    """Requirement and ranking on one sheet."""
    sheet = book.create_sheet("Summary")
    row = put_title(sheet, ranking.requirement.title or "Comparison", ranking_to_gap(ranking))
    last = put_table(sheet, row, RANK_COLUMNS,
                     (_rank_row(rank, c) for rank, c in enumerate(ranking.candidates[:shown], 1)))
    tint_verdicts(sheet, f"C{row + 1}:C{last}")
    inputs: list[list[Value]] = []
    for name, rule in field_rules().items():
        value = getattr(ranking.requirement, name, None) if "." not in name else None
        if isinstance(value, float | int) and not isinstance(value, bool):
            inputs.append([name, value, rule.unit, None, rule.meaning])
    for line, values in enumerate(inputs, last + 2):
        for column, value in zip((2, 3, 4, 5, 6), values, strict=True):
            from compare.workbook_look import at, put
            put(at(sheet, line, column), value)
    set_page(sheet)
    sheet.freeze_panes = "A5"


def _rank_row(rank: int, candidate: Candidate) -> list[Value]:
    return [rank, candidate.part_number, candidate.verdict.value, candidate.smallest_margin,
            margin_title(candidate.limiting_margin), candidate_to_sentence(candidate), candidate.part.document]


def add_margins(book: Workbook, candidates: Sequence[Candidate]) -> None:
    """Every margin of every candidate."""
    sheet = book.create_sheet("Margins")
    row = put_title(sheet, "Margins", "How many times each need is met: 1.00 is just met.")
    last = put_table(sheet, row, MARGIN_COLUMNS, (_margin_row(rank, c, m) for rank, c in enumerate(candidates, 1)
                                                  for m in c.margins))
    tint_verdicts(sheet, f"J{row + 1}:J{last}")
    finish(sheet, row, len(MARGIN_COLUMNS), freeze_columns=3)


def _margin_row(rank: int, candidate: Candidate, margin: Margin) -> list[Value]:
    return [rank, candidate.part_number, margin_title(margin.name), margin.at_c, margin.value, margin.unit,
            margin.sense.value.replace("_", " "), margin.limit, margin.margin, margin.verdict.value,
            margin.basis.value, margin.note, margin.source, "; ".join(margin.assumed)]
