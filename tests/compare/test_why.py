"""Why a part fits, fails or cannot be told, margin by margin."""

from collections.abc import Callable

from compare.ranking import parts_to_ranking
from compare.records import Verdict
from compare.requirement import Requirement
from compare.why import candidate_to_why, nearest_that_fits
from extract.schema import Part

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]


def test_every_margin_with_what_it_rests_on_and_what_would_have_to_change(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """What decides stands first; 0.3 A of hold against 0.4 A lacks 0.1 A, or a need of no more than 0.3 A."""
    requirement = make_requirement(normal_current_a=0.4, voltage_drop_max_v=1.0)
    ranking = parts_to_ranking([make_part("SMALL", hold=0.3, trip=0.6), make_part("GOOD", hold=0.9,
                                                                                  trip=1.8)],
                               requirement)
    small = next(one for one in ranking.candidates if one.part_number == "SMALL")
    lines = candidate_to_why(small)
    assert len(lines) == len(small.margins)
    assert lines[0].verdict is Verdict.FAILS
    assert "needs 0.1 A more hold" in lines[0].change
    assert "no more than 0.3 A" in lines[0].change
    assert 'printed, agreed; invented.pdf p. 2 "0.3"' in lines[0].rests_on
    assert any("assumes: resistance as tabulated" in line.rests_on for line in lines)
    nearest = nearest_that_fits(ranking, small)
    assert nearest is not None
    assert nearest.part_number == "GOOD"
    assert nearest_that_fits(ranking, nearest) is None


def test_an_open_question_says_what_is_missing(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Where no number of the part would help, the reason stands there."""
    ranking = parts_to_ranking([make_part()], make_requirement(fault_current_min_a=""))
    line = next(one for one in candidate_to_why(ranking.candidates[0]) if one.verdict is Verdict.UNDETERMINED)
    assert "source resistance" in line.change
