"""Margins that rest on a time to trip, as formulas: time to trip, inrush, hot plug.

Comes in: a margin as judged and where it shall stand. Goes out: its formulas over the corners, which gather
the answers of the sheet Trip model. They say what `judging.time_to_answer` and `margins_trip` say.
"""

from __future__ import annotations

from typing import NamedTuple

from compare.judging import MODEL_NOT_ALLOWED
from compare.margins_trip import LOAD_ALONE
from compare.records import Sense, Source
from compare.sheet_trip_model import IS_NEVER
from compare.trip_time import MODEL_NOTE
from compare.workbook_cells import Cells, Row, met, rounded, text
from compare.workbook_inputs import input_name, requirement_to_inputs, same_name, supply_cap
from extract.schema import Kind, Quantity

CHANGED = "an input it rests on has changed: compare again with the program"
TIMED = frozenset({"inrush", "hot_plug", "time_to_trip"})


def time_to_trip_cells(row: Row) -> Cells:
    """As `judging.time_to_answer`: first what the sheet guarantees, then the models."""
    sure, least, low, high = (row.at(f"time_to_trip_{key}") for key in ("sure", "least", "low", "high"))
    limit = row.limit
    typical = not any(point.kind is Kind.MAX for point in row.case.trip_times.points)
    is_sure = f"IF(ISNUMBER({sure}),{met(sure, limit, Sense.AT_MOST)},FALSE)"
    too_long = f"IF(ISNUMBER({least}),NOT({met(least, limit, Sense.AT_MOST)}),FALSE)"
    never = f"{high}>={IS_NEVER}"
    fits = '"fits"' if row.case.requirement.allows("time") else '"undetermined"'
    over = '"undetermined"' if typical else f'IF({low}>{limit},"fails","undetermined")'
    band = '"undetermined"' if typical else (
        f'IF({low}>{limit},"fails",IF({high}<={limit},{fits},"undetermined"))')
    model = f'IF(ISNUMBER({low}),IF({never},{over},{band}),"undetermined")'
    if row.case.trip_times.drawn is not None:
        return _where_drawn(row, Branch(f"OR({is_sure},{too_long})", f"IF({is_sure},{sure},{least})",
                                        f'IF({is_sure},"fits","fails")', _by_table(row)),
                            input_name("trip_time_max_s"))
    return Cells(
        value=f'IF({is_sure},{sure},IF({too_long},{least},IF(ISNUMBER({high}),IF({never},"",{high}),"")))',
        limit=input_name("trip_time_max_s"),
        verdict=f'IF(ISNUMBER({row.at("fault_low")}),IF({is_sure},"fits",IF({too_long},"fails",{model})),'
                f'"undetermined")',
        margin=f'IF(ISNUMBER({row.value}),{limit}/{row.value},IF(ISNUMBER({high}),IF({never},0,""),""))',
        basis=by_fault(row, f'IF(OR({is_sure},{too_long}),{_by_table(row)},IF(ISNUMBER({low}),"model",""))'),
        note=_time_note(row, f"OR({is_sure},{too_long})", typical), assumed=_of_the_model(row))


class Branch(NamedTuple):
    """What decides before any drawn curve is asked, as texts of formulas: whether it does, its value, its
    verdict, its basis, its note."""

    decides: str
    value: str
    verdict: str
    basis: str
    note: str = '""'


def _where_drawn(row: Row, live: Branch, limit: str, unit: str = "") -> Cells:
    """A margin that follows the inputs as long as the tables decide; where a drawn curve is asked, what was
    stated, as long as nothing that it rests on has changed: the workbook holds no curve."""
    same, r, margin = same_name(row.margin.name), row.row, row.margin
    stated = f"IF({same},{{}},{{}})"
    over, under = (row.value, row.limit) if margin.sense is Sense.AT_LEAST else (row.limit, row.value)
    ratio = f'IF({same},IF(ISNUMBER($T{r}),$T{r},""),"")'
    basis = text(margin.basis.value) if margin.value is not None or margin.margin is not None else '""'
    return Cells(
        value=f'IF({live.decides},{live.value},IF(AND({same},ISNUMBER($R{r})),$R{r},""))',
        limit=limit,
        verdict=f'IF({live.decides},{live.verdict},{stated.format(f"$U{r}", text("recompute"))})',
        margin=f'IF({live.decides},{over}/{under},{ratio})',
        basis=f'IF({live.decides},{live.basis},{stated.format(basis, _empty())})',
        note=f'IF({live.decides},{live.note},{stated.format(f"$V{r}", text(CHANGED))})',
        unit=unit, assumed=_of_the_model(row))


def _empty() -> str:
    return '""'


def _by_table(row: Row) -> str:
    """What a tabulated time is worth: assumed where the sheet does not state its ambient."""
    at_hot = row.case.trip_times.at(1.0, row.case.requirement.hottest_c)
    return '"assumed"' if at_hot.assumed else '"data"'


def _of_the_model(row: Row) -> str:
    return f'IF($K{row.row}="","",$X{row.row})'


def by_fault(row: Row, basis: str) -> str:
    """A basis, weakened where the lowest fault is what a supply of unstated tolerance drives into a short."""
    requirement = row.case.requirement
    if requirement.supply_short_current_a is None or requirement.supply_limit_tolerance is not None:
        return basis
    given = frozenset(one.field for one in requirement_to_inputs(requirement))
    firm = f'OR({basis}="data",{basis}="interpolated")'
    return f'IF(AND({firm},{row.at("fault_low")}={supply_cap(given)}),"assumed",{basis})'


def row_to_readings(row: Row) -> tuple[Source, ...]:
    """The cells and curves a margin rests on, or may rest on when the inputs change."""
    if row.margin.name not in TIMED:
        return (*row.margin.readings, *row.margin.curves)
    numbers = row.case.numbers
    tabulated = [reading for point in row.case.trip_times.points for reading in point.readings]
    resistances = [numbers.number(Quantity.RESISTANCE, kind) for kind in (Kind.MIN, Kind.POST_TRIP_MAX)]
    spread = [reading for number in resistances if number is not None for reading in number.readings]
    return (*row.margin.readings, *row.margin.curves, *tabulated,
            *(spread if row.margin.name != "time_to_trip" else ()))


def row_to_assumptions(row: Row) -> tuple[str, ...]:
    """What a timed margin assumes as soon as it rests on a model."""
    return (*row.margin.assumed, MODEL_NOTE) if row.margin.name in TIMED else ()


def _time_note(row: Row, by_data: str, typical: bool) -> str:
    low, high, limit = row.at("time_to_trip_low"), row.at("time_to_trip_high"), row.limit
    never = (f'IF({low}>={IS_NEVER},"the part does not trip at this current",'
             f'"the part may never trip at this current")')
    if typical:
        band = '"typical curve only: it guarantees nothing"'
    else:
        fits = '""' if row.case.requirement.allows("time") else text(MODEL_NOT_ALLOWED)
        spans = f'"the models say "&{rounded(low, 3)}&" to "&{rounded(high, 3)}&" s"'
        band = f'IF({low}>{limit},"",IF({high}<={limit},{fits},{spans}))'
    missing = f"$V{row.row}" if row.margin.value is None and row.margin.margin is None else '""'
    return f'IF({by_data},"",IF(ISNUMBER({low}),IF({high}>={IS_NEVER},{never},{band}),{missing}))'


def pulse_cells(row: Row) -> Cells:
    """As `margins_trip._holds_pulse`: the hold current first, then the shortest time by the models."""
    name = row.margin.name
    question = next(one for one in row.corners.questions if one.name == name)
    sure, low, high = (row.at(f"{name}_{key}") for key in ("sure", "low", "high"))
    held, current, duration = row.at("hold_hot"), question.current, question.duration
    holds = f"IF(ISNUMBER({held}),{current}<={held},FALSE)"
    overloaded = f"IF(ISNUMBER({held}),NOT({met(held, question.preload, Sense.AT_LEAST)}),FALSE)"
    unknown = f"IF(ISNUMBER({held}),{question.preload}>={held},TRUE)"
    trips = f"IF(ISNUMBER({sure}),{sure}<={duration},FALSE)"
    r_min, r_1max = row.at("r_min"), row.at("r_1max")
    spread_known = f"AND(ISNUMBER({r_min}),ISNUMBER({r_1max}),{r_min}>0,{r_1max}>0)"
    modelled = f"AND(ISNUMBER({held}),ISNUMBER({low}),{spread_known})"
    shortest = f"{low}*MIN(1,{r_min}/{r_1max})"
    never = f"{low}>={IS_NEVER}"
    allow = row.case.requirement.allows("time")
    fits = '"fits"' if allow else '"undetermined"'
    by_model = f'IF({shortest}>={duration},{fits},IF({high}>={duration},"undetermined","fails"))'
    spread_note = f'IF({high}>={duration},"some parts may trip, others not","")'
    shown = '""' if allow else text(MODEL_NOT_ALLOWED)
    missing = f"$V{row.row}" if row.margin.value is None else '"the data do not tell here"'
    if row.case.trip_times.drawn is not None:
        live = Branch(
            f"OR({holds},AND(NOT({unknown}),{trips}))", f"IF({holds},{held},{sure})",
            f'IF({holds},"fits","fails")',
            f'IF({holds},{row.line("I", "hold_hot_row")},{_by_table(row)})',
            f'IF({holds},"","the sheet guarantees a trip within the pulse")')
        return _where_drawn(row, live, f"IF({holds},{current},{duration})", f'IF({holds},"A","s")')
    loaded = (f'IF(ISNUMBER({held}),{text(LOAD_ALONE)},'
              f'{row.line("J", "hold_hot_row")})')
    return Cells(
        value=f'IF(OR({holds},{overloaded}),{held},IF({unknown},"",IF({trips},{sure},'
              f'IF({modelled},IF({never},"never trips",{shortest}),""))))',
        limit=f"IF({holds},{current},IF({overloaded},{question.preload},{duration}))",
        verdict=f'IF({holds},"fits",IF({overloaded},"fails",IF({unknown},"undetermined",IF({trips},"fails",'
                f'IF({modelled},{by_model},"undetermined")))))',
        basis=f'IF(OR({holds},{overloaded}),{row.line("I", "hold_hot_row")},'
              f'IF({unknown},"",IF({trips},{_by_table(row)},'
              f'IF({modelled},"model",""))))',
        note=f'IF({holds},"",IF({unknown},{loaded},IF({trips},'
             f'"the sheet guarantees a trip within the pulse",IF({modelled},'
             f'IF({shortest}>={duration},{shown},{spread_note}),{missing}))))',
        unit=f'IF(OR({holds},{overloaded}),"A","s")', assumed=_of_the_model(row))
