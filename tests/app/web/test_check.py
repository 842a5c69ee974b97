"""Checking a typed table on the page finds what the command finds."""

import csv
import io
import zipfile
from pathlib import Path

import openpyxl
from click.testing import CliRunner

from app.commands import holdtrip

TYPED = Path(__file__).parents[3] / "docs" / "examples" / "typed_parts.csv"


def test_the_page_finds_what_the_command_finds(site, tmp_path: Path) -> None:
    """Same findings file, and the table's own cells beside them."""
    out = tmp_path / "found.csv"
    CliRunner().invoke(holdtrip, ["check", str(TYPED), "--against", site.library, "--findings", str(out)])
    params = {"name": "typed_parts.csv", "against_library": True}
    answer = site.client.post("/api/checks", params=params, content=TYPED.read_bytes()).json()
    listed = site.client.get(f"/api/checks/{answer['check_id']}/findings.csv").text
    assert list(csv.reader(io.StringIO(listed))) == list(csv.reader(io.StringIO(out.read_text())))
    assert answer["findings"]
    assert answer["sheets"][0]["rows"] == list(csv.reader(TYPED.read_text(encoding="utf-8").splitlines()))
    assert answer["unchecked"]


def test_the_marked_copy_carries_the_findings(site) -> None:
    """Every finding that names a cell is a comment there."""
    answer = site.client.post("/api/checks", params={"name": "t.csv"}, content=TYPED.read_bytes()).json()
    marked = site.client.get(f"/api/checks/{answer['check_id']}/marked.xlsx")
    sheet = openpyxl.load_workbook(io.BytesIO(marked.content)).worksheets[0]
    assert answer["findings"]
    for finding in answer["findings"]:
        assert sheet[finding["cell"]].comment is not None


def test_what_is_no_table_is_refused_by_its_own_name(site) -> None:
    """A wrong type, an empty file, a file that is not what its name says."""
    for name, content, status in (
        ("t.pdf", b"%PDF-", 415), ("t.csv", b"", 400), ("t.xlsx", b"PK\x03\x04 broken", 400)):
        answer = site.client.post("/api/checks", params={"name": name}, content=content)
        assert answer.status_code == status, name
        assert answer.json()["detail"].startswith(name)
    assert site.client.get(f"/api/checks/{'0' * 32}/marked.xlsx").status_code == 404


def test_a_workbook_that_unpacks_to_too_much_is_refused(site) -> None:
    """A small file that fills the memory when it is opened is refused by what it would unpack to."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as book:
        for number in range(4):
            with book.open(f"xl/worksheets/sheet{number}.xml", "w") as member:
                for _ in range(80):
                    member.write(b"\0" * 1_000_000)
    answer = site.client.post("/api/checks", params={"name": "t.xlsx"}, content=packed.getvalue())
    assert answer.status_code == 400
    assert "when unpacked" in answer.json()["detail"]
