"""Several processes give what one gives, and one that fails is stood in for."""

import os
from collections.abc import Callable
from dataclasses import replace

import pytest

from compare import on_cores
from compare.part_numbers import part_to_numbers
from compare.ranking import numbers_to_candidate
from compare.records import Candidate
from compare.requirement import Requirement
from extract.schema import Kind, Part, Particular, ParticularName, Place, Status

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot fork")


@pytest.fixture
def parts(make_part: MakePart, row_b: Row, monkeypatch: pytest.MonkeyPatch) -> list[Part]:
    """Parts that fit, fail and are open, in several chunks."""
    monkeypatch.setattr(on_cores, "CHUNK", 7)
    return [
        make_part(
            f"P{n}",
            hold=0.1 * (n + 1),
            trip=0.2 * (n + 1),
            ratios=row_b if n % 3 else None,
            package="1812" if n % 2 else "",
        )
        for n in range(41)
    ]


@pytest.mark.parametrize("processes", [2, 3, 41])
def test_the_same_candidates(parts: list[Part], make_requirement: MakeRequirement, processes: int) -> None:
    """Every field of every margin, its cells included, in the order of the parts."""
    requirement = make_requirement(
        "[wire]\nawg = 24\ninsulation_max_c = 150", ambient_hot_c=50.0, trip_time_max_s=1.0, leakage_max_a=0.1
    )
    work = _work(requirement)
    assert on_cores.parts_to_candidates(parts, work, processes) == [work(part) for part in parts]


def test_what_a_margin_rests_on_beside_readings_comes_back(
    parts: list[Part], make_requirement: MakeRequirement
) -> None:
    """An operating range that another process judged keeps its place in the sheet, and its standing."""
    where = Place(1, 0.0, 0.0, 1.0, 1.0)
    said = [replace(part, particulars=(Particular(
        part.document, part.sha256, part.part_number, ParticularName.OPERATING_TEMPERATURE, Kind.MAX, 85.0,
        "", Status.SINGLE, where, "85"),)) for part in parts]
    work = _work(make_requirement())
    found = on_cores.parts_to_candidates(said, work, 3)
    assert found == [work(part) for part in said]
    assert all(any(margin.particulars for margin in one.margins) for one in found)


def test_a_process_that_dies_is_stood_in_for(parts: list[Part], make_requirement: MakeRequirement) -> None:
    """What another process does not send is worked out here: no part is lost."""
    home, work = os.getpid(), _work(make_requirement())

    def dying(part: Part) -> Candidate:
        if os.getpid() != home and part.part_number == "P35":
            os._exit(1)
        return work(part)

    assert on_cores.parts_to_candidates(parts, dying, 2) == [work(part) for part in parts]


def test_few_parts_stay_in_one_process() -> None:
    """Forking is for many parts only."""
    assert on_cores.processes_for(2 * on_cores.WORTH_A_PROCESS - 1) == 1


def _work(requirement: Requirement) -> Callable[[Part], Candidate]:
    return lambda part: numbers_to_candidate(part_to_numbers(part), requirement)
