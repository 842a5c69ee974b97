"""Records as tidy data frames: one row for each, SI units, words of a fixed set as categories.

Comes in: readings, findings, margins, curves. Goes out: pandas data frames; `frame.attrs["units"]` names the
unit of each column that has one. Rounds and drops nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum

import pandas as pd

from compare.records import Basis, Candidate, Verdict
from extract.schema import UNIT_OF, ChartName, Curve, Finding, Kind, Quantity, Reading, Severity, Status

NUMBER_COLUMNS = (
    "document", "part_number", "quantity", "kind", "ambient_c", "test_current_a", "value", "unit", "status",
    "page", "x0", "top", "x1", "bottom", "raw", "notes", "cause",
)  # fmt: skip


def readings_to_frame(readings: Iterable[Reading]) -> pd.DataFrame:
    """One row for each number. `unit` is that of `value` (SI); `raw` is as printed; places are points from
    the
    top left of the page; `notes` say why a number is disputed."""
    rows = [
        (r.document, r.part_number, r.quantity.value, r.kind.value, r.ambient_c, r.test_current_a, r.value,
         UNIT_OF[r.quantity], r.status.value, r.place.page, r.place.x0, r.place.top, r.place.x1,
         r.place.bottom, r.raw, "; ".join(r.notes), r.cause)
        for r in readings
    ]  # fmt: skip
    frame = _frame(NUMBER_COLUMNS, rows, {"quantity": Quantity, "kind": Kind, "status": Status})
    frame = frame.astype(dict.fromkeys(("ambient_c", "test_current_a", "value"), "float64"))
    frame.attrs["units"] = {"ambient_c": "degC", "test_current_a": "A", "x0": "pt", "top": "pt", "x1": "pt",
                            "bottom": "pt"}  # fmt: skip
    return frame


def curves_to_frame(curves: Iterable[Curve]) -> pd.DataFrame:
    """One row for each vertex of a curve. Of trip times x is in A and y in s, else x in degC and y a
    fraction;
    `x_error` and `y_error` are relative."""
    rows = [
        (c.document, c.part_number, c.chart.value, c.kind.value, c.ambient_c, x, y, c.x_error, c.y_error,
         c.status.value, c.place.page)
        for c in curves
        for x, y in c.points
    ]  # fmt: skip
    names = ("document", "part_number", "chart", "kind", "ambient_c", "x", "y", "x_error", "y_error",
             "status", "page")  # fmt: skip
    frame = _frame(names, rows, {"chart": ChartName, "kind": Kind, "status": Status})
    frame.attrs["units"] = {"ambient_c": "degC", "x_error": "1", "y_error": "1"}
    return frame


def findings_to_frame(findings: Iterable[Finding]) -> pd.DataFrame:
    """One row for each thing noticed about a sheet."""
    rows = [
        (f.document, f.part_number, f.code, f.severity.value, f.message, f.place.page if f.place else pd.NA)
        for f in findings
    ]
    return _frame(("document", "part_number", "code", "severity", "message", "page"), rows,
                  {"severity": Severity})  # fmt: skip


def candidates_to_frame(candidates: Iterable[Candidate]) -> pd.DataFrame:
    """One row for each part and margin, best part first. `margin` is how many times the need is met; `unit`
    is
    that of value and limit; `standing` the weakest of what the value rests on."""
    rows = [
        (rank, c.part_number, c.part.document, c.verdict.value, m.name, m.value, m.limit, m.margin, m.unit,
         m.verdict.value, m.basis.value, m.standing.value if m.standing is not None else "", m.source, m.note)
        for rank, c in enumerate(candidates, 1)
        for m in c.margins
    ]  # fmt: skip
    names = ("rank", "part_number", "document", "part_verdict", "name", "value", "limit", "margin", "unit",
             "verdict", "basis", "standing", "source", "note")  # fmt: skip
    frame = _frame(names, rows, {"part_verdict": Verdict, "verdict": Verdict, "basis": Basis})
    return frame.astype(dict.fromkeys(("value", "limit", "margin"), "float64"))


def _frame(
    names: Sequence[str], rows: Sequence[tuple[object, ...]], sets: Mapping[str, type[StrEnum]]
) -> pd.DataFrame:
    """A frame whose columns of fixed words are categories in their order."""
    frame = pd.DataFrame(rows, columns=list(names))
    for name, words in sets.items():
        frame[name] = pd.Categorical(frame[name], categories=[word.value for word in words])
    return frame
