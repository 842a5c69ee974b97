"""All margins of many parts against one requirement, and what they make of each part.

Comes in: `PartColumns`, a requirement. Goes out: `JudgedColumns`: verdict, open questions and the margin that
decides, of every part, as `margins.margins_to_verdict` and `margins_to_limiting` have it. A part that is not
plain is judged by itself, and so is a question that has no columns. Does not put parts in order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from compare.columns import margins_steady as steady
from compare.columns import margins_timed as timed
from compare.columns.corners import ColumnCase, columns_to_case
from compare.columns.judging import FAILS, FITS, OPEN, MarginColumn, undetermined
from compare.columns.part_columns import PartColumns
from compare.columns.rows import NAN, Bools, Codes, Floats
from compare.corners import Case, numbers_to_case
from compare.margins import QUESTIONS, Asked
from compare.ranking import numbers_to_candidate, open_questions
from compare.records import BASIS_RANK, VERDICT_RANK, Candidate, Margin, Verdict
from compare.requirement import Requirement
from extract.schema import ParticularName as Name

AskedOfAll = Callable[[ColumnCase], MarginColumn | None]
STEADY: dict[str, AskedOfAll] = {
    "hold_current": steady.hold_current, "trip_certainty": steady.trip_certainty,
    "trip_current_limit": steady.trip_current_limit, "max_voltage": steady.max_voltage,
    "interrupt_voltage": steady.interrupt_voltage, "max_current": steady.max_current,
    "voltage_drop": steady.voltage_drop, "leakage": steady.leakage, "reset": steady.reset,
    "wire_ampacity": steady.wire_ampacity, "track_ampacity": steady.track_ampacity,
    "package": steady.package, "endurance": steady.endurance,
}
TIMED: dict[str, Callable[[ColumnCase, timed.Clock], MarginColumn | None]] = {
    "inrush": timed.inrush, "hot_plug": timed.hot_plug, "time_to_trip": timed.time_to_trip,
    "wire": timed.wire, "track": timed.track, "damage_curve": timed.damage_curve,
}
"""Questions that have columns, by the name of the function of `margins.QUESTIONS`; others are asked of each
part."""
RESTS_ON = {
    "body_length": frozenset({Name.BODY_LENGTH, Name.PACKAGE, Name.DIMENSION}),
    "body_width": frozenset({Name.BODY_WIDTH, Name.PACKAGE, Name.DIMENSION}),
    "body_height": frozenset({Name.BODY_HEIGHT, Name.DIMENSION}),
    "lead_spacing": frozenset({Name.LEAD_SPACING}), "mounting": frozenset({Name.MOUNTING}),
    "operating_hot": frozenset({Name.OPERATING_TEMPERATURE}),
    "operating_cold": frozenset({Name.OPERATING_TEMPERATURE}),
    "approvals": frozenset({Name.APPROVAL}), "tested_trips": frozenset({Name.TRIP_CYCLES}),
}
"""Of those others the ones that rest on nothing but these particulars, and on the printed package: they are
asked of one of all parts of which sheets say the same."""
BY_CURVES = frozenset({*TIMED, "limited_power"})
"""Questions that a drawn curve may answer."""
OF_THE_SHEET = frozenset({"operating_hot", "operating_cold", "tested_trips"})
"""Questions that a part is asked where its sheet says something of it, whatever the requirement."""


@dataclass(frozen=True, slots=True)
class JudgedColumns:
    """What a requirement makes of every part: verdict by its rank, how many questions are open, the margin
    that decides, not a number where it has none; resistance and size break ties, infinite where unknown.
    margins: by question, of plain parts; single: candidates of the parts judged by themselves, by their
    place; waiting: parts that fail, and by more perhaps than their margin here, since their curves have not
    been asked."""

    requirement: Requirement
    verdict: Codes
    open_questions: Codes
    deciding: Floats
    resistance_ohm: Floats
    area_mm2: Floats
    margins: dict[str, MarginColumn]
    single: dict[int, Candidate]
    waiting: Bools

    def judge_alone(self, parts: PartColumns, places: Iterable[int]) -> None:
        """Judge some parts by themselves; what is said of them here is then exact."""
        alone = [int(place) for place in places]
        parts.fetch(alone)
        for place in alone:
            candidate = self.single[place] = numbers_to_candidate(parts.numbers(place), self.requirement)
            size = candidate.limiting.margin
            self.verdict[place] = VERDICT_RANK[candidate.verdict]
            self.open_questions[place] = open_questions(candidate)
            self.deciding[place] = NAN if size is None else size
            self.resistance_ohm[place] = np.inf if (ohm := candidate.resistance_ohm) is None else ohm
            self.area_mm2[place] = np.inf if (area := candidate.area_mm2) is None else area
            self.waiting[place] = False

    def counts(self) -> dict[Verdict, int]:
        """How many parts there are of each verdict."""
        return {verdict: int(np.count_nonzero(self.verdict == rank))
                for verdict, rank in VERDICT_RANK.items()}


def columns_to_judged(parts: PartColumns, requirement: Requirement) -> JudgedColumns:
    """Judge every part. One with drawn curves is judged by itself where a time to trip is asked, but waits
    for that where it fails whatever its curves say."""
    with np.errstate(all="ignore"):  # not a number is a number that is missing, and is reckoned with as one
        margins = {name: column for name, column in _columns(parts, requirement) if column is not None}
    drawn = parts.plain & parts.with_curves & asks_for_time(requirement)
    whole, waiting = _summed(margins.values()), np.zeros(parts.count, bool)
    if drawn.any():
        timeless = _summed([column for name, column in margins.items() if name not in BY_CURVES])
        waiting = drawn & (timeless[0] == FAILS)
        for column, bound in zip(whole, timeless, strict=True):
            column[waiting] = bound[waiting]
    judged = JudgedColumns(requirement, *whole, parts.resistance_ohm.copy(), parts.area_mm2.copy(), margins,
                           {}, waiting)
    judged.judge_alone(parts, np.flatnonzero(~parts.plain | (drawn & ~waiting)))
    return judged


def _summed(margins: Iterable[MarginColumn]) -> tuple[Codes, Codes, Floats]:
    """Verdict, open questions and deciding margin of every part from some of its margins."""
    columns = tuple(margins)
    verdicts = np.array([column.verdict for column in columns])
    verdict = verdicts.max(axis=0)
    opened = np.where(verdict == OPEN, (verdicts == OPEN).sum(axis=0), 0)
    return verdict, opened, _deciding(np.array([column.margin for column in columns]), verdicts, verdict)


def asks_for_time(requirement: Requirement) -> bool:
    """Whether any margin rests on a time to trip."""
    asked = (requirement.trip_time_max_s, requirement.peak_current_a, requirement.hot_plug, requirement.wire,
             requirement.track, requirement.limited_power)
    return any(one is not None for one in asked) or bool(requirement.damage_curve)


def _deciding(sizes: Floats, verdicts: Codes, verdict: Codes) -> Floats:
    """As `margins.margins_to_limiting`: of those with the part's own verdict the smallest; one without a
    number counts as the smallest, but last where it fits."""
    unnumbered = np.where(verdict == FITS, np.inf, -np.inf)
    counted = np.where(np.isnan(sizes), unnumbered, sizes)
    smallest = np.where(verdicts == verdict, counted, np.inf).min(axis=0)
    return np.where(np.isinf(smallest), NAN, smallest)


def _columns(parts: PartColumns, requirement: Requirement) -> Iterator[tuple[str, MarginColumn | None]]:
    case, clock = columns_to_case(parts, requirement), timed.Clock(parts, requirement)
    cases: dict[int, Case] = {}
    for ask in QUESTIONS:
        name = ask.__name__
        if name in STEADY:
            yield name, STEADY[name](case)
        elif name in TIMED:
            yield name, TIMED[name](case, clock)
        else:
            yield name, _one_by_one(ask, case, cases)


def _one_by_one(ask: Asked, case: ColumnCase, cases: dict[int, Case]) -> MarginColumn | None:
    """A question without columns, asked of each plain part, or of one of all that are alike. What a sheet
    alone brings up counts for nothing where it is not asked; for the others it is the same for all whether
    they are asked at all."""
    plain, by_sheet = np.flatnonzero(case.parts.plain), ask.__name__ in OF_THE_SHEET
    if not len(plain) or not (by_sheet or ask(_case_of(int(plain[0]), case, cases))):
        return None
    groups = _groups(ask.__name__, case, plain)
    case.parts.fetch(int(group[0]) for group in groups)
    found, asked = undetermined(case.size)._replace(verdict=np.full(case.size, FITS)), False
    for group in groups:
        margin = ask(_case_of(int(group[0]), case, cases))
        if margin is not None:
            _put(found, group, margin)
            asked = True
    return found if asked else None


def _groups(name: str, case: ColumnCase, plain: Codes) -> list[Codes]:
    """The places of plain parts, those together that get the same answer."""
    if name not in RESTS_ON:
        return [plain[index:index + 1] for index in range(len(plain))]
    alike = case.parts.said(RESTS_ON[name]) * len(case.parts.packages) + case.parts.package_of
    order = plain[np.argsort(alike[plain], kind="stable")]
    return np.split(order, np.flatnonzero(np.diff(alike[order])) + 1)


def _case_of(index: int, case: ColumnCase, cases: dict[int, Case]) -> Case:
    found = cases.get(index)
    if found is None:
        found = cases[index] = numbers_to_case(case.parts.numbers(index), case.requirement)
    return found


def _put(column: MarginColumn, group: Codes, margin: Margin) -> None:
    column.value[group] = NAN if margin.value is None else margin.value
    column.limit[group] = NAN if margin.limit is None else margin.limit
    column.margin[group] = NAN if margin.margin is None else margin.margin
    column.verdict[group] = VERDICT_RANK[margin.verdict]
    column.basis[group] = BASIS_RANK[margin.basis]
