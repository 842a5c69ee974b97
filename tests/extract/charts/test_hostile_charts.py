"""Hostile charts: millions of pieces, impossible coordinates, forms within forms stay within the limits."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from extract.charts import reading
from extract.charts.crowded import CHART_CROWDED
from extract.charts.ink import InkLimits
from extract.charts.reading import ChartOptions, document_to_curves, document_to_drawn_curves
from extract.document import Document

FRAME = b"100 100 300 200 re S 100 200 m 400 200 l S 200 100 m 200 300 l S "


def pages_pdf(content: bytes, further: bytes = b"", resources: bytes = b"<< >>") -> bytes:
    """A PDF of one page with the given drawing commands."""
    return (
        b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n"
        b"2 0 obj << /Type /Pages /Kids [3 0 R] /Count 1 >> endobj\n"
        b"3 0 obj << /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R /Resources "
        + resources + b" >> endobj\n4 0 obj << /Length %d >> stream\n" % len(content)
        + content + b"\nendstream endobj\n" + further + b"trailer << /Root 1 0 R >>"
    )  # fmt: skip


def million_pieces() -> bytes:
    """One path of far more pieces than a page may have."""
    return pages_pdf(FRAME + b"110 290 m " + b"111 280 l 112 270 l " * 150_000 + b"S")


def many_dashes() -> bytes:
    """Thousands of slanted dashes of one colour that touch each other."""
    dice = random.Random(1)
    dashes = b"".join(
        b"%.1f %.1f m %.1f %.1f l S " % (x, y, x + 5, y - 4)
        for x, y in ((dice.uniform(100, 390), dice.uniform(110, 300)) for _ in range(4000))
    )
    return pages_pdf(FRAME + dashes)


def strange_numbers() -> bytes:
    """Coordinates that are no places on a page."""
    strange = b"nan 290 m 1e39 280 l 99999999999999999999 0 l S 110 290 m 380 110 l 9e9 -9e9 l S"
    return pages_pdf(FRAME + strange)


def nested_forms() -> bytes:
    """Forms one within the other, the last of which paints the first again."""
    drawing = b"q 1 0 0 1 0 0 cm 110 290 m 200 200 l 380 110 l S /F Do Q"
    forms = b"".join(
        b"%d 0 obj << /Type /XObject /Subtype /Form /BBox [0 0 600 900] " % number
        + b"/Resources << /XObject << /F %d 0 R >> >> " % (number + 1 if number < 30 else 5)
        + b"/Length %d >> stream\n%s\nendstream endobj\n" % (len(drawing), drawing)
        for number in range(5, 31)
    )
    return pages_pdf(FRAME + b"/F Do", forms, b"<< /XObject << /F 5 0 R >> >>")


@pytest.mark.parametrize("make", [million_pieces, many_dashes, strange_numbers, nested_forms])
def test_a_hostile_page_yields_no_curve_and_no_error(make: object, tmp_path: Path) -> None:
    """Whatever a page paints, reading its charts ends, with no curve and no exception."""
    path = tmp_path / "hostile.pdf"
    path.write_bytes(make())  # type: ignore[operator]
    document = Document(path, path.name, "", ("",), (1,))
    assert document_to_curves(document, (), ChartOptions(InkLimits())) == ()


def test_a_page_with_too_many_lines_is_given_up_with_a_note(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beyond the limit no line is compared with another: the page is named, and no curve is read of it."""
    path = tmp_path / "dashes.pdf"
    path.write_bytes(many_dashes())
    monkeypatch.setattr(reading, "most_strokes", lambda: 1000)
    curves, notes = document_to_drawn_curves(Document(path, path.name, "", ("",), (1,)), [], ChartOptions())
    assert curves == ()
    assert [(note.code, note.place and note.place.page) for note in notes] == [(CHART_CROWDED, 1)]
