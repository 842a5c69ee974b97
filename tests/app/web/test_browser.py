"""A person's way through the page in a real browser; each step leaves a picture in out/screens/.

Skipped where no Chromium is installed; `.ci/run` installs one. axe-core checks accessibility where
node_modules/axe-core is present (npm install --no-save axe-core).
"""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from app.web.requirement_form import toml_to_form
from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status
from library.store import open_library

ROOT = Path(__file__).parents[3]
SCREENS = ROOT / "out" / "screens"
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = os.environ.get("HOLDTRIP_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync"]
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium found: install Debian's `chromium`, or"
                                                         " name one in HOLDTRIP_BROWSER")
DISPUTED = "rushingdell_rsd.pdf"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser for all tests here."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A window of a laptop; an error of a script or of the policy fails the test, and so does any request
    that leaves this machine."""
    context = browser.new_context(viewport={"width": 1360, "height": 860}, accept_downloads=True)
    shown = context.new_page()
    wrong: list[str] = []
    shown.on("pageerror", lambda error: wrong.append(str(error)))
    shown.on("console", lambda message: wrong.append(message.text) if "Policy" in message.text else None)
    shown.on("request", lambda asked: None if asked.url.startswith(("http://127.0.0.1", "blob:"))
             else wrong.append(asked.url))
    yield shown
    context.close()
    assert wrong == []


def keep(page: Page, name: str) -> None:
    """Leave a picture for people to look at."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=SCREENS / f"{name}.png", full_page=True)


def test_import(serve, page: Page) -> None:
    """A file chosen on the page is read, its counts are told, and it can be reviewed."""
    site = serve(filled=False)
    page.goto(f"{site.address}/sheets")
    page.set_input_files("#files", [ROOT / "sample_tables" / "crumblemoor_crm.pdf", ROOT / "README.md"])
    jobs = page.locator("#jobs li")
    expect(jobs.filter(has_text="crumblemoor_crm.pdf")).to_contain_text("stored", timeout=60_000)
    expect(jobs.filter(has_text="README.md")).to_contain_text("not a PDF")
    expect(page.locator("#sheets tbody tr")).to_have_count(1)
    keep(page, "import")
    jobs.get_by_role("link", name="Review").click()
    expect(page.locator("#numbers tbody tr").first).to_be_visible()


def test_review_by_keyboard(site, page: Page) -> None:
    """Next, accept, undo, reject, correct, with keys alone; the correction asks why and is stored."""
    page.goto(f"{site.address}/review?sheet={site.sheet(DISPUTED)}")
    rows = page.locator("#numbers tbody tr")
    expect(rows.first).to_have_attribute("aria-current", "true")
    expect(rows.first).to_have_attribute("data-state", "disputed")
    expect(page.locator("#why")).to_contain_text("the second reading sees")
    expect(page.locator("rect.cell.chosen").first).to_be_visible()
    keep(page, "review")
    page.locator("#main").focus()
    page.keyboard.press("a")
    expect(rows.nth(0)).to_have_attribute("data-state", "accepted")
    expect(rows.nth(1)).to_have_attribute("aria-current", "true")
    page.keyboard.press("u")
    expect(rows.nth(0)).to_have_attribute("data-state", "disputed")
    expect(rows.nth(0)).to_have_attribute("aria-current", "true")
    page.keyboard.press("c")
    page.keyboard.type("1.5")
    page.keyboard.press("Enter")
    expect(page.locator("#ask-refused")).to_contain_text("Say why")
    page.keyboard.press("Tab")
    page.keyboard.type("vendor's letter of May")
    keep(page, "review-correct")
    page.keyboard.press("Enter")
    expect(rows.nth(0)).to_have_attribute("data-state", "corrected")
    expect(rows.nth(0)).to_contain_text("vendor's letter of May")
    page.keyboard.press("r")
    page.keyboard.type("belongs to another part")
    page.keyboard.press("Enter")
    expect(rows.nth(1)).to_have_attribute("data-state", "rejected")
    keep(page, "review-decided")
    states = [one["state"] for one in site.review(DISPUTED)["numbers"]]
    assert (states.count("corrected"), states.count("rejected"), states.count("accepted")) == (1, 1, 0)


def test_hovering_one_shows_the_other(site, page: Page) -> None:
    """A row under the pointer lights its cell on the page; a click on a cell chooses its row."""
    page.goto(f"{site.address}/review?sheet={site.sheet(DISPUTED)}")
    rows = page.locator("#numbers tbody tr")
    rows.nth(3).hover()
    expect(page.locator("rect.cell.hover")).to_have_count(1)
    page.locator("#sight rect.cell").last.dispatch_event("mouseover")
    expect(page.locator("#numbers tr.hover")).to_be_in_viewport()
    page.locator("#sight rect.cell").nth(5).dispatch_event("click")
    chosen = page.locator("tr[aria-current]")
    expect(chosen).to_have_count(1)
    box = page.locator("#sight rect.chosen")
    number = next(one for one in site.review(DISPUTED)["numbers"]
                  if f"n{one['number_id']}" == chosen.get_attribute("id"))
    assert float(box.get_attribute("x") or 0) == pytest.approx(number["place"]["x0"] - 1)


def test_parts_are_searched_while_typing(site, page: Page) -> None:
    """The list follows the text and the range; one part opens with its plot."""
    page.goto(f"{site.address}/parts")
    rows = page.locator("#parts tbody tr")
    expect(rows.first).to_be_visible()
    page.get_by_label("Part number has").fill("QK12-036")
    expect(rows).to_have_count(1)
    keep(page, "parts")
    rows.get_by_role("link", name="QK12-036-30").click()
    expect(page.get_by_role("heading", name="QK12-036-30")).to_be_visible()
    expect(page.locator("#plot")).to_have_js_property("complete", True)
    keep(page, "part")


def demo() -> list[tuple[str, str]]:
    """The demo's requirement as form fields."""
    path = ROOT / "sample_tables" / "demo_requirement.toml"
    return toml_to_form(path.read_text(encoding="utf-8"), "demo")


def test_compare_and_download(site, page: Page, tmp_path: Path) -> None:
    """Opening a requirement file fills the form; margins follow typing; the workbook names the best part."""
    page.goto(f"{site.address}/compare")
    page.get_by_label("use numbers nobody has reviewed").check()
    page.set_input_files("#file", ROOT / "sample_tables" / "demo_requirement.toml")
    ranking = page.locator("#ranking tbody tr")
    expect(ranking.first).to_be_visible()
    expect(page.locator("#normal_current_a")).to_have_value("0.45")
    before = page.locator("#margins tbody").inner_text()
    page.locator("#normal_current_a").fill("0.3")
    expect(page.locator("#margins tbody")).not_to_have_text(before)
    expect(page.locator("#derating")).to_be_visible()
    page.wait_for_timeout(400)
    keep(page, "compare")
    best = ranking.first.locator("th").inner_text()
    with page.expect_download() as download:
        page.get_by_role("link", name="Workbook").click()
    path = tmp_path / "out.xlsx"
    download.value.save_as(path)
    book = openpyxl.load_workbook(path)
    assert any(cell.value == best for sheet in book for row in sheet.iter_rows() for cell in row)
    ranking.last.locator("td").last.click()
    expect(ranking.last).to_have_attribute("aria-current", "true")
    expect(page.locator("#one-title")).to_contain_text(ranking.last.locator("th").inner_text())
    expect(page.locator("#one-reviewed")).to_contain_text("NOT been reviewed by a person")
    page.locator("#keep-name").fill("greenhouse")
    page.get_by_role("button", name="Keep").click()
    expect(page.locator("#kept option")).to_have_count(2)
    shared = page.url
    page.goto(shared)
    expect(page.locator("#normal_current_a")).to_have_value("0.3")
    expect(ranking.first).to_contain_text(best)


def test_check_and_download(site, page: Page) -> None:
    """Findings stand beside the table, lead to their cells, and the marked copy downloads."""
    page.goto(f"{site.address}/check")
    page.set_input_files("#files", ROOT / "docs" / "examples" / "typed_parts.csv")
    first = page.locator("#findings li").first
    expect(first).to_be_visible()
    first.get_by_role("button").first.click()
    expect(page.locator(".grid td.chosen")).to_have_count(1)
    keep(page, "check")
    with page.expect_download() as download:
        page.get_by_role("link", name="Marked copy").click()
    assert download.value.suggested_filename == "marked.xlsx"


def test_a_column_is_mapped_and_a_finding_silenced(site, page: Page, tmp_path: Path) -> None:
    """A heading nobody knows gets its meaning on the page, a finding that the source bears out is silenced
    with a reason; both show at once. A meaning that is none is refused and leaves the others."""
    table = tmp_path / "odd.csv"
    table.write_text("Part,Stuff,Itrip [A]\nA-050,500,1\nA-110,1100,0.9\nA-200,2000,4\n", encoding="utf-8")
    page.goto(f"{site.address}/check")
    page.set_input_files("#files", table)
    page.get_by_text("Columns as understood").click()
    page.get_by_role("button", name="Change what Stuff means").click()
    expect(page.locator("#heading")).to_have_value("Stuff")
    page.keyboard.type("mass")
    page.keyboard.press("Enter")
    expect(page.locator("#said")).to_contain_text("expected one of")
    expect(page.locator("#answer")).to_be_visible()
    page.locator("#meaning").fill("hold_current mA")
    page.keyboard.press("Enter")
    expect(page.locator("#mapped")).to_contain_text("“Stuff” is read as hold_current mA")
    findings = page.locator("#findings li")
    expect(findings.filter(has_text="trip-not-above-hold")).to_have_count(1)
    page.locator("details summary").first.click()
    keep(page, "check-mapped")
    found = findings.filter(has_text="trip-not-above-hold")
    found.get_by_role("button", name="The source says so").click()
    page.keyboard.press("Enter")
    expect(page.locator("#ask-refused")).to_contain_text("Say why")
    page.keyboard.type("page 2 prints it so")
    keep(page, "check-silence")
    page.keyboard.press("Enter")
    expect(found).to_have_count(0)
    expect(page.locator("#state")).to_contain_text("1 silenced before")
    if AXE.is_file():
        page.evaluate(AXE.read_text(encoding="utf-8"))
        assert [one["id"] for one in page.evaluate("axe.run()")["violations"]] == []


def test_accepting_a_part_is_undone_by_one_request(site, page: Page) -> None:
    """`p` and then `u` leave everything as it was; the undo is one request."""
    page.goto(f"{site.address}/review?sheet={site.sheet(DISPUTED)}")
    expect(page.locator("#progress")).to_contain_text("0 of")
    page.locator("#main").focus()
    page.keyboard.press("p")
    expect(page.locator("#said")).to_contain_text("accepted")
    sent: list[str] = []
    page.on("request", lambda asked: sent.append(asked.url) if asked.method == "POST" else None)
    page.keyboard.press("u")
    expect(page.locator("#progress")).to_contain_text("0 of")
    assert [url.rpartition("/")[2] for url in sent] == ["undo"]


def test_nothing_from_a_sheet_is_markup(site, page: Page) -> None:
    """Texts of a hostile sheet show as they are: no element comes of them, and characters that turn or hide
    text show as their codes."""
    evil, turned = "<img src=x onerror=document.title='owned'>", "0\u202e5\u200b"
    place = Place(1, 10.0, 10.0, 40.0, 20.0)
    reading = Reading(evil, "e" * 64, evil, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 0.5,
                      Status.DISPUTED, place, turned, notes=(evil,))
    with open_library(site.library) as library:
        library.import_sheet(SheetReading(evil, "e" * 64, 1, (1,), evil, (reading,), (), ()), "Ann")
    for path in (f"/review?sheet={'e' * 64}", "/parts", "/sheets"):
        page.goto(site.address + path)
        expect(page.locator("tbody tr").first).to_be_visible()
        page.wait_for_load_state("networkidle")
        assert page.locator("img[src=x]").count() == 0
        assert page.title() != "owned"
    page.goto(f"{site.address}/review?sheet={'e' * 64}")
    expect(page.locator("#numbers tbody .raw").first).to_have_text("0<U+202E>5<U+200B>")


ADDRESSES = {
    "sheets": "/sheets", "parts": "/parts", "check": "/check", "compare": "/compare?unreviewed=true",
    "review": "/review?sheet={sheet}", "part": "/part?sheet={sheet}&number={number}",
}


@pytest.mark.parametrize("look", ["light", "dark", "zoomed"])
def test_every_page_can_be_read(site, browser: Browser, look: str) -> None:
    """In light and dark and at 200 % nothing runs out of the window sideways; axe-core finds no violation."""
    zoom = 2 if look == "zoomed" else 1
    context = browser.new_context(
        viewport={"width": 1360 // zoom, "height": 860 // zoom}, device_scale_factor=zoom,
        color_scheme="dark" if look == "dark" else "light")
    page = context.new_page()
    sheet = site.sheet(DISPUTED)
    number = site.review(DISPUTED)["parts"][0]["part_number"]
    for name, address in ADDRESSES.items():
        page.goto(site.address + address.format(sheet=sheet, number=number))
        page.wait_for_load_state("networkidle")
        keep(page, f"{name}-{look}")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
        if AXE.is_file():
            page.evaluate(AXE.read_text(encoding="utf-8"))
            found = page.evaluate("axe.run()")["violations"]
            assert [(one["id"], one["nodes"][0]["html"]) for one in found] == [], name
    context.close()
    if not AXE.is_file():
        pytest.skip("axe-core is not installed (npm install --no-save axe-core); the rest was checked")
