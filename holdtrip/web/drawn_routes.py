"""The drawn curves of one datasheet: where each stands on its page, and decisions on them.

Comes in: the hash of a sheet, what a person decided of a curve, the scale marked on a picture. Goes out:
curves with their lines in points of the page. Decides as `holdtrip curves` does; a worker reads a picture.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field

from extract.charts.calibrated import AxisMarks, Calibration
from extract.charts.naming import readings_to_facts
from extract.errors import InputError
from extract.schema import ChartName, Place
from holdtrip.library.curves import StoredCurve
from holdtrip.library.records import Signature, Verdict
from holdtrip.web.calibrating import PictureJob, ask_for_curves
from holdtrip.web.desk import Desk
from holdtrip.web.frame_routes import kept_copy
from holdtrip.web.typed_fields import Identifier, Sha256InPath, Who, Words

VERDICTS = {"accept": Verdict.ACCEPTED, "reject": Verdict.REJECTED, "reopen": Verdict.REOPENED,
            "label": Verdict.CORRECTED}


@dataclass(frozen=True, slots=True)
class CurveOnPage:
    """A curve of a chart. `line` has its vertices in points from the top left of the page, empty where that
    was not kept; `place` is the chart's frame; `state` what was decided, or how it was read; `part_number`
    the part it counts for."""

    curve_id: int
    part_number: str
    chart: str
    label: str
    state: str
    decided_by: str
    page: int
    place: Place
    line: tuple[tuple[float, float], ...]
    ends: tuple[float, float]
    notes: tuple[str, ...]


Scale = Literal["usual", "log", "even"]


class MarkSent(BaseModel):
    """A value of an axis and where it stands: points from the left of the page, or from its top."""

    at: Annotated[float, Field(ge=-1e4, le=1e5, allow_inf_nan=False)]
    value: Annotated[float, Field(ge=-1e9, le=1e9, allow_inf_nan=False)]


class MarksSent(BaseModel):
    """The scale of a chart that is a picture: two marks on each axis. Currents in A, times in s, temperatures
    in °C, shares in percent. A scale is logarithmic, even, or as usual in such a chart."""

    page: Annotated[int, Field(ge=1, le=100_000)]
    chart: ChartName
    x: Annotated[list[MarkSent], Field(min_length=2, max_length=2)]
    y: Annotated[list[MarkSent], Field(min_length=2, max_length=2)]
    x_scale: Scale = "usual"
    y_scale: Scale = "usual"
    because: Words = ""
    who: Who = None


class CurveDecisionSent(BaseModel):
    """What is decided of a curve; with `label` goes the part of the sheet that its label names. All but
    `accept` need a reason."""

    curve_id: Identifier
    action: Literal["accept", "reject", "reopen", "label"]
    part_number: Words = ""
    reason: Words = ""
    who: Who = None


def drawn_router(desk: Desk) -> APIRouter:
    """The routes of the curves of a sheet."""
    router = APIRouter(prefix="/api/sheets", tags=["review"])

    @router.get("/{sha256}/curves")
    def curves(sha256: Sha256InPath) -> tuple[CurveOnPage, ...]:
        """Every drawn curve of the sheet, in the order read."""
        return tuple(map(_to_page, desk.library.curves(sha256=sha256)))

    @router.post("/{sha256}/curves")
    def decide(sha256: Sha256InPath, sent: CurveDecisionSent) -> CurveOnPage:
        """Accept or reject a curve, take that back, or say which part its label names."""
        if all(one.curve_id != sent.curve_id for one in desk.library.curves(sha256=sha256)):
            raise InputError(sha256[:12], f"no curve {sent.curve_id} of this sheet")
        by = Signature(desk.signer(sent.who), sent.reason)
        desk.library.decide_curve(sent.curve_id, VERDICTS[sent.action], by, sent.part_number)
        return next(_to_page(one) for one in desk.library.curves(sha256=sha256)
                    if one.curve_id == sent.curve_id)

    @router.post("/{sha256}/pictures")
    def calibrate(sha256: Sha256InPath, sent: MarksSent) -> tuple[CurveOnPage, ...]:
        """Read the chart that is a picture at the marks, by their scale; its curves count as read once."""
        path, document = kept_copy(desk, sha256)
        marked = Calibration(sent.page, sent.chart, _to_marks(sent.x, sent.x_scale),
                             _to_marks(sent.y, sent.y_scale))
        facts = readings_to_facts(one.reading for one in desk.library.sheet_numbers(sha256))
        found = ask_for_curves(PictureJob(path, marked, facts), document)
        curves = [replace(one, document=document, sha256=sha256) for one in found]
        reason = f"two marks on each axis of the chart on page {sent.page}. {sent.because}".strip()
        desk.library.add_curves(sha256, curves, Signature(desk.signer(sent.who), reason))
        return tuple(map(_to_page, desk.library.curves(sha256=sha256)))

    return router


def _to_marks(sent: list[MarkSent], scale: Scale) -> AxisMarks:
    one, other = sent
    is_log = None if scale == "usual" else scale == "log"
    return AxisMarks((one.at, other.at), (one.value, other.value), is_log)


def _to_page(one: StoredCurve) -> CurveOnPage:
    curve, said = one.curve, one.decision
    decided = said is not None and said.verdict is not Verdict.REOPENED
    return CurveOnPage(
        one.curve_id, one.given_to or curve.part_number, curve.chart.value, curve.label,
        said.verdict.value if decided and said is not None else curve.status.value,
        said.who if decided and said is not None else "", curve.place.page, curve.place, curve.on_page,
        (curve.points[0][0], curve.points[-1][0]), curve.notes)
