"""A chart that is a picture on the review page: its scale marked by clicks or typed, its lines given out."""

from __future__ import annotations

import io
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Page, expect

from extract.sheet import read_sheet
from holdtrip.library.records import Action
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from tests.extract.charts.drawing import PAGE
from tests.extract.charts.test_calibrated import X_MARKS, Y_MARKS, without_numbers
from tests.extract.charts.test_painted_charts import pictured
from tests.holdtrip.web.browsing import keep, violations
from tests.holdtrip.web.conftest import SAMPLES, Serve, Site

TABLES = SAMPLES / "copplestow_cps.pdf"
NAME = "with_picture.pdf"


@pytest.fixture(scope="module")
def painted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with a sheet of two pages and a third with a chart as a picture without numbers."""
    folder = tmp_path_factory.mktemp("painted")
    picture = pictured(folder / "picture.pdf", without_numbers, 160.0).source
    both = pypdfium2.PdfDocument(TABLES)
    both.import_pages(pypdfium2.PdfDocument(picture))
    data = io.BytesIO()
    both.save(data)
    (folder / NAME).write_bytes(data.getvalue())
    path = folder / "team.sqlite"
    with open_library(path) as library:
        reading = read_sheet(folder / NAME)
        library.import_sheet(reading, "Ann")
        library_to_files(str(path)).keep(folder / NAME, reading.sha256)
    return path


@pytest.fixture
def picture_site(serve: Serve, painted: Path) -> Site:
    return serve(over=painted)


def marks(which: str) -> list[dict[str, float]]:
    """The two marks of an axis as they are sent."""
    own = X_MARKS if which == "x" else Y_MARKS
    return [{"at": at, "value": value} for at, value in zip(own.places, own.values, strict=True)]


def test_marked_lines_wait_for_a_part_and_are_never_agreed(picture_site: Site) -> None:
    """The lines of the picture come as disputed curves of no part; marks beside every picture are refused."""
    sheet = picture_site.sheet(NAME)
    sent = {"page": 3, "chart": "time_to_trip", "x": marks("x"), "y": marks("y"), "who": "Ann"}
    told = picture_site.client.post(f"/api/sheets/{sheet}/pictures", json=sent).json()
    own = [one for one in told if one["page"] == 3]
    assert [(one["part_number"], one["state"]) for one in own] == [("?", "disputed")] * 3
    again = picture_site.client.post(f"/api/sheets/{sheet}/pictures", json=sent).json()
    assert len(again) == len(told)
    assert (
        picture_site.client.post(f"/api/sheets/{sheet}/pictures", json={**sent, "page": 1}).status_code == 400
    )
    with open_library(picture_site.library) as library:
        assert library.history()[-1].action is Action.CALIBRATE


def test_two_clicks_on_each_axis_read_the_picture(picture_site: Site, page: Page) -> None:
    """Two marks are clicked, two typed by keyboard alone; a line is given to a part; axe-core is silent."""
    page.goto(f"{picture_site.address}/review?sheet={picture_site.sheet(NAME)}")
    page.locator("#tab-curves").click()
    expect(page.locator("#drawn")).to_be_visible()
    with page.expect_response("**/pages/3.png*"):
        page.locator("#tabs button", has_text="Page 3").click()
    page.locator("#marks summary").click()
    for index, mark in enumerate(marks("x"), 1):
        page.locator(f"#marks-x{index}-value").fill(f"{mark['value']:g}")
        page.locator(f"[data-mark=x{index}]").click()
        box = page.locator("#sight .drawing").bounding_box()
        assert box is not None
        scale = box["width"] / PAGE[0]
        place = {"x": mark["at"] * scale, "y": 300 * scale}
        page.locator("#sight .drawing").click(position=place)
        typed = float(page.locator(f"#marks-x{index}-at").input_value())
        assert abs(typed - mark["at"]) < 1.0
    for index, mark in enumerate(marks("y"), 1):
        page.locator(f"#marks-y{index}-value").press_sequentially(f"{mark['value']:g}")
        page.locator(f"#marks-y{index}-at").press_sequentially(f"{mark['at']:.2f}")
    page.locator("#marks-x-scale").select_option("log")
    page.locator("#marks-y-scale").select_option("usual")
    keep(page, "calibrating")
    page.locator("#marks-y2-at").press("Enter")
    expect(page.locator(".drawn-lines .seen")).to_have_count(3, timeout=60_000)
    keep(page, "calibrated")
    page.locator(".drawn-lines .taken").nth(0).dispatch_event("click")
    page.locator("#drawn-part").select_option("CPS050")
    page.locator("#drawn-reason").fill("the legend says so")
    page.get_by_role("button", name="Give it to this part").click()
    expect(page.locator("#drawn-says")).to_contain_text("CPS050")
    assert violations(page) == []
