"""What notes, layers and missing rules do to a table: each once left numbers out or changed their kind."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from extract.layers import catalog_to_hidden_layers
from extract.schema import Kind, Quantity, SheetReading
from extract.sheet import ReadOptions, read_sheet

QUICK = ReadOptions(second_reading=False)
ROWS = [
    ("NW050", "0.50", "1.00", "0.190", "0.510"),
    ("NW075", "0.75", "1.50", "0.140", "0.370"),
    ("NW110", "1.10", "2.20", "0.076", "0.210"),
]


def _draw(folder: Path, heading: Sequence[str], rows: Sequence[Sequence[str]], *, above: str = "",
          below: str = "") -> SheetReading:
    """One ruled table of ratings with a text above and below it, read by the first reading alone."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table

    style, path = getSampleStyleSheet()["BodyText"], folder / "sheet.pdf"
    table = Table([list(heading), *map(list, rows)], style=[("GRID", (0, 0), (-1, -1), 0.5, "black")])
    story: list[Flowable] = [Paragraph("Ratings at 25 °C in still air.", style), Spacer(1, 30)]
    texts = [text for text in (above, table, below) if text]
    story += [Paragraph(text, style) if isinstance(text, str) else text for text in texts]
    SimpleDocTemplate(str(path), pagesize=A4).build(story)
    return read_sheet(path, QUICK)


def _kinds(sheet: SheetReading) -> set[Kind]:
    return {r.kind for r in sheet.readings if r.quantity is Quantity.RESISTANCE}


HEADING = ("Part number", "Ihold (A)", "Itrip (A)", "R min (Ω)", "R max* (Ω)")


@pytest.mark.parametrize(
    ("note", "kinds"),
    [
        ("* Maximum resistance one hour after trip.", {Kind.MIN, Kind.POST_TRIP_MAX}),
        ("Rmax: measured 1 hour post trip.", {Kind.MIN, Kind.POST_TRIP_MAX}),
        ("* As delivered.", {Kind.MIN, Kind.MAX}),
        ("† One hour after trip.", {Kind.MIN, Kind.MAX}),
    ],
)
def test_a_largest_resistance_is_the_one_its_note_says(tmp_path: Path, note: str, kinds: set[Kind]) -> None:
    """"Max.*" with a note "one hour after trip" is the resistance after a trip; another sign's note counts
    for nothing."""
    assert _kinds(_draw(tmp_path, HEADING, ROWS, below=note)) == kinds


def test_a_caption_rates_all_parts_of_its_table(tmp_path: Path) -> None:
    """"Maximum voltage 60 V, maximum current 40 A" just above a table without such columns rates each."""
    sheet = _draw(tmp_path, HEADING, ROWS, above="Maximum voltage 60 V, maximum fault current 40 A")
    found = {(r.part_number, r.quantity): r.value for r in sheet.readings}
    assert {found.get((row[0], Quantity.MAX_VOLTAGE)) for row in ROWS} == {60.0}
    assert {found.get((row[0], Quantity.MAX_CURRENT)) for row in ROWS} == {40.0}


def test_a_caption_for_some_parts_rates_none(tmp_path: Path) -> None:
    """"Maximum voltage 60 V for suffix U only" says nothing of the parts of the table below it."""
    sheet = _draw(tmp_path, HEADING, ROWS, above="Maximum voltage 60 V for suffix U only")
    assert not [r for r in sheet.readings if r.quantity is Quantity.MAX_VOLTAGE]


def test_rows_of_several_parts_are_never_given_to_the_one_in_the_title(tmp_path: Path) -> None:
    """Rows without part numbers that differ are of several parts: the product in the title is not theirs."""
    bare = [row[1:] for row in ROWS]
    sheet = _draw(tmp_path, HEADING[1:], bare, above="Product: NW08")
    assert not sheet.readings


class _Reference:
    """A reference to an object of a PDF."""

    def __init__(self, number: int) -> None:
        self.objid = number


def test_layers_that_are_off_are_told_from_those_that_are_on() -> None:
    """ISO 32000-1, 8.11.4.3: the default configuration lists layers off, or all but those listed on."""
    one, two = _Reference(7), _Reference(8)
    assert catalog_to_hidden_layers({}) == frozenset()
    off = {"OCProperties": {"OCGs": [one, two], "D": {"OFF": [two]}}}
    assert catalog_to_hidden_layers(off) == {8}


LAYERED = """1 0 obj<</Type/Catalog/Pages 2 0 R/OCProperties<</OCGs[6 0 R]/D<</OFF[6 0 R]>>>>>>endobj
2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj
3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 300 200]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>
/Properties<</L 6 0 R>>>>>>endobj
4 0 obj<</Length 110>>stream
BT /F 10 Tf 20 100 Td (seen) Tj ET /OC /L BDC BT /F 10 Tf 20 50 Td (hidden) Tj ET EMC
endstream endobj
5 0 obj<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>endobj
6 0 obj<</Type/OCG/Name(old values)>>endobj
trailer<</Root 1 0 R>>
"""


def test_text_on_a_hidden_layer_is_not_read(tmp_path: Path) -> None:
    """What a layer that is off holds is not shown, so it is taken away, and only that."""
    import pdfplumber

    from extract.layers import hide_layers
    from extract.page_objects import page_to_objects

    path = tmp_path / "layers.pdf"
    path.write_text("%PDF-1.5\n" + LAYERED)
    with pdfplumber.open(path) as pdf:
        taken = hide_layers(pdf.pages[0])
        chars, _ = page_to_objects(pdf.pages[0])
    assert "".join(char.text for char in chars) == "seen"
    assert sum(taken.values()) == len("hidden")


def test_a_row_that_rules_only_its_columns_is_cut_into_its_lines(tmp_path: Path) -> None:
    """Rules between columns alone leave all parts in one cell: each line is a part again."""
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen.canvas import Canvas

    path, xs = tmp_path / "columns.pdf", (60, 150, 220, 290, 360, 430)
    canvas = Canvas(str(path), pagesize=A4)
    canvas.drawString(60, 760, "Electrical characteristics at 25 °C in still air")
    for y, row in zip((715, 690, 675, 660), (HEADING, *ROWS), strict=True):
        for x, text in zip(xs, row, strict=False):
            canvas.drawString(x + 5, y, text.replace("Ω", "ohm"))
    for y in (735, 705, 650):
        canvas.line(xs[0], y, xs[-1], y)
    for x in xs:
        canvas.line(x, 650, x, 735)
    canvas.save()
    sheet = read_sheet(path, QUICK)
    hold = {r.part_number: r.value for r in sheet.readings if r.quantity is Quantity.HOLD_CURRENT}
    assert hold == {"NW050": 0.5, "NW075": 0.75, "NW110": 1.1}


