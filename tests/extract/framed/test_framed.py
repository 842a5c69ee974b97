"""A table that a person framed: read as its columns were named, never better than read once."""

from dataclasses import replace
from pathlib import Path

import pytest

from extract.document import Document, path_to_document
from extract.errors import InputError
from extract.framed.frames import Frame, FrameColumn, Role
from extract.framed.proposal import document_to_proposal
from extract.framed.rows import FramedNumber
from extract.framed.tables import document_to_framed
from extract.framed.witness import OtherReaders
from extract.schema import Kind, Quantity, Status
from extract.second.generic import GenericCell
from extract.sheet import read_sheet

SHEET = Path(__file__).parents[3] / "sample_tables" / "quarrowick_qk.pdf"
BOX = (44.0, 165.0, 548.0, 321.0)
"""Around the table of ratings of page 1, its heading included."""


@pytest.fixture(scope="module")
def document() -> Document:
    """The sample, opened."""
    return path_to_document(SHEET)


@pytest.fixture(scope="module")
def proposal(document: Document) -> Frame:
    """How the model takes the frame, the ambient of the ratings named."""
    found = document_to_proposal(document, 1, BOX)
    at = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT)
    return replace(found, columns=tuple(
        replace(column, ambient_c=23.0) if column.quantity in at else column for column in found.columns))


def test_the_model_proposes_what_each_column_holds(proposal: Frame) -> None:
    """Columns, the end of the heading, meanings and units of a plain table; a person only looks."""
    assert [column.role for column in proposal.columns] == [
        Role.PART, *[Role.VALUE] * 5, Role.TEST_CURRENT, *[Role.VALUE] * 3]
    said = [(column.quantity, column.kind, column.unit) for column in proposal.columns if column.quantity]
    assert said[0] == (Quantity.HOLD_CURRENT, Kind.NONE, "A")
    assert said[-1] == (Quantity.RESISTANCE, Kind.POST_TRIP_MAX, "ohm")
    assert 200 < proposal.heading_bottom < 217.4


def test_a_framed_table_gives_what_the_sheet_gives(document: Document, proposal: Frame) -> None:
    """The values and conditions of the ordinary reading, number by number; each counts as read once, with a
    note of who named its column."""
    framed = document_to_framed(document, proposal, "2031-02-03")
    slot = ("part_number", "quantity", "ambient_c", "test_current_a", "value")
    printed = {tuple(getattr(one, name) for name in slot) for one in read_sheet(SHEET).readings
               if one.place.page == 1 and one.place.top < BOX[3]}
    found = {tuple(getattr(one, name) for name in slot) for one in framed.readings}
    assert found == printed
    assert len(framed.readings) == 64
    assert framed.not_read == ()
    assert {one.status for one in framed.readings} == {Status.SINGLE}
    assert all(one.notes[0].startswith("named by the person who framed the table on 2031-02-03")
               for one in framed.readings)


def test_a_column_named_otherwise_is_read_otherwise(document: Document, proposal: Frame) -> None:
    """Named in mA, every value is a thousandth; left out, it is not read; a unit of another quantity, a row
    without a part, a value without its unit or ambient are never taken for right."""
    hold = proposal.columns[1]
    only = (proposal.columns[0], replace(hold, unit="mA"))
    milli = document_to_framed(document, replace(proposal, columns=only), "2031-02-03").readings
    assert milli[0].value == pytest.approx(0.00012)
    bare = replace(hold, unit="", ambient_c=None)
    named = replace(proposal, columns=(only[0], bare))
    doubted = document_to_framed(document, named, "2031-02-03").readings
    assert {one.status for one in doubted} == {Status.DISPUTED}
    why = {"the sheet names no reference ambient", "no unit printed here: read as A"}
    assert why <= set(doubted[0].notes)
    wrong = replace(hold, unit="V")
    table = document_to_framed(document, replace(proposal, columns=(only[0], wrong)), "2031-02-03")
    assert table.readings == ()
    assert len(table.not_read) == 8
    assert "does not measure this" in table.not_read[0]
    shifted = replace(proposal.columns[0], x0=540.0, x1=547.0)
    of_nobody = replace(proposal, columns=(shifted, hold))
    nobody = document_to_framed(document, of_nobody, "2031-02-03")
    assert nobody.readings == ()
    assert "without a part number" in nobody.not_read[0]


def test_a_frame_never_cuts_a_word(document: Document) -> None:
    """Half a part number is another part number: an edge through a word is refused, and so is a frame of
    nothing, of a page that there is not, without a column of parts, or with two."""
    for box in ((80.0, 165.0, 548.0, 321.0), (44.0, 165.0, 520.0, 321.0)):
        with pytest.raises(InputError, match="edge runs through"):
            document_to_proposal(document, 1, box)
    with pytest.raises(InputError, match="nothing in it"):
        document_to_proposal(document, 1, (10.0, 10.0, 12.0, 12.0))
    with pytest.raises(InputError, match="page 9"):
        document_to_proposal(document, 9, BOX)
    part, value = FrameColumn(44, 120, Role.PART), FrameColumn(120, 160, Role.VALUE, Quantity.HOLD_CURRENT)
    for columns in ((value,), (part, part, value), (part,), (part, FrameColumn(120, 160, Role.VALUE))):
        with pytest.raises(InputError, match="columns of part numbers"):
            document_to_framed(document, Frame(1, BOX, 216.0, columns), "2031-02-03")


def test_a_reader_that_sees_other_digits_makes_it_a_question(document: Document, proposal: Frame) -> None:
    """Another text of the same place disputes a number; neighbours or marks beside it do not."""
    from extract.cells.ink import content_to_ink
    from extract.framed.frames import framed_content
    from extract.framed.lines import lines_to_rows
    from extract.framed.rows import RowReader, rows_to_style

    content = framed_content(document, 1, BOX)
    rows = lines_to_rows(content_to_ink(content).lines, proposal)
    reader = RowReader(document, content, proposal, rows_to_style(rows), "named")
    number = next(one for one in reader.row_to_numbers(rows[0]) if isinstance(one, FramedNumber))
    seen = GenericCell(1, 0, 0, 0, number.cell.box, "0.72")
    assert OtherReaders((seen,), {}).judge(number).notes[-1] == "the second reading sees '0.72'"
    assert OtherReaders((), {id(number.cell): "0.17"}).judge(number).status is Status.DISPUTED
    beside = replace(seen, text=f"{number.cell.text} 0.23")
    assert OtherReaders((beside,), {}).judge(number).status is Status.SINGLE
    assert "second reading failed" in OtherReaders((), {}, lost=True).judge(number).notes[-1]
