"""What another blind round showed: suffix columns, raised marks of browsers, descriptions below names."""

from __future__ import annotations

from pathlib import Path

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from extract.joined.conditions import text_to_said
from extract.joined.glossary import lines_to_glossary
from extract.schema import Kind, Quantity, Status
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read, values

STYLE = ParagraphStyle("cell", fontName="Helvetica", fontSize=10, leading=12)
PARTS = {"TQ-050", "TQ-075", "TQ-110"}


def test_suffixes_behind_a_dash_are_no_negative_numbers(make_sheet: Draw) -> None:
    """A column of "-050", "-075" is one of codes: with the series beside it, it names the parts."""
    rows = [("TQ", row[0][2:], *row[1:]) for row in ROWS]
    example = "The whole number is series and suffix, for example TQ-050."
    readings = read(make_sheet([("Series", "Suffix", *HEADING[1:]), *rows], [STILL_AIR, example]))
    assert set(values(readings, Quantity.HOLD_CURRENT)) == PARTS


def test_a_raised_mark_of_a_browsers_size_is_no_digit_of_the_name(make_sheet: Draw) -> None:
    """Browsers print a raised mark at five sixths of the text: "TQ-110" with "1)" is not TQ-1101."""
    marked = Paragraph('TQ-110<super rise="3.6" size="8.33">1)</super>', STYLE)
    rows = [*ROWS[:2], (marked, *ROWS[2][1:])]
    readings = read(make_sheet([HEADING, *rows], [STILL_AIR, "1) On request."]))
    assert set(values(readings, Quantity.TRIP_CURRENT)) == PARTS


def test_a_description_below_a_name_stays_in_its_cell(tmp_path: Path) -> None:
    """The second line of a name's cell reaches farther than the name: the columns part beside it."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 9)
    page.drawString(60, 800, STILL_AIR)
    for step, row in enumerate([HEADING, *ROWS]):
        y = 770 - 26 * step
        for x, text in zip((60, 220, 280, 340, 400, 440, 500), row, strict=True):
            page.setFont("Helvetica", 9)
            page.drawString(x, y, text)
        if step:
            page.setFont("Helvetica", 7)
            page.drawString(60, y - 9, "PTC-fuse, resettable, radial, RM 5,1 mm")
    page.save()
    found = values(read(tmp_path / "sheet.pdf"), Quantity.HOLD_CURRENT)
    assert found == {"TQ-050": 0.5, "TQ-075": 0.75, "TQ-110": 1.1}


def test_a_symbol_is_what_the_sheet_says_it_is() -> None:
    """"Iu = utlösningsström" explains Iu; words that go on define something else."""
    assert lines_to_glossary(["Ih = hållström, Iu = utlösningsström."]) == {"iu": "utlösningsström"}
    assert lines_to_glossary(["Iu = trip current of the fuse behind the transformer"]) == {}


def test_a_fault_current_behind_its_value_tells_the_voltage_beside_it() -> None:
    """"Maximum 60 volts d.c. — 40 amperes fault current" rates both; a hold current there rates nothing."""
    said = text_to_said("Maximum 60 volts d.c. — 40 amperes fault current")
    assert [(one.quantity, one.kind, one.value) for one in said] == [
        (Quantity.MAX_VOLTAGE, Kind.DC, 60.0), (Quantity.MAX_CURRENT, Kind.NONE, 40.0)]
    assert text_to_said("16 V - 5 A hold current") == ()


def test_a_table_below_a_list_of_variants_is_not_given_to_one_of_them_unasked(make_sheet: Draw) -> None:
    """Three variants, one table of ratings without a name: whatever is read of it waits for a person."""
    above = [STILL_AIR, "TQ-050B bulk, straight", "TQ-050T taped, straight", "TQ-050TK taped, bent"]
    rows = [("Item", "Symbol", "Value", "Unit"), ("Hold current", "Ihold", "0.50", "A"),
            ("Trip current", "Itrip", "1.00", "A"), ("Maximum voltage", "Vmax", "24", "V"),
            ("Maximum current", "Imax", "40", "A"), ("Minimum resistance", "Rmin", "0.15", "Ohm"),
            ("Maximum resistance", "R1max", "0.70", "Ohm"), ("Time to trip at 8 A", "ttrip", "0.50", "s"),
            ("Power", "Pd", "0.8", "W"), ("Operating temperature", "T", "85", "°C"),
            ("Mass", "m", "0.2", "g")]
    readings = read(make_sheet(rows, above))
    assert readings
    assert {reading.status for reading in readings} == {Status.DISPUTED}


def test_a_number_without_the_unit_that_its_neighbours_print_waits(make_sheet: Draw) -> None:
    """Under "Rmin", "150 mOhm" and "90 mOhm" leave open in what "60" is: no unit is guessed."""
    heading = [*HEADING[:5], "Rmin", HEADING[6]]
    rows = [(*row[:5], f"{float(row[5]) * 1000:g} mOhm", row[6]) for row in ROWS]
    bare = [*rows[:2], (*rows[2][:5], "60", rows[2][6])]
    found = [r for r in read(make_sheet([heading, *bare], [STILL_AIR])) if r.kind is Kind.MIN]
    assert {r.part_number: r.status is Status.DISPUTED for r in found} == {
        "TQ-050": False, "TQ-075": False, "TQ-110": True}
