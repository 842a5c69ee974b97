"""Order of the candidates, the deciding margin, and the sentences about them."""

import json
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compare.candidates_json import ranking_to_json
from compare.explain import PassingParts, candidate_to_sentence, margin_title, ranking_to_gap
from compare.margins import QUESTIONS
from compare.ranking import parts_to_ranking
from compare.records import VERDICT_RANK, Verdict
from compare.requirement import Requirement
from extract.schema import Part, Quantity, Reading, Status

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]


def order(parts: list[Part], requirement: Requirement) -> list[str]:
    return [c.part_number for c in parts_to_ranking(parts, requirement).candidates]


def test_verdict_goes_first(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """What fits, then what cannot be told, then what fails."""
    parts = [make_part("SMALL", hold=0.3), make_part("UNKNOWN", max_current=0), make_part("GOOD", hold=0.5)]
    assert order(parts, make_requirement()) == ["GOOD", "UNKNOWN", "SMALL"]


def test_then_the_smallest_margin(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """A part is as good as its smallest margin, not as its best."""
    parts = [make_part("TIGHT", hold=0.44, max_voltage=60.0), make_part("EVEN", hold=0.52, max_voltage=16.0)]
    assert order(parts, make_requirement()) == ["EVEN", "TIGHT"]


def test_ties_by_resistance_then_size(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Of equal margins the lower post-trip resistance wins, then the smaller package."""
    parts = [
        make_part("HIGH", r_1max=0.5),
        make_part("LARGE", package="2920"),
        make_part("SMALL", package="1206"),
    ]
    assert order(parts, make_requirement()) == ["SMALL", "LARGE", "HIGH"]


def test_the_limiting_margin_decides(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Of a failing part the smallest failing margin, even where an undetermined one is smaller."""
    requirement = make_requirement(fault_current_min_a=0.8, normal_current_a=0.5, voltage_drop_max_v=0.1)
    (candidate,) = parts_to_ranking([make_part(hold=0.6, trip=2.0, r_1max=0.3)], requirement).candidates
    assert candidate.verdict is Verdict.FAILS
    assert candidate.limiting_margin == "voltage_drop"
    assert candidate.smallest_margin == pytest.approx(0.4)


def test_a_margin_without_number_decides_an_open_part(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Where nothing at all is known of a margin, that stands in the way first."""
    requirement = make_requirement(fault_current_min_a=1.4)
    (candidate,) = parts_to_ranking([make_part(max_current=0)], requirement).candidates
    assert (candidate.verdict, candidate.limiting_margin) == (Verdict.UNDETERMINED, "max_current")


def test_the_gap_where_none_fits(make_part: MakePart, make_requirement: MakeRequirement, row_b: Row) -> None:
    """The best part and what it lacks: 0.5175 A at 60 °C where 0.8175 A are needed."""
    requirement = make_requirement(normal_current_a=0.8175, ambient_hot_c=60.0)
    ranking = parts_to_ranking(
        [make_part("A", ratios=row_b), make_part("B", hold=0.5, ratios=row_b)], requirement
    )
    assert ranking_to_gap(ranking) == "No part fits. Nearest is A: needs 0.3 A more hold at 60 °C"


def test_a_load_and_a_supply_too_close(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """A load of 2.2 A and a supply of 3 A: no part, since trip is about twice hold. A published question."""
    requirement = make_requirement(normal_current_a=2.2, supply_current_limit_a=3.0, fault_current_min_a="")
    parts = [make_part(f"{hold}", hold=hold, trip=2 * hold) for hold in (1.1, 1.5, 2.0, 2.5, 3.0)]
    ranking = parts_to_ranking(parts, requirement)
    assert ranking.winner is None
    assert ranking_to_gap(ranking)


def test_no_gap_where_one_fits_or_nothing_is_there(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """The gap is told only where it exists."""
    assert ranking_to_gap(parts_to_ranking([make_part()], make_requirement())) == ""
    assert ranking_to_gap(parts_to_ranking([], make_requirement())) == ""


def test_one_sentence_for_each_part(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """Verdict, margin, ambient, value and need stand in it; a doubt is told in its words."""
    doubt = make_reading(Quantity.MAX_VOLTAGE, 30.0, status=Status.DISPUTED)
    parts = [make_part("FIT"), make_part("FAIL", hold=0.2), make_part("OPEN", max_voltage=0, more=[doubt])]
    fit, unknown, fail = parts_to_ranking(parts, make_requirement()).candidates
    assert candidate_to_sentence(fail) == (
        "Fails: Hold current at the hottest ambient at 23 °C (0.2 A, needs at least 0.4 A)."
    )
    assert candidate_to_sentence(unknown).startswith(
        'Cannot be told: Rated voltage; max voltage "30" is disputed'
    )
    assert candidate_to_sentence(fit).startswith("Fits: Rated voltage is the tightest, 1.33 times the need")


def test_nearest_part_that_passes(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Nearest in proportion of the hold current, not the best ranked."""
    parts = [make_part("0.3", hold=0.3), make_part("0.5", hold=0.5), make_part("1.2", hold=1.2, trip=2.0)]
    ranking = parts_to_ranking(parts, make_requirement())
    rejected = ranking.candidates[-1]
    nearest = PassingParts(ranking).nearest_to(rejected)
    assert nearest is not None
    assert (rejected.part_number, nearest.part_number) == ("0.3", "0.5")
    none = parts_to_ranking(parts, make_requirement(normal_current_a=5.0))
    assert PassingParts(none).nearest_to(none.candidates[0]) is None


@given(holds=st.lists(st.floats(0.05, 5.0), min_size=1, max_size=12), rejected=st.integers(0, 11))
def test_nearest_is_nearest(
    make_part: MakePart, make_requirement: MakeRequirement, holds: list[float], rejected: int
) -> None:
    """No other fitting part lies nearer in proportion."""
    parts = [make_part(f"P{n}", hold=hold, trip=hold + 1) for n, hold in enumerate(holds)]
    ranking = parts_to_ranking(parts, make_requirement(normal_current_a=1.0))
    candidate = ranking.candidates[rejected % len(holds)]
    nearest, fitting = PassingParts(ranking).nearest_to(candidate), ranking.with_verdict(Verdict.FITS)
    if not fitting:
        assert nearest is None
        return
    assert nearest is not None
    assert nearest.hold_a is not None
    assert candidate.hold_a is not None
    best = min(max(c.hold_a / candidate.hold_a, candidate.hold_a / c.hold_a) for c in fitting if c.hold_a)
    assert max(nearest.hold_a / candidate.hold_a, candidate.hold_a / nearest.hold_a) == pytest.approx(best)


SCALES = st.lists(st.floats(0.1, 10.0), min_size=1, max_size=8)


@given(scales=SCALES, cold=st.integers(-40, 23), hot=st.integers(23, 85))
def test_ranking_is_in_order_whatever_the_parts(
    make_part: MakePart,
    make_requirement: MakeRequirement,
    row_b: Row,
    scales: list[float],
    cold: int,
    hot: int,
) -> None:
    """Verdicts never improve downwards; a verdict is that of its worst margin; every margin agrees with its
    numbers.
    """
    parts = [make_part(f"P{n}", hold=0.5 * s, trip=s, ratios=row_b) for n, s in enumerate(scales)]
    ranking = parts_to_ranking(
        parts, make_requirement(ambient_cold_c=cold, ambient_hot_c=hot, trip_time_max_s=1.0)
    )
    ranks = [VERDICT_RANK[c.verdict] for c in ranking.candidates]
    assert ranks == sorted(ranks)
    for candidate in ranking.candidates:
        assert VERDICT_RANK[candidate.verdict] == max(VERDICT_RANK[m.verdict] for m in candidate.margins)
        for margin in candidate.margins:
            if margin.margin is not None and margin.verdict is not Verdict.UNDETERMINED:
                assert (margin.margin >= 1 - 1e-12) == (margin.verdict is Verdict.FITS)


def test_json_for_scripts(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """Rank order and the agreed keys; what has no number is null; no NaN or infinity."""
    doubt = make_reading(Quantity.MAX_VOLTAGE, 30.0, status=Status.DISPUTED)
    parts = [
        make_part("OPEN", max_voltage=0, more=[doubt]),
        make_part("FIT"),
        make_part("NEVER", hold=9.0, trip=18.0),
    ]
    text = ranking_to_json(parts_to_ranking(parts, make_requirement(trip_time_max_s=1.0)))
    rows = json.loads(text, parse_constant=pytest.fail)
    assert [row["part_number"] for row in rows] == ["FIT", "OPEN", "NEVER"]
    for row in rows:
        assert row["verdict"] in {"fits", "fails", "undetermined"}
        assert row["limiting_margin"] in {margin["name"] for margin in row["margins"]}
        for margin in row["margins"]:
            assert {"name", "value", "limit", "margin", "verdict", "basis", "source"} <= set(margin)
            assert margin["basis"] in {"data", "interpolated", "model", "assumed"}
    voltage = next(margin for margin in rows[1]["margins"] if margin["name"] == "max_voltage")
    assert (voltage["value"], voltage["verdict"]) == (None, "undetermined")


def test_every_margin_has_a_name_for_reports() -> None:
    """No margin is shown by its code name."""
    for name in (question.__name__ for question in QUESTIONS):
        assert margin_title(name)


def test_what_cannot_be_told_goes_by_its_open_questions(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """One open question stands before two, and its own reach counts: a thin voltage has nothing to do with
    it.

    CLOSE lacks a fifth of the trip current, FAR four fifths; OPEN has no fault rating either.
    """
    requirement = make_requirement(fault_current_min_a=1.2)
    parts = [make_part("OPEN", trip=1.3, max_current=0.0), make_part("FAR", trip=6.0, max_voltage=60.0),
             make_part("CLOSE", trip=1.5, max_voltage=12.1)]
    ranking = parts_to_ranking(parts, requirement)
    assert [one.part_number for one in ranking.candidates] == ["CLOSE", "FAR", "OPEN"]
    assert {one.verdict for one in ranking.candidates} == {Verdict.UNDETERMINED}


def test_the_dust_of_floats_is_no_rank(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Two voltages that differ in the last digit of a computer tie, and the smaller resistance goes first."""
    dusty = 16.0 * (1.0 + 4e-16)
    parts = [make_part("MORE", max_voltage=dusty, r_1max=0.4), make_part("LESS", max_voltage=16.0,
                                                                         r_1max=0.2)]
    requirement = make_requirement(supply_voltage_v=15.0)
    ranking = parts_to_ranking(parts, requirement)
    assert dusty != 16.0
    assert [one.part_number for one in ranking.candidates] == ["LESS", "MORE"]
