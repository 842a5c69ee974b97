"""The sheet Trip model: times to trip by what is tabulated and by three models, as formulas.

Comes in: cases and the questions of the requirement. Goes out: one row for each tabulated point of each part
with, for each question, what it guarantees and what each model says; and the formulas that gather them in
Corners. The same formulas as `thermal` and `trip_time`: cold and preloaded form of IEC 60255-149 with hold
and with trip current as threshold, and the adiabatic estimate. Never is written as 1E+99 s.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from compare.corners import Case
from compare.derating import SAME_AMBIENT_K
from compare.thermal import tau_from_point_s
from compare.trip_time import PlacedPoint
from compare.workbook_corners import TIME_FORMAT, Corners
from compare.workbook_look import Column, Formula, Value, finish, put_table, put_title
from compare.workbook_questions import Question
from extract.schema import Kind

NEVER = "1E+99"
IS_NEVER = "1E+98"
"""Times from here on mean never."""
STATIC = (
    Column("Part", 20), Column("Test current, A", 10, "General"), Column("Longest time, s", 10, "General"),
    Column("Ambient, °C", 10, "General"), Column("Kind", 7), Column("Hold there, A", 10, "0.0000"),
    Column("Time constant with hold, s", 11, "0.0000"), Column("Trip there, A", 10, "0.0000"),
    Column("Time constant with trip, s", 11, "0.0000"),
)
PARTS = ("sure", "least", "used", "adiabatic", "hold", "trip")
WORDS = {"sure": "guaranteed, s", "least": "not below, s", "used": "point used", "adiabatic": "adiabatic, s",
         "hold": "hold as threshold, s", "trip": "trip as threshold, s"}


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
    columns = (*STATIC, *(Column(f"{question.title}: {WORDS[part]}", 11, TIME_FORMAT)
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
        point, derating = self.point, self.case.derating
        known: list[Value] = []
        for number in (derating.hold(point.ambient_c), derating.trip(point.ambient_c)):
            tau_s = None if number.value is None else tau_from_point_s(
                point.time_s, point.current_a, number.value)
            known += [None, None] if tau_s is None else [number.value, tau_s]
        return [self.case.numbers.part.part_number, point.current_a, point.time_s, point.ambient_c,
                "typ" if point.kind is Kind.TYP else "max", *known]

    def asked(self, question: Question) -> Iterator[Formula]:
        """One question's answers by this point; empty where the current is unknown."""
        row, at_c = self.row, question.ambient
        current = question.current or self.corners.cell("fault_low", self.candidate)
        guarantees = self.point.kind is Kind.MAX
        sure = f'IF(AND($B{row}<={current},$D{row}<={at_c}+{SAME_AMBIENT_K:g}),$C{row},"")'
        least = f'IF(AND($B{row}>={current},$D{row}>={at_c}-{SAME_AMBIENT_K:g}),$C{row},"")'
        yield self._known(sure if guarantees else '""', current)
        yield self._known(least if guarantees else '""', current)
        yield self._known(self._used(current), current)
        for formula in self._models(question, current):
            yield self._known(f'IF({self._cell(question, "used")},{formula},"")', current)

    def _known(self, formula: str, current: str) -> Formula:
        return Formula(f'=IFERROR(IF(ISNUMBER({current}),{formula},""),"")')

    def _disputed(self) -> bool:
        """Whether hold or trip at a point's ambient was read but may not be used: then no model holds."""
        derating = self.case.derating
        return any(number.value is None and number.readings for point in self.case.trip_times.points
                   for number in (derating.hold(point.ambient_c), derating.trip(point.ambient_c)))

    def _cell(self, question: Question, part: str) -> str:
        return f"${self.model.columns[f'{question.name}_{part}']}{self.row}"

    def _used(self, current: str) -> str:
        """Whether this is the nearest point at a current not larger, or the next above."""
        block = f"$B${self.model.first}:$B${self.model.last}"
        below = f"SUMPRODUCT(--({block}<={current}))"
        if self.position == 1:
            return f"OR({below}=1,{below}=0)"
        exact = f"INDEX({block},{self.position - 1})={current}"
        return f"OR({below}={self.position},AND({below}={self.position - 1},NOT({exact})))"

    def _models(self, question: Question, current: str) -> Iterator[str]:
        """Adiabatic, hold as threshold, trip as threshold."""
        row, at_c = self.row, question.ambient
        way = f"((in_switching_temperature_c-{at_c})/(in_switching_temperature_c-$D{row}))"
        adiabatic = f"$C{row}*($B{row}/{current})^2*{way}"
        held_a = self.corners.cell("hold_hot" if question.hot else "hold_cold", self.candidate)
        held = f"AND(ISNUMBER({held_a}),{current}<={held_a})"
        if self._disputed():
            yield from ['"doubtful"'] * 3
            return
        yield f"IF({held},{NEVER},{adiabatic})"
        for key, known, tau in (("hold", "F", "G"), ("trip", "H", "I")):
            here = self.corners.cell(f"{key}_hot" if question.hot else f"{key}_cold", self.candidate)
            threshold = f"IF(ISNUMBER({here}),{here},${known}{row}*SQRT(MAX(0,{way})))"
            time = _relay_time(current, threshold, f"${tau}{row}", question.preload)
            # without a trip current nothing says that the part trips at all
            unsure = key == "trip" and self.case.derating.trip(self.point.ambient_c).value is None
            otherwise = f'IF({current}<$B{row},{NEVER},"")' if unsure else '""'
            yield f"IF({held},{NEVER},IF(ISNUMBER(${tau}{row}),{time},{otherwise}))"


def _relay_time(current: str, threshold: str, tau: str, preload: str) -> str:
    """Thermal relay time, IEC 60255-149: preloaded form, or cold without a load before."""
    if preload:
        time = f"{tau}*LN(1+(({threshold})^2-{preload}^2)/({current}^2-({threshold})^2))"
        return f"IF({preload}>={threshold},0,IF({current}<={threshold},{NEVER},{time}))"
    return f"IF({current}<={threshold},{NEVER},-{tau}*LN(1-(({threshold})/{current})^2))"


def question_to_aggregates(question: Question, model: ModelRows, states: Sequence[str]) -> dict[str, str]:
    """Formula texts that gather a question's answers over the points of a part, by key of Corners.

    states: addresses of the states of hold and trip at the question's ambient; a disputed one bars models.
    """
    if model.last < model.first:
        return dict.fromkeys(("sure", "least", "low", "high"), '""')
    times = model.block(question, "adiabatic", "trip")
    sure, least = model.block(question, "sure"), model.block(question, "least")
    disputed = "".join(f',{state}="disputed"' for state in states)
    sound = f'AND(COUNT({times})>0,NOT(OR(COUNTIF({times},"doubtful")>0{disputed})))'
    return {
        "sure": f'IF(COUNT({sure})>0,MIN({sure}),"")',
        "least": f'IF(COUNT({least})>0,MAX({least}),"")',
        "low": f'IF({sound},MIN({times}),"")',
        "high": f'IF({sound},MAX({times}),"")',
    }


