"""Pages and fonts without end are refused at once; memory that is refused is no damage; much text no trap."""

from __future__ import annotations

import zlib
from collections import Counter
from pathlib import Path

import pytest
from pdfplumber.utils.exceptions import PdfminerException

from extract.account.atoms import Atom
from extract.account.blocks import Block, Column
from extract.account.reasons import NOT_UNDERSTOOD, PageFacts, atoms_to_reasons
from extract.document import _damage_as_error
from extract.endless import MOST_COMMAND_BYTES, MOST_LETTERS, BoundedLetters, Endless
from extract.errors import DocumentError
from extract.lines import Run
from extract.sheet import ReadOptions, read_sheet

QUICK = ReadOptions(second_reading=False)
WORDS = (b"BT /F1 9 Tf 40 700 Td (Resettable fuses: Ihold 0.50 A Itrip 1.00 A Vmax 24 V Rmin 0.15 0.25 0.35)"
         b" Tj ET ")


def _pdf(commands: bytes, letters: bytes = b"") -> bytes:
    packed, table = zlib.compress(WORDS + commands), zlib.compress(letters)
    objects = (
        b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 800] /Contents 4 0 R"
        b" /Resources << /Font << /F1 5 0 R /F2 7 0 R >> >> >>",
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(packed), packed),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(table), table),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /ToUnicode 6 0 R >>",
    )
    body = b"".join(b"%d 0 obj\n%s\nendobj\n" % (number, one) for number, one in enumerate(objects, start=1))
    return b"%PDF-1.7\n" + body + b"trailer\n<< /Root 1 0 R >>\n%%EOF\n"


def test_more_drawing_commands_than_any_page_has_are_refused(tmp_path: Path) -> None:
    """A page that unpacks to more commands than the limit is one sentence, before any is carried out."""
    (tmp_path / "bomb.pdf").write_bytes(_pdf(b"0 0 m " * (MOST_COMMAND_BYTES // 6 + 1)))
    with pytest.raises(DocumentError, match=r"bomb.pdf: page 1 has more than 25 MB of drawing commands"):
        read_sheet(tmp_path / "bomb.pdf", QUICK)


def test_a_font_without_end_is_refused(tmp_path: Path) -> None:
    """A table of letters that names more codes than fonts can have is one sentence."""
    ranges = b"".join(b"<%04x> <ffff> <0020>\n" % start for start in range(0, 320, 32))
    letters = b"begincmap 10 beginbfrange\n" + ranges + b"endbfrange endcmap"
    (tmp_path / "font.pdf").write_bytes(_pdf(b"BT /F2 9 Tf 40 500 Td (x) Tj ET", letters))
    with pytest.raises(DocumentError, match=r"font.pdf: a font with more than \d+ letters"):
        read_sheet(tmp_path / "font.pdf", QUICK)


def test_a_full_table_of_letters_is_taken_whole() -> None:
    """All codes of two bytes, each named as often as the limit allows, are taken; one more is Endless."""
    letters = BoundedLetters()
    for number in range(MOST_LETTERS):
        letters.add_cid2unichr(number % 65_536, 65 + number % 26)
    assert len(letters.cid2unichr) == 65_536
    with pytest.raises(Endless):
        letters.add_cid2unichr(0, 65)


def test_refused_memory_is_not_called_damage() -> None:
    """What pdfplumber wraps as an error of the page stays an error of memory: the house says "too large"."""
    with pytest.raises(MemoryError), _damage_as_error("sheet.pdf"):
        raise PdfminerException(MemoryError())
    with pytest.raises(DocumentError, match="damaged"), _damage_as_error("sheet.pdf"):
        raise PdfminerException(ValueError("no such operator"))


def test_a_table_is_asked_once_why_its_numbers_were_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten thousand numbers of one table ask its headings once, not once each; the column's word counts."""
    asked: list[str] = []

    def column_to_reason(column: Column) -> str:
        asked.append(column.heading)
        return "packaging" if column.heading == "Per reel" else ""

    monkeypatch.setattr("extract.account.reasons._column_to_reason", column_to_reason)
    run = Run("3000", 100, 400, 130, 410, 9)
    atoms = [Atom("3000", (100, 400, 130, 410), run)] * 10_000
    reel, rest = tuple(range(5_000)), tuple(range(5_000, 9_000))
    columns = (Column(90, 140, reel, "Per reel"), Column(190, 240, rest, "Name"))
    block = Block((90, 100, 540, 700), tuple(range(10_000)), columns, (), ())
    facts = PageFacts(800, (), frozenset(), frozenset())
    reasons = atoms_to_reasons(atoms, range(10_000), [block], frozenset(), facts)
    assert Counter(reasons.values()) == {"packaging": 5_000, NOT_UNDERSTOOD: 5_000}
    assert len(asked) < 10
