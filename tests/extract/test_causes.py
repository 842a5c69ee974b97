"""Doubts gathered into questions, and doubts that the sheet itself settles."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from extract.causes import causes_to_line, doubt_to_code, sheet_to_causes
from extract.long_table import COLUMNS, FURTHER_COLUMNS, read_long_table, write_long_table
from extract.proofs import PROVEN, readings_to_proven
from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status

SHORT = "the row '050' may mean any of AB-050, AC-050"


def _reading(part: str, value: float, status: Status = Status.AGREED, notes: tuple[str, ...] = ()) -> Reading:
    return Reading("s.pdf", "0" * 64, part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, value, status,
                   Place(1, 0, 0, 9, 9), str(value), notes=notes)


def _sheet(*readings: Reading) -> SheetReading:
    return SheetReading("s.pdf", "0" * 64, 1, (1,), "", readings, (), ())


def test_one_doubt_about_many_numbers_is_one_question() -> None:
    """Every disputed reading belongs to exactly one cause; undisputed ones to none; counts add up."""
    doubted = [_reading(f"AB-{n}", n, Status.DISPUTED, (SHORT,)) for n in (1, 2, 3)]
    other = _reading("AB-4", 4, Status.DISPUTED, ("the second reading sees '44'",))
    sheet = sheet_to_causes(_sheet(*doubted, _reading("AB-5", 5), other))
    assert [r.cause for r in sheet.readings] == [1, 1, 1, 0, 2]
    assert [(c.code, c.count) for c in sheet.causes] == [("row-of-several-parts", 3), ("second-reading", 1)]
    assert causes_to_line(sheet.causes) == "2 questions about 4 numbers"


def test_remarks_are_no_doubts() -> None:
    """How a row was joined does not make a cause; the gravest doubt names it."""
    notes = ("joined by short: '050'", "the second reading sees '5'", SHORT)
    sheet = sheet_to_causes(_sheet(_reading("AB-050", 5, Status.DISPUTED, notes)))
    assert sheet.causes[0].code == "row-of-several-parts"
    assert sheet.causes[0].facts == (SHORT,)


@pytest.mark.parametrize(
    ("doubt", "code"),
    [
        ("'0250' is no part number: it is a bare code", "part-name"),
        ("neither heading nor title says hold or trip", "hold-or-trip"),
        ("unit not printed and 253 A is beyond the trade's range", "unit"),
        ("no test current was read for this time", "test-current"),
        ("a note says 'AB-050: Vmax = 12 V'", "note-excepts"),
        ("1.14 A at 30 °C but 1.4 A at 40 °C", "check"),
    ],
)
def test_each_doubt_has_its_code(doubt: str, code: str) -> None:
    """The sentences of doubts are known in one place; a check's sentence is the last resort."""
    assert doubt_to_code(doubt) == code


def test_the_sentences_are_those_the_reader_writes() -> None:
    """Each fixed wording of causes.toml stands in the reader's own source, so that neither drifts away."""
    room = Path(__file__).parents[2] / "extract"
    source = "\n".join(path.read_text(encoding="utf-8") for path in room.rglob("*.py"))
    for words in ("neither heading nor title says hold or trip", "may mean any of", "is no part number:",
                  "no test current was read", "the second reading sees", "the sheet prints",
                  "does not say which resistance", "a typical time, not the longest", "unit not printed"):
        assert re.search(re.escape(words), source), words


def test_a_row_whose_reference_value_is_the_rating_is_proven() -> None:
    """A short code may mean two parts; its 23 °C value is the rating of the first and not of the second."""
    rows = [replace(_reading(part, value, Status.DISPUTED, (SHORT,)), ambient_c=ambient_c,
                    place=Place(2, 0, 0, 9, 9))
            for part in ("AB-050", "AC-050") for ambient_c, value in ((23.0, 0.5), (60.0, 0.3))]
    readings = readings_to_proven([_reading("AB-050", 0.5), _reading("AC-050", 0.55), *rows])
    assert [r.status for r in readings[2:]] == [Status.SINGLE] * 2 + [Status.DISPUTED] * 2
    assert PROVEN in readings[2].notes


def test_a_doubt_about_digits_is_never_proven_away() -> None:
    """Where the digits are in doubt as well, the sheet proves nothing."""
    notes = (SHORT, "the second reading sees '0.8'")
    rows = [replace(_reading("AB-050", value, Status.DISPUTED, notes), ambient_c=ambient_c)
            for ambient_c, value in ((23.0, 0.5), (60.0, 0.3))]
    readings = readings_to_proven([_reading("AB-050", 0.5), *rows])
    assert {r.status for r in readings[1:]} == {Status.DISPUTED}


def test_shares_that_share_out_all_parts_are_proven() -> None:
    """Two rows of shares by size give each part one share at each ambient: nobody need be asked. A part left
    without a share leaves the doubt."""
    rated = [_reading(part, 0.5) for part in ("A04-1", "A04-2", "A06-1")]
    shares = [replace(_reading(part, value, Status.DISPUTED, (SHORT,)), quantity=Quantity.HOLD_RATIO,
                      ambient_c=ambient_c)
              for part in ("A04-1", "A04-2", "A06-1") for ambient_c, value in ((23.0, 1.0), (60.0, 0.6))]
    assert {r.status for r in readings_to_proven([*rated, *shares])[3:]} == {Status.SINGLE}
    assert {r.status for r in readings_to_proven([*rated, *shares[:4]])[3:]} == {Status.DISPUTED}


def test_the_cause_is_the_last_column_of_the_long_table(tmp_path: Path) -> None:
    """Written and read back; empty for numbers in no doubt."""
    path = tmp_path / "long.csv"
    readings = (replace(_reading("AB-1", 1, Status.DISPUTED, (SHORT,)), cause=3), _reading("AB-2", 2))
    write_long_table(readings, path)
    assert read_long_table(path) == readings
    assert (*COLUMNS, *FURTHER_COLUMNS)[-1] == "cause"
