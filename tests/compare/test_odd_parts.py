"""Whatever a sheet says, a comparison ends with a verdict, never with a traceback, and never fits on
nonsense.
"""

import json
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compare.candidates_json import ranking_to_json
from compare.explain import candidate_to_gaps, candidate_to_sentence, ranking_to_gap
from compare.ranking import parts_to_ranking
from compare.records import Verdict
from compare.requirement import Requirement
from extract.schema import UNIT_OF, Kind, Part, Quantity, Reading, Status

MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]

VALUES = st.one_of(st.sampled_from([0.0, -1.0, 1e-12, 1e12, 1.0]), st.floats(1e-3, 200.0))
AMBIENTS = st.one_of(
    st.none(), st.sampled_from([-40.0, -20.0, 0.0, 20.0, 23.0, 25.0, 60.0, 85.0, 125.0, 130.0])
)
READINGS = st.lists(
    st.tuples(
        st.sampled_from(list(Quantity)),
        st.sampled_from(list(Kind)),
        AMBIENTS,
        st.one_of(st.none(), VALUES),
        VALUES,
        st.sampled_from(list(Status)),
        st.sampled_from(["P1", "*"]),
    ),
    max_size=30,
)
EVERYTHING = """
[hot_plug]
capacitance_f = 1e-4
resistance_ohm = 0.1
[wire]
awg = 24
insulation_max_c = 150
ampacity_a = 2
[track]
width_mm = 1
copper_um = 35
layer = "outer"
temperature_rise_max_k = 20
[endurance]
trips_per_month = 0
service_years = 5
[limited_power_source]
standard = "iec_60950_1"
measured_after_s = 5
[[damage_curve]]
current_a = 1
time_s = 100
[[damage_curve]]
current_a = 100
time_s = 0.01
"""
ASKED = {
    "ambient_cold_c": -20.0,
    "ambient_hot_c": 60.0,
    "trip_time_max_s": 1.0,
    "peak_current_a": 3.0,
    "peak_duration_s": 0.01,
    "voltage_drop_max_v": 0.2,
    "leakage_max_a": 0.1,
    "reset": "latched",
    "load_resistance_ohm": 20.0,
    "trip_current_max_a": 5.0,
    "transient_voltage_v": 30.0,
    "allow_model": True,
    "fault_current_min_a": "",
    "fault_current_max_a": "",
    "source_resistance_min_ohm": 0.0,
    "source_resistance_max_ohm": 1.0,
}


@settings(max_examples=150)
@given(rows=READINGS)
def test_any_part_gets_a_verdict(
    make_reading: MakeReading, make_requirement: MakeRequirement, rows: list[tuple[object, ...]]
) -> None:
    """Zero, negative, huge, missing, disputed and doubled numbers alike; the JSON stays JSON."""
    readings = tuple(
        make_reading(quantity, value, kind, ambient_c=ambient, test_a=test, status=status, number=owner)
        for quantity, kind, ambient, test, value, status, owner in rows
    )
    ranking = parts_to_ranking(
        [Part("P1", "odd.pdf", "0" * 64, readings)], make_requirement(EVERYTHING, **ASKED)
    )
    (candidate,) = ranking.candidates
    json.loads(ranking_to_json(ranking), parse_constant=pytest.fail)
    assert candidate_to_sentence(candidate)
    candidate_to_gaps(candidate)
    ranking_to_gap(ranking)
    for margin in candidate.margins:
        disputed = any(reading.status is Status.DISPUTED for reading in margin.readings)
        assert not (disputed and margin.verdict is Verdict.FITS)


@pytest.mark.parametrize("quantity", list(Quantity))
@pytest.mark.parametrize("value", [0.0, -1.0])
def test_no_part_fits_on_nonsense(
    make_reading: MakeReading, make_requirement: MakeRequirement, quantity: Quantity, value: float
) -> None:
    """A part that says nothing but one impossible number does not fit."""
    kinds = (Kind.MAX, Kind.MIN, Kind.POST_TRIP_MAX, Kind.NONE)
    readings = tuple(make_reading(quantity, value, kind, ambient_c=23.0, test_a=8.0) for kind in kinds)
    ranking = parts_to_ranking(
        [Part("P1", "odd.pdf", "0" * 64, readings)], make_requirement(EVERYTHING, **ASKED)
    )
    assert UNIT_OF[quantity]
    assert ranking.winner is None
