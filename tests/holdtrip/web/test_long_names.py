"""Names as long and as odd as people give them: a file called by a sentence, part numbers of 32 letters."""

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Browser, Page, expect

from extract.schema import WHOLE_SERIES, Quantity, Status
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from holdtrip.web.requirement_form import toml_to_form
from tests.holdtrip.web.browsing import HEIGHT_OF, WIDTHS, keep, overlaps, violations
from tests.holdtrip.web.conftest import PLAIN, SAMPLES, Site, read

NAME = ("Quarrowick surface mount 'final' <b>draft<i> & approved (copy of copy) 2031-04-17 revision C "
        "übersicht.pdf")
ASKED = urlencode([*toml_to_form((SAMPLES / "demo_requirement.toml").read_text(encoding="utf-8"), "demo"),
                   ("unreviewed", "true")])


def longer(number: str) -> str:
    """A part number as makers print them with voltage, packing and finish."""
    return number if number == WHOLE_SERIES else f"TNOC-{number}/1812-60V-TR13-BULK-LF"


@pytest.fixture(scope="session")
def long_named(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with a sample under a long name, its parts too; some numbers of the third are disputed."""
    path, sheet = tmp_path_factory.mktemp("named") / "team.sqlite", read(PLAIN)
    numbers = sorted({one.part_number for one in sheet.readings if one.part_number != WHOLE_SERIES})
    readings = tuple(replace(
        one, document=NAME, part_number=longer(one.part_number),
        status=Status.DISPUTED if one.part_number == numbers[2] and one.quantity is Quantity.RESISTANCE
        else one.status) for one in sheet.readings)
    texts = tuple(replace(one, document=NAME, part_number=longer(one.part_number)) for one in sheet.texts)
    with open_library(path) as library:
        library.import_sheet(replace(sheet, document=NAME, readings=readings, texts=texts, findings=(),
                                     causes=(), curves=(), particulars=()), "Maximiliana Featherstonehaugh")
        library_to_files(str(path)).keep(PLAIN, sheet.sha256)
    return path


@pytest.fixture
def named_site(serve: Callable[..., Site], long_named: Path) -> Site:
    """A page over that library."""
    return serve(over=long_named)


def fits(page: Page, rows: str) -> None:
    """Nothing lies outside the window or over something else."""
    page.wait_for_load_state("networkidle")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert overlaps(page, rows) == []


@pytest.mark.parametrize("width", WIDTHS)
def test_long_names_fit_every_list(named_site: Site, browser: Browser, width: int) -> None:
    """Datasheets, parts, one part and its numbers, at every width."""
    page = browser.new_page(viewport={"width": width, "height": HEIGHT_OF[width]})
    for address, rows in (("sheets", "#sheets tbody tr"), ("parts", "#parts tbody tr")):
        page.goto(f"{named_site.address}/{address}")
        expect(page.locator(rows).first).to_be_visible()
        keep(page, f"long-{address}-{width}")
        fits(page, rows)
    page.locator("#parts tbody th a").nth(2).click()
    expect(page.locator("#numbers tbody tr").first).to_be_visible()
    fits(page, "#numbers tbody tr")
    assert violations(page) == []
    page.close()


@pytest.mark.parametrize("width", WIDTHS)
def test_a_long_name_leaves_the_question_its_place(named_site: Site, browser: Browser, width: int) -> None:
    """The name of the sheet takes two lines at most and is told whole on demand; the chosen cell stands
    wholly in its window from the first, at every number, and the form of a correction shows its buttons."""
    page = browser.new_page(viewport={"width": width, "height": HEIGHT_OF[width]})
    page.goto(f"{named_site.address}/review?sheet={named_site.sheet(NAME)}")
    chosen = page.locator(".cell.chosen")
    expect(page.locator("#proof image").first).to_be_attached()
    for _ in range(8):
        expect(chosen).to_be_in_viewport(ratio=0.95)
        page.keyboard.press("j")
    title = page.locator("#title")
    expect(title).to_have_attribute("title", NAME)
    lines = title.evaluate("one => one.clientHeight / parseFloat(getComputedStyle(one).lineHeight)")
    assert lines < 2.2
    page.keyboard.press("c")
    keep(page, f"long-correct-{width}")
    expect(page.locator("#fix-yes")).to_be_in_viewport(ratio=0.95)
    fits(page, "#numbers tbody tr:not([hidden])")
    page.close()


def test_six_parts_of_long_names_stand_beside_each_other(named_site: Site, page: Page) -> None:
    """No verdict lies over the next; a source names the datasheet of the title once."""
    page.goto(f"{named_site.address}/compare?{ASKED}")
    expect(page.locator("#ranking tbody tr").nth(5)).to_be_visible()
    for number in range(6):
        page.locator("#ranking tbody input").nth(number).check()
    expect(page.locator("#bars thead th")).to_have_count(7)
    page.set_viewport_size({"width": 1440, "height": 900})
    page.locator("#bars").scroll_into_view_if_needed()
    keep(page, "long-beside")
    cells = [cell.bounding_box() for cell in page.locator("#bars tbody tr").first.locator(".state").all()]
    assert all(one["x"] + one["width"] <= other["x"] for one, other in pairwise(cells))
    sources = page.locator("#margins tbody td:last-child").all_inner_texts()
    assert any(re.search(r'^page \d "', text) for text in sources)
    assert not any(NAME in text for text in sources)


def test_a_part_of_several_sheets_tells_why_not(named_site: Site, page: Page) -> None:
    """A number that two sheets list is offered once for each; typed by itself it means the first of them."""
    with open_library(named_site.library) as library:
        sheet = library.sheet(named_site.sheet(NAME))
        other = "other.pdf"
        few = sorted({one.part_number for one in sheet.readings if one.part_number != WHOLE_SERIES})[:2]
        readings = tuple(replace(one, document=other, sha256="0" * 64) for one in sheet.readings
                         if one.part_number in few)
        library.import_sheet(replace(sheet, document=other, sha256="0" * 64, readings=readings, texts=(),
                                     account=(), revision="", edges=(), headings=()), "Ann")
    numbers = [row["part"]["part_number"] for row in named_site.client.get("/api/parts").json()["rows"]]
    twice = [one for one in dict.fromkeys(numbers) if numbers.count(one) == 2]
    page.goto(f"{named_site.address}/compare?{ASKED}")
    expect(page.locator("#ranking tbody tr").first).to_be_visible()
    for number in twice[:2]:
        page.locator("#why-not").fill(number)
        expect(page.locator("#one-title")).to_contain_text(number)
        expect(page.locator("#any-parts option")).to_have_count(2)
    assert twice


def test_a_filter_that_is_no_number_is_told_at_its_field(named_site: Site, page: Page) -> None:
    """The list stays; the message has the words of the field; a decimal comma is a number."""
    page.goto(f"{named_site.address}/parts")
    expect(page.locator("#parts tbody tr").nth(3)).to_be_visible()
    page.locator("#voltage_min_v").fill("x1")
    expect(page.locator("#found")).to_contain_text("“x1” is no number: Voltage at least, V")
    expect(page.locator("#voltage_min_v")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#parts tbody tr").nth(3)).to_be_visible()
    page.locator("#voltage_min_v").fill("0,5")
    expect(page.locator("#found")).not_to_contain_text("no number")
    expect(page.locator("#voltage_min_v")).not_to_have_attribute("aria-invalid", "true")


def test_a_finding_far_down_the_table_shows_its_cell(named_site: Site, page: Page, tmp_path: Path) -> None:
    """Stepping through the findings, each stands on the screen together with its cell, also in row 38."""
    rows = [f"ZQ-{number:02d},{0.1 * number:.2f},{0.2 * number:.2f}" for number in range(1, 45)]
    rows[11], rows[36] = "ZQ-12,2.40,1.20", "ZQ-37,9.90,3.70"
    table = tmp_path / "a table typed late on a Friday <i>after noon.csv"
    table.write_text("\n".join(["Part,Hold [A],Trip [A]", *rows]) + "\n", encoding="utf-8")
    page.goto(f"{named_site.address}/check")
    page.locator("#against").uncheck()
    page.set_input_files("#files", table)
    findings = page.locator("#findings li")
    expect(findings.first).to_have_attribute("aria-current", "true")
    seen = set()
    for _ in range(findings.count() - 1):
        page.keyboard.press("n")
        current = page.locator("#findings [aria-current]")
        expect(current).to_be_in_viewport(ratio=0.9)
        if page.locator(".grid td.chosen").count():
            expect(page.locator(".grid td.chosen").first).to_be_in_viewport(ratio=0.9)
            seen.add(page.locator(".grid td.chosen").first.get_attribute("id"))
    assert seen


def test_a_large_number_fits_beside_its_axis(named_site: Site, page: Page) -> None:
    """A value that somebody corrected to 300000 A is drawn to a scale whose words are whole."""
    sheet = named_site.sheet(NAME)
    numbers = named_site.client.get(f"/api/sheets/{sheet}").json()["numbers"]
    one = next(number for number in numbers if "hold current" in number["quantity"])
    sent = named_site.client.post(f"/api/sheets/{sheet}/decisions", json={
        "action": "correct", "part_number": one["part_number"], "number_id": one["number_id"],
        "text": "300000", "unit": "A", "reason": "as a test", "sure": True})
    assert sent.status_code == 200, sent.text
    page.goto(f"{named_site.address}/parts")
    page.locator("#parts tbody th a").filter(has_text=one["part_number"]).click()
    words = page.locator("#derating-plot svg text")
    expect(words.filter(has_text="300k")).to_be_visible()
    edge = page.locator("#derating-plot svg").bounding_box()["x"]
    assert all(word.bounding_box()["x"] >= edge for word in words.all())


@pytest.mark.parametrize("width", [390, 1440])
def test_what_a_plot_says_is_whole_within_its_axes(named_site: Site, browser: Browser, width: int) -> None:
    """What must be held, tripped and outlasted is told in words that no edge of the plot cuts."""
    page = browser.new_page(viewport={"width": width, "height": HEIGHT_OF[width]})
    page.goto(f"{named_site.address}/compare?{ASKED}")
    expect(page.locator("#ranking tbody tr").nth(2)).to_be_visible()
    for number in range(2):
        page.locator("#ranking tbody input").nth(number).check()
    said = page.locator(".plot-lines .says")
    expect(said.nth(3)).to_be_attached()
    page.wait_for_load_state("networkidle")
    cut = page.evaluate("""() => [...document.querySelectorAll('.plot-lines .says')].filter((words) => {
        const frames = words.closest('svg').querySelector('.frame');
        const [box, frame] = [words, frames].map((one) => one.getBBox());
        return box.x < frame.x - 2 || box.x + box.width > frame.x + frame.width + 2;
    }).map((words) => words.textContent)""")
    assert cut == []
    keep(page, f"long-plots-{width}", whole=True)
    page.close()
