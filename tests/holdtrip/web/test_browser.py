"""A person's way through the page in a real browser; each step leaves a picture in out/screens/.

What needs no Chromium is tested beside this file; reviewing has a file of its own.
"""

import re
from pathlib import Path
from urllib.parse import urlencode

import openpyxl
import pytest
from playwright.sync_api import Browser, Page, expect

from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status
from holdtrip.library.store import open_library
from holdtrip.web.requirement_form import toml_to_form
from tests.holdtrip.web.browsing import AXE, ROOT, keep, overlaps, violations

DISPUTED = "rushingdell_rsd.pdf"


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
    expect(page.locator("#what")).not_to_be_empty()


def test_every_tab_follows_the_imports(serve, page: Page) -> None:
    """Another tab, and the same one after a reload, shows what the server reads, what failed and why; a
    server that is away is told, and found again without a reload."""
    site = serve(filled=False)
    page.goto(f"{site.address}/sheets")
    with page.context.expect_page() as opened:
        page.evaluate("open('/sheets')")
    other = opened.value
    other.wait_for_load_state()
    expect(other.locator("#running")).to_be_hidden()
    for name, content in (("crumb.pdf", (ROOT / "sample_tables" / "crumblemoor_crm.pdf").read_bytes()),
                          ("broken.pdf", b"%PDF-1.7 nothing")):
        site.client.post("/api/sheets", params={"name": name}, content=content)
    expect(other.locator("#jobs li").filter(has_text="crumb.pdf")).to_contain_text("stored", timeout=60_000)
    failed = other.locator("#jobs li").filter(has_text="broken.pdf")
    expect(failed).to_contain_text("not read")
    expect(failed.get_by_role("button", name="Try again")).to_be_visible()
    other.reload()
    expect(failed).to_contain_text("damaged or truncated")
    other.route("**/api/imports", lambda route: route.abort())
    expect(other.locator("#lost")).to_be_visible(timeout=10_000)
    other.unroute("**/api/imports")
    expect(other.locator("#lost")).to_be_hidden(timeout=10_000)
    failed.get_by_role("button", name="Remove").click()
    expect(failed).to_have_count(0)
    other.close()


def test_sheets_are_listed_by_their_maker(site, page: Page) -> None:
    """The maker as the sheet names it stands in the list; a click on a heading puts the list in its order."""
    page.goto(f"{site.address}/sheets")
    rows = page.locator("#sheets tbody tr")
    expect(rows).to_have_count(2)
    expect(rows.filter(has_text="quarrowick_qk.pdf")).to_contain_text("Quarrowick Devices")
    page.get_by_role("button", name="Maker").click()
    expect(page.locator("#sheets th[aria-sort=ascending]")).to_contain_text("Maker")
    assert "quarrowick_qk.pdf" in rows.first.inner_text()
    page.get_by_role("button", name="Maker").click()
    expect(rows.last).to_contain_text("quarrowick_qk.pdf")
    keep(page, "sheets-by-maker")
    assert violations(page) == []


def test_parts_are_searched_while_typing(site, page: Page) -> None:
    """The list follows the text and the range; one part opens with its plot."""
    page.goto(f"{site.address}/parts")
    rows = page.locator("#parts tbody tr")
    expect(rows.first).to_be_visible()
    page.get_by_label("Part number has").fill("QK12-036")
    expect(rows).to_have_count(1)
    page.get_by_label("Voltage at least").fill("20")
    expect(page).to_have_url(re.compile("like=QK12-036.*voltage_min_v=20"))
    keep(page, "parts")
    rows.get_by_role("link", name="QK12-036-30").click()
    expect(page.get_by_role("heading", name="QK12-036-30")).to_be_visible()
    page.go_back()
    expect(page.get_by_label("Part number has")).to_have_value("QK12-036")
    expect(rows).to_have_count(1)
    rows.get_by_role("link", name="QK12-036-30").click()
    expect(page.get_by_role("heading", name="QK12-036-30")).to_be_visible()
    expect(page.locator("#derating-plot .course.hold").first).to_be_attached()
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
    expect(page.locator("#derating-plot svg")).to_be_visible()
    keep(page, "compare", whole=True)
    best = ranking.first.locator("th").inner_text()
    with page.expect_download() as download:
        page.get_by_role("link", name="Workbook").click()
    path = tmp_path / "out.xlsx"
    download.value.save_as(path)
    book = openpyxl.load_workbook(path)
    assert any(cell.value == best for sheet in book for row in sheet.iter_rows() for cell in row)
    ranking.last.locator("td").nth(3).click()
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


def asked(site, page: Page) -> None:
    """The compare page with the demo's requirement, once its ranking has come."""
    page.goto(f"{site.address}/compare?{urlencode([*demo(), ('unreviewed', 'true')])}")
    expect(page.locator("#ranking tbody tr").first).to_be_visible()


def test_a_half_typed_number_keeps_the_result(site, page: Page) -> None:
    """On the way to "-10" the last result stays, greyed; the message stands at the field, in its label's
    words; two wrong fields are told at once; once whole, all is as before."""
    asked(site, page)
    rows = page.locator("#ranking tbody tr")
    count = rows.count()
    page.locator("#ambient_cold_c").fill("-")
    wrong = page.locator("#ambient_cold_c-wrong")
    expect(wrong).to_contain_text("a number in °C")
    expect(page.locator("#ambient_cold_c")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#answer")).to_have_class("stale")
    assert rows.count() == count
    for code in ("line", "ambient_cold_c"):
        expect(page.locator("#state")).not_to_contain_text(code)
    page.locator("#hold_factor").fill("0")
    expect(page.locator("#hold_factor-wrong")).to_contain_text("at least 1")
    expect(wrong).not_to_be_empty()
    keep(page, "compare-half-typed")
    page.locator("#hold_factor").fill("")
    page.locator("#ambient_cold_c").fill("-10")
    expect(page.locator("#answer")).not_to_have_class("stale")
    expect(wrong).to_be_empty()
    page.locator("#ambient_hot_c").fill("-30")
    expect(page.locator("#ambient_hot_c-wrong")).to_contain_text("“Ambient cold”")


def test_parts_side_by_side(site, page: Page) -> None:
    """Three parts ticked: their courses in one plot with the limits inside its axes, their margins as bars
    with the tightest of each marked; columns sort; a part out of the ranking tells why not."""
    asked(site, page)
    ticks = page.locator("#ranking tbody input")
    for index in (1, 2):
        ticks.nth(index).check()
    expect(page.locator("#key li:not(.hint)")).to_have_count(3)
    expect(page.locator("#bars thead th")).to_have_count(4)
    expect(page.locator("#bars .tightest")).to_have_count(3)
    expect(page.locator("#traits thead th")).to_have_count(5)
    expect(page.locator("#traits tbody tr").filter(has_text="Hold current at 50")).to_contain_text("at least")
    assert page.locator("#traits .better").count() > 2
    expect(page.locator("#derating-plot .course.hold").first).to_be_attached()
    page.wait_for_function("""() => {
        const frame = document.querySelector('#derating-plot .frame')?.getBoundingClientRect();
        const says = [...document.querySelectorAll('#derating-plot .says')];
        return frame && says.length > 0 && says.map((one) => one.getBoundingClientRect()).every((box) =>
            box.left >= frame.left && box.right <= frame.right
            && box.bottom >= frame.top && box.bottom <= frame.bottom + 1);
    }""")
    for width in (390, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        page.wait_for_timeout(300)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        size = page.locator("#derating-plot text").first.evaluate("one => one.getBoundingClientRect().height")
        assert size >= 9
        page.locator("#beside").scroll_into_view_if_needed()
        keep(page, f"compare-beside-{width}", whole=True)
    first = page.locator("#ranking tbody th").first.inner_text()
    page.locator("#ranking thead .criterion .sort").first.click()
    page.locator("#ranking thead .criterion .sort").first.click()
    expect(page.locator("#ranking thead .criterion").first).to_have_attribute("aria-sort", "descending")
    assert page.locator("#ranking tbody th").first.inner_text() != first
    page.locator("#why-not").fill("RSD-014")
    expect(page.locator("#one-title")).to_contain_text("RSD-014")
    assert violations(page) == []


def test_check_and_download(site, page: Page) -> None:
    """Findings stand beside the table, lead to their cells, and the marked copy downloads."""
    page.goto(f"{site.address}/check")
    page.set_input_files("#files", ROOT / "docs" / "examples" / "typed_parts.csv")
    first = page.locator("#findings li").first
    expect(first).to_be_visible()
    first.get_by_role("button").first.click()
    expect(page.locator(".grid td.chosen").first).to_be_visible()
    keep(page, "check")
    with page.expect_download() as download:
        page.get_by_role("link", name="Marked copy").click()
    assert download.value.suggested_filename == "marked.xlsx"


TYPED = ("Part,Ihold [A],Itrip [A],Vmax [V],Imax [A]\n"
         "QK12-036-30,0.36,0.68,12,40\nQK12-055-30,5.5,1.16,30,40\nQK12-080-24,0.8,1.7,24,40\n")


def test_findings_are_answered_by_keys(site, page: Page, tmp_path: Path) -> None:
    """Each finding shows the cell of the table and the picture of the page it contradicts; `a` takes its
    repair, `x` leaves it; the corrected copy has the repairs taken and nothing else."""
    table = tmp_path / "typed.csv"
    table.write_text(TYPED, encoding="utf-8")
    page.goto(f"{site.address}/check")
    page.set_input_files("#files", table)
    findings = page.locator("#findings li")
    expect(findings.first).to_have_attribute("aria-current", "true")
    expect(page.locator("#proof-place figure")).to_contain_text("quarrowick_qk.pdf, page 1")
    expect(page.locator("#proof svg.heading")).to_be_visible()
    expect(page.locator("#corrected")).to_be_hidden()
    page.keyboard.press("a")
    expect(page.locator(".grid td.mended")).to_have_count(1)
    page.keyboard.press("a")
    expect(page.locator(".grid td.mended")).to_have_count(2)
    page.keyboard.press("k")
    page.keyboard.press("x")
    expect(page.locator("#repairs-say")).to_contain_text("1 of")
    page.keyboard.press("k")
    page.keyboard.press("a")
    keep(page, "check-repairs", whole=True)
    assert violations(page) == []
    with page.expect_download() as download:
        page.get_by_role("link", name="Corrected copy").click()
    path = tmp_path / "out.csv"
    download.value.save_as(path)
    rows = path.read_text(encoding="utf-8").splitlines()
    assert rows[1] == "QK12-036-30,0.36,0.68,30,40"
    assert rows[3] == "QK12-080-24,0.8,1.7,24,40"


def test_lists_print_without_the_screen(site, page: Page) -> None:
    """On paper there are no buttons, no navigation and no scrolling boxes; every row of the list is there."""
    page.goto(f"{site.address}/parts")
    expect(page.locator("#parts tbody tr").first).to_be_visible()
    page.emulate_media(media="print")
    for gone in (".band nav", "#search", ".pages"):
        expect(page.locator(gone)).to_be_hidden()
    assert page.evaluate("document.querySelector('.wide').scrollHeight <= "
                         "document.querySelector('.wide').clientHeight + 1")
    keep(page, "parts-print", whole=True)
    page.goto(f"{site.address}/review?sheet={site.sheet(DISPUTED)}")
    page.locator("#main").wait_for()
    page.emulate_media(media="print")
    expect(page.locator("#sight")).to_be_hidden()
    keep(page, "review-print", whole=True)
    page.emulate_media(media="screen")
    page.goto(f"{site.address}/compare?{urlencode([*demo(), ('unreviewed', 'true')])}")
    expect(page.locator("#ranking tbody tr").first).to_be_visible()
    page.set_viewport_size({"width": 700, "height": 990})
    page.emulate_media(media="print")
    expect(page.locator(".downloads")).to_be_hidden()
    assert page.evaluate("document.querySelector('#ranking').getBoundingClientRect().right <= innerWidth + 1")
    keep(page, "compare-print", whole=True)


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
    page.locator("#silenced summary").click()
    expect(page.locator("#silences li")).to_contain_text("page 2 prints it so")
    keep(page, "check-silences", whole=True)
    assert violations(page) == []
    page.locator("#silences").get_by_role("button", name="Take back").click()
    page.keyboard.type("misread")
    page.keyboard.press("Enter")
    expect(page.locator("#silenced")).to_be_hidden()
    expect(found).to_have_count(1)


def test_a_part_is_drawn_in_the_colours_of_the_page(site, browser: Browser) -> None:
    """In the dark no plot stands on white paper, and on a phone its letters stay as large as they are and no
    number lies outside the window."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, color_scheme="dark")
    page = context.new_page()
    page.goto(f"{site.address}/part?sheet={site.sheet('quarrowick_qk.pdf')}&number=QK12-036-30")
    expect(page.locator("#derating-plot .course.hold").first).to_be_attached()
    expect(page.locator("#time-plot .mark").first).to_be_attached()
    paper = page.locator(".plotted").first.evaluate("one => getComputedStyle(one).backgroundColor")
    assert max(map(int, re.findall(r"\d+", paper)[:3])) < 90
    letter = page.locator("#derating-plot text").first
    assert letter.evaluate("one => one.getBoundingClientRect().height") >= 9
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert overlaps(page, "#numbers tbody tr") == []
    assert violations(page) == []
    keep(page, "part-390-dark", whole=True)
    context.close()


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
        expect(page.locator("tbody tr").first).to_be_attached()
        page.wait_for_load_state("networkidle")
        assert page.locator("img[src=x]").count() == 0
        assert page.title() != "owned"
    page.goto(f"{site.address}/review?sheet={'e' * 64}")
    expect(page.locator("#numbers tbody .raw").first).to_have_text("“0<U+202E>5<U+200B>”")


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
        assert violations(page) == [], name
    context.close()
    if not AXE.is_file():
        pytest.skip("axe-core is not installed (npm install --no-save axe-core); the rest was checked")
