"""`holdtrip read`: a summary, the long table, and one line for every file that cannot be read."""

import csv
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfgen.canvas import Canvas

from extract.long_table import COLUMNS, read_long_table
from holdtrip.commands import holdtrip
from holdtrip.exits import run

SHEET = Path(__file__).parents[2] / "sample_tables" / "quarrowick_qk.pdf"


def drawn(path: Path, text: str = "", encrypt: StandardEncryption | None = None) -> None:
    """A one-page PDF with one line of text, or none."""
    canvas = Canvas(str(path), encrypt=encrypt)
    canvas.drawString(72, 700, text) if text else canvas.rect(72, 600, 100, 100)
    canvas.save()


def web_page(path: Path) -> None:
    """What a download of a login page leaves."""
    path.write_text("<html>Please log in</html>", encoding="utf-8")


def truncated(path: Path) -> None:
    """The first third of a datasheet."""
    data = SHEET.read_bytes()
    path.write_bytes(data[: len(data) // 3])


def encrypted(path: Path) -> None:
    """A PDF that needs a password."""
    drawn(path, "Hold current", StandardEncryption("secret", canPrint=0))


def without_pages(path: Path) -> None:
    """A PDF whose page tree is empty."""
    path.write_bytes(
        b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[]/Count 0>>endobj\n"
        b"xref\n0 3\n0000000000 65535 f \n0000000009 00000 n \n0000000052 00000 n \n"
        b"trailer<</Size 3/Root 1 0 R>>\nstartxref\n96\n%%EOF\n"
    )


BAD_FILES = {
    "web page": (web_page, "not a PDF"),
    "empty": (lambda path: path.write_bytes(b""), "empty"),
    "truncated": (truncated, ""),
    "encrypted": (encrypted, "password"),
    "no pages": (without_pages, "no pages"),
    "scan": (lambda path: drawn(path), "no text layer"),
    "prose": (lambda path: drawn(path, "A letter about nothing in particular"), "no "),
}


@pytest.fixture(params=BAD_FILES)
def bad_file(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Path, str]:
    """A file that cannot be read, and a word its line must hold."""
    make: Callable[[Path], object]
    make, words = BAD_FILES[request.param]
    path = tmp_path / "bad.pdf"
    make(path)
    return path, words


def test_a_bad_file_is_one_line(bad_file: tuple[Path, str], capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 2, the file's name and the reason, no traceback, no long table."""
    path, words = bad_file
    long_table = path.parent / "long.csv"
    assert run(holdtrip, ["read", str(path), "--long", str(long_table)]) == 2
    err = capsys.readouterr().err
    assert err.strip().count("\n") == 0
    assert "bad.pdf" in err
    assert words in err
    assert not long_table.exists()


def test_a_bad_file_does_not_stop_a_batch(
    bad_file: tuple[Path, str], capsys: pytest.CaptureFixture[str]
) -> None:
    """The good sheet is read, the bad one is named, and the exit code says that something was found."""
    path, words = bad_file
    shutil.copy(SHEET, path.parent / "good.pdf")
    long_table = path.parent / "long.csv"
    assert run(holdtrip, ["read", str(path.parent), "--long", str(long_table)]) == 1
    out = capsys.readouterr().out
    assert "bad.pdf" in out
    assert words in out
    assert {reading.document for reading in read_long_table(long_table)} == {"good.pdf"}


def test_the_long_table_has_a_row_for_each_number(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every number of the summary stands in the file, with its place on a page that exists."""
    long_table = tmp_path / "long.csv"
    assert run(holdtrip, ["read", str(SHEET), "--long", str(long_table)]) <= 1
    with long_table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert f"{len(rows)} numbers" in capsys.readouterr().out
    assert len(rows) > 50
    assert list(rows[0])[: len(COLUMNS)] == list(COLUMNS)
    assert {row["page"] for row in rows} <= {"1", "2"}
    assert all(float(row["x0"]) < float(row["x1"]) for row in rows)
    assert all(float(row["top"]) < float(row["bottom"]) for row in rows)


@pytest.mark.parametrize(("arguments", "words"), [
    (["read"], "Missing argument"),
    (["read", "nowhere.pdf"], "nowhere.pdf: no such file"),
    (["read", "."], "no PDF file"),
])
def test_nothing_to_read_is_said(
    arguments: list[str], words: str, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:
    """A missing argument, file or a folder without PDFs is bad input."""
    monkeypatch.chdir(tmp_path)
    assert run(holdtrip, arguments) == 2
    assert words in capsys.readouterr().err


def test_particulars_stand_in_a_table_of_their_own(tmp_path: Path) -> None:
    """Sizes with place and status; the long table holds the ratings only, with --all the particulars after
    them."""
    sheet = str(SHEET.with_name("gullhaven_gul.pdf"))
    own, plain, everything = (tmp_path / name for name in ("own.csv", "plain.csv", "all.csv"))
    assert run(holdtrip, ["read", sheet, "--particulars", str(own), "--long", str(plain)]) == 0
    assert run(holdtrip, ["read", sheet, "--long", str(everything), "--all"]) == 0
    rows, ratings, both = (list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
                           for path in (own, plain, everything))
    assert {row["name"] for row in rows} >= {"dimension", "operating_temperature", "moisture_level"}
    assert {row["quantity"] for row in ratings}.isdisjoint({row["name"] for row in rows})
    assert len(both) == len(rows) + len(ratings)


def test_all_goes_with_the_long_table_only(capsys: pytest.CaptureFixture[str]) -> None:
    """An option that would do nothing is refused."""
    assert run(holdtrip, ["read", str(SHEET), "--all"]) == 2
    assert "--long" in capsys.readouterr().err
