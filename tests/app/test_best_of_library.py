"""A large library is compared without loading all of it: nothing shown may differ for that."""

from collections.abc import Iterator
from random import Random

import pytest

from app.best_of_library import requirement_to_question
from compare.best_first import Pace, figures_to_best
from compare.ranking import Ranking, parts_to_ranking
from compare.records import Verdict
from compare.requirement import Requirement
from compare.screening import figures_to_shortlist
from library.store import Library, open_library
from tests.app.many_parts import decide_at_random, random_requirement, random_sheet
from tests.library.conftest import new_schema

SHEETS, PARTS, REQUIREMENTS = 12, 10, 40


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def library(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Library]:
    """Random parts with random decisions, some sheets superseded by others."""
    made = (iter([str(tmp_path_factory.mktemp("library") / "library.sqlite")]) if request.param == "sqlite"
            else new_schema())
    for address in made:
        with open_library(address) as opened:
            _fill(opened, Random(20))
            yield opened


def _fill(library: Library, chance: Random) -> None:
    for index in range(SHEETS):
        library.import_sheet(random_sheet(chance, f"qx{index}.pdf", PARTS, PARTS * index), "Ann")
    decide_at_random(chance, library)
    for index in range(0, SHEETS, 4):  # newer sheets of the same parts, some accepted
        library.import_sheet(random_sheet(chance, f"qx{index}_b.pdf", PARTS, PARTS * index), "Ann")
    decide_at_random(chance, library)


@pytest.mark.parametrize("unreviewed", [False, True])
def test_no_part_that_fits_is_left_out(library: Library, unreviewed: bool) -> None:
    """Over many requirements the parts left out never fit, and no part stands better than its bound."""
    parts = library.parts(accepted_only=not unreviewed)
    fitting = left_out = 0
    for asked in _requirements(1):
        ranking = parts_to_ranking(parts, asked)
        with library.screening(requirement_to_question(asked), not unreviewed) as screening:
            shortlist = figures_to_shortlist(screening, asked)
            named = {one: (part.part_number, part.sha256) for one, part in
                     zip(screening.part_ids, screening.parts(screening.part_ids), strict=True)}
        verdicts = {(one.part.part_number, one.part.sha256): one for one in ranking.candidates}
        assert len(shortlist.contenders) + len(shortlist.left_out) == len(parts)
        assert shortlist.missed.total() == len(shortlist.left_out)
        wrong = [verdicts[named[one]] for one in shortlist.left_out
                 if verdicts[named[one]].verdict is Verdict.FITS]
        assert wrong == []
        for one in shortlist.contenders:
            found = verdicts[named[one.part_id]]
            if found.verdict is Verdict.FITS:
                fitting += 1
                assert found.smallest_margin is not None
                assert found.smallest_margin <= one.margin_at_most
                assert found.resistance_ohm is None or found.resistance_ohm >= one.resistance_at_least_ohm
        left_out += len(shortlist.left_out)
    assert fitting > 100
    assert left_out > 1000


@pytest.mark.parametrize("unreviewed", [False, True])
def test_what_is_shown_is_that_of_a_full_ranking(library: Library, unreviewed: bool) -> None:
    """The best so many are the same, whether they fit or not, and the parts told of add up."""
    parts = library.parts(accepted_only=not unreviewed)
    stopped = 0
    for asked in _requirements(2):
        full = parts_to_ranking(parts, asked)
        for wanted in (1, 3):
            with library.screening(requirement_to_question(asked), not unreviewed) as screening:
                best = figures_to_best(screening, asked, wanted, Pace(all_of=0, first=5))
            assert _rows(best.ranking)[:wanted] == _rows(full)[:wanted]
            told = len(best.ranking.candidates) + best.missed.total() + best.not_judged
            assert told == len(parts)
            if not best.not_judged:
                assert len(best.ranking.with_verdict(Verdict.FITS)) == len(full.with_verdict(Verdict.FITS))
            stopped += best.not_judged
    assert stopped > 100


def _requirements(seed: int) -> list[Requirement]:
    chance = Random(seed)
    return [random_requirement(chance) for _ in range(REQUIREMENTS)]


def _rows(ranking: Ranking) -> list[object]:
    return [(one.part, one.verdict, one.margins) for one in ranking.candidates]
