"""Random invented charts with known truth, read with holdtrip's chart reader: what is right, what is not.

    python bench/charts.py [--charts 300] [--seed 1] [--first 0] [--keep FOLDER] [--list] [--pictures]

Draws charts of trip times: other scales, grids, numbers of curves, crossings, labels, ways of drawing. The
parts and their hold currents are told to the reader as if a table had given them. A point counts as right if
the curve read for its part passes it within 3 % (in the plane of both logarithms) plus the error the grid was
drawn with; as silently wrong if it is more than twice that off and the curve is not disputed. `--keep` saves
every chart that was not read without fault. With `--pictures` every chart is first made a JPEG of 130 to 260
dots per inch, and read from its pixels. Ends with 1 if any point is silently wrong.
"""

from __future__ import annotations

import argparse
import io
import math
import random
import sys
import tempfile
from collections import Counter, defaultdict
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

import pypdfium2
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from bench.chart_cases import seed_to_plan
from extract.charts.naming import readings_to_facts
from extract.charts.picture_charts import document_to_picture_curves
from extract.charts.reading import ChartOptions, document_to_curves
from extract.document import Document
from extract.schema import ChartName, Curve, Kind, Place, Quantity, Reading, Status
from sample_tables.generate.chart_drawing import draw_chart
from sample_tables.generate.chart_plan import ChartPlan

NEAR = 0.03
PAGE = (595.0, 842.0)
KEY_ROW, KEY_COLUMNS = 10.0, 3  # of the key of letters, in points
FINENESS = (130.0, 260.0)  # of a picture, in dots per inch


@dataclass(frozen=True, slots=True)
class ChartScore:
    """What came of one chart: points by verdict, and what went wrong, in words."""

    counts: Counter[str]
    faults: tuple[str, ...]


def plan_to_pdf(plan: ChartPlan, path: Path) -> None:
    """A page with the chart."""
    canvas = Canvas(str(path), pagesize=PAGE)
    draw_chart(canvas, plan)
    canvas.showPage()
    canvas.save()


def plan_to_readings(plan: ChartPlan) -> list[Reading]:
    """The hold currents of the chart's parts, as a table would have given them."""
    place = Place(1, 0, 0, 1, 1)
    return [
        Reading(
            "chart.pdf", "", part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, curve.hold_a,
            Status.AGREED, place, f"{curve.hold_a:g}",
        )
        for curve in plan.curves
        for part in curve.parts
    ]  # fmt: skip


def pdf_to_pictured(path: Path, plan: ChartPlan, dice: random.Random) -> None:
    """The same page with its chart as a JPEG, under a title that is text."""
    page = pypdfium2.PdfDocument(path)[0]
    below = 50.0 + KEY_ROW * len(plan.letters) / KEY_COLUMNS  # the key of the letters is in the picture too
    x0, y0 = plan.corner[0] - 75.0, plan.corner[1] - below
    wide, high = plan.size[0] + 225.0, plan.size[1] + 90.0 + below
    wide, high = min(wide, PAGE[0] - x0), min(high, PAGE[1] - 60.0 - y0)
    scale = dice.uniform(*FINENESS) / 72
    crop = (x0, y0, PAGE[0] - x0 - wide, PAGE[1] - y0 - high)
    shown = page.render(scale=scale, crop=crop).to_pil()
    data = io.BytesIO()
    shown.convert("RGB").save(data, "JPEG", quality=dice.choice((75, 85, 92)))
    data.seek(0)
    canvas = Canvas(str(path), pagesize=PAGE)
    canvas.drawString(x0 + 40, y0 + high + 12, plan.title)
    canvas.drawImage(ImageReader(data), x0, y0, wide, high)
    canvas.showPage()
    canvas.save()


def read_plan(plan: ChartPlan, path: Path, dice: random.Random | None = None) -> tuple[Curve, ...]:
    """The curves that the reader finds in the chart; as a picture, if there are dice to make one with."""
    plan_to_pdf(plan, path)
    document = Document(path, path.name, "", ("",), (1,))
    if dice is None:
        return document_to_curves(document, plan_to_readings(plan), ChartOptions())
    pdf_to_pictured(path, plan, dice)
    return document_to_picture_curves(document, readings_to_facts(plan_to_readings(plan)))[0]


def score_plan(plan: ChartPlan, curves: tuple[Curve, ...]) -> ChartScore:
    """Each point of truth against the curve that was read for its part."""
    read: dict[str, list[Curve]] = defaultdict(list)
    for curve in curves:
        if curve.chart is ChartName.TIME_TO_TRIP:
            read[curve.part_number].append(curve)
    counts: Counter[str] = Counter()
    faults = []
    allowed = NEAR + plan.jitter * math.log(10)
    for planned in plan.curves:
        for part in planned.parts:
            for x, y in plan.curve_to_truth(planned):
                verdict = _verdict(x, y, read.get(part, []), allowed)
                counts[verdict] += 1
                if verdict not in ("right", "near"):
                    faults.append(f"{part} {verdict} at {x:.3g} A")
    return ChartScore(counts, tuple(faults))


def _verdict(x: float, y: float, curves: list[Curve], allowed: float) -> str:
    if not curves:
        return "missing"
    firm = [curve for curve in curves if curve.status is not Status.DISPUTED]
    off = max((_distance(x, y, curve) for curve in firm), default=None)
    if off is None:
        return "right" if min(_distance(x, y, curve) for curve in curves) <= allowed else "flagged"
    return "right" if off <= allowed else "near" if off <= 2 * allowed else "silently wrong"


def _distance(x: float, y: float, curve: Curve) -> float:
    """From a point to a curve in the plane of both natural logarithms."""
    px, py = math.log(x), math.log(y)
    points = [(math.log(a), math.log(b)) for a, b in curve.points if a > 0 and b > 0]
    best = math.inf
    for (ax, ay), (bx, by) in pairwise(points):
        dx, dy = bx - ax, by - ay
        square = dx * dx + dy * dy
        share = max(0.0, min(1.0, ((px - ax) * dx + (py - ay) * dy) / square)) if square else 0.0
        best = min(best, math.hypot(px - ax - share * dx, py - ay - share * dy))
    return best


def main() -> int:
    """Run the bench; 1 if a point is silently wrong."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--charts", type=int, default=300)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--keep", type=Path)
    asked.add_argument("--list", action="store_true")
    asked.add_argument("--pictures", action="store_true")
    options = asked.parse_args()
    total: Counter[str] = Counter()
    by_way: dict[str, Counter[str]] = defaultdict(Counter)
    statuses: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(options.first, options.first + options.charts):
            plan = seed_to_plan(options.seed * 100_003 + number)
            path = Path(folder) / f"chart_{number:04}.pdf"
            curves = read_plan(plan, path, random.Random(number) if options.pictures else None)
            statuses.update(curve.status.value for curve in curves)
            score = score_plan(plan, curves)
            total += score.counts
            for way in (f"labels {plan.labels}", f"stroke {plan.stroke}", f"grid {plan.grid}"):
                by_way[way] += score.counts
            if score.faults and options.list:
                print(
                    number, plan.labels, plan.stroke, plan.grid, len(plan.curves), *score.faults[:4], sep="; "
                )
            if score.faults and options.keep:
                options.keep.mkdir(parents=True, exist_ok=True)
                (options.keep / path.name).write_bytes(path.read_bytes())
    for way, counts in sorted(by_way.items()):
        print(f"{way:<22}{_line(counts)}")
    print(f"{'all':<22}{_line(total)}")
    print("curves:", ", ".join(f"{count} {status}" for status, count in sorted(statuses.items())))
    return 1 if total["silently wrong"] else 0


def _line(counts: Counter[str]) -> str:
    points = sum(counts.values()) or 1
    rest = "  ".join(f"{name} {counts[name]}" for name in ("near", "flagged", "missing", "silently wrong"))
    return f"{points:>7} points  right {counts['right'] / points:.4f}  {rest}"


if __name__ == "__main__":
    sys.exit(main())
