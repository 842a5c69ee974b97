"""Arrays, intervals and single parts say the same of every margin.

The single part is the statement that all others are held against: each part and requirement at random, with
every odd thing that a table may say (tests/holdtrip/many_parts.py).
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compare.columns.best import columns_to_best, judged_to_order
from compare.columns.judged import STEADY, TIMED, columns_to_judged
from compare.columns.judging import without_dust
from compare.columns.part_columns import parts_to_columns
from compare.judging import without_dust as one_without_dust
from compare.margins import QUESTIONS
from compare.ranking import parts_to_ranking
from compare.records import BASIS_RANK, VERDICT_RANK, Verdict
from compare.requirement import (
    DamagePoint,
    Endurance,
    HotPlug,
    LimitedPower,
    Requirement,
    Track,
    Wire,
)
from extract.schema import (
    WHOLE_SERIES,
    ChartName,
    Curve,
    Kind,
    Part,
    Particular,
    ParticularName,
    Place,
    Quantity,
    Reading,
    SheetReading,
    Status,
)
from tests.holdtrip.many_parts import random_requirement, random_sheet

SEEDS = st.integers(min_value=0, max_value=10**6)
NEAR = 1e-9


def seed_to_parts(seed: int, count: int = 25) -> tuple[Part, ...]:
    """Random parts, with interrupt ratings, several times to trip and powers of every kind as well."""
    chance = Random(seed)
    sheet = random_sheet(chance, f"qx{seed}.pdf", count)
    if chance.random() < 0.6:
        sheet = replace(sheet, readings=tuple(replace(one, status=Status.AGREED) for one in sheet.readings))
    series = tuple(one for one in sheet.readings if one.part_number == WHOLE_SERIES)
    numbers = dict.fromkeys(one.part_number for one in sheet.readings if one.part_number != WHOLE_SERIES)
    return tuple(
        Part(number, sheet.document, sheet.sha256,
             (*(one for one in sheet.readings if one.part_number == number), *series,
              *more_readings(chance, sheet.readings[0], number)),
             tuple(one for one in sheet.texts if one.part_number == number),
             tuple(more_said(chance, sheet.readings[0], number)),
             tuple(more_drawn(chance, sheet, number, seed)))
        for number in numbers)


def more_drawn(chance: Random, sheet: SheetReading, number: str, seed: int) -> Iterator[Curve]:
    """In every third library, for half of the parts, a curve of trip times, some disputed or without
    ambient."""
    if seed % 3 == 0 and chance.random() < 0.5:
        slow = chance.choice((0.2, 1.0, 6.0))
        yield Curve(sheet.document, sheet.sha256, number, ChartName.TIME_TO_TRIP, Kind.TYP,
                    chance.choice((None, 23.0, 25.0)), ((1.0, 20.0 * slow), (8.0, 0.4 * slow), (60.0, 0.01)),
                    chance.choice((Status.AGREED, Status.AGREED, Status.DISPUTED)),
                    Place(1, 0.0, 0.0, 1.0, 1.0), "A", 0.02, 0.02)


def more_readings(chance: Random, like: Reading, number: str) -> list[Reading]:
    """What random sheets leave out."""
    said: list[tuple[Quantity, Kind, float | None, float | None, float]] = []
    if chance.random() < 0.4:
        said.append((Quantity.MAX_INTERRUPT_VOLTAGE, chance.choice((Kind.NONE, Kind.AC)), None,
                     chance.choice((None, 3.0, 40.0)), chance.choice((60.0, 600.0))))
    if chance.random() < 0.5:
        said.append((Quantity.TIME_TO_TRIP, Kind.MAX, chance.choice((None, 23.0, 140.0, 20.0)),
                     chance.choice((2.0, 12.0, 30.0)), chance.choice((0.05, 0.5, 6.0))))
    for kind in (Kind.MIN, Kind.MAX, Kind.NONE):
        if chance.random() < 0.2:
            said.append((Quantity.TRIPPED_POWER, kind, chance.choice((None, 25.0)), None, 1.1))
    return [replace(like, part_number=number, quantity=quantity, kind=kind, ambient_c=ambient_c,
                    test_current_a=test_a, value=value, raw=f"{value:g}")
            for quantity, kind, ambient_c, test_a, value in said]


def more_said(chance: Random, like: Reading, number: str) -> Iterator[Particular]:
    """An operating range and tested trips, now and then."""
    said = ((ParticularName.OPERATING_TEMPERATURE, Kind.MIN, -20.0),
            (ParticularName.OPERATING_TEMPERATURE, Kind.MAX, 70.0),
            (ParticularName.TRIP_CYCLES, Kind.NONE, 100.0))
    for name, kind, value in said:
        if chance.random() < 0.3:
            yield Particular(like.document, like.sha256, number, name, kind, value, "", chance.choice(
                (Status.AGREED, Status.DISPUTED)), like.place, f"{value:g}")


def seed_to_requirement(seed: int) -> Requirement:
    """A random requirement that asks more than most."""
    chance = Random(seed)
    asked = random_requirement(chance)
    extras: tuple[dict[str, object], ...] = (
        {"track": Track(chance.choice((0.3, 1.0)), 35.0, "outer", chance.choice((None, 20.0)))},
        {"damage_curve": (DamagePoint(2.0, 30.0), DamagePoint(8.0, 0.5), DamagePoint(60.0, 0.02))},
        {"endurance": Endurance(chance.choice((0.5, 2.0)), 8.0)},
        {"wire": Wire(150.0, area_mm2=chance.choice((0.05, 0.5)), ampacity_a=chance.choice((None, 2.0)))},
        {"transient_voltage_v": chance.choice((20.0, 60.0))},
        {"transient_voltage_v": 40.0, "transient_source_resistance_ohm": chance.choice((0.5, 20.0))},
        {"transient_voltage_v": 40.0, "load_inductance_h": 0.01, "load_current_a": 1.0},
        {"reset": "self", "load_resistance_ohm": chance.choice((10.0, 200.0))},
        {"reset": "latched", "load_resistance_ohm": 20.0, "supply_voltage_min_v": 4.5},
        {"leakage_max_a": 0.2, "supply_voltage_min_v": 4.5}, {"voltage_drop_max_v": 0.3},
        {"supply_short_current_a": 4.0, "supply_limit_tolerance": chance.choice((None, 0.2))},
        {"supply_current_limit_a": 4.0},
        {"peak_current_a": 3.0, "peak_duration_s": 0.2, "peak_every_s": chance.choice((None, 1.0, 30.0))},
        {"hot_plug": HotPlug(1e-3, 0.5)}, {"trip_time_max_s": chance.choice((0.1, 2.0))},
        {"packages": ("1812",)}, {"source_resistance_min_ohm": 0.0, "fault_current_max_a": None},
        {"limited_power": LimitedPower("", 8.0, 60.0, 5.0)}, {"operating_margin_k": 0.0},
        {"allow_model": True}, {"switching_temperature_c": 110.0})
    for fields in extras:
        if chance.random() < 0.35:
            asked = replace(asked, **fields)  # type: ignore[arg-type]
    return asked


def or_nan(value: float | None) -> float:
    return math.nan if value is None else value


def alike(one: float | None, other: float) -> bool:
    return bool(np.isclose(or_nan(one), other, rtol=NEAR, atol=0.0, equal_nan=True))


@settings(max_examples=150)
@given(seed=SEEDS, asked=SEEDS)
def test_a_column_says_of_every_part_what_is_said_of_it_alone(seed: int, asked: int) -> None:
    """Value, limit, margin, verdict and basis of every margin of every part that stands in columns."""
    parts, requirement = seed_to_parts(seed), seed_to_requirement(asked)
    columns = parts_to_columns(parts)
    judged = columns_to_judged(columns, requirement)
    ranking = parts_to_ranking(parts, requirement)
    candidates = {one.part_number: one for one in ranking.candidates}
    for index in np.flatnonzero(columns.plain & ~columns.with_curves):
        candidate = candidates[parts[index].part_number]
        asked_of = {margin.name for margin in candidate.margins}
        names = [one for one in judged.margins if one in asked_of]
        assert [margin.name for margin in candidate.margins] == names
        for one in judged.margins.keys() - asked_of:  # what this part is not asked counts for nothing
            assert judged.margins[one].verdict[index] == VERDICT_RANK[Verdict.FITS]
            assert math.isnan(judged.margins[one].margin[index])
        for margin in candidate.margins:
            column = judged.margins[margin.name]
            said = tuple(float(one[index]) for one in column[:3])
            where = f"{margin.name} of {candidate.part_number}: {margin} against {said}"
            assert VERDICT_RANK[margin.verdict] == column.verdict[index], where
            assert alike(margin.margin, said[2]), where
            assert alike(margin.value, said[0]), where
            if margin.value is not None:
                assert alike(margin.limit, said[1]), where
                assert BASIS_RANK[margin.basis] == column.basis[index], where


@settings(max_examples=60)
@given(seed=SEEDS, asked=SEEDS)
def test_the_best_of_columns_are_the_best_of_all(seed: int, asked: int) -> None:
    """Whatever is odd about a part: order, verdicts and numbers of the best are those of a full ranking."""
    parts, requirement = seed_to_parts(seed), seed_to_requirement(asked)
    full = parts_to_ranking(parts, requirement)
    for wanted in (1, 7, 100):
        best = columns_to_best(parts_to_columns(parts), requirement, wanted)
        assert best.ranking.candidates == full.candidates[:wanted]
        assert best.counts == {verdict: len(full.with_verdict(verdict)) for verdict in Verdict}


@settings(max_examples=60)
@given(seed=SEEDS, asked=SEEDS)
def test_the_order_of_columns_is_that_of_a_ranking(seed: int, asked: int) -> None:
    """Before one part is made readable, the columns alone put the parts in the order of a full ranking."""
    parts, requirement = seed_to_parts(seed), seed_to_requirement(asked)
    columns = parts_to_columns(parts)
    whole = tuple(part for part, plain in zip(parts, columns.plain, strict=True) if plain and not part.curves)
    columns = parts_to_columns(whole)
    order = judged_to_order(columns, columns_to_judged(columns, requirement))
    full = parts_to_ranking(whole, requirement)
    assert [whole[index].part_number for index in order] == [one.part_number for one in full.candidates]


def test_most_parts_stand_in_columns() -> None:
    """Were few of them plain, nothing would be tested here; an odd one is never taken for plain."""
    plain = np.concatenate([parts_to_columns(seed_to_parts(seed)).plain for seed in range(40)])
    assert 0.15 < plain.mean() < 0.9


def test_a_drawn_curve_takes_a_part_out_of_the_columns(
    make_part: Callable[..., Part], make_curve: Callable[[Part], Curve],
    make_requirement: Callable[..., Requirement],
) -> None:
    """What a curve says is asked of the part alone, where a time is asked; else nobody needs it."""
    part = make_part()
    columns = parts_to_columns([part, replace(part, curves=(make_curve(part),))])
    for asked, alone in (({}, []), ({"trip_time_max_s": 1.0}, [1]), (
            {"peak_current_a": 3.0, "peak_duration_s": 0.1}, [1])):
        assert list(columns_to_judged(columns, make_requirement(**asked)).single) == alone


@pytest.fixture
def make_curve() -> Callable[[Part], Curve]:
    """A trip-time curve of a part."""
    def build(part: Part) -> Curve:
        return Curve(part.document, part.sha256, part.part_number, ChartName.TIME_TO_TRIP, Kind.TYP, 23.0,
                     ((1.0, 10.0), (10.0, 0.1)), Status.AGREED, Place(1, 0.0, 0.0, 1.0, 1.0), "A", 0.02, 0.02)
    return build


def test_every_question_is_asked_in_some_way() -> None:
    """Each question with columns is one of those asked of one part."""
    assert set(STEADY) | set(TIMED) <= {question.__name__ for question in QUESTIONS}


@given(st.floats(min_value=-1e9, max_value=1e9).filter(lambda value: value == 0.0 or abs(value) > 1e-9))
def test_dust_is_taken_off_alike(value: float) -> None:
    """Nine digits of an array are those of one number."""
    assert without_dust(np.array([value]))[0] == pytest.approx(one_without_dust(value), rel=2e-9, abs=0.0)


def test_no_parts_are_no_columns_with_anything(make_requirement: Callable[..., Requirement]) -> None:
    """Nothing to judge is nothing to show."""
    best = columns_to_best(parts_to_columns(()), make_requirement(), 5)
    assert best.ranking.candidates == ()


