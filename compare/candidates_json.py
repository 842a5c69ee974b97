"""A ranking becomes the JSON that scripts read.

Comes in: a `Ranking`. Goes out: text: a list of candidates in rank order. Stable keys: part_number,
verdict, limiting_margin (a name), margins with name, value, limit, margin, verdict, basis, source. Further
keys may be added at the end; `standing` is the lowest of all that a margin or candidate rests on, in the
order of `extract.standing`, null where it rests on no printed number. No NaN or infinity: what has no number
is null.
"""

from __future__ import annotations

import json
import math

from compare.corners import numbers_to_case
from compare.explain import candidate_to_sentence
from compare.part_numbers import part_to_numbers
from compare.ranking import Ranking
from compare.records import Candidate, Margin, readings_to_source
from compare.requirement import Requirement
from compare.tripped_state import TrippedState, case_to_tripped_state


def ranking_to_json(ranking: Ranking) -> str:
    """The ranking as JSON text, UTF-8 kept readable, with a final newline."""
    rows = [_candidate(candidate, ranking.requirement) for candidate in ranking.candidates]
    return json.dumps(rows, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _candidate(candidate: Candidate, requirement: Requirement) -> dict[str, object]:
    return {
        "part_number": candidate.part_number,
        "verdict": candidate.verdict.value,
        "limiting_margin": candidate.limiting_margin,
        "smallest_margin": _finite(candidate.smallest_margin),
        "why": candidate_to_sentence(candidate),
        "document": candidate.part.document,
        "sha256": candidate.part.sha256,
        "assumptions": list(candidate.assumptions),
        "overrides": list(requirement.overrides),
        "margins": [_margin(margin) for margin in candidate.margins],
        "tripped_state": _tripped_state(case_to_tripped_state(numbers_to_case(
            part_to_numbers(candidate.part), requirement))),
        "standing": candidate.standing,
    }


def _margin(margin: Margin) -> dict[str, object]:
    return {
        "name": margin.name,
        "value": _finite(margin.value),
        "limit": _finite(margin.limit),
        "margin": _finite(margin.margin),
        "verdict": margin.verdict.value,
        "basis": margin.basis.value,
        "source": margin.source,
        "unit": margin.unit,
        "sense": margin.sense.value,
        "at_c": margin.at_c,
        "band": None if margin.band is None else [_finite(end) for end in margin.band],
        "note": margin.note,
        "assumed": list(margin.assumed),
        "thin": margin.thin,
        "standing": margin.standing,
    }


def _tripped_state(state: TrippedState) -> dict[str, object]:
    return {
        "power_w": _finite(state.power.value),
        "leakage_a": _finite(state.leakage_a),
        "resistance_ohm": _finite(state.resistance_ohm),
        "critical_load_ohm": _finite(state.critical_load_ohm),
        "resets_under_load": state.resets_under_load,
        "let_through_a2s": _finite(state.let_through_a2s),
        "let_through_by": state.let_through_by.value,
        "typical_let_through_a2s": _finite(state.typical_let_through_a2s),
        "basis": "model",
        "source": readings_to_source(state.power.readings),
    }


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
