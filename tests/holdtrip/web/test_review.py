"""Decisions over HTTP are those of the commands: reasons needed, conflicts told, everything kept."""

import pytest

from holdtrip.library.store import open_library

SHEET = "rushingdell_rsd.pdf"


def decide(site, **sent: object):
    """Send a decision on the disputed sheet."""
    return site.client.post(f"/api/sheets/{site.sheet(SHEET)}/decisions", json=sent)


def disputed(site) -> dict:
    """The first number of the list."""
    return site.review(SHEET)["numbers"][0]


def test_disputed_numbers_come_first(site) -> None:
    """The order is disputed, read once, agreed; a dispute tells both readings or its reason."""
    numbers = site.review(SHEET)["numbers"]
    order = ["disputed", "single", "agreed"]
    ranks = [order.index(one["status"]) for one in numbers]
    assert ranks == sorted(ranks)
    assert ranks[0] == 0
    assert all(one["notes"] for one in numbers if one["status"] == "disputed")


def test_a_correction_stands_beside_the_printed_number(site) -> None:
    """It needs a reason, is signed by the name sent, and the library gives the corrected value out."""
    one = disputed(site)
    about = {"action": "correct", "part_number": one["part_number"], "number_id": one["number_id"]}
    assert decide(site, **about, value=1.25, sure=True).status_code == 400
    assert decide(site, **about, reason="vendor's letter").status_code == 400
    answer = decide(site, **about, value=1.25, sure=True, reason="vendor's letter", who="Ben").json()
    row = next(row for row in answer["numbers"] if row["number_id"] == one["number_id"])
    assert row["state"] == "corrected"
    assert row["raw"] == one["raw"]
    assert "by Ben" in row["said"]
    assert "vendor's letter" in row["said"]
    with open_library(site.library) as library:
        part = library.part(one["part_number"])[0]
        assert 1.25 in [reading.value for reading in part.readings]


def test_an_odd_correction_needs_to_be_meant(site) -> None:
    """A value far from the printed one, or one that breaks a rule, is refused with what is odd until `sure`;
    it is read with its unit, a comma is a decimal sign, and what it means is told before."""
    volts = next(one for one in site.review(SHEET)["numbers"] if one["quantity"] == "max. voltage")
    about = {"action": "correct", "part_number": volts["part_number"], "number_id": volts["number_id"]}
    odd = decide(site, **about, text="300000", reason="x")
    assert odd.status_code == 428
    assert "times larger than the" in odd.json()["detail"]
    assert decide(site, **about, text="3 A", reason="x").status_code == 400
    hold = next(one for one in site.review(SHEET)["numbers"] if one["quantity"] == "hold current")
    address = f"/api/sheets/{site.sheet(SHEET)}/judged"
    found = site.client.get(address, params={"number_id": hold["number_id"], "text": "135,5", "unit": "mA"})
    assert found.json()["value"] == 0.1355
    assert {"A", "mA"} <= set(hold["units"])
    assert decide(site, **about, text="300000", reason="x", sure=True).status_code == 200


def test_one_step_decides_numbers_of_several_parts(site) -> None:
    """Numbers of two parts are accepted by one request; a part somebody changed meanwhile is left, and
    told."""
    numbers = site.review(SHEET)["numbers"]
    by_part = {one["part_number"]: one["number_id"] for one in numbers}
    (one, first), (other, second) = list(by_part.items())[:2]
    parts = [{"part_number": one, "number_ids": [first]},
             {"part_number": other, "number_ids": [second], "seen_version": 999_999}]
    address = f"/api/sheets/{site.sheet(SHEET)}/steps"
    answer = site.client.post(address, json={"action": "accept", "parts": parts, "reason": "same row"}).json()
    assert answer["decided"] == [first]
    assert "changed since you looked" in answer["refused"]
    parts[1].pop("seen_version")
    answer = site.client.post(address, json={"action": "accept", "parts": parts, "reason": "same row"}).json()
    assert answer["refused"] == ""
    told = {row["number_id"]: row for row in site.review(SHEET)["numbers"]}
    assert {told[first]["state"], told[second]["state"]} == {"accepted"}
    assert told[second]["because"] == "same row"
    assert site.client.post(address, json={"action": "reject", "parts": parts}).status_code == 400


def test_undo_takes_back_and_keeps_the_story(site) -> None:
    """After accepting and reopening the number is as it was read; both steps stand in the history."""
    one = disputed(site)
    about = {"part_number": one["part_number"], "number_id": one["number_id"]}
    assert decide(site, action="accept", **about).json()["decided"] == [one["number_id"]]
    assert decide(site, action="reopen", reason="undone", **about).status_code == 200
    assert disputed(site)["state"] == "disputed"
    asked = {"number": one["part_number"], "sheet": site.sheet(SHEET)}
    story = site.client.get("/api/parts/one", params=asked)
    assert [event["action"] for event in story.json()["events"]] == ["import", "accept", "reopen"]


def test_a_part_is_accepted_but_for_its_disputed_numbers(site) -> None:
    """Accepting a part leaves each disputed number to a look of its own."""
    one = disputed(site)
    answer = decide(site, action="accept", part_number=one["part_number"]).json()
    assert one["number_id"] in answer["left"]
    states = {row["state"] for row in answer["numbers"] if row["status"] != "disputed"}
    assert states <= {"accepted_in_bulk", "single"}


def test_a_whole_part_is_taken_back_at_once(site) -> None:
    """One request undoes what accepting a part did, in one step of the history; a reason is needed."""
    part = disputed(site)["part_number"]
    before = {row["number_id"]: row["state"] for row in site.review(SHEET)["numbers"]}
    done = decide(site, action="accept", part_number=part).json()
    assert len(done["decided"]) > 3
    address = f"/api/sheets/{site.sheet(SHEET)}/undo"
    seen = next(row["version"] for row in done["parts"] if row["part_number"] == part)
    about = {"part_number": part, "number_ids": done["decided"], "seen_version": seen}
    assert site.client.post(address, json={"parts": [about], "reason": ""}).status_code == 400
    answer = site.client.post(address, json={"parts": [about], "reason": "undone"}).json()
    assert sorted(answer["decided"]) == sorted(done["decided"])
    assert {row["number_id"]: row["state"] for row in site.review(SHEET)["numbers"]} == before
    assert site.client.post(address, json={"parts": [about], "reason": "again"}).status_code == 409
    story = site.client.get("/api/parts/one", params={"number": part, "sheet": site.sheet(SHEET)}).json()
    assert [event["action"] for event in story["events"]] == ["import", "accept in bulk", "reopen"]


def test_an_outdated_view_decides_nothing(site) -> None:
    """Whoever decides on an older version is told who changed the part, and nothing changes."""
    one = disputed(site)
    about = {"part_number": one["part_number"], "number_id": one["number_id"]}
    parts = site.review(SHEET)["parts"]
    seen = next(row["version"] for row in parts if row["part_number"] == one["part_number"])
    decide(site, action="reject", reason="not in the sheet", who="Ben", seen_version=seen, **about)
    late = decide(site, action="accept", who="Ann", seen_version=seen, **about)
    assert late.status_code == 409
    assert "by Ben" in late.json()["detail"]
    assert disputed(site)["state"] == "rejected"


@pytest.mark.parametrize(
    "sent", [{"action": "burn", "part_number": "X"}, {"action": "accept"},
             {"action": "accept", "part_number": "X", "number_id": 2**63},
             {"action": "accept", "part_number": "X\x00"},
             {"action": "correct", "part_number": "X", "value": "much"}])
def test_nonsense_is_refused(site, sent: dict[str, object]) -> None:
    """What the interface does not describe is refused by it, never by a crash."""
    assert decide(site, **sent).status_code == 422


def test_an_empty_signature_is_refused(site) -> None:
    """Whoever empties the name signs with nobody's, not with that of the person who started the page; a
    script that sends none is signed by that person."""
    one = disputed(site)
    about = {"action": "accept", "part_number": one["part_number"], "number_id": one["number_id"]}
    refused = decide(site, **about, who="  ")
    assert refused.status_code == 400
    assert "nobody's name" in refused.json()["detail"]
    assert disputed(site)["state"] == "disputed"
    assert decide(site, **about).json()["numbers"]
    assert disputed(site)["decided_by"] == "Tester"
