"""The sheet Candidates: every candidate side by side, with its verdict, margins and main numbers.

Comes in: candidates with their cases. Goes out: the sheet. Rank, verdict, smallest and limiting margin and
the reason follow the inputs by formulas; the numbers of the datasheet stand as they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from compare.corners import Case, rating_for_supply, tripped_power
from compare.explain import candidate_to_sentence, margin_title
from compare.judging import without_dust
from compare.ranking import open_questions
from compare.records import THIN_BELOW, VERDICT_RANK, Candidate
from compare.sheet_margins import HEAD_ROW, candidate_rows
from compare.workbook_cells import finite_or_blank, rounded
from compare.workbook_inputs import INPUTS_OK
from compare.workbook_look import (
    MARGIN_FORMAT,
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
from extract.schema import Kind, Quantity

LIVE = (
    Column("Rank now", 7, "0"), Column("Part", 22), Column("Verdict", 14),
    Column("Deciding margin", 10, MARGIN_FORMAT), Column("Limiting margin", 40), Column("Why", 70, wrap=True),
    Column("Datasheet", 26),
)
NUMBERS = (
    Column("Rated hold, A", 10, SENSIBLE), Column("Rated trip, A", 10, SENSIBLE),
    Column("Rated voltage, V", 10, SENSIBLE), Column("Rated fault current, A", 11, SENSIBLE),
    Column("Smallest resistance, ohm", 11, SENSIBLE), Column("Post-trip resistance, ohm", 11, SENSIBLE),
    Column("Tripped power, W", 10, SENSIBLE), Column("Longest time to trip, s", 11, SENSIBLE),
    Column("at, A", 9, SENSIBLE), Column("Package", 14),
)
HELPERS = (
    Column("Order of verdict", 9, "0"), Column("Open questions", 9, "0"), Column("Limit has no number", 9,
                                                                                 "0"),
    Column("Limit for order", 10, "General"), Column("Order of ties", 9, "0"),
    Column("Row of limit", 9, "0"), Column("Order now", 9, "0"),
)
UNKNOWN = -1
ROWS_PRINTED = 20
PENDING = "pending"
"""Stands for every rank as long as a margin must be computed anew: no order is settled then."""


def order_column(candidates: Sequence[Candidate]) -> str:
    """Letter of the column that numbers the candidates for the inputs as they stand, settled or not."""
    return get_column_letter(len(LIVE) + len(margin_names(candidates)) + len(NUMBERS) + len(HELPERS))


def margin_names(candidates: Sequence[Candidate]) -> tuple[str, ...]:
    """Names of the margins asked, in their order."""
    return tuple(dict.fromkeys(margin.name for candidate in candidates for margin in candidate.margins))


def add_candidates(book: Workbook, candidates: Sequence[Candidate], cases: Sequence[Case]) -> None:
    """Write the sheet; its rows keep the order of the ranking as stated."""
    sheet = book.create_sheet("Candidates")
    put_title(sheet, "Candidates", "Side by side, in the order of the requirement as stated; column A is the "
              "rank for the inputs as they stand now. Ties go by resistance, then size.")
    names = margin_names(candidates)
    columns = (*LIVE, *(Column(f"Margin: {margin_title(name)}", 13, MARGIN_FORMAT, wrap=True)
                        for name in names),
               *NUMBERS, *HELPERS)
    first_helper = len(columns) - len(HELPERS) + 1
    helpers = [get_column_letter(number) for number in range(first_helper, first_helper + len(HELPERS))]
    ties, places = _ties(candidates), candidate_rows(candidates)
    last = HEAD_ROW + len(candidates)
    put_table(sheet, HEAD_ROW, columns, (
        [*_live(candidate, number, places[number], helpers, last),
         *_margins(candidate, names, places[number][0]), *_numbers(case),
         *_helpers(candidate, places[number], HEAD_ROW + 1 + number, ties[number]),
         Formula(f"={_rank(HEAD_ROW + 1 + number, helpers, last)}", number + 1)]
        for number, (candidate, case) in enumerate(zip(candidates, cases, strict=True))))
    sheet.row_dimensions[HEAD_ROW].height = 62
    tint_verdicts(sheet, f"C{HEAD_ROW + 1}:C{last}")
    for letter in helpers:
        sheet.column_dimensions[letter].outlineLevel = 1
    finish(sheet, HEAD_ROW, len(columns), freeze_columns=3, pages_wide=2)
    print_rows(sheet, first_helper - 1, min(last, HEAD_ROW + ROWS_PRINTED))


def _live(candidate: Candidate, number: int, place: tuple[int, int], helpers: Sequence[str],
          last: int) -> list[Value]:
    """Rank, part, verdict, smallest margin, limiting margin, why, datasheet."""
    row = HEAD_ROW + 1 + number
    limit, order = f"${helpers[-2]}${row}", f"${helpers[-1]}${row}"
    pending = f'COUNTIF($C${HEAD_ROW + 1}:$C${last},"recompute")>0'
    return [
        Formula(f'=IF({pending},"{PENDING}",{order})', number + 1), candidate.part_number,
        Formula(f"={_verdict(place)}", candidate.verdict.value),
        Formula(f'=IF(ISNUMBER(INDEX(Margins!$I:$I,{limit})),INDEX(Margins!$I:$I,{limit}),"")',
                finite_or_blank(candidate.limiting.margin)),
        Formula(f"=INDEX(Margins!$C:$C,{limit})", margin_title(candidate.limiting_margin)),
        Formula(f"={_why(row, limit, place)}", candidate_to_sentence(candidate)), candidate.part.document,
    ]


def _rank(row: int, helpers: Sequence[str], last: int) -> str:
    """As `ranking.candidate_to_rank`: how many stand before this one, key by key."""
    before = ""
    for letter, better in reversed(list(zip(helpers, ("<", "<", "<", ">", "<"), strict=False))):
        every, own = f"${letter}${HEAD_ROW + 1}:${letter}${last}", f"${letter}${row}"
        before = f"({every}{better}{own})" + (f"+({every}={own})*({before})" if before else "")
    return f"1+SUMPRODUCT({before})"


def _verdict(place: tuple[int, int]) -> str:
    """As `margins.margins_to_verdict`; one to compute anew hides all but a fail."""
    verdicts = f"Margins!$J${place[0]}:$J${place[1]}"
    words = ("fails", "recompute", "undetermined")
    return "".join(f'IF(COUNTIF({verdicts},"{word}")>0,"{word}",' for word in words) + '"fits")))'


def _why(row: int, limit: str, place: tuple[int, int]) -> str:
    verdict = f"$C{row}"
    title, at, margin, note, words = (f"INDEX(Margins!${column}:${column},{limit})" for column in "CDILP")
    ambient = f'IF(ISNUMBER({at})," at "&{at}&" °C","")'
    thin = f'IF(AND({margin}>=1,{margin}<{THIN_BELOW:g}),", thin","")'
    times = f'IF(ISNUMBER({margin}),ROUND({margin},2)&" times the need"&{thin},"met")'
    fits = f'"Fits"&{_rests_on(limit, place)}&": "&{title}&" is the tightest, "&{times}&{words}&"."'
    again = f'"Compare again: "&{title}&" was computed for the requirement as stated."'
    otherwise = (f'IF({verdict}="fails","Fails: ","Cannot be told: ")&{title}&{ambient}&{words}'
                 f'&IF({note}="","","; "&{note})&"."')
    return (f'IF(NOT({INPUTS_OK}),"An input on Summary cannot be used.",IF({verdict}="fits",{fits},'
            f'IF({verdict}="recompute",{again},{otherwise})))')


def _rests_on(limit: str, place: tuple[int, int]) -> str:
    """As `explain.rests_on_words`."""
    basis, bases = f"INDEX(Margins!$K:$K,{limit})", f"Margins!$K${place[0]}:$K${place[1]}"
    guessed = f'(COUNTIF({bases},"model")+COUNTIF({bases},"assumed"))'
    some = f'IF({guessed}>0,", "&{guessed}&" of {place[1] - place[0] + 1} margins assumed or by a model","")'
    return f'IF({basis}="model",", by a model",IF({basis}="assumed",", under an assumption",{some}))'


def _margins(candidate: Candidate, names: Sequence[str], first: int) -> list[Value]:
    rows = {margin.name: (row, margin) for row, margin in enumerate(candidate.margins, first)}
    told = {name: Formula(f"=Margins!$I${row}", finite_or_blank(margin.margin))
            for name, (row, margin) in rows.items()}
    return [told.get(name) for name in names]


def _numbers(case: Case) -> list[Value]:
    numbers, supply = case.numbers, case.requirement.supply
    resistances = [numbers.number(Quantity.RESISTANCE, kind) for kind in (Kind.MIN, Kind.POST_TRIP_MAX)]
    point = numbers.trip_points[0] if numbers.trip_points else None
    packages = dict.fromkeys(said.text for said in numbers.part.texts if said.name == "package")
    return [case.derating.rated_hold()[1].value, case.derating.rated_trip()[1].value,
            rating_for_supply(numbers, Quantity.MAX_VOLTAGE, supply).value,
            rating_for_supply(numbers, Quantity.MAX_CURRENT, supply).value,
            *(None if number is None else number.value for number in resistances),
            tripped_power(numbers).value, None if point is None else point.time_s,
            None if point is None else point.current_a, ", ".join(packages)]


def _helpers(candidate: Candidate, place: tuple[int, int], row: int, tie: int) -> list[Value]:
    """Keys of the order, as `ranking.candidate_to_rank`; recompute stands with undetermined."""
    first, last = place
    limiting = candidate.limiting
    block, verdict = f"Margins!$Q${first}:$Q${last}", f"$C{row}"
    verdicts = f"Margins!$J${first}:$J${last}"
    limit_row = first + candidate.margins.index(limiting)
    decides = limiting.margin
    limit = f"{first - 1}+MATCH(MIN({block}),{block},0)"
    at_limit = f"INDEX(Margins!$I:$I,{limit})"
    opened = f'COUNTIF({verdicts},"undetermined")+COUNTIF({verdicts},"recompute")'
    return [
        Formula(f'=IF({verdict}="fits",0,IF({verdict}="fails",2,1))', VERDICT_RANK[candidate.verdict]),
        Formula(f'=IF(OR({verdict}="fits",{verdict}="fails"),0,{opened})', open_questions(candidate)),
        Formula(f"=IF(ISNUMBER({at_limit}),0,1)", int(limiting.margin is None)),
        Formula(f"=IF(ISNUMBER({at_limit}),{rounded(at_limit, 9)},{UNKNOWN})",
                without_dust(decides) if decides is not None and math.isfinite(decides) else UNKNOWN),
        tie, Formula(f"={limit}", limit_row),
    ]


def _ties(candidates: Sequence[Candidate]) -> dict[int, int]:
    """Place of each candidate among equals: by resistance, size, part number, document."""
    def key(number: int) -> tuple[float, float, str, str]:
        one = candidates[number]
        return (math.inf if one.resistance_ohm is None else one.resistance_ohm,
                math.inf if one.area_mm2 is None else one.area_mm2, one.part.part_number, one.part.document)
    return {number: place for place, number in enumerate(sorted(range(len(candidates)), key=key), 1)}
