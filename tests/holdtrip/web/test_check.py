"""Checking a typed table on the page finds what the command finds."""

import csv
import io
import zipfile
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from extract.errors import InputError
from extract.workers import Limits
from holdtrip.check_worker import TableJob, job_to_report
from holdtrip.commands import holdtrip
from holdtrip.library.store import open_library

TYPED = Path(__file__).parents[3] / "docs" / "examples" / "typed_parts.csv"


def test_the_page_finds_what_the_command_finds(site, tmp_path: Path) -> None:
    """Same findings file, the same mark for each, and the table's own cells beside them."""
    out = tmp_path / "found.csv"
    CliRunner().invoke(holdtrip, ["check", str(TYPED), "--against", site.library, "--findings", str(out)])
    params = {"name": "typed_parts.csv", "against_library": True}
    answer = site.client.post("/api/checks", params=params, content=TYPED.read_bytes()).json()
    listed = site.client.get(f"/api/checks/{answer['check_id']}/findings.csv").text
    assert list(csv.reader(io.StringIO(listed))) == list(csv.reader(io.StringIO(out.read_text())))
    assert answer["findings"]
    assert answer["marks"] == [row["mark"] for row in csv.DictReader(io.StringIO(listed))]
    assert answer["sheets"][0]["rows"] == list(csv.reader(TYPED.read_text(encoding="utf-8").splitlines()))
    assert any("against the sheets" in text for text in answer["checked"])
    alone = site.client.post("/api/checks", params={"name": "t.csv"}, content=TYPED.read_bytes()).json()
    assert any("no sheet given" in text for text in alone["unchecked"])


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


ODD = b"Part,Stuff,Itrip [A]\nA-050,500,1\nA-110,1100,2.2\nA-200,2000,4\n"
"""A table with a heading that nobody can know."""


def test_a_misread_column_is_given_its_meaning(site) -> None:
    """`map` does what --map does, also where a meaning must be refused."""
    params = {"name": "odd.csv"}
    columns = {row[0]: row[1] for row in
               site.client.post("/api/checks", params=params, content=ODD).json()["sheets"][0]["columns"]}
    assert "hold_current" not in columns["Stuff"]
    mapped = site.client.post("/api/checks", params=params | {"map": "Stuff=hold_current mA"}, content=ODD)
    assert ["Stuff", "hold_current", "mA"] in [row[:3] for row in mapped.json()["sheets"][0]["columns"]]
    for wrong in ("Stuff=mass", "Nowhere=hold_current", "=hold_current"):
        answer = site.client.post("/api/checks", params=params | {"map": wrong}, content=ODD)
        assert answer.status_code == 400, wrong


def test_a_silenced_finding_is_raised_no_more(site) -> None:
    """A reason is needed; the table is checked again at once, and the command knows of it too."""
    answer = site.client.post("/api/checks", params={"name": "t.csv"}, content=TYPED.read_bytes()).json()
    address, code = f"/api/checks/{answer['check_id']}/silences", answer["findings"][0]["code"]
    about = {"finding": 1, "code": code, "who": "Ben"}
    assert site.client.post(address, json=about).status_code == 400
    assert site.client.post(address, json=about | {"code": "other", "reason": "x"}).status_code == 400
    after = site.client.post(address, json=about | {"reason": "page 2 prints it so"}).json()
    assert after["silenced"] == 1
    assert after["check_id"] == answer["check_id"]
    assert len(after["findings"]) == len(answer["findings"]) - 1
    with open_library(site.library) as library:
        (kept,) = library.silenced()
    assert (kept.key.code, kept.who, kept.reason) == (code, "Ben", "page 2 prints it so")
    said = CliRunner().invoke(holdtrip, ["check", str(TYPED), "--library", site.library]).output
    assert "1 silenced before" in said


def test_a_silence_is_listed_and_taken_back(site) -> None:
    """Mark, who, when and why stand in the list; taking back needs a reason and the value shown, and the next
    check raises the finding again."""
    answer = site.client.post("/api/checks", params={"name": "t.csv"}, content=TYPED.read_bytes()).json()
    said = {"finding": 1, "code": answer["findings"][0]["code"], "who": "Ben", "reason": "printed so"}
    assert site.client.post(f"/api/checks/{answer['check_id']}/silences", json=said).json()["silenced"] == 1
    (kept,) = site.client.get("/api/checks/silences/all").json()
    assert (kept["number"], kept["mark"]) == (1, answer["marks"][0])
    assert (kept["who"], kept["reason"]) == ("Ben", "printed so")
    address, back = "/api/checks/silences/take-back", {"number": 1, "value": kept["value"], "who": "Cid"}
    assert site.client.post(address, json=back).status_code == 400
    assert site.client.post(address, json=back | {"reason": "x", "value": "other"}).status_code == 400
    assert site.client.post(address, json=back | {"reason": "misread"}).json() == []
    again = site.client.post("/api/checks", params={"name": "t.csv"}, content=TYPED.read_bytes()).json()
    assert (again["silenced"], len(again["findings"])) == (0, len(answer["findings"]))
    with open_library(site.library) as library:
        assert [(one.who, one.reason) for one in library.history()][-1] == ("Cid", "misread")


def test_a_check_that_takes_too_long_is_stopped(serve) -> None:
    """A table that would keep the server busy ends with one line, and nothing of it is kept."""
    site = serve(check_seconds=0.001)
    answer = site.client.post("/api/checks", params={"name": "t.csv"}, content=TYPED.read_bytes())
    assert answer.status_code == 400
    assert answer.json()["detail"].startswith("t.csv: too slow: it took more than 0.001 s")


def test_a_check_that_eats_memory_is_stopped(tmp_path: Path) -> None:
    """The memory of a check is limited where the system can do so; the message says what to do."""
    pytest.importorskip("resource")
    table = tmp_path / "wide.csv"
    table.write_text("Part,Ihold [A],Itrip [A]\n" + "A-050,0.5,1\n" * 300_000, encoding="utf-8")
    with pytest.raises(InputError, match="memory"):
        job_to_report(TableJob(table), Limits(max_bytes=250_000_000))
