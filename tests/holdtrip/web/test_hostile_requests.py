"""Requests that mean harm: one line and 4xx, nothing large comes back, and the server goes on."""

from __future__ import annotations

import json
import time
from pathlib import Path

import pytest

SHEET = "quarrowick_qk.pdf"
DEEP = "[" * 100_000 + "]" * 100_000
BODIES = [
    '{"action": "correct", "part_number": "X", "number_id": 1, "value": NaN}',
    '{"action": "correct", "part_number": "X", "number_id": 1, "value": 1e400}',
    '{"action": "correct", "part_number": "X", "number_id": 1, "value": -Infinity}',
    '{"action": "accept", "part_number": "\\ud800"}',
    '{"action": "accept", "part_number": "X", "who": "\\udfff\\u202e"}',
    '{"action": "accept", "part_number": ' + DEEP + "}",
    DEEP,
    '{"action": "' + "a" * 500_000 + '"}',
    '{"action": "accept", "part_number": "X", "number_id": ' + "9" * 5000 + "}",
    "\x00", "", "null", "[]", '"', "{",
]


@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_a_hostile_body_is_one_short_line(site, body: str) -> None:
    """4xx, JSON, less than 3 kB, no line break, whatever was sent."""
    answer = site.client.post(f"/api/sheets/{site.sheet(SHEET)}/decisions", content=body.encode(),
                              headers={"Content-Type": "application/json"})
    assert 400 <= answer.status_code < 500
    assert len(answer.content) < 3000
    detail = json.loads(answer.content)["detail"]
    assert isinstance(detail, str)
    assert "\n" not in detail


def test_a_hostile_name_is_stored_as_safe_text(site) -> None:
    """A name like a path, with bidirectional and control characters: its last component in safe letters."""
    sheet = Path(__file__).parents[3] / "sample_tables" / "thimblecrag_tcg.pdf"
    name = "../../etc/\u202egnp.fdp\x07 <b>.pdf"
    job = site.client.post("/api/sheets", params={"name": name}, content=sheet.read_bytes()).json()
    assert job["document"] == "<U+202E>gnp.fdp<U+0007> <b>.pdf"
    for _ in range(600):
        jobs = {one["job_id"]: one for one in site.client.get("/api/imports").json()}
        if jobs[job["job_id"]]["state"] in ("stored", "failed"):
            break
        time.sleep(0.1)
    assert jobs[job["job_id"]]["state"] == "stored"
    named = {one["sheet"]["document"] for one in site.client.get("/api/sheets").json()["sheets"]}
    assert job["document"] in named


def test_a_library_that_fails_once_stops_no_later_import(site, monkeypatch: pytest.MonkeyPatch) -> None:
    """While the library is busy a file fails with the reason; the next one is read."""
    from extract.errors import InputError
    from holdtrip.library.store import Library

    real, calls = Library.stored_hashes, []

    def busy(library: Library) -> frozenset[str]:
        calls.append(1)
        if len(calls) == 1:
            raise InputError("library", "busy")
        return real(library)

    monkeypatch.setattr(Library, "stored_hashes", busy)
    samples = Path(__file__).parents[3] / "sample_tables"
    states = []
    for name in ("thimblecrag_tcg.pdf", "jorrowind_jw.pdf"):
        data = (samples / name).read_bytes()
        job = site.client.post("/api/sheets", params={"name": name}, content=data).json()
        for _ in range(600):
            jobs = {one["job_id"]: one for one in site.client.get("/api/imports").json()}
            if jobs[job["job_id"]]["state"] in ("stored", "failed"):
                break
            time.sleep(0.1)
        states.append((jobs[job["job_id"]]["state"], jobs[job["job_id"]]["message"]))
    assert states == [("failed", "library: busy"), ("stored", "new")]
