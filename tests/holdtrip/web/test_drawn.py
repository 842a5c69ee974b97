"""The drawn curves of a datasheet on the review page: over their chart in place, decided on by a click."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from extract.sheet import read_sheet
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from tests.holdtrip.web.browsing import keep, violations
from tests.holdtrip.web.conftest import SAMPLES, Serve, Site

CHARTED = SAMPLES / "copplestow_cps.pdf"


@pytest.fixture(scope="module")
def charted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with a sheet that draws trip times."""
    path = tmp_path_factory.mktemp("charted") / "team.sqlite"
    with open_library(path) as library:
        reading = read_sheet(CHARTED)
        library.import_sheet(reading, "Ann")
        library_to_files(str(path)).keep(CHARTED, reading.sha256)
    return path


@pytest.fixture
def chart_site(serve: Serve, charted: Path) -> Site:
    return serve(over=charted)


def test_every_curve_is_told_with_its_line_on_the_page(chart_site: Site) -> None:
    """Each vertex stands within the chart's frame on its page, and as many as were read."""
    sheet = chart_site.sheet(CHARTED.name)
    curves = chart_site.client.get(f"/api/sheets/{sheet}/curves").json()
    assert len(curves) == 8
    for one in curves:
        place = one["place"]
        assert len(one["line"]) > 4
        for x, y in one["line"]:
            assert place["x0"] - 3 <= x <= place["x1"] + 3
            assert place["top"] - 3 <= y <= place["bottom"] + 3


def test_a_label_is_given_to_another_part_with_a_reason_only(chart_site: Site) -> None:
    """Without a reason it is refused in one line; with one the curve counts for the other part."""
    sheet = chart_site.sheet(CHARTED.name)
    curve = chart_site.client.get(f"/api/sheets/{sheet}/curves").json()[0]
    sent = {"curve_id": curve["curve_id"], "action": "label", "part_number": "CPS030", "who": "Ann"}
    assert chart_site.client.post(f"/api/sheets/{sheet}/curves", json=sent).status_code == 400
    told = chart_site.client.post(f"/api/sheets/{sheet}/curves", json={**sent, "reason": "seen"}).json()
    assert (told["part_number"], told["state"], told["decided_by"]) == ("CPS030", "corrected", "Ann")
    other = {**sent, "curve_id": 999, "reason": "seen"}
    assert chart_site.client.post(f"/api/sheets/{sheet}/curves", json=other).status_code == 400


def test_a_click_on_a_curve_takes_it_and_its_label_is_corrected(chart_site: Site, page: Page) -> None:
    """The lines lie over the chart; a click takes one and opens their list, a part and a reason correct its
    label, a button accepts another; nothing is wrong by axe-core."""
    page.goto(f"{chart_site.address}/review?sheet={chart_site.sheet(CHARTED.name)}")
    expect(page.locator("#tab-curves")).to_have_text("Curves 8")
    expect(page.locator("#drawn")).to_be_hidden()
    with page.expect_response("**/pages/2.png*"):
        page.locator("#tabs button", has_text="Page 2").click()
    expect(page.locator(".drawn-lines .seen")).to_have_count(8)
    page.locator(".drawn-lines .taken").nth(3).dispatch_event("click")
    expect(page.locator("#drawn-says")).to_contain_text("CPS075")
    expect(page.locator("#tabs button", has_text="Page 2")).to_have_attribute("aria-pressed", "true")
    keep(page, "drawn_curves")
    page.locator("#drawn-part").select_option("CPS050")
    page.locator("#drawn-reason").fill("the arrow points there")
    page.get_by_role("button", name="Give it to this part").click()
    expect(page.locator("#drawn-says")).to_contain_text("CPS050")
    expect(page.locator("#drawn-says")).to_contain_text("corrected by Tester")
    page.locator("#drawn-which").select_option(index=0)
    page.get_by_role("button", name="Accept curve").click()
    expect(page.locator("#drawn-says")).to_contain_text("accepted by Tester")
    assert violations(page) == []
