"""The drawn curves of one datasheet: where each stands on its page, and decisions on them.

Comes in: the hash of a sheet, what a person decided of a curve. Goes out: curves with their lines in points
of the page. Decides as `holdtrip curves` does. Reads no PDF.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fastapi import APIRouter
from pydantic import BaseModel

from extract.errors import InputError
from extract.schema import Place
from holdtrip.library.curves import StoredCurve
from holdtrip.library.records import Signature, Verdict
from holdtrip.web.desk import Desk
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

    return router


def _to_page(one: StoredCurve) -> CurveOnPage:
    curve, said = one.curve, one.decision
    decided = said is not None and said.verdict is not Verdict.REOPENED
    return CurveOnPage(
        one.curve_id, one.given_to or curve.part_number, curve.chart.value, curve.label,
        said.verdict.value if decided and said is not None else curve.status.value,
        said.who if decided and said is not None else "", curve.place.page, curve.place, curve.on_page,
        (curve.points[0][0], curve.points[-1][0]), curve.notes)
