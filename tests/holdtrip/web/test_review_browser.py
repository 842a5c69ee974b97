"""Reviewing in a real browser, on sheets as long as real ones: every decision beside its picture, by key."""

import re
import time
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from extract.schema import Status
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from tests.holdtrip.web.browsing import HEIGHT_OF, WIDTHS, keep, overlaps, violations
from tests.holdtrip.web.conftest import PLAIN, read

SHEET = "wendelthwaite_wdt.pdf"
ODD = "resistance R1max of WDT1206P025-33RX"


def opened(site, page: Page, document: str = SHEET) -> None:
    """The review of a sheet, once its pictures and boxes have come."""
    page.goto(f"{site.address}/review?sheet={site.sheet(document)}")
    expect(page.locator("#proof svg").first).to_be_visible()


def states(site) -> dict[int, str]:
    """Number → its state, as the library has it."""
    return {one["number_id"]: one["state"] for one in site.review(SHEET)["numbers"]}


def question(page: Page, title: str) -> None:
    """Open a question by its title."""
    page.locator("#questions button").filter(has_text=title).click()


@pytest.mark.parametrize("width", WIDTHS)
def test_no_text_is_printed_over_another(long_site, browser: Browser, width: int) -> None:
    """Part numbers of 16 letters stand beside nothing they cover, in every list, at every width; nothing lies
    outside the window, and nothing is wrong by axe-core."""
    page = browser.new_page(viewport={"width": width, "height": HEIGHT_OF[width]})
    opened(long_site, page)
    for tab, rows in (("numbers", "#numbers tbody tr"), ("questions", "#questions li")):
        page.locator(f"#tab-{tab}").click()
        expect(page.locator(rows).nth(12)).to_be_attached()
        assert overlaps(page, rows) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert violations(page) == []
    page.close()


@pytest.mark.parametrize("width", WIDTHS)
def test_picture_and_buttons_are_on_the_screen_together(long_site, browser: Browser, width: int) -> None:
    """On a phone and a tablet too: the page with the chosen cell, the value and the buttons, without
    scrolling, and while the question is scrolled."""
    page = browser.new_page(viewport={"width": width, "height": HEIGHT_OF[width]})
    opened(long_site, page)
    for name in ("light", "dark"):
        page.emulate_media(color_scheme=name)
        keep(page, f"review-{width}-{name}")
    for _ in range(2):
        for what in ("#sight", ".cell.chosen", "#accept", "#reject", "#next"):
            expect(page.locator(what).first).to_be_in_viewport(ratio=0.25)
        page.mouse.wheel(0, 400)
    page.close()


def test_buttons_stand_still(long_site, page: Page) -> None:
    """From question to question and from scope to scope no button moves, so that a pointer can stay."""
    opened(long_site, page)
    places = set()
    for _ in range(18):
        page.keyboard.press("n")
        places.add(str([page.locator(f"#{name}").bounding_box() for name in ("accept", "reject", "next")]))
    for _ in range(3):
        page.keyboard.press("s")
        places.add(str([page.locator(f"#{name}").bounding_box() for name in ("accept", "reject", "next")]))
    assert len(places) == 1


def test_keys_work_wherever_the_focus_is(long_site, page: Page) -> None:
    """After a click on the page and on "only what is still to decide" keys go on working."""
    opened(long_site, page)
    page.locator("#tab-numbers").click()
    page.locator("#sight .drawing").click(position={"x": 5, "y": 5})
    which = page.locator("#numbers tr[aria-current]").get_attribute("id")
    page.keyboard.press("j")
    assert page.locator("#numbers tr[aria-current]").get_attribute("id") != which
    page.locator("#todo-only").check()
    which = page.locator("#numbers tr[aria-current]").get_attribute("id")
    page.keyboard.press("j")
    assert page.locator("#numbers tr[aria-current]").get_attribute("id") != which
    page.locator("#keys").uncheck()
    which = page.locator("#numbers tr[aria-current]").get_attribute("id")
    page.keyboard.press("j")
    assert page.locator("#numbers tr[aria-current]").get_attribute("id") == which


def test_a_contradiction_shows_both_pictures(long_site, page: Page) -> None:
    """Page 1 beside page 2, each cell under its heading and beside its part, what differs marked, reasons in
    plain words; one key takes one and rejects the other."""
    opened(long_site, page)
    question(page, "30 V")
    figures = page.locator("#proof figure")
    expect(figures).to_have_count(2)
    expect(figures.nth(0)).to_contain_text("page 1")
    expect(figures.nth(1)).to_contain_text("page 2")
    for index in range(2):
        expect(figures.nth(index).locator("svg.heading")).to_be_visible()
        expect(figures.nth(index).locator("svg.label")).to_be_visible()
    assert page.locator("#proof mark").all_inner_texts() == ["30", "24"]
    expect(page.locator("#why")).to_contain_text("The sheet prints different values for this")
    page.keyboard.press("a")
    expect(page.locator("#said")).to_contain_text("take one of them")
    before = page.locator("#what").inner_text()
    page.keyboard.press("2")
    expect(page.locator("#said")).to_contain_text("1 number accepted, 1 competing value rejected")
    expect(page.locator("#what")).not_to_have_text(before)
    assert sorted(state for state in states(long_site).values() if state in ("accepted", "rejected")) == [
        "accepted", "rejected"]


def test_selection_by_row_column_and_range(long_site, page: Page) -> None:
    """`s` widens the decision from the number to its row and its column; Shift takes a range; what it covers
    is outlined and counted before it is taken."""
    opened(long_site, page)
    page.locator("#tabs button").nth(1).click()
    cell = page.locator(".cell[data-state=agreed]").nth(30)
    cell.click()
    for name, least in {"row": 6, "column": 35}.items():
        page.keyboard.press("s")
        expect(page.locator("#scope")).to_have_value(name)
        count = page.locator(".cell.covered, .cell.chosen").count()
        assert count >= least
        expect(page.locator("#scope-says")).to_contain_text("agreed")
    keep(page, "review-column")
    expect(page.locator("#scope-says")).to_contain_text("Accepted in bulk")
    page.keyboard.press("a")
    expect(page.locator("#said")).to_contain_text("accepted in bulk")
    assert {"disputed", "accepted_in_bulk"} <= set(states(long_site).values())
    page.keyboard.press("u")
    expect(page.locator("#progress")).to_contain_text(re.compile("\\b0 of \\d+ numbers decided"))
    cell.click()
    page.keyboard.press("Escape")
    page.locator("#tab-numbers").click()
    for _ in range(4):
        page.keyboard.press("J")
    expect(page.locator("#scope-says")).to_contain_text("5 numbers")
    expect(page.locator("#numbers tr.covered")).to_have_count(5)


def test_zoom_keeps_the_cell_in_view(long_site, page: Page) -> None:
    """Larger, smaller, fit width, fit page, ctrl and wheel: the chosen cell stays in the window, its outline
    as thick as before, the picture never coarser than the screen; dragging moves the page."""
    opened(long_site, page)
    question(page, ODD)
    chosen = page.locator(".cell.chosen")
    for key in ["+"] * 6 + ["-"] * 9 + ["+"] * 4 + ["0"]:
        page.keyboard.press(key)
        expect(chosen).to_be_in_viewport()
        assert chosen.evaluate("one => getComputedStyle(one).outlineWidth") == "2px"
        page.wait_for_function("""() => { const image = document.querySelector('.drawing img');
            return image.complete && image.naturalWidth >= 0.94 * Math.min(image.clientWidth, 3500); }""")
    page.get_by_role("button", name="Page", exact=True).click()
    expect(chosen).to_be_in_viewport()
    page.keyboard.press("+")
    page.keyboard.press("+")
    box = chosen.bounding_box()
    page.mouse.move(box["x"] + 3, box["y"] + 3)
    page.keyboard.down("Control")
    page.mouse.wheel(0, -200)
    page.keyboard.up("Control")
    expect(chosen).to_be_in_viewport()
    before = page.evaluate("document.querySelector('#sight').scrollTop")
    sight = page.locator("#sight").bounding_box()
    page.mouse.move(sight["x"] + 300, sight["y"] + 300)
    page.mouse.down()
    page.mouse.move(sight["x"] + 300, sight["y"] + 240, steps=4)
    page.mouse.up()
    assert page.evaluate("document.querySelector('#sight').scrollTop") != before


def test_a_band_runs_along_row_and_column(long_site, page: Page) -> None:
    """On the page the row's name and the column's heading are tied to the chosen cell by a band."""
    opened(long_site, page)
    row, column = page.locator(".band-row").bounding_box(), page.locator(".band-column").bounding_box()
    cell = page.locator(".cell.chosen").bounding_box()
    assert row["x"] < cell["x"] - 60
    assert row["y"] <= cell["y"] <= row["y"] + row["height"]
    assert column["y"] < cell["y"] - 20
    assert column["x"] <= cell["x"] <= column["x"] + column["width"]


def test_an_odd_correction_is_asked_about(long_site, page: Page) -> None:
    """300000 V is not kept before somebody says it is so; a comma and mA are understood and shown in A; the
    form covers neither the page nor the cell."""
    opened(long_site, page)
    question(page, "30 V")
    page.keyboard.press("c")
    page.keyboard.type("300000")
    expect(page.locator("#fix-means")).to_contain_text("300000 V, odd")
    page.keyboard.press("Enter")
    expect(page.locator("#fix-refused")).to_contain_text("Say why")
    page.locator("#reason").fill("x")
    page.keyboard.press("Enter")
    expect(page.locator("#fix-refused")).to_contain_text("10,000 times larger than the 30 V that is printed")
    expect(page.locator("#fix-refused p").first).to_contain_text("If it is really so, save it again")
    expect(page.locator("#fix-refused p").first).to_be_in_viewport(ratio=1)
    expect(page.locator("#fix-yes")).to_be_in_viewport(ratio=0.95)
    keep(page, "review-odd")
    expect(page.locator(".cell.chosen")).to_be_in_viewport()
    expect(page.locator("#proof svg").first).to_be_visible()
    assert "corrected" not in states(long_site).values()
    page.keyboard.press("Escape")
    expect(page.locator("#fix")).to_be_hidden()
    question(page, "Hold current at 20 °C: 0.5 A or 0.55 A?")
    page.keyboard.press("c")
    page.locator("#unit").select_option("mA")
    page.locator("#value").fill("524,5")
    expect(page.locator("#fix-means")).to_contain_text("= 0.5245 A")


def test_a_conflict_keeps_what_was_typed(long_site, page: Page) -> None:
    """Somebody else decides meanwhile: the form stays with value and reason, the number shows their
    decision, and saving again is a decision that has seen it."""
    opened(long_site, page)
    number = int(re.findall(r"#n(\d+)", page.url)[0])
    numbers = long_site.review(SHEET)["numbers"]
    part = next(one["part_number"] for one in numbers if one["number_id"] == number)
    page.keyboard.press("c")
    page.locator("#value").fill("27")
    page.locator("#reason").fill("vendor's letter of May")
    long_site.client.post(f"/api/sheets/{long_site.sheet(SHEET)}/decisions", json={
        "action": "accept", "part_number": part, "number_id": number, "who": "Ben"})
    for _ in range(2):
        page.locator("#reason").press("Enter")
        expect(page.locator("#fix-refused")).not_to_be_empty()
    expect(page.locator("#fix-refused")).to_contain_text("by Ben")
    expect(page.locator("#value")).to_have_value("27")
    expect(page.locator("#reason")).to_have_value("vendor's letter of May")
    page.locator("#reason").press("Enter")
    expect(page.locator("#fix")).to_be_hidden()
    assert states(long_site)[number] == "corrected"


def test_fast_keys_meet_no_conflict(long_site, page: Page) -> None:
    """Twelve accepts 30 ms apart on one part's and others' numbers are all kept, in order."""
    opened(long_site, page)
    page.locator("#tab-numbers").click()
    page.locator("#tabs button").nth(1).click()
    page.locator(".cell[data-state=agreed]").first.click()
    refused: list[int] = []
    page.on("response", lambda answer: refused.append(answer.status) if answer.status >= 400 else None)
    for _ in range(12):
        page.keyboard.press("a")
        time.sleep(0.03)
    expect(page.locator("#progress")).to_contain_text(re.compile(r"\b1[2-9] of \d+ numbers decided"))
    assert refused == []


def test_bulk_acceptance_counts_and_is_one_step(long_site, page: Page) -> None:
    """The question counts agreed, single and disputed apart; singles are off; disputed ones are never taken;
    the whole of it is undone as one step, after a reload too; any decision can be taken back from its
    list."""
    opened(long_site, page)
    read = [one["status"] for one in long_site.review(SHEET)["numbers"]]
    page.locator("#bulk").click()
    dialog = page.locator("#in-bulk")
    expect(dialog).to_contain_text(f"{read.count('agreed')} numbers that two readings agree on")
    expect(dialog).to_contain_text(f"{read.count('single')} numbers read only once")
    expect(dialog).to_contain_text(f"{read.count('disputed')} disputed numbers left out")
    expect(page.locator("#bulk-single")).not_to_be_checked()
    keep(page, "review-bulk")
    page.locator("#bulk-yes").click()
    expect(page.locator("#progress")).to_contain_text(f"{read.count('agreed')} of {len(read)} numbers")
    assert list(states(long_site).values()).count("accepted_in_bulk") == read.count("agreed")
    page.reload()
    page.locator("#tab-steps").click()
    expect(page.locator("#steps li")).to_have_count(1)
    expect(page.locator("#steps li")).to_contain_text(f"{read.count('agreed')} numbers")
    page.locator("#steps").get_by_role("button", name="Take back").click()
    expect(page.locator("#progress")).to_contain_text(re.compile("\\b0 of \\d+ numbers decided"))


def test_numbers_not_read_are_shaded(site, page: Page) -> None:
    """Pressed, the button shades what was not read, the reason at each; pressed again, nothing."""
    opened(site, page, "quarrowick_qk.pdf")
    page.get_by_role("button", name="Not read").click()
    expect(page.locator(".unread").first).to_be_attached()
    expect(page.locator(".unread").first).to_have_attribute("title", re.compile("was not read: "))
    expect(page.locator("#unread .many")).to_have_text(re.compile(r"^\d+$"))
    keep(page, "review-not-read")
    assert violations(page) == []
    page.get_by_role("button", name="Not read").click()
    expect(page.locator(".unread")).to_have_count(0)


def test_what_was_recognised_from_a_picture_is_marked(serve, tmp_path: Path, page: Page) -> None:
    """The tab of a scanned page says so, its disputed numbers come first, and each number that was recognised
    asks for a look at its digits; accepting in bulk counts them apart."""
    path, reading = tmp_path / "scanned.sqlite", read(PLAIN)
    seen = [replace(one, notes=(*one.notes, "recognised from a picture, 97 % sure"))
            if one.place.page == 1 else one for one in reading.readings]
    last = next(index for index, one in reversed(list(enumerate(seen))) if one.place.page == 1)
    seen[last] = replace(seen[last], status=Status.DISPUTED, notes=(
        "recognised as '0.5', by the second recogniser as '0.6'", *seen[last].notes))
    with open_library(path) as library:
        library.import_sheet(replace(reading, readings=tuple(seen)), "Ann")
        library_to_files(str(path)).keep(PLAIN, reading.sha256)
    site = serve(over=path)
    page.goto(f"{site.address}/review?sheet={reading.sha256}")
    expect(page.locator("#tabs button .scan")).to_have_count(1)
    expect(page.locator("#tabs button").first).to_contain_text("scan")
    expect(page.locator("#why li").first).to_have_text(
        "Recognised from a picture: compare digit by digit with the page.")
    expect(page.locator("#why")).to_contain_text("One recogniser reads “0.5”, the other “0.6”.")
    keep(page, "review-scanned")
    page.locator("#tab-numbers").click()
    expect(page.locator("#numbers tbody tr").first).to_have_attribute("data-state", "disputed")
    expect(page.locator("#numbers tbody tr").first).to_contain_text("from a picture")
    page.keyboard.press("b")
    expect(page.locator("#in-bulk")).to_contain_text("recognised from a picture")


def test_every_question_of_a_long_sheet_is_settled_by_keyboard(long_site, page: Page) -> None:
    """More than 700 numbers: each question shows its pictures and is answered by one key; the mouse is not
    needed, and nothing is left in dispute for accepting the rest in bulk."""
    opened(long_site, page)
    keys = 0
    while "no question" not in (said := page.locator("#progress-says").inner_text()):
        expect(page.locator("#proof figure").first).to_be_visible()
        asked = page.locator("#which").inner_text()
        page.keyboard.press("1")
        keys += 1
        page.wait_for_function("""([asked, said]) => document.querySelector('#which').innerText !== asked
            || document.querySelector('#progress-says').innerText !== said""", arg=[asked, said])
        assert keys < 40
    assert keys >= 12
    page.keyboard.press("b")
    expect(page.locator("#bulk-disputed")).to_contain_text("0 disputed")
    page.keyboard.press("Escape")
    numbers = long_site.review(SHEET)["numbers"]
    assert [one for one in numbers if one["state"] == "disputed"] == []
    assert len(numbers) > 700
    page.locator("#tab-steps").click()
    keep(page, "review-settled")
