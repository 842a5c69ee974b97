"""A large library is compared without loading all of it: nothing shown may differ for that."""

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest

from compare.best_first import Pace, figures_to_best
from compare.columns.best import columns_to_best
from compare.columns.judged import columns_to_judged
from compare.columns.part_columns import parts_to_columns
from compare.ranking import Ranking, parts_to_ranking
from compare.records import VERDICT_RANK, Verdict
from compare.requirement import Requirement
from compare.screening import figures_to_shortlist
from extract.schema import Kind, Part, Quantity, Reading, SheetReading, Status
from holdtrip.best_of_library import requirement_to_question
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import Library, open_library
from tests.holdtrip.many_parts import PLACE, decide_at_random, random_requirement, random_sheet
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
        _check_columns(parts, asked, {named[one.part_id]: one.margin_at_most for one in shortlist.contenders})
    assert fitting > 100
    assert left_out > 1000


def _check_columns(
    parts: tuple[Part, ...], asked: Requirement, at_most: dict[tuple[str, str], float]
) -> None:
    """Bounds, arrays and single parts agree: what fits in columns was not left out, and its margin is within
    its bound."""
    judged = columns_to_judged(parts_to_columns(parts), asked)
    for index, part in enumerate(parts):
        if judged.verdict[index] == VERDICT_RANK[Verdict.FITS]:
            assert judged.deciding[index] <= at_most[part.part_number, part.sha256]


@pytest.mark.parametrize("unreviewed", [False, True])
def test_what_is_shown_is_that_of_a_full_ranking(library: Library, unreviewed: bool) -> None:
    """The best so many are the same, whether they fit or not, and the parts told of add up."""
    parts = library.parts(accepted_only=not unreviewed)
    columns = parts_to_columns(parts)
    stopped = spared = 0
    for asked in _requirements(2):
        full = parts_to_ranking(parts, asked)
        for wanted in (1, 3, 20):
            with library.screening(requirement_to_question(asked), not unreviewed) as screening:
                best = figures_to_best(screening, asked, wanted, Pace(all_of=0, first=5))
            assert _rows(best.ranking)[:wanted] == _rows(full)[:wanted]
            told = len(best.ranking.candidates) + best.missed.total() + best.not_judged
            assert told == len(parts)
            in_columns = columns_to_best(columns, asked, wanted)
            assert _rows(in_columns.ranking) == _rows(full)[:wanted]
            if not best.not_judged:
                assert len(best.ranking.with_verdict(Verdict.FITS)) == len(full.with_verdict(Verdict.FITS))
            stopped += best.not_judged
            spared += best.missed.total() if full.candidates[wanted - 1].verdict is not Verdict.FITS else 0
    assert stopped > 100
    assert spared == 0 if unreviewed else spared > 100


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The address of a library of more parts than are judged without a second thought, all accepted."""
    address = str(tmp_path_factory.mktemp("many") / "many.sqlite")
    grades = {"LOW": (0.5, 60.0), "HIGH": (1.0, 60.0), "WEAK": (1.0, 6.0)}
    with open_library(address) as library:
        for grade, (hold_a, max_voltage_v) in grades.items():
            document, numbers = f"{grade}.pdf", [f"{grade}-{index:03d}" for index in range(220)]
            readings = [one for number in numbers
                        for one in _plain_part(document, number, hold_a, max_voltage_v)]
            read = SheetReading(document, readings[0].sha256, 1, (1,), "", tuple(readings), (), ())
            library.import_sheet(read, "Ann")
            for number in numbers:
                library.accept(Target(number), Signature("Ann"), singles=True)
    return address


def _plain_part(document: str, number: str, hold_a: float, max_voltage_v: float) -> list[Reading]:
    digest = sha256(document.encode()).hexdigest()
    said = ((Quantity.HOLD_CURRENT, 23.0, hold_a), (Quantity.TRIP_CURRENT, 23.0, 2 * hold_a),
            (Quantity.MAX_VOLTAGE, None, max_voltage_v), (Quantity.MAX_CURRENT, None, 40.0))
    return [Reading(document, digest, number, quantity, Kind.NONE, ambient_c, None, value, Status.AGREED,
                    PLACE, f"{value:g}") for quantity, ambient_c, value in said]


def _requirement_file(folder: Path, normal_current_a: float) -> str:
    path = folder / "asked.toml"
    path.write_text(f"""
supply = "dc"
supply_voltage_v = 12.0
normal_current_a = {normal_current_a}
ambient_cold_c = 23
ambient_hot_c = 23
fault_current_min_a = 8
fault_current_max_a = 20
""", encoding="utf-8")
    return str(path)


def test_the_screen_tells_what_was_not_judged(
    many: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of 660 parts 220 may fit: all of those are judged, and the others are counted by what they lack."""
    assert run(holdtrip, ["compare", _requirement_file(tmp_path, 0.8), "--parts", many, "--top", "3"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "660 parts, 220 of them judged: 220 fit, 0 fail, 0 undetermined (217 more than shown)" in said
    assert ("The other 440 stand behind those shown: 440 cannot fit, by what they give for: Rated voltage"
            " (220), Hold current at the hottest ambient (220).") in said
    assert "--xlsx, --report, --json judge every part." in said


def test_files_get_every_part(many: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a file asked for, the screen counts every part too, and its first rows are the same."""
    asked, out = _requirement_file(tmp_path, 0.8), tmp_path / "out.json"
    run(holdtrip, ["compare", asked, "--parts", many, "--top", "3"])
    screened = capsys.readouterr().out
    assert run(holdtrip, ["compare", asked, "--parts", many, "--top", "3", "--json", str(out)]) == 0
    full = capsys.readouterr().out
    assert len(json.loads(out.read_text(encoding="utf-8"))) == 660
    assert "660 parts: 220 fit, 440 fail, 0 undetermined (657 more than shown)" in full
    table = full[:full.index("660 parts")]
    assert screened.startswith(table)
    assert "HIGH-000" in table


def test_where_none_fits_the_nearest_are_shown(
    many: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Parts that fail are then shown, and how far the best of them is from fitting: 440 fail alike."""
    assert run(holdtrip, ["compare", _requirement_file(tmp_path, 3.0), "--parts", many]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "660 parts, 450 of them judged: 0 fit, 450 fail, 0 undetermined (430 more than shown)" in said
    assert "The other 210 stand behind those shown: 210 cannot fit" in said
    assert "No part fits. Nearest is HIGH-000" in said


def _requirements(seed: int) -> list[Requirement]:
    chance = Random(seed)
    return [random_requirement(chance) for _ in range(REQUIREMENTS)]


def _rows(ranking: Ranking) -> list[object]:
    return [(one.part, one.verdict, one.margins) for one in ranking.candidates]
