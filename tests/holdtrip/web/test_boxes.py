"""Outlines follow the ink that the renderer draws, not the heights that a font states."""

from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from bench.box_ink import ALLOWED_PT, box_to_distance, page_to_spots
from extract.schema import Kind, Place, Quantity, Reading, Status
from extract.sheet import ReadOptions, read_sheet
from holdtrip.library.records import StoredNumber
from holdtrip.web.page_ink import Box, page_to_ink, place_to_box
from holdtrip.web.sheet_boxes import NumberBoxes, path_to_boxes
from tests.holdtrip.web.browsing import ROOT
from tests.holdtrip.web.conftest import PLAIN, read

QUICK = ReadOptions(second_reading=False)
SHEETS = ("wendelthwaite_wdt", "langleydene_lgy", "mirrelby_mr")


@pytest.mark.parametrize("name", SHEETS)
def test_boxes_lie_within_half_a_point_of_the_ink(name: str) -> None:
    """Every edge of every box, against the dark spots of the page drawn without lines (three producers, one
    turned page)."""
    path = ROOT / "sample_tables" / f"{name}.pdf"
    numbers = [StoredNumber(index, one, None) for index, one in enumerate(read_sheet(path, QUICK).readings)]
    boxes = {one.number_id: one for one in path_to_boxes(path, numbers)}
    pdf = pypdfium2.PdfDocument(path)
    spots = {page: page_to_spots(pdf[page - 1]) for page in {one.reading.place.page for one in numbers}}
    far = []
    for one in numbers:
        found = box_to_distance(spots[one.reading.place.page], boxes[one.number_id].cell)
        if found is None or found[0] > ALLOWED_PT or found[1]:
            far.append((one.reading.raw, found))
    pdf.close()
    assert len(boxes) == len(numbers)
    assert far == []


@pytest.mark.parametrize("lifted", [-3.8, -2.5, 0.0, 2.5, 3.8])
def test_a_place_too_low_finds_its_own_ink(lifted: float) -> None:
    """Two of seventeen sheets put places 2.5 to 3 pt too low: the box is that of the same number all the
    same, not of the row below."""
    path = ROOT / "sample_tables" / "wendelthwaite_wdt.pdf"
    readings = read_sheet(path, QUICK).readings
    pdf = pypdfium2.PdfDocument(path)
    inks = {page: page_to_ink(pdf[page - 1]) for page in (1, 2, 3)}
    pdf.close()
    for one in readings[::7]:
        right = place_to_box(inks[one.place.page], one.place, one.raw)
        moved = replace(one.place, top=one.place.top + lifted, bottom=one.place.bottom + lifted)
        assert right is not None
        assert place_to_box(inks[one.place.page], moved, one.raw) == right, one


def test_a_cell_has_its_row_and_its_heading() -> None:
    """The row's name stands left of each cell on its line, the heading above it; a row named by a stem has
    the stem."""
    path = ROOT / "sample_tables" / "wendelthwaite_wdt.pdf"
    numbers = [StoredNumber(index, one, None) for index, one in enumerate(read_sheet(path, QUICK).readings)]
    boxes = path_to_boxes(path, numbers)
    for one, box in zip(sorted(numbers, key=lambda one: one.number_id),
                        sorted(boxes, key=lambda box: box.number_id), strict=True):
        assert box.label.x1 < box.cell.x0, one
        assert abs(box.label.middle[1] - box.cell.middle[1]) < 3, one
        assert box.heading.bottom <= box.cell.top, one
        assert box.heading.x0 <= box.cell.middle[0] <= box.heading.x1, one
        assert 6 < box.heading.bottom - box.heading.top < 40, one


def test_a_text_that_is_not_there_has_no_box() -> None:
    """Nothing is guessed: another number near the place is no ink of this one."""
    path = ROOT / "sample_tables" / "wendelthwaite_wdt.pdf"
    one = read_sheet(path, QUICK).readings[0]
    pdf = pypdfium2.PdfDocument(path)
    ink = page_to_ink(pdf[one.place.page - 1])
    pdf.close()
    assert isinstance(place_to_box(ink, one.place, one.raw), Box)
    assert place_to_box(ink, one.place, "98.7654") is None


def test_a_number_in_a_picture_is_shown_with_its_row_and_heading() -> None:
    """Where a page is a picture, a strip left of the table has the row's name, one above it the headings."""
    seen = [replace(one, notes=(*one.notes, "recognised from a picture, 99 % sure"))
            for one in read(PLAIN).readings if one.place.page == 1]
    boxes = path_to_boxes(PLAIN, [StoredNumber(number, one, None) for number, one in enumerate(seen, 1)])
    assert len(boxes) == len(seen)
    for one in boxes:
        assert one.label.x1 < one.cell.x0
        assert (one.label.top, one.label.bottom) == (one.cell.top, one.cell.bottom)
        assert one.heading.bottom <= one.cell.top


Texts = list[tuple[float, float, str]]


def drawn(path: Path, texts: Texts, shown: dict[str, str]) -> dict[str, NumberBoxes]:
    """The boxes of numbers on a page of texts (left, top); `shown` says which are numbers, of which part."""
    canvas, numbers = Canvas(str(path), pagesize=(400, 300)), []
    canvas.setFont("Helvetica", 8)
    for index, (x, top, text) in enumerate(texts):
        canvas.drawString(x, 300 - top - 6, text)
        if text in shown:
            place = Place(1, x, top, x + stringWidth(text, "Helvetica", 8), top + 7)
            numbers.append(StoredNumber(index, Reading(
                "d.pdf", "0" * 64, shown[text], Quantity.HOLD_CURRENT, Kind.NONE, None, None, float(text),
                Status.AGREED, place, text), None))
    canvas.save()
    return {texts[one.number_id][2]: one for one in path_to_boxes(path, numbers)}


def test_a_heading_far_above_or_beside_its_column_is_shown_whole(tmp_path: Path) -> None:
    """Twenty points above the first row; centred over numbers that keep to the right edge of their cells."""
    tops = (60.0, 72.0, 84.0)
    names = [(40.0, top, f"P-0{row}0") for row, top in enumerate(tops)]
    cells = [(x, top, f"{x / 100:.1f}{row}") for row, top in enumerate(tops) for x in (150.0, 250.0)]
    heads = [(42.0, 33.0, "Part"), (110.0, 33.0, "-20 °C"), (248.0, 33.0, "40 °C")]
    boxes = drawn(tmp_path / "far.pdf", [*heads, *names, *cells], {text: "P-000" for _, _, text in cells})
    for text, left, right in (("1.50", 111, 131), ("2.51", 249, 266)):
        heading = boxes[text].heading
        assert heading.x0 <= left, text
        assert heading.x1 >= right, text
        assert heading.top <= 34, text
        assert 40 <= heading.bottom < 61, text


def test_where_columns_are_parts_the_row_names_the_quantity(tmp_path: Path) -> None:
    """The heading shows the part, so beside the cell stands what the row says, not the part again."""
    texts = [(130.0, 40.0, "P-050"), (200.0, 40.0, "P-075"),
             (40.0, 56.0, "Hold current"), (130.0, 56.0, "0.51"), (200.0, 56.0, "0.76"),
             (40.0, 68.0, "Trip current"), (130.0, 68.0, "1.02"), (200.0, 68.0, "1.53")]
    shown = {"0.51": "P-050", "0.76": "P-075", "1.02": "P-050", "1.53": "P-075"}
    for text, box in drawn(tmp_path / "turned.pdf", texts, shown).items():
        assert 39 <= box.label.x0 < box.label.x1 < 95, text
        assert abs(box.label.middle[1] - box.cell.middle[1]) < 2, text
        assert box.heading.top <= 41, text
        assert box.heading.bottom >= 46, text
