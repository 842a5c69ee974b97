"""One answer for a whole question: given by one key, outlined before, kept with who and why, taken back."""

import re
import time

from playwright.sync_api import Page, expect

from holdtrip.library.store import open_library
from tests.holdtrip.web.browsing import ROOT, keep, violations

SHEET = "quarrowick_qk.pdf"
UNIT = {"code": "unit", "reach": "trip_current"}


def imported(site, name: str) -> None:
    """Send a sample as the page does, and wait until it is stored."""
    data = (ROOT / "sample_tables" / name).read_bytes()
    job = site.client.post("/api/sheets", params={"name": name}, content=data).json()["job_id"]
    for _ in range(600):
        states = {one["job_id"]: one["state"] for one in site.client.get("/api/imports").json()}
        if states[job] in ("stored", "failed"):
            break
        time.sleep(0.1)
    assert states[job] == "stored"


def trips(site) -> list[dict]:
    """The trip currents that count, as the page is told them."""
    return [one for one in site.review(SHEET)["numbers"]
            if one["quantity"] == "trip current" and one["state"] not in ("replaced", "taken_back")]


def test_a_question_tells_what_each_answer_makes(asking_site) -> None:
    """The numbered cause of the sheet with its possible answers, each tried on the first number."""
    (cause,) = asking_site.review(SHEET)["causes"]
    assert (cause["number"], cause["code"], cause["sort"]) == (1, "unit", "answers")
    assert cause["title"] == "In which unit are these numbers printed?"
    assert len(cause["number_ids"]) == len(trips(asking_site)) > 5
    makes = {one["answer"]: (one["words"], one["makes"]) for one in cause["answers"]}
    assert makes["leave-out"][1] == "left out, as if not read"
    words, first = makes["unit:mA"]
    assert words == "They are in mA"
    raw, value = re.fullmatch(r"“(.+)” is trip current at 23 °C ([\d.]+) A, read once", first).groups()
    assert float(value) == float(raw)


def test_one_answer_settles_all_its_numbers(asking_site) -> None:
    """Each number is read in mA and counts as read once; the doubted ones stand in the history with who and
    why, and a comparison uses the new ones only."""
    sheet, before = asking_site.sheet(SHEET), {one["number_id"]: one for one in trips(asking_site)}
    address = f"/api/sheets/{sheet}/answers"
    sent = UNIT | {"answer": "unit:mA", "because": "page 2 says so", "who": "Ben"}
    after = asking_site.client.post(address, json=sent).json()
    assert after["causes"][0]["number_ids"] == sorted(before)
    now = trips(asking_site)
    assert [one["value"] for one in now] == [float(f"{one['value'] / 1000:.9g}") for one in before.values()]
    assert {one["status"] for one in now} == {"single"}
    gone = [one for one in after["numbers"] if one["state"] == "replaced"]
    assert {one["number_id"] for one in gone} == set(before)
    assert {one["because"] for one in gone} == {
        "answer to “In which unit are these numbers printed?” (trip current): They are in mA. page 2 says so"}
    part = gone[0]["part_number"]
    one = {"number": part, "sheet": sheet}
    events = asking_site.client.get("/api/parts/one", params=one).json()["events"]
    assert (events[-1]["action"], events[-1]["who"]) == ("answer", "Ben")
    again = asking_site.client.post(address, json=sent)
    assert again.status_code == 409


def test_an_answer_is_remembered_until_it_is_taken_back(asking_site) -> None:
    """The library remembers it as `holdtrip answer` would, with who and why; taking it back forgets it."""
    sheet, first = asking_site.sheet(SHEET), trips(asking_site)[0]["number_id"]
    address = f"/api/sheets/{sheet}/answers"
    sent = UNIT | {"answer": "unit:mA", "because": "page 2 says so", "who": "Ben"}
    asking_site.client.post(address, json=sent)
    with open_library(asking_site.library) as library:
        said = [one.remembered.answer for one in library.answers()]
    assert [(one.sha256, one.document, one.code, one.answer, one.who, one.because) for one in said] == [
        (sheet, SHEET, "unit", "unit:mA", "Ben", "page 2 says so")]
    asking_site.client.post(f"{address}/take-back", json={"number_ids": [first], "reason": "wrong"})
    with open_library(asking_site.library) as library:
        assert library.answers() == ()


def test_a_second_sheet_of_the_house_asks_nothing(serve) -> None:
    """The question of a sheet in words that nobody knows is answered on the page; the next sheet of the same
    maker, imported on the page, is read so and asks nothing."""
    site = serve(filled=False)
    imported(site, "osvikar_ovk.pdf")
    (asked,) = site.review("osvikar_ovk.pdf")["causes"]
    said = {"code": asked["code"], "reach": asked["reach"], "answer": "right"}
    site.client.post(f"/api/sheets/{site.sheet('osvikar_ovk.pdf')}/answers", json=said)
    with open_library(site.library) as library:
        for _ in range(600):  # the copy is read again for the maker's name while nobody waits
            if {one.remembered.house for one in library.answers()} == {"Osvikar Devices"}:
                break
            time.sleep(0.1)
        (remembered,) = library.answers()
    assert remembered.remembered.house == "Osvikar Devices"
    imported(site, "osvikar_ovr.pdf")
    second = site.review("osvikar_ovr.pdf")
    assert second["causes"] == []
    assert any("your answer" in note for one in second["numbers"] for note in one["notes"])


def test_answers_for_single_columns_are_remembered_too(serve) -> None:
    """Asked column by column on the page, each answer holds for the next sheet of the maker: the words over
    its column are those of the sheet as the answers before left it."""
    site = serve(filled=False)
    imported(site, "osvikar_ovk.pdf")
    address = f"/api/sheets/{site.sheet('osvikar_ovk.pdf')}/answers"
    first = site.review("osvikar_ovk.pdf")
    (asked,) = first["causes"]
    said = {"code": asked["code"], "reach": asked["reach"], "answer": "column-by-column"}
    assert site.client.post(address, json=said).status_code == 200
    columns = [one for one in site.review("osvikar_ovk.pdf")["causes"] if one["code"] == "column"]
    assert len({one["about"] for one in columns}) == len(columns) > 4
    for one in columns:  # each answer tells what else it would make of the number
        makes = [answer["makes"] for answer in one["answers"]]
        assert len(set(makes)) == len(makes), makes
    for one in columns:
        sent = {"code": one["code"], "reach": one["reach"], "answer": "right"}
        assert site.client.post(address, json=sent).status_code == 200
    now = [one for one in site.review("osvikar_ovk.pdf")["numbers"] if one["state"] != "replaced"]
    cells = [(one["part_number"], one["quantity"], *sorted(one["place"].items())) for one in now]
    assert len(cells) == len(set(cells)) == len(first["numbers"])  # nothing comes twice
    with open_library(site.library) as library:
        for _ in range(1200):  # the copy is read again while nobody waits
            houses = [one.remembered.house for one in library.answers()]
            if houses == ["Osvikar Devices"] * (1 + len(columns)):
                break
            time.sleep(0.1)
        assert houses == ["Osvikar Devices"] * (1 + len(columns))
        assert all(one.remembered.words for one in library.answers())
    imported(site, "osvikar_ovr.pdf")
    assert site.review("osvikar_ovr.pdf")["causes"] == []


def test_an_answer_that_the_checks_object_to_is_a_question_again(asking_site) -> None:
    """"Right as read" makes every trip current a thousand times too large: the checks dispute them anew."""
    sheet = asking_site.sheet(SHEET)
    after = asking_site.client.post(f"/api/sheets/{sheet}/answers", json=UNIT | {"answer": "right"}).json()
    open_states = {one["state"] for one in trips(asking_site)}
    assert open_states == {"disputed"}
    assert "check" in {cause["code"] for cause in after["causes"]}


def test_an_answer_is_taken_back_whole(asking_site) -> None:
    """A reason is needed; then every number of the question is open again as it was read."""
    sheet, before = asking_site.sheet(SHEET), trips(asking_site)
    address = f"/api/sheets/{sheet}/answers"
    asking_site.client.post(address, json=UNIT | {"answer": "leave-out"})
    assert trips(asking_site) == []
    back = {"number_ids": [before[0]["number_id"]], "reason": " "}
    assert asking_site.client.post(f"{address}/take-back", json=back).status_code == 400
    asking_site.client.post(f"{address}/take-back", json=back | {"reason": "wrong key"})
    assert [(one["number_id"], one["state"]) for one in trips(asking_site)] == [
        (one["number_id"], "disputed") for one in before]
    assert asking_site.client.post(address, json=UNIT | {"answer": "unit:furlong"}).status_code == 400
    assert asking_site.client.post(address, json=UNIT | {"code": "x", "answer": "right"}).status_code == 409


def test_a_question_is_answered_by_one_key(asking_site, page: Page) -> None:
    """Its reach is outlined on the page before it is taken; a number of the keyboard answers it; it stands
    among the decisions with who and why, and undo takes it back after a reload."""
    page.goto(f"{asking_site.address}/review?sheet={asking_site.sheet(SHEET)}")
    expect(page.locator("#answers button").first).to_be_in_viewport()
    count = len(trips(asking_site))
    expect(page.locator(".cell.covered, .cell.chosen")).to_have_count(count)
    expect(page.locator("#answers")).to_contain_text(f"One answer for all {count} outlined")
    expect(page.locator("#which")).to_contain_text("Question 1 of 1 ·")
    keep(page, "review-answers")
    assert violations(page) == []
    names = page.locator("#answers strong").all_inner_texts()
    page.keyboard.press(str(names.index("They are in mA") + 1))
    expect(page.locator("#said")).to_contain_text("settled by one answer")
    expect(page.locator("#progress-says")).to_contain_text("no question open")
    assert {one["status"] for one in trips(asking_site)} == {"single"}
    page.reload()
    page.locator("#tab-steps").click()
    expect(page.locator("#steps li")).to_contain_text("Tester")
    expect(page.locator("#steps li")).to_contain_text("They are in mA")
    keep(page, "review-answered")
    page.keyboard.press("u")
    expect(page.locator("#said")).to_contain_text("Taken back")
    expect(page.locator("#progress-says")).to_contain_text("1 question open")
    assert {one["state"] for one in trips(asking_site)} == {"disputed"}
    expect(page.locator("#steps li")).to_contain_text("Nothing has been decided")
