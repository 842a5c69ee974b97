"""Columns a blank apart, a last row alone on its page, groups below headings, headings that touch."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

from extract.schema import Kind, Quantity
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, read, values

PLACES = (60, 140, 210, 280, 340, 400, 480)


def draw(page: Canvas, rows: Sequence[Sequence[str]], top: float, places: Sequence[float] = PLACES) -> None:
    """Rows of texts at given places."""
    for line, row in enumerate(rows):
        for x, text in zip(places, row, strict=False):
            page.drawString(x, top - 14 * line, text)


def test_a_capital_a_before_a_number_is_a_unit(tmp_path: Path) -> None:
    """Two rows with units in their cells, columns less than a letter apart: "1.75 A" and "3.18 A" are two."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 8)
    page.drawString(60, 800, STILL_AIR)
    rows = [("Ihold", "Itrip", "Vmax", "Imax", "Rmin", "R1max", "Part number"),
            ("1.75 A", "3.18 A", "60 V", "40 A", "0.046 Ohm", "0.121 Ohm", "TQ-175"),
            ("3.00 A", "5.58 A", "60 V", "40 A", "0.011 Ohm", "0.045 Ohm", "TQ-300")]
    draw(page, rows, 770, (60, 91, 122, 149, 176, 226, 276))
    page.save()
    assert values(read(tmp_path / "sheet.pdf"), Quantity.TRIP_CURRENT) == {"TQ-175": 3.18, "TQ-300": 5.58}


def test_a_last_row_alone_on_its_page_is_read(tmp_path: Path) -> None:
    """A page with nothing but one row and what stands on every page belongs to the table before it."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 9)
    page.drawString(60, 820, "Invented maker")
    page.drawString(60, 800, STILL_AIR)
    draw(page, [HEADING, *ROWS], 770)
    page.showPage()
    page.setFont("Helvetica", 9)
    page.drawString(60, 820, "Invented maker")
    draw(page, [("TQ-160", "1.60", "3.20", "16", "40", "0.04", "0.15")], 790)
    page.save()
    assert values(read(tmp_path / "sheet.pdf"), Quantity.HOLD_CURRENT)["TQ-160"] == 1.6


def test_a_group_stands_below_a_heading_whose_last_line_is_short(tmp_path: Path) -> None:
    """The degrees of two temperatures wrapped onto a line of their own part no heading from its rows."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 9)
    page.drawString(60, 800, STILL_AIR)
    draw(page, [HEADING, *ROWS], 770)
    page.drawString(60, 690, "Hold current (A) at ambient temperature")
    draw(page, [("Type", "-40", "0 °C", "23 °C", "60 °C")], 670)
    page.drawString(140, 661, "°C")
    page.drawString(60, 648, "Series TQ - all of them")
    draw(page, [("TQ-050", "0.73", "0.60", "0.50", "0.31"), ("TQ-075", "1.10", "0.90", "0.75", "0.47"),
                ("TQ-110", "1.60", "1.32", "1.10", "0.69")], 634)
    page.save()
    cold = {r.part_number: r.value for r in read(tmp_path / "sheet.pdf") if r.ambient_c == -40.0}
    assert cold == {"TQ-050": 0.73, "TQ-075": 1.1, "TQ-110": 1.6}


def test_headings_that_touch_are_parted_where_a_capital_begins_a_quantity(tmp_path: Path) -> None:
    """"HaltestromAnsprechstrom" over two columns are two headings; "max." of one and "Strom" of the next one
    are no text of one cell where the line prints its blanks."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 8)
    page.drawString(60, 800, STILL_AIR)
    wide = page.stringWidth("Haltestrom", "Helvetica", 8)
    rows = [("Typ", "Ih (A)", "Ia (A)", "(W)", "(A)", "(Ohm)", "(Ohm)"),
            *((*row[:3], f"0.{n}", *row[4:]) for n, row in enumerate(ROWS, start=7))]
    draw(page, rows, 760, (60, 145, 190, 241, 262, 340, 400))
    page.drawString(135, 769, "Haltestrom")
    page.drawString(135 + wide, 769, "Ansprechstrom")
    page.drawString(235, 778, "Pd")
    page.drawString(262, 778, "Max.")
    page.drawString(237, 769, "max.")
    page.drawString(237 + page.stringWidth("max.", "Helvetica", 8) + 2, 769, "Strom")
    page.drawString(335, 769, "R min")
    page.drawString(400, 769, "R1max")
    page.save()
    readings = read(tmp_path / "sheet.pdf")
    assert values(readings, Quantity.TRIP_CURRENT) == {"TQ-050": 1.0, "TQ-075": 1.5, "TQ-110": 2.2}
    assert {(r.quantity, r.kind) for r in readings if r.quantity is Quantity.TRIPPED_POWER} == {
        (Quantity.TRIPPED_POWER, Kind.MAX)}


def test_a_boxed_heading_may_stagger_over_many_lines(tmp_path: Path) -> None:
    """Cells of two, three, five and seven lines, centred beside each other: sixteen heights, one heading."""
    heads = ("Part\nnumber", "Hold\ncurrent\nIhold\n(A)", "Trip\ncurrent\n(A)", "Max.\nvoltage\n(V)",
             "Time\nto\ntrip\nat\n8 A\nmax.\n(s)", "Rmin\n(Ohm)",
             "R\none\nhour\nafter\ntrip\nmax.\n(Ohm)\nR1max")
    rows = [(*row[:4], time, *row[5:]) for row, time in zip(ROWS, ("0.5", "0.9", "2.0"), strict=True)]
    style = [("GRID", (0, 0), (-1, -1), 0.5, "black"), ("VALIGN", (0, 0), (-1, 0), "MIDDLE"),
             ("FONTSIZE", (0, 0), (-1, -1), 7), ("LEADING", (0, 0), (-1, -1), 8.2)]
    text = Paragraph(STILL_AIR, getSampleStyleSheet()["BodyText"])
    table = Table([heads, *rows], style=style)
    SimpleDocTemplate(str(tmp_path / "sheet.pdf"), pagesize=A4).build([text, table])
    readings = read(tmp_path / "sheet.pdf")
    assert values(readings, Quantity.TIME_TO_TRIP) == {"TQ-050": 0.5, "TQ-075": 0.9, "TQ-110": 2.0}
    assert {r.test_current_a for r in readings if r.quantity is Quantity.TIME_TO_TRIP} == {8.0}


def test_a_code_behind_a_printed_blank_stays_in_its_label(tmp_path: Path) -> None:
    """"TQ1 100" at the end of a range is one name, though a column of values stands close to it."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 8)
    page.drawString(60, 800, STILL_AIR)
    more = (*ROWS, ("TQ-160", "1.60", "3.20", "16", "40", "0.04", "0.15"))
    names = ("TQ1 050", "TQ2 100", "TQ3 110", "TQ4 350")
    rows = [(name, *row[1:]) for name, row in zip(names, more, strict=True)]
    draw(page, [HEADING, *rows], 770)
    page.drawString(60, 690, "Hold current in % of that at 23 °C")
    draw(page, [("", "-40 °C", "0 °C", "23 °C", "60 °C"),
                ("TQ1 050 to TQ2 100", "150%", "118%", "100%", "62%"),
                ("TQ3 110 to TQ4 350", "142%", "115%", "100%", "68%")], 670)
    page.save()
    cold = {r.part_number: r.value for r in read(tmp_path / "sheet.pdf")
            if r.quantity is Quantity.HOLD_RATIO and r.ambient_c == -40.0}
    assert cold == {"TQ1 050": 1.5, "TQ2 100": 1.5, "TQ3 110": 1.42, "TQ4 350": 1.42}
