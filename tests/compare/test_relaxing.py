"""What each question removes, and which one to relax where nothing fits."""

from collections.abc import Callable

from compare.ranking import parts_to_ranking
from compare.relaxing import ranking_to_filters, ranking_to_relaxations
from compare.requirement import Requirement
from extract.schema import Part
from holdtrip.relaxing_lines import relaxation_to_sentence

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]


def test_counts_and_the_relaxation_that_lets_most_in(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """20 V asked: two parts of 16 and 12 V fail by voltage alone, one of 30 V by hold alone, one by both.

    Relaxing the voltage lets two in: 16 V for the nearest, 12 V for both.
    """
    parts = [make_part("A"), make_part("B", max_voltage=12.0), make_part("C", max_voltage=30.0, hold=0.3),
             make_part("D", hold=0.3)]
    ranking = parts_to_ranking(parts, make_requirement(supply_voltage_v=20.0))
    counts = {one.name: (one.fails, one.fails_alone) for one in ranking_to_filters(ranking)}
    assert counts["max_voltage"] == (3, 2)
    assert counts["hold_current"] == (2, 1)
    first, second = ranking_to_relaxations(ranking)
    assert (first.name, first.lets_in, first.nearest, first.farthest) == ("max_voltage", 2, 16.0, 12.0)
    assert (second.name, second.lets_in, second.nearest) == ("hold_current", 1, 0.3)
    assert "at least 16 V instead of 20 V for A, 12 V for all" in relaxation_to_sentence(first)


def test_relaxing_as_told_lets_as_many_in(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """What is promised holds: the requirement relaxed to the farthest value fits just so many parts."""
    parts = [make_part(f"P{volts:g}", max_voltage=volts) for volts in (6.0, 9.0, 16.0)]
    (found,) = ranking_to_relaxations(parts_to_ranking(parts, make_requirement(supply_voltage_v=20.0)))
    assert found.farthest is not None
    relaxed = parts_to_ranking(parts, make_requirement(supply_voltage_v=found.farthest))
    assert sum(one.verdict.value == "fits" for one in relaxed.candidates) == found.lets_in == 3


def test_a_part_that_fails_twice_is_let_in_by_nothing(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Too little voltage and too little hold: no single requirement helps."""
    ranking = parts_to_ranking([make_part("A", hold=0.3)], make_requirement(supply_voltage_v=20.0))
    assert ranking_to_relaxations(ranking) == ()
