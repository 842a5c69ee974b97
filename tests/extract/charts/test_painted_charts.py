"""Charts that are pictures: read from their pixels, single at best, disputed where a line is lost."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy
import pypdfium2
import pytest
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from extract.charts.naming import PartFacts
from extract.charts.picture_charts import CHART_PICTURE, FROM_PIXELS, document_to_picture_curves
from extract.charts.pixels.hues import rgb_to_paintings
from extract.charts.pixels.ruled import grey_to_rules
from extract.document import Document
from extract.schema import Curve, Status
from tests.extract.charts.drawing import PAGE, log_chart, polyline

RED, BLUE, GREEN = (0.8, 0.1, 0.1), (0.1, 0.1, 0.8), (0.0, 0.5, 0.1)
HOLDS = {"QVL-050": 0.5, "QVL-110": 1.1, "QVL-250": 2.5}
CORNER, SIZE = (100.0, 400.0), (300.0, 250.0)


def time_s(hold_a: float, current_a: float) -> float:
    """The invented law of the charts."""
    return 9.0 / (current_a / hold_a - 1.3) ** 1.2


def draw_curves(canvas: Canvas, colours: Sequence[tuple[float, float, float]], labelled: int = 3) -> None:
    """Three curves with a legend of which `labelled` entries are printed."""
    to_point = log_chart(canvas, CORNER, SIZE)
    for row, ((part, hold), colour) in enumerate(zip(HOLDS.items(), colours, strict=True)):
        points = [(hold * m, time_s(hold, hold * m)) for m in (1.6, 1.8, 2.2, 3.0, 4.5, 7.0, 12.0, 20.0)]
        polyline(canvas, [to_point(*point) for point in points], 1.4, colour)
        if row < labelled:
            polyline(canvas, [(310, 640 - 14 * row), (330, 640 - 14 * row)], 1.4, colour)
            canvas.setFont("Helvetica", 8)
            canvas.drawString(334, 637 - 14 * row, part)


def pictured(path: Path, draw: Any, dpi: float) -> Document:
    """A page with a title as text and below it the drawing as a JPEG."""
    data = io.BytesIO()
    canvas = Canvas(data, pagesize=PAGE)
    draw(canvas)
    canvas.showPage()
    canvas.save()
    crop = (60.0, 370.0, PAGE[0] - 420.0, PAGE[1] - 660.0)
    shown = pypdfium2.PdfDocument(data.getvalue())[0].render(scale=dpi / 72, crop=crop).to_pil()
    jpeg = io.BytesIO()
    shown.convert("RGB").save(jpeg, "JPEG", quality=85)
    jpeg.seek(0)
    page = Canvas(str(path), pagesize=PAGE)
    page.drawString(120, 680, "Typical time to trip at 23 °C")
    page.drawImage(ImageReader(jpeg), 60.0, 370.0, 360.0, 290.0)
    page.showPage()
    page.save()
    return Document(path, path.name, "", ("",), (1,))


def read(document: Document) -> tuple[tuple[Curve, ...], list[str]]:
    """Curves and the codes of findings."""
    facts = tuple(PartFacts(part, (hold,), ()) for part, hold in HOLDS.items())
    curves, findings = document_to_picture_curves(document, facts)
    return curves, [finding.code for finding in findings]


@pytest.mark.parametrize("dpi", [160.0, 220.0])
def test_a_picture_is_read_to_a_few_percent_and_stays_single(tmp_path: Path, dpi: float) -> None:
    """At two finenesses each curve lies within 4 % of its law; none counts as agreed; the picture is told."""
    curves, codes = read(pictured(tmp_path / "c.pdf", lambda c: draw_curves(c, (RED, BLUE, GREEN)), dpi))
    assert {curve.part_number for curve in curves} == set(HOLDS)
    assert codes == [CHART_PICTURE]
    for curve in curves:
        assert curve.status is not Status.AGREED
        assert FROM_PIXELS in curve.notes
        hold = HOLDS[curve.part_number]
        inner = [(x, y) for x, y in curve.points if 1.9 * hold < x < 18 * hold]
        off = [abs(math.log(y / time_s(hold, x))) for x, y in inner]
        assert sorted(off)[len(off) // 2] < 0.04


def test_with_a_line_nobody_names_every_curve_is_disputed(tmp_path: Path) -> None:
    """A label that cannot be read could be that of any line: none is given silently."""
    curves, _ = read(pictured(tmp_path / "c.pdf", lambda c: draw_curves(c, (RED, BLUE, GREEN), 2), 220.0))
    assert curves
    assert all(curve.status is Status.DISPUTED for curve in curves)


def test_a_picture_without_a_grid_gives_no_curve(tmp_path: Path) -> None:
    """What looks like no chart is told as not read."""
    curves, codes = read(pictured(tmp_path / "c.pdf", lambda c: polyline(c, [(100, 400), (300, 600)]), 200.0))
    assert curves == ()
    assert codes == [CHART_PICTURE]


def test_lines_of_a_grid_are_placed_to_a_fraction_of_a_dot() -> None:
    """Lines that run nearly together are two."""
    grey = numpy.full((200, 300), 255, numpy.uint8)
    for row in (40, 46, 120):
        grey[row : row + 2, 20:280] = 90
    levels, uprights = grey_to_rules(grey)
    assert uprights == ()
    assert [round(rule.at, 1) for rule in levels] == [41.0, 47.0, 121.0]


def test_each_hue_is_a_colour_and_black_is_one() -> None:
    """Red, blue and black lines are three colours; grey is none."""
    rgb = numpy.full((60, 60, 3), 255, numpy.uint8)
    for row, colour in ((5, (200, 20, 20)), (20, (20, 20, 200)), (35, (10, 10, 10)), (50, (170, 170, 170))):
        rgb[row : row + 4] = colour
    assert len(rgb_to_paintings(rgb)) == 3
