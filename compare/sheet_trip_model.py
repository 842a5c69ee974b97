"""The sheet Trip model: times to trip by what is tabulated and by the ensemble of models, as formulas.

Comes in: cases and the questions of the requirement. Goes out: one row for each tabulated point of each part
with, for each question, what it guarantees and what each model says; and the formulas that gather them in
Corners. The same formulas as `thermal` and `trip_time`: for each member of the ensemble the heat balance with
hold and with trip current as threshold, and without loss. Never is written as 1E+99 s.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from compare.corners import Case
from compare.derating import SAME_AMBIENT_K
from compare.thermal import ENSEMBLE
from compare.trip_time import LEAST_BAND, PlacedPoint
from compare.workbook_corners import TIME_FORMAT, Corners
from compare.workbook_inputs import member_ok, rise_formula, rise_name
from compare.workbook_look import Column, Formula, Value, finish, put_away, put_table, put_title
from compare.workbook_questions import Question
from extract.schema import Kind

NEVER = "1E+99"
IS_NEVER = "1E+98"
"""Times from here on mean never."""
MEMBERS = range(len(ENSEMBLE))
THRESHOLDS = {"hold": "F", "trip": "G"}
"""Column of the threshold current at the point's own ambient."""
STATIC = (
    Column("Part", 20), Column("Test current, A", 10, "General"), Column("Longest time, s", 10, "General"),
    Column("Ambient, °C", 10, "General"), Column("Kind", 7), Column("Hold there, A", 10, "0.0000"),
    Column("Trip there, A", 10, "0.0000"),
    *(Column(f"Model {number + 1}: rise there", 9, "0.0000") for number in MEMBERS),
    *(Column(f"Model {number + 1}: time constant with {key}, s", 11, "0.0000")
      for key in THRESHOLDS for number in MEMBERS),
)
MODEL_PARTS = tuple(f"{key}{number}" for number in MEMBERS for key in ("adiabatic", "hold", "trip"))
PARTS = ("sure", "least", *MODEL_PARTS, "low", "high")
WORDS = {"sure": "guaranteed, s", "least": "not below, s", "low": "from, s",
         "high": "to, s",
         "adiabatic": "without loss, s", "hold": "hold as threshold, s", "trip": "trip as threshold, s"}


@dataclass(frozen=True, slots=True)
class ModelRows:
    """First and last row of a part's points; last below first where it has none."""

    first: int
    last: int
    columns: dict[str, str]

    def block(self, question: Question, part: str, to_part: str = "") -> str:
        """Address of the part's rows in one column, or from one column to another."""
        first, last = (self.columns[f"{question.name}_{one}"] for one in (part, to_part or part))
        return f"'Trip model'!${first}${self.first}:${last}${self.last}"


def serving_points(case: Case) -> tuple[PlacedPoint, ...]:
    """The points the model uses: the longest times, or typical ones where there are none."""
    points = case.trip_times.points
    return tuple(point for point in points if point.kind is Kind.MAX) or points


def model_columns(questions: Sequence[Question]) -> dict[str, str]:
    """Column letter of each part of each question."""
    keys = [f"{question.name}_{part}" for question in questions for part in PARTS]
    return {key: get_column_letter(number) for number, key in enumerate(keys, len(STATIC) + 1)}


def add_trip_model(book: Workbook, cases: Sequence[Case], corners: Corners) -> tuple[ModelRows, ...]:
    """Write the sheet; returns the rows of each case, in the order given."""
    sheet = book.create_sheet("Trip model")
    head = put_title(sheet, "Trip model", "A model, not data: real curves flatten at high current, and "
                     "copper, leads, airflow and potting shift it. Change nothing here.")
    questions = corners.questions
    letters = model_columns(questions)
    columns = (*STATIC, *(Column(f"{question.title}: {_words(part)}", 11, TIME_FORMAT)
                          for question in questions for part in PARTS))
    rows: list[list[Value]] = []
    found = []
    for number, case in enumerate(cases):
        points = serving_points(case)
        first = head + 1 + len(rows)
        model = ModelRows(first, first + len(points) - 1, letters)
        for position, point in enumerate(points, 1):
            line = _Line(case, point, position, first + position - 1, number, model, corners)
            rows.append([*line.static(), *(cell for question in questions for cell in line.asked(question))])
        found.append(model)
    put_table(sheet, head, columns, rows, sparse=True)
    sheet.row_dimensions[head].height = 46
    finish(sheet, head, len(columns))
    put_away(sheet)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Line:
    """One point of one part in one row of the sheet."""

    case: Case
    point: PlacedPoint
    position: int
    row: int
    candidate: int
    model: ModelRows
    corners: Corners

    def static(self) -> list[Value]:
        """What does not depend on the inputs."""
        point, derating, row = self.point, self.case.derating, self.row
        known = [number.value for number in (derating.hold(point.ambient_c), derating.trip(point.ambient_c))]
        rises = [Formula(f'=IFERROR({rise_formula(number, f"$D{row}")},"")') for number in MEMBERS]
        taus = [self._tau(column, number) for column in THRESHOLDS.values() for number in MEMBERS]
        return [self.case.numbers.part.part_number, point.current_a, point.time_s, point.ambient_c,
                "typ" if point.kind is Kind.TYP else "max",
                *(value if value is not None and 0.0 < value < point.current_a else None for value in known),
                *rises, *taus]

    def _tau(self, threshold: str, member: int) -> Formula:
        """Time constant by which a member passes through the point."""
        row = self.row
        constants = _constants(f"($B{row}/${threshold}{row})^2", f"${_rise_column(member)}{row}")
        power = f"({constants})^{ENSEMBLE[member].spread}"
        return Formula(f'=IFERROR(IF(ISNUMBER(${threshold}{row}),$C{row}/{power},""),"")')

    def asked(self, question: Question) -> Iterator[Formula]:
        """One question's answers by this point; empty where the current is unknown."""
        row, at_c = self.row, question.ambient
        current = question.current or self.corners.cell("fault_low", self.candidate)
        guarantees = self.point.kind is Kind.MAX
        sure = f'IF(AND($B{row}<={current},$D{row}<={at_c}+{SAME_AMBIENT_K:g}),$C{row},"")'
        least = f'IF(AND($B{row}>={current},$D{row}>={at_c}-{SAME_AMBIENT_K:g}),$C{row},"")'
        yield self._known(sure if guarantees else '""', current)
        yield self._known(least if guarantees else '""', current)
        for formula in self._models(question, current):
            yield self._known(formula, current)
        told = f"{self._cell(question, MODEL_PARTS[0])}:{self._cell(question, MODEL_PARTS[-1])}"
        for function in ("MIN", "MAX"):
            yield self._known(f'IF(COUNT({told})>0,{function}({told}),"")', current)

    def _known(self, formula: str, current: str) -> Formula:
        return Formula(f'=IFERROR(IF(ISNUMBER({current}),{formula},""),"")')

    def _barred(self) -> bool:
        """Whether hold or trip at a point's ambient may not be used, or hold is unknown: then no model
        holds."""
        derating = self.case.derating
        numbers = [number for point in self.case.trip_times.points
                   for number in (derating.hold(point.ambient_c), derating.trip(point.ambient_c))]
        return any(one.value is None for one in numbers[::2]) or any(
            one.value is None and one.readings for one in numbers)

    def _cell(self, question: Question, part: str) -> str:
        return f"${self.model.columns[f'{question.name}_{part}']}{self.row}"

    def _models(self, question: Question, current: str) -> Iterator[str]:
        """For each member: without loss, hold as threshold, trip as threshold."""
        if self._barred():
            yield from ['"doubtful"'] * len(MODEL_PARTS)
            return
        for member in MEMBERS:
            yield from self._member(question, current, member)

    def _member(self, question: Question, current: str, member: int) -> Iterator[str]:
        row, rise = self.row, rise_name(member, question.hot)
        there = f"${_rise_column(member)}{row}"
        way = (f"((in_switching_temperature_c-{question.ambient})/(in_switching_temperature_c-$D{row}))"
               if ENSEMBLE[member].rise_per_k == 0.0 else f"(LN(1+{rise})/LN(1+{there}))")
        held_a = self.corners.cell("hold_hot" if question.hot else "hold_cold", self.candidate)
        fits = f"AND({member_ok(member, question.ambient)},{member_ok(member, f'$D{row}')})"

        def told(formula: str) -> str:
            return f'IF(AND(ISNUMBER({held_a}),{current}<={held_a}),{NEVER},IF({fits},{formula},""))'

        spread = ENSEMBLE[member].spread
        yield told(f"$C{row}*(($B{row}/{current})^2*{way})^{spread}")
        for place, key in enumerate(THRESHOLDS):
            here = self.corners.cell(f"{key}_hot" if question.hot else f"{key}_cold", self.candidate)
            tau = f"${get_column_letter(TAU_COLUMN + place * len(ENSEMBLE) + member)}{row}"
            load = f"({question.preload}/{here})^2" if question.preload else "0"
            time = f"MIN({NEVER},{tau}*({_constants(f'({current}/{here})^2', rise, load)})^{spread})"
            known = f"AND(ISNUMBER({tau}),ISNUMBER({here}),N({here})>0)"
            # without a trip current nothing says that the part trips at all
            unsure = key == "trip" and self.case.derating.trip(self.point.ambient_c).value is None
            otherwise = f'IF({current}<$B{row},{NEVER},"")' if unsure else '""'
            yield told(f"IF({known},{time},{otherwise})")


RISE_COLUMN = 8
TAU_COLUMN = RISE_COLUMN + len(ENSEMBLE)


def _rise_column(member: int) -> str:
    return get_column_letter(RISE_COLUMN + member)


def _words(part: str) -> str:
    name = part.rstrip("0123456789")
    return WORDS[name] if name == part else f"model {int(part[len(name):]) + 1}, {WORDS[name]}"


def _constants(over: str, rise: str, load: str = "0") -> str:
    """As `thermal.constants_rising`; a series where the logarithm of nearly 1 would lose its digits."""
    gain = f"((1-({load})/(1+{rise}*(1-({load}))))/({over}-1))"
    slope = f"(1-{over}*{rise}/(1+{rise}))"
    time = (f"IF(ABS({slope}*{gain})<0.00001,{gain}*(1-{slope}*{gain}/2),LN(1+{slope}*{gain})/{slope})")
    return f"IF({load}>=1,0,IF({over}<=1,{NEVER},{time}))"


def question_to_aggregates(question: Question, model: ModelRows, states: Sequence[str]) -> dict[str, str]:
    """Formula texts that gather a question's answers over the points of a part, by key of Corners.

    states: addresses of the states of hold and trip at the question's ambient; a disputed one bars models,
    and so does an ambient without a hold current.
    """
    if model.last < model.first:
        return dict.fromkeys(("sure", "least", "low", "high"), '""')
    times = model.block(question, MODEL_PARTS[0], MODEL_PARTS[-1])
    sure, least = model.block(question, "sure"), model.block(question, "least")
    disputed = "".join(f',{state}="disputed"' for state in states)
    sound = (f'AND(COUNT({times})>0,{states[0]}="number",'
             f'NOT(OR(COUNTIF({times},"doubtful")>0{disputed})))')
    high = f"MIN({model.block(question, 'high')})"
    low = f"MIN(MAX({model.block(question, 'low')}),{high})"
    wide = f"OR({low}<=0,{high}>={low}*{LEAST_BAND:g})"
    return {
        "sure": f'IF(COUNT({sure})>0,MIN({sure}),"")',
        "least": f'IF(COUNT({least})>0,MAX({least}),"")',
        "low": f'IF({sound},IF({wide},{low},SQRT({low}*{high}/{LEAST_BAND:g})),"")',
        "high": f'IF({sound},IF({wide},{high},SQRT({low}*{high}*{LEAST_BAND:g})),"")',
    }


