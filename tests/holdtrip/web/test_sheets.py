"""Importing over HTTP, and what is shown of stored sheets."""

import hashlib
import io
import os
import time
from dataclasses import replace
from pathlib import Path

from PIL import Image

from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from holdtrip.web.incoming import Incoming, IncomingFile

SAMPLES = Path(__file__).parents[3] / "sample_tables"


def reading(part: str, hold_a: float) -> Reading:
    """A hold current of an invented sheet."""
    return Reading("a.pdf", "a" * 64, part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, hold_a,
                   Status.AGREED, Place(1, 0.0, 0.0, 9.0, 9.0), f"{hold_a}")


def finished(site) -> list[dict]:
    """All imports once none is under way."""
    for _ in range(600):
        jobs = site.client.get("/api/imports").json()
        if all(job["state"] in ("stored", "known", "failed") for job in jobs):
            return jobs
        time.sleep(0.1)
    raise AssertionError("an import hangs")


def test_dropped_files_are_read_and_kept(serve) -> None:
    """A new sheet is stored under the name it was sent with, a second time it is known, a broken one fails
    alone and says so by its own name."""
    site = serve(filled=False)
    pdf = (SAMPLES / "crumblemoor_crm.pdf").read_bytes()
    for name, content in (("Sent as.pdf", pdf), ("broken.pdf", b"%PDF-1.7 nothing"), ("again.pdf", pdf)):
        assert site.client.post("/api/sheets", params={"name": name}, content=content).status_code == 202
    jobs = {job["document"]: job for job in finished(site)}
    assert jobs["Sent as.pdf"]["state"] == "stored"
    assert jobs["Sent as.pdf"]["numbers"] > 0
    assert jobs["broken.pdf"]["state"] == "failed"
    assert jobs["broken.pdf"]["message"].startswith("broken.pdf")
    assert jobs["again.pdf"]["state"] in ("known", "stored")
    sheets = site.client.get("/api/sheets").json()
    assert [one["sheet"]["document"] for one in sheets["sheets"]] == ["Sent as.pdf"]
    assert sheets["sheets"][0]["has_copy"]
    assert [one["document"] for one in sheets["failures"]] == ["broken.pdf"]
    again = site.client.post("/api/sheets", params={"name": "third.pdf"}, content=pdf)
    assert again.status_code == 202
    assert finished(site)[-1]["state"] == "known"


def test_only_pdfs_are_taken(site) -> None:
    """What does not begin like a PDF is refused at once."""
    answer = site.client.post("/api/sheets?name=a.pdf", content=b"<html>")
    assert answer.status_code == 415
    assert "not a PDF" in answer.json()["detail"]


def test_a_name_is_no_path(serve, tmp_path: Path) -> None:
    """Of a name that climbs out of folders only the file's own name stays, and it writes nothing anywhere."""
    site = serve(filled=False)
    pdf = (SAMPLES / "crumblemoor_crm.pdf").read_bytes()
    name = f"../../{tmp_path.name}/evil.pdf"
    site.client.post("/api/sheets", params={"name": name}, content=pdf)
    assert finished(site)[0]["document"] == "evil.pdf"
    assert not list(tmp_path.rglob("evil*"))


def test_the_picture_has_the_size_the_places_are_told_in(site) -> None:
    """Two dots a point, so that an outline in points lies on its cell; no page beyond the last."""
    sha256 = site.sheet("quarrowick_qk.pdf")
    page = site.review("quarrowick_qk.pdf")["pages"][0]
    answer = site.client.get(f"/api/sheets/{sha256}/pages/1.png")
    width, height = Image.open(io.BytesIO(answer.content)).size
    assert abs(width - 2 * page["width"]) <= 1
    assert abs(height - 2 * page["height"]) <= 1
    assert "immutable" in answer.headers["cache-control"]
    assert site.client.get(f"/api/sheets/{sha256}/pages/99.png").status_code == 400


def test_outlines_lie_on_ink(site) -> None:
    """Every number stands on its page, and the picture has dark dots inside each outline."""
    review = site.review("quarrowick_qk.pdf")
    pages = {}
    for page in review["pages"]:
        answer = site.client.get(f"/api/sheets/{review['sheet']['sha256']}/pages/{page['page']}.png")
        pages[page["page"]] = Image.open(io.BytesIO(answer.content)).convert("L")
    for number in review["numbers"]:
        place = number["place"]
        box = tuple(round(2 * place[edge]) for edge in ("x0", "top", "x1", "bottom"))
        darkest, _ = pages[place["page"]].crop(box).getextrema()
        assert darkest < 128, number


def test_without_a_copy_there_are_numbers_and_no_pictures(site) -> None:
    """A library whose files are elsewhere is still reviewed; the picture says what to do."""
    sha256 = site.sheet("quarrowick_qk.pdf")
    (Path(site.library).with_suffix(".sheets") / f"{sha256}.pdf").unlink()
    review = site.review("quarrowick_qk.pdf")
    assert review["pages"] == []
    assert review["numbers"]
    missing = site.client.get(f"/api/sheets/{sha256}/pages/1.png")
    assert missing.status_code == 404
    assert "import the file again" in missing.json()["detail"]


def test_a_picture_has_the_dots_asked_for(site) -> None:
    """Larger on the screen, the page is drawn with more dots, never more than six for each point."""
    sha256 = site.sheet("quarrowick_qk.pdf")
    page = site.review("quarrowick_qk.pdf")["pages"][0]
    answer = site.client.get(f"/api/sheets/{sha256}/pages/1.png", params={"dots": 4})
    width, _ = Image.open(io.BytesIO(answer.content)).size
    assert abs(width - 4 * page["width"]) <= 1
    assert site.client.get(f"/api/sheets/{sha256}/pages/1.png", params={"dots": 7}).status_code == 422


def test_what_waits_survives_a_restart(serve, tmp_path: Path) -> None:
    """Files that nobody has read when the server stops are read by the next one, under the name they were
    sent with; nothing is left of them afterwards."""
    files = library_to_files(str(tmp_path / "team0.sqlite"))
    incoming = Incoming(files.folder / "incoming")
    path = incoming.folder / "0123.pdf"
    path.write_bytes((SAMPLES / "crumblemoor_crm.pdf").read_bytes())
    incoming.note(path, "Sent before.pdf", hashlib.sha256(path.read_bytes()).hexdigest(), "Ann")
    site = serve(filled=False)
    assert [(job["document"], job["state"]) for job in finished(site)] == [("Sent before.pdf", "stored")]
    assert not path.exists()
    assert incoming.kept() == ()


def test_a_failed_file_is_kept_and_tried_again(serve) -> None:
    """What failed says why, can be tried again and removed; what is stored can not."""
    site = serve(filled=False)
    site.client.post("/api/sheets", params={"name": "broken.pdf"}, content=b"%PDF-1.7 nothing")
    job = finished(site)[0]
    assert (job["state"], job["can_retry"]) == ("failed", True)
    assert site.client.post(f"/api/imports/{job['job_id']}/retry", json={}).status_code == 200
    again = finished(site)[0]
    assert (again["state"], again["message"]) == ("failed", job["message"])
    assert site.client.delete(f"/api/imports/{job['job_id']}").status_code == 204
    assert site.client.get("/api/imports").json() == []
    assert site.client.post(f"/api/imports/{job['job_id']}/retry", json={}).status_code == 400


def test_only_what_is_read_says_so(serve) -> None:
    """With many files in line no more are "being read" than there are readers; the others wait."""
    site = serve(filled=False)
    names = ("crumblemoor_crm", "tansyholm_tsy", "thimblecrag_tcg", "ivorythorn_ivt", "lanhuyu_lhy")
    for name in names:
        content = (SAMPLES / f"{name}.pdf").read_bytes()
        site.client.post("/api/sheets", params={"name": f"{name}.pdf"}, content=content)
    most = 0
    while True:
        states = [job["state"] for job in site.client.get("/api/imports").json()]
        most = max(most, states.count("reading"))
        if not {"reading", "waiting"} & set(states):
            break
        time.sleep(0.05)
    assert 1 <= most <= (os.cpu_count() or 1) + 1  # one may be on its way into the library
    assert states == ["stored"] * len(names)


def test_a_sheet_on_its_way_into_the_library_can_be_asked_for(serve, monkeypatch) -> None:
    """Asked in the moment in which a file is let go of and its job is not settled yet, the list answers."""
    site, told = serve(filled=False), []
    let_go = Incoming.remove

    def asked_meanwhile(incoming: Incoming, kept: IncomingFile) -> None:
        told.append(site.client.get("/api/imports").json())
        let_go(incoming, kept)

    monkeypatch.setattr(Incoming, "remove", asked_meanwhile)
    content = (SAMPLES / "crumblemoor_crm.pdf").read_bytes()
    site.client.post("/api/sheets", params={"name": "crumblemoor_crm.pdf"}, content=content)
    assert finished(site)[0]["state"] == "stored"
    assert [[job["state"] for job in jobs] for jobs in told] == [["reading"]]


def test_sheets_are_listed_by_what_people_know(site) -> None:
    """Series, parts, share decided; a search by part number leaves only the sheets that have it; a series
    code is no revision."""
    listed = {one["sheet"]["document"]: one for one in site.client.get("/api/sheets").json()["sheets"]}
    one = listed["quarrowick_qk.pdf"]
    assert one["series"] == "QK12"
    assert one["decided"] + one["undecided"] == one["sheet"]["readings"]
    found = site.client.get("/api/sheets", params={"part": "qk12 036"}).json()["sheets"]
    assert [one["sheet"]["document"] for one in found] == ["quarrowick_qk.pdf"]
    readings = (reading("ABX-050", 0.5), reading("ABX-110", 1.1))
    with open_library(site.library) as library:
        for name, printed in (("a", "ABX"), ("b", "Rev. ABX"), ("c", "Revised: 10/22")):
            own = tuple(replace(one, document=f"{name}.pdf", sha256=name * 64) for one in readings)
            sheet = SheetReading(f"{name}.pdf", name * 64, 1, (1,), printed, own, (), ())
            library.import_sheet(sheet, "Ann")
    told = site.client.get("/api/sheets", params={"part": "ABX"}).json()["sheets"]
    shown = {one["sheet"]["document"]: (one["series"], one["revision"]) for one in told}
    assert shown == {"a.pdf": ("ABX", ""), "b.pdf": ("ABX", ""), "c.pdf": ("ABX", "Revised: 10/22")}


def test_what_was_not_read_is_told_with_its_reason(site) -> None:
    """Every printed number without a reading stands at its place with a reason in words: the dimensions of
    the first page among them; none of them lies where a number was read."""
    sheet = site.sheet("quarrowick_qk.pdf")
    found = site.client.get(f"/api/sheets/{sheet}/not-read").json()
    assert {"a dimension"} <= {one["reason"] for one in found}
    assert any(one["raw"] == "3.00" and one["place"]["page"] == 1 for one in found)
    read = {(one["place"]["page"], one["place"]["x0"], one["place"]["top"])
            for one in site.review("quarrowick_qk.pdf")["numbers"]}
    assert not read & {(one["place"]["page"], one["place"]["x0"], one["place"]["top"]) for one in found}
    assert site.client.get(f"/api/sheets/{'a' * 64}/not-read").json() == []


def test_the_page_that_is_read_is_told(serve) -> None:
    """While a long sheet is read its page and their number stand in the list of imports; afterwards nothing
    is left of it."""
    site = serve(filled=False)
    data = (SAMPLES / "wendelthwaite_wdt.pdf").read_bytes()
    site.client.post("/api/sheets", params={"name": "w.pdf"}, content=data)
    told: set[tuple[int, int]] = set()
    for _ in range(2000):
        (job,) = site.client.get("/api/imports").json()
        if job["state"] in ("stored", "failed"):
            break
        if job["pages"]:
            told.add((job["page"], job["pages"]))
        time.sleep(0.02)
    assert job["state"] == "stored"
    assert told <= {(1, 3), (2, 3), (3, 3)}
    assert (3, 3) in told
    assert list(Path(site.library).with_suffix(".sheets").glob("**/*.page")) == []
