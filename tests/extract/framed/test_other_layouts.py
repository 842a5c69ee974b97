"""Framed tables that are no plain rows: part numbers in two lines, parts side by side, one part alone."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.document import Document, OpenLimits, path_to_document
from extract.errors import InputError
from extract.framed.frames import Frame, FrameColumn, Role
from extract.framed.headed import AMPERES, CELSIUS, heading_to_only
from extract.framed.names import is_printed, page_to_names
from extract.framed.proposal import _with_conditions, document_to_proposal
from extract.framed.tables import document_to_framed
from extract.schema import Kind, Quantity, Reading, Status

DAY = "2031-02-03"
PART = FrameColumn(70, 160, Role.PART)
HOLD = FrameColumn(160, 260, Role.VALUE, Quantity.HOLD_CURRENT, unit="A", ambient_c=23.0)


def drawn(folder: Path, texts: Sequence[tuple[float, float, str]], rules: tuple[float, ...] = ()) -> Document:
    """A page of A4 with texts at x and distance from the top, and rules over the whole table."""
    path = folder / "drawn.pdf"
    canvas = Canvas(str(path), pagesize=(595, 842))
    canvas.setFont("Helvetica", 9)
    for x, top, text in texts:
        canvas.drawString(x, 842 - top, text)
    for top in rules:
        canvas.line(70, 842 - top, 500, 842 - top)
    canvas.save()
    return path_to_document(path, OpenLimits(needs_tables=False))


def framed(document: Document, frame: Frame) -> tuple[Reading, ...]:
    """What a frame gives."""
    return document_to_framed(document, frame, DAY).readings


def said(readings: tuple[Reading, ...]) -> list[tuple[str, float, Status]]:
    """Part, value and standing of each."""
    return [(one.part_number, one.value, one.status) for one in readings]


def test_a_part_number_over_two_lines_is_read_whole(tmp_path: Path) -> None:
    """Between rules, and without them where lines stand closer than rows: never the first line alone. Where
    no hyphen says that it goes on, the joined name is a doubt; so is one that ends in a hyphen."""
    below = [(80, 100, "Blorn"), (170, 100, "Vask"), (80, 120, "ZQ30-"), (170, 120, "500"), (80, 131, "050"),
             (170, 131, "mA"), (80, 160, "ZQ 060"), (170, 160, "1.10 A"), (80, 171, "rev B"),
             (80, 200, "ZQ70"), (170, 200, "1.30 A"), (80, 240, "ZQ80-"), (170, 240, "1.50 A")]
    frame = Frame(1, (70, 85, 300, 250), 106, (PART, HOLD))
    for rules in ((106.0, 143.0, 183.0, 215.0, 250.0), ()):
        readings = framed(drawn(tmp_path, below, rules), frame)
        names = {one.part_number: one for one in readings}
        assert set(names) == {"ZQ30-050", "ZQ 060 rev B", "ZQ70", "ZQ80-"}
        assert {name for name, one in names.items() if one.status is Status.DISPUTED} == {
            "ZQ 060 rev B", "ZQ80-"}
        assert names["ZQ70"].value == 1.3
        if rules:
            assert names["ZQ30-050"].value == 0.5


BESIDE = [(80, 100, "Modell"), (220, 100, "ZQ30-050"), (320, 100, "ZQ60-075"),
          (80, 118, "Vask 23 °C"), (222, 118, "0,50 A"), (322, 118, "750 mA"),
          (80, 136, "Vask 60 °C"), (222, 136, "0,33 A"), (322, 136, "0,50 A"),
          (80, 154, "Tiv"), (222, 154, "0,15 s / 8,0 A"), (322, 154, "0,20 s / 8,0 A"),
          (80, 172, "Rolm"), (222, 172, "0,350 Ω"), (322, 172, "0,210 Ω")]


def test_parts_side_by_side_are_framed_turned(tmp_path: Path) -> None:
    """Rows are named instead of columns; ambients come from their labels; a time takes the test current
    printed beside it; a number that stands under no part is a doubt."""
    document = drawn(tmp_path, BESIDE)
    found = document_to_proposal(document, 1, (70, 88, 420, 180), turned=True)
    assert found.turned
    assert found.columns[0].role is Role.PART
    assert found.columns[0].heading == "ZQ30-050 ZQ60-075"
    assert [one.ambient_c for one in found.columns] == [None, 23.0, 60.0, None, None]
    kinds = (Quantity.HOLD_CURRENT, Quantity.HOLD_CURRENT, Quantity.TIME_TO_TRIP, Quantity.RESISTANCE)
    rows = [replace(row, role=Role.VALUE, quantity=kind, kind=Kind.NONE, unit="")
            for row, kind in zip(found.columns[1:], kinds, strict=True)]
    frame = replace(found, columns=(found.columns[0], *rows))
    readings = framed(document, frame)
    assert {(one.part_number, one.quantity, one.ambient_c, one.value) for one in readings} == {
        ("ZQ30-050", Quantity.HOLD_CURRENT, 23.0, 0.5), ("ZQ60-075", Quantity.HOLD_CURRENT, 23.0, 0.75),
        ("ZQ30-050", Quantity.HOLD_CURRENT, 60.0, 0.33), ("ZQ60-075", Quantity.HOLD_CURRENT, 60.0, 0.5),
        ("ZQ30-050", Quantity.TIME_TO_TRIP, None, 0.15), ("ZQ60-075", Quantity.TIME_TO_TRIP, None, 0.2),
        ("ZQ30-050", Quantity.RESISTANCE, None, 0.35), ("ZQ60-075", Quantity.RESISTANCE, None, 0.21)}
    assert {one.status for one in readings} == {Status.SINGLE}
    assert {one.test_current_a for one in readings if one.quantity is Quantity.TIME_TO_TRIP} == {8.0}
    moved = [(272 if text == "0,350 Ω" else x, top, text) for x, top, text in BESIDE]
    aside = [one for one in framed(drawn(tmp_path, moved), frame) if one.value == 0.35]
    assert all(one.status is Status.DISPUTED for one in aside)


@pytest.mark.parametrize(("heading", "ambient_c"), [
    ("Vask 60 °C", 60.0), ("Vask -40 °C", -40.0), ("Vask –40°C", -40.0), ("60 °C / 60 °C", 60.0),
    ("Vask 8 A 60 °C", 60.0), ("Vask 20-60 °C", None), ("Vask 20 – 60 °C", None), ("Vask 20 do 60 °C", None),
    ("Vask 20/60 °C", None), ("Vask-40 °C", None), ("20 °C, 60 °C", None), ("1,000 °C", None)])
def test_an_ambient_is_offered_only_where_a_heading_names_one(heading: str, ambient_c: float | None) -> None:
    """A dash between two numbers is no minus, and of a range neither end is the ambient."""
    assert heading_to_only(heading, CELSIUS) == ambient_c


@pytest.mark.parametrize(("heading", "current_a"), [
    ("Tiv 8 A", 8.0), ("Tiv 8,5 A", 8.5), ("Tiv 23 °C, 8 A", 8.0), ("Tiv 1,000 A", None),
    ("Tiv 1 000 A", None),
    ("Tiv 5-8 A", None), ("Tiv 5 A, 8 A", None), ("Tiv 500 mA", None), ("Tiv 8 Ah", None)])
def test_a_test_current_is_offered_only_where_a_heading_names_one(
    heading: str, current_a: float | None
) -> None:
    """What may be thousands or decimals, or one of two, is offered as nothing."""
    assert heading_to_only(heading, AMPERES) == current_a


def test_a_condition_that_the_model_knows_is_kept() -> None:
    """A heading adds what is not known and takes nothing away."""
    known = FrameColumn(0, 9, Role.VALUE, Quantity.TIME_TO_TRIP, ambient_c=23.0, test_current_a=8.0,
                        heading="Tiv 5 A 60 °C")
    assert _with_conditions(known) == known
    bare = replace(known, heading="Tiv")
    assert _with_conditions(bare) == bare


def test_a_table_of_one_part_takes_its_name_from_the_page(tmp_path: Path) -> None:
    """Offered are words of the page with letters and digits; taken is only one that the sheet prints."""
    texts = [(80, 60, "Drawing ZQ-4410-0173"), (80, 100, "Vask"), (222, 100, "0,75"), (282, 100, "A"),
             (80, 118, "Tiv"), (222, 118, "1,50"), (282, 118, "A")]
    document = drawn(tmp_path, texts)
    box = (70, 88, 270, 126)
    assert page_to_names(document, 1, box) == ("ZQ-4410-0173",)
    hold = replace(HOLD, x0=88, x1=108)
    trip = replace(hold, x0=108, x1=126, quantity=Quantity.TRIP_CURRENT)
    frame = Frame(1, box, 200, (hold, trip), turned=True, part="ZQ-4410-0173")
    assert said(framed(document, frame)) == [
        ("ZQ-4410-0173", 0.75, Status.SINGLE), ("ZQ-4410-0173", 1.5, Status.SINGLE)]
    upright = Frame(1, box, 90, (replace(HOLD, x0=200, x1=270),), part="ZQ-4410-0173")
    assert [one.part_number for one in framed(document, upright)] == ["ZQ-4410-0173"] * 2
    with pytest.raises(InputError, match="that the sheet prints"):
        framed(document, replace(frame, part="ZQ-9"))
    with pytest.raises(InputError, match="columns of part numbers"):
        framed(document, replace(frame, part=""))


def test_a_chosen_part_is_a_whole_word_of_the_sheet(tmp_path: Path) -> None:
    """Half a part number is another part number: one printed within a longer word, or as two of several
    words, is printed only if it stands so, from blank to blank."""
    document = drawn(tmp_path, [(80, 60, "TQ60-110 (TQ70)"), (80, 90, "TQ 80 B, TQ90;"), (80, 120, "M/TQ95"),
                                (80, 150, "TQ96*"), (80, 180, "TQ97-"), (80, 191, "330")])
    for name in ("TQ60-110", "TQ70", "TQ 80 B", "TQ90", "TQ80B", "M/TQ95", "TQ96", "TQ97-330"):
        assert is_printed(document, name), name
    for name in ("TQ6", "TQ60", "Q60-110", "TQ60-11", "TQ 8", "TQ95", "TQ97-", "330", "", "(",
                 "0-110 (TQ7"):
        assert not is_printed(document, name), name
