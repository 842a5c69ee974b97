"""Places are those of the page as shown: cropped, turned, begun anywhere, with any user unit."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from extract.schema import Fate, Quantity, Reading, SheetReading, Status
from extract.sheet import read_sheet

STILL_AIR = "Resettable fuses. All ratings in still air at 23 C."
ROWS = [
    ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Imax (A)", "Pd typ. (W)"),
    ("TQ050", "0.50", "1.00", "24", "40", "0.70"),
    ("TQ075", "0.75", "1.50", "24", "40", "0.80"),
    ("TQ110", "1.10", "2.20", "16", "40", "0.90"),
]
TABLE = (30.0, 500.0, 560.0, 820.0)
"""What a crop must leave: left, bottom, right, top of the table and the text above it, PDF points."""


def changed(
    path: Path, media: tuple[float, ...] | None, crop: tuple[float, ...] | None, turn: int, unit: int
) -> Path:
    """A copy of a PDF of one page with other boxes, rotation and user unit."""
    pdf = pypdfium2.PdfDocument(path)
    page = pdf[0]
    if media is not None:
        page.set_mediabox(*media)
    if crop is not None:
        page.set_cropbox(*crop)
    page.set_rotation(turn)
    out = io.BytesIO()
    pdf.save(out)
    data = out.getvalue()
    if unit != 1:
        data = data.replace(b"/MediaBox", b"/UserUnit %d/MediaBox" % unit)
        fixed = io.BytesIO()  # pdfium writes the table of places anew
        pypdfium2.PdfDocument(data).save(fixed)
        data = fixed.getvalue()
        assert b"UserUnit" in data
    made = path.with_name(f"changed_{turn}_{unit}_{media is not None}_{crop is not None}.pdf")
    made.write_bytes(data)
    return made


def ink_boxes(path: Path, readings: tuple[Reading, ...]) -> list[tuple[float, float]]:
    """For each reading: the share of dark dots inside its box, and just around it."""
    import numpy

    scale = 3
    dark = numpy.asarray(pypdfium2.PdfDocument(path)[0].render(scale=scale).to_pil().convert("L")) < 128
    shares = []
    for one in readings:
        x0, top, x1, bottom = (round(edge * scale) for edge in
                               (one.place.x0, one.place.top, one.place.x1, one.place.bottom))
        inside = dark[top:bottom, x0:x1]
        frame = dark[max(0, top - 2):bottom + 2, max(0, x0 - 3):x1 + 3].sum() - inside.sum()
        shares.append((float(inside.mean()) if inside.size else 0.0, float(frame)))
    return shares


@pytest.mark.parametrize("unit", [1, 3])
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize(("media", "crop"), [
    (None, None), (None, TABLE), ((20.0, 450.0, 580.0, 830.0), None),
    ((-40.0, -30.0, 600.0, 850.0), TABLE)])
def test_every_box_stands_on_its_ink(
    make_sheet: Callable[..., Path], media: tuple[float, ...] | None, crop: tuple[float, ...] | None,
    turn: int, unit: int,
) -> None:
    """Whatever boxes, rotation and unit: the same numbers, each in a box full of ink with none beside it, and
    the second reading agrees as it does on the plain page."""
    plain = read_sheet(make_sheet(ROWS, [STILL_AIR]))
    path = changed(make_sheet(ROWS, [STILL_AIR]), media, crop, turn, unit)
    sheet = read_sheet(path)
    assert _said(sheet) == _said(plain)
    for one, (inside, beside) in zip(sheet.readings, ink_boxes(path, sheet.readings), strict=True):
        assert inside > 0.05, one
        assert beside <= 2, one
    if turn == 0:
        assert [one.status for one in sheet.readings] == [one.status for one in plain.readings]
    assert Status.DISPUTED not in {one.status for one in sheet.readings}


def _said(sheet: SheetReading) -> set[tuple[str, str, float]]:
    return {(one.part_number, one.quantity.value, one.value) for one in sheet.readings}


def test_what_is_cut_off_is_not_read_and_is_said(make_sheet: Callable[..., Path]) -> None:
    """A column beyond the edge of the page as shown gives no number, and a note says that text is there."""
    plain = read_sheet(make_sheet(ROWS, [STILL_AIR]))
    power = [one for one in plain.readings if one.quantity is Quantity.TRIPPED_POWER]
    edge = min(one.place.x0 for one in power) - 12
    sheet = read_sheet(changed(make_sheet(ROWS, [STILL_AIR]), None, (0.0, 0.0, edge, 842.0), 0, 1))
    left = {replace(one, sha256="") for one in plain.readings if one.quantity is not Quantity.TRIPPED_POWER}
    assert {(one.part_number, one.quantity, one.value) for one in sheet.readings} == {
        (one.part_number, one.quantity, one.value) for one in left}
    assert any("outside the part that is shown" in one.message for one in sheet.findings)


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_condition_is_found_in_its_row_on_a_turned_page(make_sheet: Callable[..., Path], turn: int) -> None:
    """The test current beside a time is a condition that was read, whichever way the page is shown; another
    number is none because of where a turned page puts it."""
    rows = [("Part number", "Ihold (A)", "Itrip (A)", "Test current (A)", "Time to trip (s)"),
            ("TQ050", "0.50", "1.00", "8.0", "0.30"), ("TQ075", "0.75", "1.50", "7.5", "0.40"),
            ("TQ110", "1.10", "2.20", "6.5", "0.60")]
    plain = read_sheet(make_sheet(rows, [STILL_AIR]))
    turned = read_sheet(changed(make_sheet(rows, [STILL_AIR]), None, None, turn, 1))
    said = [Counter((row.raw, row.fate, row.reason) for row in sheet.account) for sheet in (plain, turned)]
    assert said[0]["8.0", Fate.READ, "condition"] == 1
    assert said[0] == said[1]
