"""The table of curves: curves as CSV, one row per vertex.

Comes in: curves. Goes out: a CSV file in UTF-8 with a header row, point decimals and SI units. Draws nothing.

A text that a spreadsheet would take for a formula is written with a leading apostrophe.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from extract.schema import Curve
from extract.spreadsheet_text import guard, notes_to_cell, write_rows

CURVE_COLUMNS = (
    "document", "part_number", "chart", "kind", "ambient_c", "x", "y", "status", "page", "label",
    "x_error", "y_error", "sha256", "notes",
)  # fmt: skip


def write_curve_table(curves: Iterable[Curve], path: Path) -> int:
    """Write curves, their vertices from left to right; returns the number of curves."""
    listed = tuple(curves)
    write_rows(CURVE_COLUMNS, (row for curve in listed for row in _curve_to_rows(curve)), path)
    return len(listed)


def _curve_to_rows(curve: Curve) -> list[tuple[str, ...]]:
    head = (guard(curve.document), guard(curve.part_number), curve.chart.value, curve.kind.value,
            "" if curve.ambient_c is None else f"{curve.ambient_c:g}")  # fmt: skip
    tail = (curve.status.value, str(curve.place.page), guard(curve.label), f"{curve.x_error:.4g}",
            f"{curve.y_error:.4g}", curve.sha256,
            notes_to_cell(curve.notes))  # fmt: skip
    return [(*head, f"{x:.6g}", f"{y:.6g}", *tail) for x, y in curve.points]
