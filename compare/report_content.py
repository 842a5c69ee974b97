"""What the one-page decision record says, for any kind of page.

Comes in: a ranking and what reading and checking found. Goes out: a `Record` of texts and drawings. Does not
lay out pages (see `report`, `report_pdf`) and judges nothing anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from compare.asked_fields import AskedField, requirement_to_fields
from compare.cautions import ranking_to_cautions
from compare.corners import Case, numbers_to_case
from compare.explain import (
    PassingParts,
    candidate_to_review,
    candidate_to_sentence,
    counted,
    counts_text,
    margin_text,
    margin_title,
    quantity_text,
    ranking_to_gap,
)
from compare.fault_words import case_to_fault_words, case_to_tripped_words
from compare.part_numbers import part_to_numbers
from compare.plots import case_to_derating_plot, margins_to_plot
from compare.plots_drawing import Drawing
from compare.provenance import SHA_SHOWN, UNKNOWN, Provenance
from compare.ranking import Ranking
from compare.records import Candidate, Margin, Sense, Verdict
from compare.trip_plot import MOST, cases_to_trip_plot
from extract.schema import UNIT_OF, Curve, Finding, Kind, Reading

OTHERS_SHOWN = 6
FINDINGS_SHOWN = 6


@dataclass(frozen=True, slots=True)
class MarginLine:
    """One margin in words; `at` is the ambient it is asked at, or empty."""

    title: str
    at: str
    value: str
    limit: str
    margin: str
    verdict: str
    basis: str
    note: str
    source: str
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OtherLine:
    """Another candidate, and why it is not the chosen one."""

    rank: int
    part_number: str
    document: str
    verdict: str
    margin: str
    why: str


@dataclass(frozen=True, slots=True)
class SourceLine:
    """One document: the beginning of its hash, its revision in words, and for each page what was read
    there."""

    document: str
    sha256: str
    revision: str
    pages: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionRecord:
    """Everything on the page, in reading order. What speaks of the best part is empty where there are no
    parts at all."""

    title: str
    part_number: str = ""
    document: str = ""
    verdict: str = ""
    sentence: str = "No parts were given."
    gap: str
    counted: str
    reviewed: str = ""
    asked: tuple[AskedField, ...]
    preset_notes: tuple[str, ...]
    margins: tuple[MarginLine, ...] = ()
    circuit: tuple[str, ...] = ()
    made_with: tuple[str, ...]
    others: tuple[OtherLine, ...]
    sources: tuple[SourceLine, ...] = ()
    findings: tuple[str, ...] = ()
    cautions: tuple[str, ...]
    plots: tuple[Drawing, ...] = ()


def ranking_to_record(ranking: Ranking, findings: Sequence[Finding] = (),
                      provenance: Provenance = UNKNOWN) -> DecisionRecord:
    """The record of a ranking: the best part, whether it fits or not, and those after it."""
    requirement = ranking.requirement
    record = DecisionRecord(
        title=requirement.title or "Untitled requirement",
        gap=ranking_to_gap(ranking),
        counted=_counted(ranking),
        asked=tuple(requirement_to_fields(requirement)),
        preset_notes=(*requirement.preset_notes,
                      *(f"overridden by the file: {override}" for override in requirement.overrides)),
        made_with=tuple(provenance.lines()),
        others=tuple(_others(ranking)),
        cautions=tuple(caution.text for caution in ranking_to_cautions(ranking)),
    )
    if not ranking.candidates:
        return record
    best = ranking.candidates[0]
    case = numbers_to_case(part_to_numbers(best.part), requirement)
    return replace(
        record,
        part_number=best.part_number,
        document=best.part.document,
        verdict=best.verdict.value,
        sentence=candidate_to_sentence(best),
        reviewed=candidate_to_review(best),
        margins=tuple(map(_margin_line, best.margins)),
        circuit=(*case_to_fault_words(case), *case_to_tripped_words(case)),
        sources=tuple(_sources(best, provenance)),
        findings=tuple(_findings(best, findings)),
        plots=_plots(best, case, ranking),
    )


def _counted(ranking: Ranking) -> str:
    return f"{counted(len(ranking.candidates), 'part')} compared: {counts_text(ranking)}"


def _margin_line(margin: Margin) -> MarginLine:
    side = "at least" if margin.sense is Sense.AT_LEAST else "at most"
    return MarginLine(
        margin_title(margin.name),
        "" if margin.at_c is None else f"{margin.at_c:g} °C",
        "–" if margin.value is None else quantity_text(margin.value, margin.unit),
        "–" if margin.limit is None else f"{side} {quantity_text(margin.limit, margin.unit)}",
        margin_text(margin) or "–",
        margin.verdict.value, margin.basis.value if margin.value is not None else "–",
        margin.note, margin.source, margin.assumed if margin.value is not None else ())


def _others(ranking: Ranking) -> Iterator[OtherLine]:
    passing = PassingParts(ranking)
    for rank, candidate in enumerate(ranking.candidates[1:OTHERS_SHOWN + 1], 2):
        yield OtherLine(rank, candidate.part_number, candidate.part.document, candidate.verdict.value,
                        margin_text(candidate.limiting) or "–", _why_not(passing, candidate))


def _why_not(passing: PassingParts, candidate: Candidate) -> str:
    nearest = passing.nearest_to(candidate)
    sentence = candidate_to_sentence(candidate)
    if candidate.verdict is Verdict.FITS or nearest is None:
        return sentence
    return f"{sentence} Nearest that fits: {nearest.part_number}."


def _sources(candidate: Candidate, provenance: Provenance) -> Iterator[SourceLine]:
    """Documents with their pages, and on each page the printed numbers that the margins rest on."""
    used: dict[Reading | Curve, None] = {}
    for margin in candidate.margins:
        used |= dict.fromkeys(margin.readings) | dict.fromkeys(margin.curves)
    documents = dict.fromkeys((reading.document, reading.sha256) for reading in used)
    for document, sha256 in documents:
        own = [reading for reading in used if (reading.document, reading.sha256) == (document, sha256)]
        pages = sorted({reading.place.page for reading in own})
        yield SourceLine(document, sha256[:SHA_SHOWN], provenance.revision_of(sha256), tuple(
            (page, "; ".join(_printed(reading) for reading in own if reading.place.page == page))
            for page in pages))


def _printed(reading: Reading | Curve) -> str:
    if isinstance(reading, Curve):
        kind = "typical curve" if reading.kind is Kind.TYP else "curve"
        return f"{kind} “{reading.label}” of the trip times ({reading.status.value})"
    name = f"{reading.quantity.value} {reading.kind.value}".replace("_", " ").strip()
    at = "" if reading.ambient_c is None else f" at {reading.ambient_c:g} °C"
    by = "" if reading.test_current_a is None else f" at {reading.test_current_a:g} A"
    unit = UNIT_OF[reading.quantity]
    value = quantity_text(reading.value, unit)
    return f"{name}{at}{by} “{reading.raw}” = {value} ({reading.status.value})"


def _findings(candidate: Candidate, findings: Sequence[Finding]) -> Iterator[str]:
    """Findings on the part itself, or on its whole sheet."""
    own = [finding for finding in findings if finding.document == candidate.part.document
           and finding.part_number in ("", "*", candidate.part_number)]
    for finding in own[:FINDINGS_SHOWN]:
        page = "" if finding.place is None else f", page {finding.place.page}"
        yield f"{finding.severity.value}{page}: {finding.message}"
    if len(own) > FINDINGS_SHOWN:
        yield f"{len(own) - FINDINGS_SHOWN} more: see the workbook"


def _plots(candidate: Candidate, case: Case, ranking: Ranking) -> tuple[Drawing, ...]:
    next_best = [numbers_to_case(part_to_numbers(one.part), ranking.requirement)
                 for one in ranking.candidates[1:MOST]]
    drawn = (case_to_derating_plot(case), cases_to_trip_plot((case, *next_best)),
             margins_to_plot(candidate.margins))
    return tuple(plot for plot in drawn if plot is not None)
