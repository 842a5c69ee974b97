"""Charts that are pictures are told; other pictures are not."""

from pathlib import Path

import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from extract.charts import picture_charts
from extract.charts.picture_charts import CHART_PICTURE, MOST_PICTURES, document_to_picture_curves
from extract.document import Document


def picture_pdf(path: Path, title: str, size: tuple[float, float]) -> Document:
    """A page with a title and a picture of some size, in points, below it."""
    canvas = Canvas(str(path), pagesize=(595, 842))
    canvas.drawString(120, 640, title)
    grey = ImageReader(Image.new("RGB", (600, 400), (200, 210, 220)))
    canvas.drawImage(grey, 120, 620 - size[1], *size)
    canvas.showPage()
    canvas.save()
    return Document(path, path.name, "", ("",), (1,))


@pytest.mark.parametrize(
    ("title", "size", "count"),
    [
        ("Typical time to trip at 23 °C", (300.0, 200.0), 1),
        ("Typical time to trip at 23 °C", (40.0, 30.0), 0),
        ("Our factory at night", (300.0, 200.0), 0),
    ],
)
def test_only_a_chart_is_told(tmp_path: Path, title: str, size: tuple[float, float], count: int) -> None:
    """A large picture below words of a chart is one; a logo or a photograph is none."""
    curves, found = document_to_picture_curves(picture_pdf(tmp_path / "chart.pdf", title, size), ())
    assert curves == ()
    assert [one.code for one in found] == [CHART_PICTURE] * count
    assert all(one.place is not None and one.place.page == 1 for one in found)


def test_no_more_pictures_are_read_than_a_sheet_has_time_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each takes seconds: those beyond the limit are told as not read, so that the sheet's tables are not
    lost to them."""
    path = tmp_path / "many.pdf"
    canvas = Canvas(str(path), pagesize=(595, 842))
    grey = ImageReader(Image.new("RGB", (60, 40), (200, 210, 220)))
    for _ in range(MOST_PICTURES + 2):
        canvas.drawString(120, 640, "Typical time to trip at 23 °C")
        canvas.drawImage(grey, 120, 420, 300.0, 200.0)
        canvas.showPage()
    canvas.save()
    seen: list[int] = []
    monkeypatch.setattr(picture_charts, "can_read_pixels", lambda: True)
    monkeypatch.setattr(
        picture_charts, "_region_to_curves", lambda _pdf, region, *_: seen.append(region.page) or []
    )
    _, found = document_to_picture_curves(Document(path, path.name, "", ("",), (1,)), ())
    assert len(seen) == MOST_PICTURES
    assert len(found) == MOST_PICTURES + 2
