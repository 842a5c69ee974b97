"""Numbers that several parts share, and numbers that a note gives: to variants, to marked parts, to all."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

from extract.joined.conditions import text_says_all, text_to_said
from extract.joined.variants import lines_to_listed
from extract.schema import Kind, Quantity, Reading, Status
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read, values

ITEMS = [("Item", "Symbol", "Value", "Unit"), ("Hold current", "Ihold", "0.50", "A"),
         ("Trip current", "Itrip", "1.00", "A"), ("Maximum voltage", "Vmax", "24", "V"),
         ("Maximum current", "Imax", "40", "A"), ("Minimum resistance", "Rmin", "0.15", "Ohm"),
         ("Maximum resistance", "R1max", "0.70", "Ohm"), ("Time to trip at 8 A", "ttrip", "0.50", "s"),
         ("Power", "Pd", "0.8", "W")]
VARIANTS = ["TQ-050B bulk, straight", "TQ-050T taped, straight", "TQ-050TK taped, bent"]


@pytest.fixture
def draw_noted(tmp_path: Path) -> Draw:
    """Draws a ruled table between lines of text."""
    def draw(rows: Sequence[Sequence[str]], above: Sequence[str], below: Sequence[str]) -> Path:
        style = getSampleStyleSheet()["BodyText"]
        texts, notes = ([Paragraph(line, style) for line in lines] for lines in (above, below))
        table = Table([list(row) for row in rows], style=[("GRID", (0, 0), (-1, -1), 0.5, "black")])
        SimpleDocTemplate(str(tmp_path / "noted.pdf"), pagesize=A4).build([*texts, table, *notes])
        return tmp_path / "noted.pdf"

    return draw


def of(readings: Sequence[Reading], quantity: Quantity) -> dict[str, tuple[float, bool]]:
    """Part -> its value of a quantity, and whether it waits for a person."""
    return {
        r.part_number: (r.value, r.status is Status.DISPUTED) for r in readings if r.quantity is quantity
    }


def test_the_variants_of_a_list_share_the_one_table_below_it(make_sheet: Draw) -> None:
    """A list headed part number, names with the same digits and other letters: every number is of each."""
    readings = read(make_sheet(ITEMS, [STILL_AIR, "Part number, packing and leads", *VARIANTS]))
    for quantity, value in ((Quantity.HOLD_CURRENT, 0.5), (Quantity.MAX_VOLTAGE, 24.0)):
        assert of(readings, quantity) == dict.fromkeys(("TQ-050B", "TQ-050T", "TQ-050TK"), (value, False))


def test_names_with_other_digits_are_no_variants() -> None:
    """TQ-050 and TQ-055 are two ratings: one table cannot be of both. Without a heading a list is unsure."""
    rising = lines_to_listed(["Ratings", "TQ-055 bulk", "TQ-050 bulk", "Part number, packing"])
    assert (rising.names, rising.alike) == (("TQ-050", "TQ-055"), False)
    bare = lines_to_listed(["Ratings", *reversed(VARIANTS)])
    assert (bare.names, bare.alike, bare.sure) == (("TQ-050B", "TQ-050T", "TQ-050TK"), True, False)


def test_order_codes_are_no_list_of_parts() -> None:
    """What is headed as numbers to order by names nothing."""
    assert not lines_to_listed([*reversed(VARIANTS), "Order number, packing"]).sure


def test_a_note_rates_the_part_that_bears_its_mark(draw_noted: Draw) -> None:
    """Where a cell is empty and the part is marked, the note's number is the part's."""
    rows = [HEADING, *ROWS[:2], ("TQ-110*", "1.10", "2.20", "16", "-", "0.06", "0.25")]
    readings = read(draw_noted(rows, [STILL_AIR], ["* For the marked part Imax = 100 A."]))
    assert of(readings, Quantity.MAX_CURRENT) == {
        "TQ-050": (40.0, False), "TQ-075": (40.0, False), "TQ-110": (100.0, False)}


def test_a_cell_that_leads_to_a_note_has_the_notes_number(draw_noted: Draw) -> None:
    """A whole column of "see (1)": the note gives its quantity, and no other."""
    rows = [HEADING, *((*row[:4], "see (1)", *row[5:]) for row in ROWS)]
    note = "(1) Imax = 100 A for this series, Vmax = 12 V if pulsed."
    readings = read(draw_noted(rows, [STILL_AIR], [note]))
    assert {value for value, _ in of(readings, Quantity.MAX_CURRENT).values()} == {100.0}
    assert values(readings, Quantity.MAX_VOLTAGE)["TQ-050"] == 24.0


def test_a_number_beside_a_note_of_another_stays_doubted(draw_noted: Draw) -> None:
    """A marked part whose cell says 40 A and whose note says 100 A waits for a person."""
    rows = [HEADING, *ROWS[:2], ("TQ-110*", *ROWS[2][1:])]
    readings = read(draw_noted(rows, [STILL_AIR], ["* For the marked part Imax = 100 A."]))
    assert of(readings, Quantity.MAX_CURRENT)["TQ-110"] == (40.0, True)


def test_a_sentence_of_all_types_rates_a_sheet_of_one_series(make_sheet: Draw) -> None:
    """"All types" leaves no part out where the names begin alike; else it may be bounded by its place."""
    heading = [text for text in HEADING if "Imax" not in text]
    bare = [(*row[:4], *row[5:]) for row in ROWS]
    said = "Maximum fault current of all types in this series of resettable fuses: Imax = 40 A at 23 °C."
    alone = read(make_sheet([heading, *bare], [said, STILL_AIR, "Table 1", "Ratings", "of the series"]))
    assert set(of(alone, Quantity.MAX_CURRENT).values()) == {(40.0, False)}


def test_all_is_said_in_many_languages() -> None:
    """Words of all types, and sentences that have none of them."""
    for text in ("Alle types: max. 60 V", "Pro všechny typy: Umax = 30 V", "本系列全部型号 Imax = 100 A"):
        assert text_says_all(text)
    assert not text_says_all("Maximum voltage 60 V for most types")


def test_a_piece_of_a_long_text_that_is_nothing_but_a_rating_is_one() -> None:
    """Two limits beside words of a whole series; a voltage at which something is tested is none."""
    text = "Koko sarja: suurin käyttöjännite 60 V DC, suurin katkaisujännite 250 V AC. Arvot huoneessa."
    assert [(one.quantity, one.kind, one.value) for one in text_to_said(text)] == [
        (Quantity.MAX_VOLTAGE, Kind.DC, 60.0), (Quantity.MAX_INTERRUPT_VOLTAGE, Kind.AC, 250.0)]
    tested = "The parts of this series pass the endurance test at maximum voltage 60 V, for 24 hours or more."
    assert text_to_said(tested) == ()


def test_a_limit_may_be_said_by_words_of_limiting() -> None:
    """"Limited to 70 amperes" is a number with its unit spelled."""
    assert [one.value for one in text_to_said("Fault current of TQ-700 limited to 70 amperes.")] == [70.0]


def test_the_dash_of_a_range_parts_no_columns(tmp_path: Path) -> None:
    """"6.0 – 9.7" below "min – max" are two limits; a lone dash is an empty cell."""
    page = Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 9)
    page.drawString(60, 800, STILL_AIR)
    heads = ("Type", "Ihold (A)", "Itrip (A)", "Imax (A)", "R min – max (Ohm)", "R1max (Ohm)")
    rows = [("TQ-008", "0.08", "0.16", "3", "6.0 – 9.7", "16"),
            ("TQ-009", "0.09", "0.18", "–", "4.8 – 7.9", "13"),
            ("TQ-011", "0.11", "0.22", "3", "4.1 – 6.7", "11"),
            ("TQ-012", "0.12", "0.24", "–", "3.4 – 5.6", "9")]
    for line, row in enumerate((heads, *rows)):
        for x, text in zip((60, 130, 200, 270, 340, 450), row, strict=True):
            page.drawString(x, 770 - 14 * line, text)
    page.save()
    found = {(r.part_number, r.kind): r.value for r in read(tmp_path / "sheet.pdf")
             if r.quantity is Quantity.RESISTANCE}
    assert found["TQ-008", Kind.MIN] == 6.0
    assert found["TQ-012", Kind.MAX] == 5.6


def test_a_heading_of_a_limit_and_ohms_names_a_resistance(make_sheet: Draw) -> None:
    """"Ohms Min." and "Max. Sec. to Trip" say enough: nothing of them waits."""
    heading = (*HEADING[:5], "Ohms Min.", "R1max (Ohm)", "Test Amps", "Max. Sec. to Trip")
    rows = [(*row, "8", time) for row, time in zip(ROWS, ("0.5", "0.9", "2.0"), strict=True)]
    readings = read(make_sheet([heading, *rows], [STILL_AIR]))
    assert [(r.quantity, r.notes) for r in readings if r.status is Status.DISPUTED] == []
    assert of(readings, Quantity.TIME_TO_TRIP)["TQ-110"] == (2.0, False)


def test_a_second_test_current_has_the_times_behind_it(make_sheet: Draw) -> None:
    """"I1 | max | I2 | max": each time belongs to the current before it, not to the nearer one."""
    heading = (*HEADING[:3], *HEADING[5:], "Test\ncurrent\nI1 (A)", "Time\ntyp. (s)", "Time\nmax. (s)",
               "Test\ncurrent\nI2 (A)", "Time\nmax. (s)")
    times = [("2.5", "1.9", "5.0", "10", "0.5"), ("3.75", "2.2", "5.5", "15", "0.6"),
             ("5.5", "2.4", "6", "20", "0.8")]
    rows = [(*row[:3], *row[5:], *more) for row, more in zip(ROWS, times, strict=True)]
    found = {
        (r.part_number, r.test_current_a): r.value for r in read(make_sheet([heading, *rows], [STILL_AIR]))
        if r.quantity is Quantity.TIME_TO_TRIP and r.kind is not Kind.TYP
    }
    assert found == {("TQ-050", 2.5): 5.0, ("TQ-050", 10.0): 0.5, ("TQ-075", 3.75): 5.5,
                     ("TQ-075", 15.0): 0.6, ("TQ-110", 5.5): 6.0, ("TQ-110", 20.0): 0.8}
