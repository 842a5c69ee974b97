"""Comparing while typing: the ranking, its plots, its files; comparisons kept in the library.

Comes in: a requirement as fields of a query. Goes out: JSON, SVG, workbook, decision record. Compares as
`holdtrip compare` does, with the parts of the library fetched once for each of its versions.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, NamedTuple

from fastapi import APIRouter, HTTPException, Query, Request, Response
from fastapi.responses import PlainTextResponse
from pydantic import BaseModel

from compare.best_first import figures_to_best
from compare.candidates_json import ranking_to_json
from compare.cautions import ranking_to_cautions
from compare.corners import Case, numbers_to_case
from compare.explain import candidate_to_gaps, candidate_to_review, margin_title, ranking_to_gap
from compare.field_file import FieldRule
from compare.part_numbers import PartNumbers, part_to_numbers
from compare.plots import case_to_derating_plot, margins_to_plot
from compare.plots_drawing import Drawing, drawing_to_svg
from compare.provenance import Provenance
from compare.ranking import Ranking, numbers_to_ranking
from compare.records import Candidate, Verdict
from compare.requirement_file import field_rules, text_to_requirement
from extract.errors import InputError
from extract.schema import Finding
from holdtrip.best_of_library import requirement_to_question
from holdtrip.comparison_files import MAX_CANDIDATES, requirement_to_provenance
from holdtrip.library.comparisons import Comparison, JudgedPart
from holdtrip.library.newer import newer_to_finding, newer_to_sentence
from holdtrip.library.records import PartFilter, Signature
from holdtrip.web.desk import Desk
from holdtrip.web.kept_columns import FEW, MOST_PARTS
from holdtrip.web.requirement_form import CURVE, form_to_toml, toml_to_form
from holdtrip.web.requirement_problems import FieldProblem, form_to_problems
from holdtrip.web.typed_fields import LongText, Name, Sha256InQuery, Who, WordsInQuery

NAME = "requirement"
ALL_JUDGED = 3000
"""A library of more parts is screened until its columns are made: the best are judged, as `holdtrip compare`
does on the screen."""


def _rule_to_parameter(rule: FieldRule) -> dict[str, object]:
    unit = f" In {rule.unit}." if rule.unit not in ("", "1") else ""
    schema: dict[str, object] = {"type": "string", "maxLength": 200}
    if rule.choices:
        schema["enum"] = list(rule.choices)
    return {"name": rule.name, "in": "query", "required": False, "schema": schema,
            "description": f"{rule.meaning}.{unit}"}


_CURVE: dict[str, object] = {
    "name": CURVE, "in": "query", "required": False, "description": "points `current:time` in A and s",
    "schema": {"type": "array", "items": {"type": "string", "maxLength": 60}}}
FIELDS: dict[str, Any] = {"parameters": [
    *(_rule_to_parameter(rule) for rule in field_rules().values() if not rule.name.startswith(CURVE)),
    _CURVE,
]}
"""What the OpenAPI says of a requirement in a query: every field a requirement file may hold."""

Unreviewed = Annotated[bool, Query(description="use numbers nobody has reviewed too")]


class ComparisonSent(BaseModel):
    """A comparison to keep: a name, the requirement as TOML, whether unreviewed numbers are used."""

    name: Name
    requirement: LongText
    unreviewed: bool = False
    who: Who = None


class TomlSent(BaseModel):
    """The text of a requirement file."""

    text: LongText


@dataclass(frozen=True, slots=True)
class KeptComparison:
    """A comparison kept in the library."""

    name: str
    who: str
    at: datetime
    version: int


def compare_router(desk: Desk) -> APIRouter:
    """The routes of comparing."""
    router = APIRouter(prefix="/api", tags=["compare"])
    _add_ranking(router, desk)
    _add_files(router, desk)
    _add_plots(router, desk)
    _add_kept(router, desk)
    return router


def _add_ranking(router: APIRouter, desk: Desk) -> None:
    @router.get("/ranking", openapi_extra=FIELDS, response_class=Response)
    def ranking(
        request: Request, unreviewed: Unreviewed = False, limit: Annotated[int, Query(ge=1, le=500)] = 25
    ) -> Response:
        """The parts ranked; `candidates` are the first `limit` as `holdtrip compare --json` writes them,
        each with its `gaps`: what it lacks, and `reviewed`: how far a person has seen its numbers."""
        answer = _ranking_to_answer(desk, _query_to_best(desk, request, unreviewed, limit), limit)
        return Response(json.dumps(answer, ensure_ascii=False), media_type="application/json")

    @router.get("/ranking/one", openapi_extra=FIELDS, response_class=Response)
    def one_candidate(
        request: Request, part: WordsInQuery, sheet: Sha256InQuery, unreviewed: Unreviewed = False
    ) -> Response:
        """One part held against the requirement, in the form of /api/ranking, without the others."""
        candidate = _candidate(desk, request, unreviewed, (part, sheet))
        requirement = text_to_requirement(query_to_toml(request), NAME)
        answer = _ranking_to_answer(desk, Found(Ranking(requirement, (candidate,))), 1)
        return Response(json.dumps(answer, ensure_ascii=False), media_type="application/json")

    @router.get("/requirement.toml", openapi_extra=FIELDS, response_class=PlainTextResponse)
    def requirement_file(request: Request) -> PlainTextResponse:
        """The requirement as the file that `holdtrip compare` takes."""
        text = query_to_toml(request)
        text_to_requirement(text, NAME)
        return PlainTextResponse(text, headers=_attached("requirement.toml"))

    @router.get("/requirement/problems", openapi_extra=FIELDS)
    def requirement_problems(request: Request) -> tuple[FieldProblem, ...]:
        """Everything that is wrong with a requirement, each at its field; none where it is whole."""
        return form_to_problems(request.query_params.multi_items())

    @router.post("/requirement/fields")
    def requirement_fields(sent: TomlSent) -> list[tuple[str, str]]:
        """The fields of a requirement file, as pairs for a query."""
        return toml_to_form(sent.text, NAME)


def _add_files(router: APIRouter, desk: Desk) -> None:
    @router.get("/ranking/comparison.xlsx", openapi_extra=FIELDS, response_class=Response)
    def workbook(request: Request, unreviewed: Unreviewed = False) -> Response:
        """The workbook for a design review."""
        from compare.workbook import ranking_to_workbook

        found = _query_to_ranking(desk, request, unreviewed)
        with tempfile.TemporaryDirectory(prefix="holdtrip-") as folder:
            path = Path(folder) / "comparison.xlsx"
            ranking_to_workbook(found, path, *_made_from(desk, found, request))
            return Response(path.read_bytes(), headers=_attached(path.name), media_type=(
                "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))

    @router.get("/ranking/decision.html", openapi_extra=FIELDS, response_class=Response)
    def decision_record(request: Request, unreviewed: Unreviewed = False) -> Response:
        """The decision record: one page that prints well, to be saved."""
        from compare.report import ranking_to_html

        found = _query_to_ranking(desk, request, unreviewed)
        text = ranking_to_html(found, *_made_from(desk, found, request))
        return Response(text, media_type="text/html; charset=utf-8", headers=_attached("decision.html"))

    @router.get("/ranking/comparison.json", openapi_extra=FIELDS, response_class=Response)
    def candidates(request: Request, unreviewed: Unreviewed = False) -> Response:
        """All candidates and margins, as `holdtrip compare --json` writes them."""
        rows = _ranking_to_rows(desk, _query_to_ranking(desk, request, unreviewed))
        text = json.dumps(rows, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
        return Response(text, media_type="application/json", headers=_attached("comparison.json"))


def _add_plots(router: APIRouter, desk: Desk) -> None:
    @router.get("/ranking/derating.svg", openapi_extra=FIELDS, response_class=Response)
    def derating(
        request: Request, part: WordsInQuery, sheet: Sha256InQuery, unreviewed: Unreviewed = False
    ) -> Response:
        """Hold and trip of one part against ambient, with what the requirement asks."""
        candidate = _candidate(desk, request, unreviewed, (part, sheet))
        requirement = text_to_requirement(query_to_toml(request), NAME)
        return _svg(case_to_derating_plot(numbers_to_case(part_to_numbers(candidate.part), requirement)))

    @router.get("/ranking/margins.svg", openapi_extra=FIELDS, response_class=Response)
    def margins(
        request: Request, part: WordsInQuery, sheet: Sha256InQuery, unreviewed: Unreviewed = False
    ) -> Response:
        """The margins of one part as bars."""
        return _svg(margins_to_plot(_candidate(desk, request, unreviewed, (part, sheet)).margins))


def _add_kept(router: APIRouter, desk: Desk) -> None:
    @router.get("/comparisons")
    def kept_comparisons() -> tuple[KeptComparison, ...]:
        """The comparisons kept in the library, newest first."""
        return tuple(KeptComparison(one.comparison.name, one.who, one.at, one.version)
                     for one in reversed(desk.library.comparisons()))

    @router.post("/comparisons")
    def keep_comparison(sent: ComparisonSent) -> KeptComparison:
        """Keep a comparison under a name; one of the same name stays in the history."""
        requirement = text_to_requirement(sent.requirement, NAME)
        found = numbers_to_ranking(_part_numbers(desk, sent.unreviewed), requirement)
        parts = tuple(JudgedPart(one.part_number, one.part.sha256) for one in found.candidates)
        kept = Comparison(sent.name, sent.requirement, ranking_to_json(found), parts)
        version = desk.library.save_comparison(kept, Signature(desk.signer(sent.who)))
        return next(one for one in kept_comparisons() if one.version == version)

    @router.get("/comparisons/fields")
    def kept_fields(name: WordsInQuery) -> list[tuple[str, str]]:
        """The requirement of a comparison kept, as pairs for a query."""
        found = next((one for one in desk.library.comparisons() if one.comparison.name == name), None)
        if found is None:
            raise HTTPException(404, "no comparison of that name")
        return toml_to_form(found.comparison.requirement, name)


def query_to_toml(request: Request) -> str:
    """The requirement in a query as the text of a requirement file."""
    return form_to_toml(request.query_params.multi_items())


def _query_to_ranking(desk: Desk, request: Request, unreviewed: bool) -> Ranking:
    requirement = text_to_requirement(query_to_toml(request), NAME)
    return numbers_to_ranking(_part_numbers(desk, unreviewed), requirement)


class Found(NamedTuple):
    """A ranking, and how many parts of a large library were not judged: none of them stands before the first
    of the ranking. counts: parts of each verdict, where the ranking has not all that were judged."""

    ranking: Ranking
    left_out: int = 0
    counts: dict[Verdict, int] | None = None


def _query_to_best(desk: Desk, request: Request, unreviewed: bool, limit: int) -> Found:
    """The first `limit` of all parts."""
    count = desk.part_count()
    if count <= FEW:
        return Found(_query_to_ranking(desk, request, unreviewed))
    requirement = text_to_requirement(query_to_toml(request), NAME)
    if count <= MOST_PARTS:
        best = desk.columns.best(requirement, unreviewed, limit, now=unreviewed or count <= ALL_JUDGED)
        if best is not None and best.ranking.candidates:
            return Found(best.ranking, 0, best.counts)
    if count <= ALL_JUDGED:
        return Found(_query_to_ranking(desk, request, unreviewed))
    question = requirement_to_question(requirement)
    with desk.library.screening(question, accepted_only=not unreviewed) as screening:
        found = figures_to_best(screening, requirement, limit)
    return Found(found.ranking, found.not_judged + sum(found.missed.values()))


def _part_numbers(desk: Desk, unreviewed: bool) -> Sequence[PartNumbers]:
    numbers = desk.part_numbers(unreviewed)
    if not numbers and not unreviewed and desk.part_numbers(True):
        raise InputError(desk.library.name, "no number accepted yet", "numbers that a person accepted",
                         "Review a datasheet, or tick the box that takes unreviewed numbers too")
    return numbers


def _candidate(desk: Desk, request: Request, unreviewed: bool, wanted: tuple[str, str]) -> Candidate:
    """One candidate of the ranking; only that part is compared."""
    requirement = text_to_requirement(query_to_toml(request), NAME)
    return numbers_to_ranking([wanted_numbers(desk, unreviewed, wanted)], requirement).candidates[0]


def wanted_numbers(desk: Desk, unreviewed: bool, wanted: tuple[str, str]) -> PartNumbers:
    """A part by its number and its sheet, from those compared; the whole of a large library is not loaded."""
    if desk.part_count() <= ALL_JUDGED:
        numbers: Iterable[PartNumbers] = _part_numbers(desk, unreviewed)
    else:
        like = PartFilter(like=wanted[0])
        numbers = map(part_to_numbers, desk.library.parts(accepted_only=not unreviewed, where=like))
    found = next((one for one in numbers if (one.part.part_number, one.part.sha256) == wanted), None)
    if found is None:
        raise HTTPException(404, "no such part among those compared")
    return found


def one_case(desk: Desk, request: Request, unreviewed: bool, wanted: tuple[str, str]) -> Case:
    """One part under the requirement of a query."""
    part = _candidate(desk, request, unreviewed, wanted).part
    return numbers_to_case(part_to_numbers(part), text_to_requirement(query_to_toml(request), NAME))


def _ranking_to_answer(desk: Desk, found: Found, limit: int) -> dict[str, Any]:
    ranking = found.ranking
    counts = found.counts or {verdict: len(ranking.with_verdict(verdict)) for verdict in Verdict}
    shown = Ranking(ranking.requirement, ranking.candidates[:limit])
    candidates = _ranking_to_rows(desk, shown)
    for row, candidate in zip(candidates, shown.candidates, strict=True):
        row["gaps"] = candidate_to_gaps(candidate)
        row["reviewed"] = candidate_to_review(candidate)
        row["hold_a"] = candidate.hold_a
    names = {margin.name for candidate in shown.candidates for margin in candidate.margins}
    return {
        "counts": {verdict.value: count for verdict, count in counts.items()},
        "left_out": found.left_out,
        "gap": ranking_to_gap(ranking),
        "notes": [*ranking.requirement.preset_notes,
                  *(f"overridden by the file: {one}" for one in ranking.requirement.overrides)],
        "cautions": [caution.text for caution in ranking_to_cautions(ranking)],
        "titles": {name: margin_title(name) for name in names},
        "candidates": candidates,
    }


def _ranking_to_rows(desk: Desk, ranking: Ranking) -> list[dict[str, Any]]:
    """The candidates as `holdtrip compare --json` writes them, each with what a newer revision says of it."""
    rows: list[dict[str, Any]] = json.loads(ranking_to_json(ranking))
    hashes = tuple({candidate.part.sha256 for candidate in ranking.candidates})
    newer = {(one.sha256, one.part_number): newer_to_sentence(one)
             for one in (desk.library.newer(hashes) if hashes else ())}
    for row in rows:
        row["newer_revision"] = newer.get((row["sha256"], row["part_number"]), "")
    return rows


def _made_from(desk: Desk, ranking: Ranking, request: Request) -> tuple[tuple[Finding, ...], Provenance]:
    """What was noticed about the datasheets of a ranking, and what it was made from."""
    hashes = dict.fromkeys(one.part.sha256 for one in ranking.candidates[:MAX_CANDIDATES])
    sheets = [sheet for sha256 in hashes if (sheet := desk.library.sheet(sha256)) is not None]
    newer = tuple(map(newer_to_finding, desk.library.newer(tuple(hashes))))
    findings = (*newer, *(finding for sheet in sheets for finding in sheet.findings))
    return findings, requirement_to_provenance(NAME, query_to_toml(request).encode(), {
        sheet.sha256: sheet.revision for sheet in sheets})


def _attached(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


def _svg(drawing: Drawing | None) -> Response:
    if drawing is None:
        raise HTTPException(404, "no derating table to draw")
    return Response(drawing_to_svg(drawing), media_type="image/svg+xml")
