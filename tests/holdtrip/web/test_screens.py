"""Every screen at every width, in light and dark, with sheets as long as real ones; pictures for people."""

from urllib.parse import urlencode

import pytest
from playwright.sync_api import Browser, Page, expect

from holdtrip.web.requirement_form import toml_to_form
from tests.holdtrip.web.browsing import HEIGHT_OF, ROOT, WIDTHS, keep, overlaps, violations
from tests.holdtrip.web.conftest import LONG, SAMPLES, Site

TABLE = ROOT / "docs" / "examples" / "typed_parts.csv"
ASKED = urlencode([*toml_to_form((SAMPLES / "demo_requirement.toml").read_text(encoding="utf-8"), "demo"),
                   ("unreviewed", "true")])


def look_at(page: Page, name: str, rows: str = "") -> None:
    """A screen is kept as a picture; it fits its window, no text lies over another, axe-core is content."""
    page.wait_for_load_state("networkidle")
    keep(page, name)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
    assert not rows or overlaps(page, rows) == [], name
    assert violations(page) == [], name


def review(page: Page, site: Site, end: str) -> None:
    """The question, the numbers, the decisions, what was noticed, a correction, accepting in bulk."""
    page.goto(f"{site.address}/review?sheet={site.sheet(LONG[0].name)}")
    expect(page.locator("#proof image").first).to_be_attached()
    look_at(page, f"screen-question{end}", "#questions li")
    page.locator("#tab-numbers").click()
    look_at(page, f"screen-numbers{end}", "#numbers tbody tr:not([hidden])")
    page.keyboard.press("a")
    page.locator("#tab-steps").click()
    expect(page.locator("#steps li button").first).to_be_visible()
    look_at(page, f"screen-decisions{end}", "#steps li")
    page.locator("#tab-findings").click()
    look_at(page, f"screen-noticed{end}", "#findings li")
    page.locator("#correct").click()
    page.locator("#value").fill("1,85")
    look_at(page, f"screen-correct{end}")
    page.locator("#fix-no").click()
    page.locator("#bulk").click()
    look_at(page, f"screen-bulk{end}")
    page.keyboard.press("Escape")


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_every_screen_at_every_width(long_site: Site, browser: Browser, width: int, look: str) -> None:
    """On a phone, a tablet and a laptop, in light and dark, each screen fits its window, prints no text over
    another and has no violation of accessibility."""
    context = browser.new_context(viewport={"width": width, "height": HEIGHT_OF[width]}, color_scheme=look)
    page, end = context.new_page(), f"-{width}-{look}"
    page.goto(f"{long_site.address}/sheets")
    expect(page.locator("#sheets tbody tr")).to_have_count(len(LONG))
    look_at(page, f"screen-sheets{end}", "#sheets tbody tr")
    page.goto(f"{long_site.address}/parts")
    expect(page.locator("#parts tbody tr").first).to_be_visible()
    look_at(page, f"screen-parts{end}", "#parts tbody tr")
    page.locator("#parts tbody th a").first.click()
    expect(page.locator("#derating-plot svg").first).to_be_visible()
    look_at(page, f"screen-part{end}", "#numbers tbody tr")
    review(page, long_site, end)
    page.goto(f"{long_site.address}/compare?{ASKED}")
    expect(page.locator("#ranking tbody tr").nth(2)).to_be_visible()
    for number in range(3):
        page.locator("#ranking tbody input").nth(number).check()
    expect(page.locator("#bars tbody tr").first).to_be_visible()
    look_at(page, f"screen-compare{end}")
    page.locator("#beside").scroll_into_view_if_needed()
    look_at(page, f"screen-beside{end}")
    page.goto(f"{long_site.address}/check")
    page.set_input_files("#files", TABLE)
    expect(page.locator("#findings li").first).to_be_visible()
    look_at(page, f"screen-check{end}", "#findings li")
    context.close()
