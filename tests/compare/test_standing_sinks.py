"""Trust may only sink: no margin, verdict, headline or JSON field claims more than its worst input.

What a margin rests on is not asked of the program but found out: a reading is moved by one per cent, and
every margin that moves with it rests on it.
"""

import json
from collections.abc import Callable
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from compare.candidates_json import ranking_to_json
from compare.explain import candidate_to_sentence
from compare.ranking import parts_to_ranking
from compare.records import STANDING_OF_BASIS, Basis, Candidate, Margin, Verdict
from compare.report_content import ranking_to_record
from compare.requirement import MODELS, Requirement
from extract.schema import Kind, Part, Quantity, Reading, Status
from extract.standing import STANDING_RANK, Standing, lowest, status_to_standing

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]
EVERYTHING = """
[hot_plug]
capacitance_f = 1e-3
resistance_ohm = 0.4
[wire]
awg = 24
insulation_max_c = 150
ampacity_a = 4
[track]
width_mm = 1.5
copper_um = 35
layer = "outer"
temperature_rise_max_k = 30
[endurance]
trips_per_month = 1
service_years = 5
[limited_power_source]
standard = "iec_60950_1"
measured_after_s = 60
"""
USABLE = [status for status in Status if status is not Status.DISPUTED]


@st.composite
def requirements(draw: st.DrawFn) -> dict[str, object]:
    """What a requirement asks, in fields."""
    fields: dict[str, object] = {
        "normal_current_a": draw(st.floats(0.1, 0.6)), "ambient_cold_c": draw(st.sampled_from([-30.0, -20.0,
                                                                                               5.5, 23.0])),
        "ambient_hot_c": draw(st.sampled_from([23.0, 41.5, 60.0])),
        "supply_voltage_min_v": draw(st.floats(6.0, 12.0)),
        "peak_current_a": draw(st.floats(0.7, 9.0)), "peak_duration_s": draw(st.floats(1e-3, 1.0)),
        "trip_time_max_s": draw(st.floats(0.05, 30.0)), "trip_current_max_a": 4.0, "leakage_max_a": 0.3,
        "voltage_drop_max_v": draw(st.floats(0.1, 0.6)), "load_resistance_ohm": 40.0,
        "reset": draw(st.sampled_from(["self", "latched"])), "transient_voltage_v": 14.0,
        "transient_source_resistance_ohm": 0.8, "allow_model": draw(st.booleans()),
    }
    if draw(st.booleans()):
        fields |= {"fault_current_min_a": "", "fault_current_max_a": "", "source_resistance_min_ohm": 0.2,
                   "source_resistance_max_ohm": draw(st.floats(0.2, 3.0))}
    return fields


@st.composite
def parts(draw: st.DrawFn, make_part: MakePart, make_reading: MakeReading, row: dict[float, float]) -> Part:
    """A part with numbers of every standing, its times at one or two currents, by percent or by amps."""
    more = [make_reading(Quantity.TRIPPED_POWER, 1.0, Kind.MAX),
            make_reading(Quantity.TIME_TO_TRIP, 2.0, test_a=4.0,
                         ambient_c=draw(st.sampled_from([None, 23.0])))]
    by_amps = draw(st.booleans())
    part = make_part(ratios=None if by_amps else row, more=more[:draw(st.integers(0, 2))],
                     hold_row={c: 0.75 * share for c, share in row.items() if c != 23.0} if by_amps else None,
                     trip_ratios=row if draw(st.booleans()) else None, power_typ=draw(st.sampled_from([0,
                                                                                                       0.8])))
    statuses = [draw(st.sampled_from(USABLE)) for _ in part.readings]
    return replace(part, readings=tuple(
        replace(one, status=status) for one, status in zip(part.readings, statuses, strict=True)))


def judge(part: Part, requirement: Requirement) -> Candidate:
    return parts_to_ranking([part], requirement).candidates[0]


def moved(one: Margin, other: Margin) -> bool:
    """Whether a margin with a number became another number."""
    return one.value is not None and other.value is not None and (
        (one.value, one.limit, one.margin) != (other.value, other.limit, other.margin))


@settings(max_examples=40)
@given(data=st.data())
def test_no_margin_stands_better_than_what_moves_it(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, row_a: dict[float,
                                                                                                   float],
    data: st.DataObject,
) -> None:
    """Each reading in turn: the margins that move with it stand no better than it does."""
    part = data.draw(parts(make_part, make_reading, row_a))
    requirement = make_requirement(EVERYTHING, **data.draw(requirements()))
    before = judge(part, requirement)
    for place, reading in enumerate(part.readings):
        other = (*part.readings[:place], replace(reading, value=reading.value * 1.01),
                 *part.readings[place + 1:])
        after = judge(replace(part, readings=other), requirement)
        worth = STANDING_RANK[status_to_standing(reading.status)]
        for one, two in zip(before.margins, after.margins, strict=True):
            if moved(one, two):
                assert one.standing is not None
                assert STANDING_RANK[one.standing] >= worth, f"{one.name} rests on {reading}"
                assert any((r.quantity, r.kind, r.ambient_c, r.test_current_a) == (
                    reading.quantity, reading.kind, reading.ambient_c, reading.test_current_a)
                    for r in one.readings), f"{one.name} does not name {reading}"


@settings(max_examples=60)
@given(data=st.data())
def test_every_output_says_what_it_rests_on(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, row_a: dict[float,
                                                                                                   float],
    data: st.DataObject,
) -> None:
    """Assumptions weaken the basis, the JSON and the headline repeat it, and a model never fits unasked."""
    requirement = make_requirement(EVERYTHING, **data.draw(requirements()))
    ranking = parts_to_ranking([data.draw(parts(make_part, make_reading, row_a))], requirement)
    (candidate,), (row,) = ranking.candidates, json.loads(ranking_to_json(ranking))
    standings = []
    for margin, told in zip(candidate.margins, row["margins"], strict=True):
        worst = lowest([*(status_to_standing(one.status) for one in margin.readings),
                        *([STANDING_OF_BASIS[margin.basis]] if margin.basis is not Basis.DATA else []),
                        Standing.PERSON])
        assert told["standing"] == (margin.standing and margin.standing.value)
        assert margin.standing is None or margin.standing is worst
        assert told["basis"] == margin.basis.value
        standings += [margin.standing] if margin.standing is not None else []
        if margin.value is not None and margin.assumed:
            assert margin.basis in (Basis.ASSUMED, Basis.MODEL), margin
        if margin.basis is Basis.MODEL and margin.verdict is Verdict.FITS:
            assert requirement.models_allowed == MODELS
    assert row["standing"] == lowest(standings)
    sentence = candidate_to_sentence(candidate)
    if candidate.verdict is Verdict.FITS and candidate.limiting.basis is Basis.MODEL:
        assert "by a model" in sentence
    if candidate.verdict is Verdict.FITS and candidate.limiting.basis is Basis.ASSUMED:
        assert "assumption" in sentence
    record = ranking_to_record(ranking)
    seen = all(one.status in (Status.ACCEPTED, Status.CORRECTED)
               for margin in candidate.margins for one in margin.readings)
    assert ("NOT been reviewed" in record.reviewed) is not seen


HARDER: dict[str, Callable[[float], float]] = {
    "normal_current_a": lambda a: a * 1.15, "ambient_hot_c": lambda c: c + 7.0,
    "ambient_cold_c": lambda c: c - 7.0, "supply_voltage_min_v": lambda v: v * 0.9,
    "trip_time_max_s": lambda s: s * 0.8, "trip_current_max_a": lambda a: a * 0.8,
    "voltage_drop_max_v": lambda v: v * 0.8, "leakage_max_a": lambda a: a * 0.8,
    "peak_current_a": lambda a: a * 1.2, "peak_duration_s": lambda s: s * 1.5,
    "source_resistance_max_ohm": lambda ohm: ohm * 1.3, "source_resistance_min_ohm": lambda ohm: ohm * 0.7,
    "transient_source_resistance_ohm": lambda ohm: ohm * 0.7, "transient_voltage_v": lambda v: v * 1.2,
}
"""What makes a requirement harder to meet."""


@settings(max_examples=60)
@given(data=st.data())
def test_a_harder_requirement_never_makes_a_margin_fit(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, row_a: dict[float,
                                                                                                   float],
    data: st.DataObject,
) -> None:
    """Asking more of a part, in one field at a time, turns no margin that did not fit into one that does."""
    part, fields = data.draw(parts(make_part, make_reading, row_a)), data.draw(requirements())
    before = judge(part, make_requirement(EVERYTHING, **fields))
    for name, harder in HARDER.items():
        if isinstance(fields.get(name), float):
            value = harder(fields[name])  # type: ignore[arg-type]
            after = judge(part, make_requirement(EVERYTHING, **{**fields, name: value}))
            for one, two in zip(before.margins, after.margins, strict=True):
                assert one.verdict is Verdict.FITS or two.verdict is not Verdict.FITS, f"{name} {one} {two}"
