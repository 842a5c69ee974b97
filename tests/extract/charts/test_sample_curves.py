"""The curves of the invented sheets with charts, against what their drawers say."""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import pytest

from extract.document import path_to_document
from extract.schema import Curve, Kind, Status
from extract.sheet import ReadOptions, document_to_sheet

SAMPLES = Path(__file__).parents[3] / "sample_tables"
TRUTHS = sorted((SAMPLES / "curves").glob("*.csv"))
ALLOWED = 0.03  # in the plane of both natural logarithms
SAME_LINE = "lingthwaite_lgw"  # two of its curves lie on each other


def curves_of(name: str) -> tuple[Curve, ...]:
    """The curves read from a sheet, its tables read once."""
    document = path_to_document(SAMPLES / f"{name}.pdf")
    return document_to_sheet(document, ReadOptions(second_reading=False)).curves


def distance(x: float, y: float, curve: Curve) -> float:
    """From a point to a curve, shortest way."""
    px, py = math.log(x), math.log(y)
    points = [(math.log(a), math.log(b)) for a, b in curve.points]
    best = math.inf
    for (ax, ay), (bx, by) in pairwise(points):
        dx, dy = bx - ax, by - ay
        square = dx * dx + dy * dy
        share = max(0.0, min(1.0, ((px - ax) * dx + (py - ay) * dy) / square)) if square else 0.0
        best = min(best, math.hypot(px - ax - share * dx, py - ay - share * dy))
    return best


@pytest.mark.parametrize("truth", TRUTHS, ids=lambda path: path.stem)
def test_no_point_is_silently_wrong_and_most_are_right(truth: Path) -> None:
    """Every true point lies on the curve read for its part, or that is disputed; nearly all are read."""
    read: dict[str, list[Curve]] = defaultdict(list)
    for curve in curves_of(truth.stem):
        assert curve.kind is Kind.TYP
        assert curve.ambient_c == 23
        assert all(a[0] <= b[0] for a, b in pairwise(curve.points))
        read[curve.part_number].append(curve)
    with truth.open(encoding="utf-8", newline="") as source:
        rows = list(csv.DictReader(source))
    right = 0
    for row in rows:
        x, y = float(row["x"]), float(row["y"])
        for curve in read[row["part_number"]]:
            off = distance(x, y, curve)
            right += off <= ALLOWED
            assert off <= 2 * ALLOWED or curve.status is Status.DISPUTED, row
    assert right >= 0.95 * len(rows)
    assert set(read) <= {row["part_number"] for row in rows}, "a part without a curve got one"


def test_two_curves_on_each_other_are_disputed() -> None:
    """Where nothing tells two curves apart both are disputed, with a note that names the other."""
    curves = {curve.part_number: curve for curve in curves_of(SAME_LINE)}
    for part in ("LGW050", "LGW055"):
        assert curves[part].status is Status.DISPUTED
        assert any("fits" in note or "another" in note for note in curves[part].notes)
    assert curves["LGW020"].status is Status.AGREED


def test_there_are_enough_charts() -> None:
    """At least twelve sheets with charts state the truth of their curves."""
    assert len(TRUTHS) >= 12
