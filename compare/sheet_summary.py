"""The sheet Summary: the requirement's numbers as inputs, and the ranking that follows them.

Comes in: a ranking and its inputs. Goes out: the sheet and a defined name for every input. The ranking is
looked up in Candidates.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from compare.cautions import ranking_to_cautions
from compare.corners import Case
from compare.explain import (
    candidate_to_review,
    candidate_to_sentence,
    candidate_to_unreviewed,
    counted,
    margin_title,
    ranking_to_gap,
)
from compare.fault_words import case_to_fault_words, case_to_tripped_words
from compare.provenance import SHA_SHOWN, Provenance
from compare.ranking import Ranking
from compare.records import Candidate
from compare.requirement import Requirement
from compare.sheet_candidates import PENDING, order_column
from compare.sheet_margins import HEAD_ROW
from compare.workbook_inputs import (
    AS_STATED,
    INPUTS_OK,
    Input,
    input_to_state,
    requirement_to_fixed,
    requirement_to_inputs,
)
from compare.workbook_look import (
    ASIDE,
    BAND_FILL,
    BOX,
    HEADING,
    INPUT_FILL,
    LINE_HEIGHT,
    MARGIN_FORMAT,
    STRONG,
    TITLE,
    UNSEEN,
    Column,
    Formula,
    Value,
    at,
    put,
    put_head,
    put_row,
    set_page,
    tint_verdicts,
)

SHOWN = 20
"""Ranks on this sheet; Candidates has all."""
COLUMNS = (
    Column("Rank", 7, "0"), Column("Part", 28), Column("Verdict", 15), Column("Deciding margin", 11,
                                                                              MARGIN_FORMAT),
    Column("Limiting margin", 44), Column("Why", 92, wrap=True), Column("Datasheet", 26),
)
INPUT_TITLES = ("", "Requirement", "Input", "Unit", "State", "Meaning", "As stated")
INPUT_ROW = 8


def add_summary(book: Workbook, ranking: Ranking, candidates: Sequence[Candidate], best: Case,
                provenance: Provenance) -> None:
    """Write the sheet; first in the workbook."""
    sheet = book.create_sheet("Summary", 0)
    requirement = ranking.requirement
    put(at(sheet, 1, 1), requirement.title or "Comparison of PTC fuses", font=TITLE)
    sheet.row_dimensions[1].height = 24
    last = _put_inputs(book, sheet, requirement)
    rank_row = _put_fixed(sheet, requirement, last + 2) + 3
    _put_answer(book, sheet, candidates, last, ranking_to_gap(ranking))
    put(at(sheet, rank_row - 1, 1), "Ranking for the inputs above", font=HEADING)
    put_head(sheet, rank_row, COLUMNS)
    shown = candidates[:SHOWN]
    for rank, candidate in enumerate(shown, 1):
        put_row(sheet, rank_row + rank, COLUMNS, _rank_row(rank, candidate, candidates), rank_row + 1)
    tint_verdicts(sheet, f"C{rank_row + 1}:C{rank_row + len(shown)}")
    end = rank_row + len(shown) + 1
    unseen = sum(candidate_to_unreviewed(candidate)[0] > 0 for candidate in shown)
    compared, rest = counted(len(candidates), "part"), "rests" if unseen == 1 else "rest"
    put(at(sheet, end, 1), f"{compared} compared; all of them stand on Candidates, every margin on Margins; "
        f"Corners, Lines and Trip model calculate and are hidden. As first compared, {unseen} of the best "
        f"{len(shown)} {rest} on printed numbers that nobody has reviewed: see Sources.", font=ASIDE)
    end = _put_texts(sheet, end + 2, "The best part as first compared", (
        *case_to_fault_words(best), *case_to_tripped_words(best), candidate_to_review(candidates[0]),
        *_sheet_words(candidates[0], provenance), *provenance.lines()))
    end = _put_texts(sheet, end + 1, "Cautions: calculated from the tables supplied, not a safety approval",
                     [caution.text for caution in ranking_to_cautions(ranking)])
    set_page(sheet)
    sheet.freeze_panes = "A2"
    sheet.print_area = f"A1:G{end}"


def _sheet_words(candidate: Candidate, provenance: Provenance) -> list[str]:
    """The datasheet of a part and its revision."""
    revision = provenance.revision_of(candidate.part.sha256) or "its revision is not known here"
    return [f"datasheet {candidate.part.document}, SHA-256 {candidate.part.sha256[:SHA_SHOWN]}…, {revision}"]


def _put_texts(sheet: Worksheet, row: int, title: str, texts: Iterable[str]) -> int:
    """A heading and a line for each text, over all columns; returns the last row."""
    put(at(sheet, row, 1), title, font=HEADING)
    width = sum(int(column.width) for column in COLUMNS[1:])
    for row, said in enumerate(texts, row + 1):  # noqa: B020 - the row goes on from the heading
        sheet.merge_cells(start_row=row, start_column=2, end_row=row, end_column=len(COLUMNS))
        put(at(sheet, row, 2), said, wrap=True)
        sheet.row_dimensions[row].height = LINE_HEIGHT * (1 + len(said) // width)
    return row


def _put_answer(book: Workbook, sheet: Worksheet, candidates: Sequence[Candidate], last: int,
                gap: str) -> None:
    """The best part for the inputs as they stand, and whether inputs and formulas can be trusted."""
    first, states = INPUT_ROW + 1, f"$E${INPUT_ROW + 1}:$E${last}"
    usable = f'COUNTIF({states},"{AS_STATED}")+COUNTIF({states},"changed")=ROWS({states})'
    best = candidates[0]
    put(at(sheet, 3, 2), "Best part", font=STRONG)
    put(at(sheet, 3, 3), Formula(f"={_settled(candidates, 'C')}", best.verdict.value), font=STRONG)
    put(at(sheet, 3, 5), Formula(f"={_settled(candidates, 'B')}", best.part_number), font=STRONG)
    why = Formula(f"={_settled(candidates, 'F')}", candidate_to_sentence(best))
    put(at(sheet, 3, 6), why, wrap=True)
    sheet.row_dimensions[3].height = 2 * LINE_HEIGHT
    tint_verdicts(sheet, "C3")
    put(at(sheet, 4, 2), "Inputs", font=STRONG)
    put(at(sheet, 4, 3), Formula(f"=IF({usable},1,0)", 1.0), UNSEEN, ASIDE)
    all_stated = f'COUNTIF({states},"{AS_STATED}")=ROWS({states})'
    put(at(sheet, 4, 5), Formula(f'=IF(NOT({INPUTS_OK}),"not usable: see State below",IF({all_stated},'
                                 f'"all as stated in the requirement","changed: the verdicts follow"))',
                                 "all as stated in the requirement"))
    book.defined_names[INPUTS_OK] = DefinedName(INPUTS_OK, attr_text="Summary!$C$4")
    count = sum(len(candidate.margins) for candidate in candidates)
    rows = (HEAD_ROW + 1, HEAD_ROW + count)
    verdicts, stated = (f"Margins!${column}${rows[0]}:${column}${rows[1]}" for column in ("J", "U"))
    differing = f"SUMPRODUCT(--({verdicts}<>{stated}))"
    put(at(sheet, 5, 2), "Formulas against the program", font=STRONG)
    put(at(sheet, 5, 3), Formula(f"={differing}", 0.0), UNSEEN, ASIDE)
    agree = f"agree: all {count} verdicts are those of the program"
    put(at(sheet, 5, 5), Formula(
        f'=IF({all_stated},IF({differing}=0,"{agree}","DISAGREE: do not use this workbook"),'
        f'"verdicts that differ from those as stated")', agree))
    if gap:
        put(at(sheet, 6, 2), "As stated", font=STRONG)
        put(at(sheet, 6, 3), gap)
    assert first <= last  # every requirement has inputs


def _put_inputs(book: Workbook, sheet: Worksheet, requirement: Requirement) -> int:
    """One row for each input; returns the last."""
    put(at(sheet, INPUT_ROW - 1, 1), "Requirement: change the framed cells", font=HEADING)
    for number, title in enumerate(INPUT_TITLES, 1):
        cell = at(sheet, INPUT_ROW, number)
        put(cell, title, font=STRONG)
        cell.fill = BAND_FILL
    inputs = requirement_to_inputs(requirement)
    given = frozenset(one.field for one in inputs)
    for row, one in enumerate(inputs, INPUT_ROW + 1):
        _put_input(book, sheet, row, one, given)
    return INPUT_ROW + len(inputs)


def _put_input(book: Workbook, sheet: Worksheet, row: int, one: Input, given: frozenset[str]) -> None:
    put(at(sheet, row, 2), one.field)
    cell = at(sheet, row, 3)
    put(cell, one.value, "General", STRONG)
    cell.fill, cell.border = INPUT_FILL, BOX
    put(at(sheet, row, 4), "ratio" if one.rule.unit == "1" else one.rule.unit)
    put(at(sheet, row, 5), Formula(input_to_state(one, f"$C${row}", f"$G${row}", given), AS_STATED))
    put(at(sheet, row, 6), one.rule.meaning, font=ASIDE)
    put(at(sheet, row, 7), one.value, "General", ASIDE)
    flat = one.field.replace(".", "_")
    book.defined_names[one.name] = DefinedName(one.name, attr_text=f"Summary!$C${row}")
    book.defined_names[f"state_{flat}"] = DefinedName(f"state_{flat}", attr_text=f"Summary!$E${row}")
    only_numbers = DataValidation(type="decimal", operator="between", formula1="-1E+12", formula2="1E+12",
                                  allow_blank=False, showErrorMessage=True)
    only_numbers.errorTitle = "Not a number"
    only_numbers.error = f"{one.field} is a number in {one.rule.unit}"
    only_numbers.promptTitle = one.field[:32]
    only_numbers.prompt = f"{one.rule.meaning} [{one.rule.unit}]"[:255]
    only_numbers.showInputMessage = True
    sheet.add_data_validation(only_numbers)
    only_numbers.add(f"C{row}")


def _put_fixed(sheet: Worksheet, requirement: Requirement, row: int) -> int:
    """What the workbook cannot change; returns the last row."""
    fixed = requirement_to_fixed(requirement)
    put(at(sheet, row, 1), "Fixed: to change these, change the requirement file and compare again",
        font=HEADING)
    for line, field in enumerate(fixed, row + 1):
        put(at(sheet, line, 2), field.name)
        put(at(sheet, line, 3), field.value)
        put(at(sheet, line, 6), field.meaning, font=ASIDE, wrap=True)
        sheet.row_dimensions[line].height = LINE_HEIGHT * (1 + len(field.meaning) // int(COLUMNS[5].width))
    return row + len(fixed)


def _ranked(candidates: Sequence[Candidate], column: str, rank: int) -> str:
    """Formula text for a column of Candidates at a place for the inputs as they stand, settled or not."""
    first, last, order = HEAD_ROW + 1, HEAD_ROW + len(candidates), order_column(candidates)
    return (f"INDEX(Candidates!${column}${first}:${column}${last},"
            f"MATCH({rank},Candidates!${order}${first}:${order}${last},0))")


def _pending(candidates: Sequence[Candidate]) -> str:
    """Formula text: whether a margin must be computed anew, so that no order is settled."""
    return f'COUNTIF(Candidates!$C${HEAD_ROW + 1}:$C${HEAD_ROW + len(candidates)},"recompute")>0'


def _settled(candidates: Sequence[Candidate], column: str) -> str:
    """The best part, or that none is settled."""
    words = {"C": "recompute", "B": "none settled",
             "F": "Compare again: margins marked recompute follow no input, so that no rank is settled."}
    return f'IF({_pending(candidates)},"{words[column]}",{_ranked(candidates, column, 1)})'


def _rank_row(rank: int, candidate: Candidate, candidates: Sequence[Candidate]) -> list[Value]:
    known = (candidate.part_number, candidate.verdict.value,
             "" if candidate.limiting.margin is None else candidate.limiting.margin,
             margin_title(candidate.limiting_margin), candidate_to_sentence(candidate),
             candidate.part.document)
    shown = Formula(f'=IF({_pending(candidates)},"{PENDING}",{rank})', float(rank))
    return [shown, *(Formula(f"={_ranked(candidates, column, rank)}", value)
                    for column, value in zip("BCDEFG", known, strict=True))]
