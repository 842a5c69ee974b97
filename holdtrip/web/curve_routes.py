"""What plots are drawn from: the course of hold and trip, trip times in tables and charts, what is asked.

Comes in: a part, perhaps a requirement as fields of a query. Goes out: JSON in A, s, °C. Draws nothing and
computes nothing of its own: the lines are those the workbook and the decision record draw.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request

from compare.corners import Case
from compare.derating import Derating
from compare.derating_lines import Piece, hold_to_pieces, trip_to_pieces
from compare.part_numbers import PartNumbers, part_to_numbers
from extract.schema import ChartName, Part, Quantity
from holdtrip.web.compare_routes import FIELDS, Unreviewed, one_case
from holdtrip.web.desk import Desk
from holdtrip.web.typed_fields import Sha256InQuery, WordsInQuery


@dataclass(frozen=True, slots=True)
class Stretch:
    """A straight piece of a current against ambient; both ends are the same for a tabulated point."""

    from_c: float
    to_c: float
    from_a: float
    to_a: float
    basis: str


@dataclass(frozen=True, slots=True)
class TimePoint:
    """A tabulated time to trip."""

    current_a: float
    time_s: float
    status: str


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """A typical curve of the sheet as drawn: `points` are pairs of A and s; `page` where it stands."""

    points: tuple[tuple[float, float], ...]
    status: str
    page: int
    ambient_c: float | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What the requirement asks of the two plots; None where it asks nothing, or nothing is known."""

    coldest_c: float
    hottest_c: float
    hold_a: float
    fault_min_a: float | None
    fault_max_a: float | None
    trip_time_max_s: float | None
    peak_current_a: float | None
    peak_duration_s: float | None


@dataclass(frozen=True, slots=True)
class PartCurves:
    """The courses of one part, and what is asked of it, if anything."""

    part_number: str
    sha256: str
    hold: tuple[Stretch, ...]
    trip: tuple[Stretch, ...]
    times: tuple[TimePoint, ...]
    drawn: tuple[DrawnLine, ...]
    asked: Asked | None = None


def curve_router(desk: Desk) -> APIRouter:
    """The routes of curves."""
    router = APIRouter(prefix="/api", tags=["compare"])

    @router.get("/parts/curves")
    def part_curves(number: WordsInQuery, sheet: Sha256InQuery) -> PartCurves:
        """Hold and trip of one part in force against ambient, and its trip times."""
        found = next((one for one in desk.library.part(number) if one.sha256 == sheet), None)
        if found is None:
            raise HTTPException(404, "no such part in force")
        numbers = part_to_numbers(found)
        return _to_curves(numbers, Derating(numbers), _part_drawn(found))

    @router.get("/ranking/curves", openapi_extra=FIELDS)
    def curves(request: Request, part: WordsInQuery, sheet: Sha256InQuery,
               unreviewed: Unreviewed = False) -> PartCurves:
        """Hold and trip of one part against ambient, its trip times, and the limits that the requirement
        sets."""
        case = one_case(desk, request, unreviewed, (part, sheet))
        return _to_curves(case.numbers, case.derating, _drawn(case), _asked(case))

    return router


def _to_curves(
    numbers: PartNumbers, derating: Derating, drawn: tuple[DrawnLine, ...], asked: Asked | None = None
) -> PartCurves:
    part = numbers.part
    return PartCurves(part.part_number, part.sha256, _stretches(hold_to_pieces(numbers, derating)),
                      _stretches(trip_to_pieces(numbers, derating)), _times(part), drawn, asked)


def _stretches(pieces: Iterable[Piece]) -> tuple[Stretch, ...]:
    return tuple(Stretch(piece.from_c, piece.to_c, piece.from_a, piece.to_a, piece.basis.value)
                 for piece in pieces if piece.from_a is not None and piece.to_a is not None
                 and math.isfinite(piece.from_c) and math.isfinite(piece.to_c))


def _times(part: Part) -> tuple[TimePoint, ...]:
    return tuple(TimePoint(one.test_current_a, one.value, one.status.value)
                 for one in part.readings
                 if one.quantity is Quantity.TIME_TO_TRIP and one.test_current_a)


def _asked(case: Case) -> Asked:
    asked = case.requirement
    return Asked(asked.coldest_c, asked.hottest_c, asked.normal_current_a * asked.hold_factor,
                 _finite(case.lowest_fault.value), _finite(case.highest_fault.value), asked.trip_time_max_s,
                 asked.peak_current_a, asked.peak_duration_s)


def _drawn(case: Case) -> tuple[DrawnLine, ...]:
    drawn = case.trip_times.drawn
    lines = () if drawn is None else drawn.lines
    return tuple(DrawnLine(one.points, one.status.value, one.place.page, one.ambient_c) for one in lines)


def _part_drawn(part: Part) -> tuple[DrawnLine, ...]:
    """The trip-time curves of a part as its sheet draws them, as far as a logarithmic axis can show them."""
    return tuple(
        DrawnLine(tuple(point for point in curve.points if min(point) > 0), curve.status.value,
                  curve.place.page, curve.ambient_c)
        for curve in part.curves if curve.chart is ChartName.TIME_TO_TRIP)


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
