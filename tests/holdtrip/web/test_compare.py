"""Comparing on the page gives what the command gives."""

import io
import json
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from compare.requirement_file import field_rules, text_to_requirement
from holdtrip.commands import holdtrip
from holdtrip.library.store import open_library
from holdtrip.web import compare_routes, kept_columns
from holdtrip.web.kept_columns import KeptColumns
from holdtrip.web.requirement_form import form_to_toml, toml_to_form

DEMO = Path(__file__).parents[3] / "sample_tables" / "demo_requirement.toml"


@pytest.fixture
def asked() -> list[tuple[str, str]]:
    """The demo's requirement as a query, with unreviewed numbers."""
    return [*toml_to_form(DEMO.read_text(encoding="utf-8"), "demo"), ("unreviewed", "true")]


def test_the_page_ranks_as_the_command_does(site, asked, tmp_path: Path) -> None:
    """Same parts, order, verdicts, margins and sources as `holdtrip compare --json`."""
    out = tmp_path / "out.json"
    CliRunner().invoke(
        holdtrip, ["compare", str(DEMO), "--parts", site.library, "--unreviewed", "--json", str(out)])
    assert site.client.get("/api/ranking/comparison.json", params=asked).json() == json.loads(out.read_text())
    live = site.client.get("/api/ranking", params=[*asked, ("limit", "3")]).json()
    assert [one["part_number"] for one in live["candidates"]] == [
        one["part_number"] for one in json.loads(out.read_text())[:3]]
    assert sum(live["counts"].values()) == len(json.loads(out.read_text()))
    assert live["cautions"]


@pytest.mark.parametrize("reviewed", [False, True])
def test_many_parts_are_ranked_in_columns_alike(
    site, asked, reviewed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether parts are judged one by one or in columns, while these are being made or kept: the same answer,
    and one that follows a decision."""
    if reviewed:
        sheet = site.sheet("quarrowick_qk.pdf")
        for number in ("QK12-080-24", "QK12-110-16"):
            accepted = {"action": "accept", "part_number": number}
            site.client.post(f"/api/sheets/{sheet}/decisions", json=accepted)
        asked = asked[:-1]
    one_by_one = site.client.get("/api/ranking", params=asked).json()
    monkeypatch.setattr(compare_routes, "FEW", 0)
    assert site.client.get("/api/ranking", params=asked).json() == one_by_one
    monkeypatch.setattr(compare_routes, "ALL_JUDGED", 0)
    answers = [site.client.get("/api/ranking", params=asked).json() for _ in range(3)]
    assert all(answer["candidates"] == one_by_one["candidates"] for answer in answers)
    assert answers[-1]["counts"] == one_by_one["counts"]


def test_columns_are_begun_before_they_are_asked_for(site, asked, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever opens the page to compare many parts has them fetched meanwhile, all numbers where nobody has
    decided on any: the first ranking fetches nothing."""
    requirement = text_to_requirement(form_to_toml(asked[:-1]), "asked")
    with open_library(site.library) as library:
        kept = KeptColumns(library, lambda: kept_columns.FEW + 1)
        kept.begin(False)
        kept.close()
        monkeypatch.setattr(type(library), "parts", None)
        found = kept.best(requirement, True, 5, now=True)
    assert found is not None
    assert found.ranking.candidates


def test_what_is_missing_is_said(site) -> None:
    """An unfinished form is answered by the one line the command would give."""
    answer = site.client.get("/api/ranking", params={"supply": "dc", "unreviewed": "true"})
    assert answer.status_code == 400
    assert "missing" in answer.json()["detail"]


def test_unreviewed_numbers_are_used_only_when_asked(site, asked) -> None:
    """Nothing is accepted yet: without the tick there is nothing to compare, and it says why."""
    answer = site.client.get("/api/ranking", params=asked[:-1])
    assert answer.status_code == 400
    assert "no number accepted yet" in answer.json()["detail"]


def test_a_review_shows_in_the_next_ranking(site, asked) -> None:
    """Parts are fetched again when the library has changed."""
    assert site.client.get("/api/ranking", params=asked).status_code == 200
    sheet = site.sheet("quarrowick_qk.pdf")
    accepted = {"action": "accept", "part_number": "QK12-080-24"}
    site.client.post(f"/api/sheets/{sheet}/decisions", json=accepted)
    found = site.client.get("/api/ranking", params=asked[:-1]).json()
    assert "QK12-080-24" in [one["part_number"] for one in found["candidates"]]


def test_files_to_hand_over(site, asked) -> None:
    """Workbook and decision record open and name the best part; the requirement file says the same again."""
    best = site.client.get("/api/ranking", params=asked).json()["candidates"][0]["part_number"]
    workbook = site.client.get("/api/ranking/comparison.xlsx", params=asked)
    book = openpyxl.load_workbook(io.BytesIO(workbook.content))
    assert any(cell.value == best for sheet in book for row in sheet.iter_rows() for cell in row)
    assert best in site.client.get("/api/ranking/decision.html", params=asked).text
    toml = site.client.get("/api/requirement.toml", params=asked)
    assert toml_to_form(toml.text, "again") == asked[:-1]
    for answer in (workbook, toml):
        assert answer.headers["content-disposition"].startswith("attachment")


def test_plots_of_a_candidate(site, asked) -> None:
    """Derating with what is asked, and margins as bars, each told in words too."""
    one = site.client.get("/api/ranking", params=asked).json()["candidates"][0]
    about = [*asked, ("part", one["part_number"]), ("sheet", one["sha256"])]
    for name in ("derating", "margins"):
        plot = site.client.get(f"/api/ranking/{name}.svg", params=about)
        assert plot.status_code == 200
        assert "aria-label" in plot.text


def test_parts_as_columns_are_those_of_the_command(site, asked) -> None:
    """The traits of `compare --table` with the limits of the requirement; the better one of a row is named by
    its column, none where all are alike; fewer than two parts are refused."""
    ranked = site.client.get("/api/ranking", params=asked).json()["candidates"][:3]
    chosen = [pair for one in ranked for pair in (("part", one["part_number"]), ("sheet", one["sha256"]))]
    found = site.client.get("/api/ranking/table", params=[*asked, *chosen]).json()
    numbers = [one["part_number"] for one in ranked]
    assert found["parts"] == numbers
    told = CliRunner().invoke(holdtrip, ["compare", str(DEMO), "--parts", site.library, "--unreviewed",
                                         "--table", ",".join(numbers)], env={"COLUMNS": "400"}).output
    for line in found["lines"]:
        assert line["title"] in told
        assert len(line["values"]) == 3
        assert len(line["best"]) < 3
    hold = next(line for line in found["lines"] if line["title"].startswith("Hold current at 50"))
    assert hold["asked"] == "at least 0.495 A"
    values = {column: float(text.split()[0]) for column, text in enumerate(hold["values"]) if text}
    assert {values[column] for column in hold["best"]} <= {max(values.values())}
    assert site.client.get("/api/ranking/table", params=[*asked, *chosen[:2]]).status_code == 422
    uneven = site.client.get("/api/ranking/table", params=[*asked, *chosen[:-1]])
    assert uneven.status_code == 400
    assert "a sheet for each part" in uneven.json()["detail"]


def test_comparisons_are_kept_and_opened_again(site, asked) -> None:
    """A kept comparison gives back its requirement; an unknown one is not found."""
    toml = site.client.get("/api/requirement.toml", params=asked).text
    sent = {"name": "greenhouse", "requirement": toml, "unreviewed": True, "who": "Ben"}
    assert site.client.post("/api/comparisons", json=sent).json()["who"] == "Ben"
    assert [one["name"] for one in site.client.get("/api/comparisons").json()] == ["greenhouse"]
    fields = site.client.get("/api/comparisons/fields", params={"name": "greenhouse"}).json()
    assert [tuple(pair) for pair in fields] == asked[:-1]
    assert site.client.get("/api/comparisons/fields", params={"name": "other"}).status_code == 404


NUMBERS = [name for name, rule in field_rules().items() if rule.kind == "number" and "." not in name]
EXTREMES = ["0", "-0.0", "1e-300", "5e-324", "1e300", "1.7e308", "-1e300", "1e-9", "1e9"]


@settings(max_examples=60, deadline=None, derandomize=True, database=None,
          suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from(NUMBERS), st.sampled_from(EXTREMES)), min_size=1, max_size=4))
def test_extreme_requirements_are_judged_or_refused(site, asked, typed: list[tuple[str, str]]) -> None:
    """No number that a float can hold makes a comparison fail with an error of our own."""
    answer = site.client.get("/api/ranking", params=list({**dict(asked), **dict(typed)}.items()))
    assert answer.status_code in (200, 400), answer.text
