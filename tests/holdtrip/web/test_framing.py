"""The last mile: a table that was not understood is framed by mouse, its columns named, and read."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from holdtrip.library.records import Action
from holdtrip.library.store import open_library
from tests.holdtrip.web.browsing import keep, violations

SHEET = "quarrowick_qk.pdf"
TABLE = (44.0, 165.0, 548.0, 321.0)
"""Around the table of ratings of page 1 with its heading, in points of the page."""


def counting(site) -> list[dict]:
    """The numbers of page 1 that count."""
    return [one for one in site.review(SHEET)["numbers"]
            if one["place"]["page"] == 1 and one["state"] not in ("replaced", "taken_back")]


def drawn(page: Page, box: tuple[float, float, float, float]) -> None:
    """Draw a frame with the mouse."""
    paper = page.locator(".drawing").bounding_box()
    scale = float(page.evaluate("document.querySelector('.drawing').clientWidth")) / 595.0
    x0, top, x1, bottom = box
    page.mouse.move(paper["x"] + x0 * scale, paper["y"] + top * scale)
    page.mouse.down()
    page.mouse.move(paper["x"] + (x0 + x1) / 2 * scale, paper["y"] + bottom * scale, steps=3)
    page.mouse.move(paper["x"] + x1 * scale, paper["y"] + bottom * scale, steps=3)
    page.mouse.up()


def sent_to_be_framed(serve, page: Page, pdf: Path, rows: list[tuple[str, ...]]):
    """The site to which a sheet in words nobody knows was sent, and opened to be framed."""
    canvas = Canvas(str(pdf), pagesize=A4)
    for row, words in enumerate(rows):
        for column, text in enumerate(words):
            canvas.drawString(80 + 110 * column, A4[1] - 120 - 22 * row, text)
    canvas.save()
    site = serve(filled=False)
    page.goto(f"{site.address}/sheets")
    page.set_input_files("#files", pdf)
    page.get_by_role("button", name="Frame its tables").click()
    return site


def test_a_table_is_framed_by_mouse(half_site, page: Page) -> None:
    """Framed, its heading and columns as the model takes them marked on the page, one of them corrected, the
    end of the heading dragged: it is read, counts as read once, stands in the history, and is taken back
    whole."""
    page.goto(f"{half_site.address}/review?sheet={half_site.sheet(SHEET)}")
    expect(page.locator(".drawing img")).to_be_visible()
    before = counting(half_site)
    assert {one["quantity"] for one in before} == {"hold current"}
    page.keyboard.press("f")
    drawn(page, TABLE)
    expect(page.locator("#framed-columns tbody tr")).to_have_count(10)
    expect(page.locator(".frame-heading")).to_be_visible()
    expect(page.locator(".frame-column[data-meaning=part]")).to_have_count(1)
    held = page.get_by_label("Column 4 holds")
    expect(held).to_have_value("max_voltage dc")
    held.select_option("max_voltage")
    expect(page.get_by_label("Ambient of column 3")).to_have_value("23")
    edge = page.locator(".frame-edge.level").bounding_box()
    page.mouse.move(edge["x"] + 40, edge["y"] + 1)
    page.mouse.down()
    page.mouse.move(edge["x"] + 40, edge["y"] - 2, steps=2)
    page.mouse.up()
    assert violations(page) == []
    keep(page, "review-framed")
    page.get_by_role("button", name="Read this table").click()
    expect(page.locator("#said")).to_contain_text("read from the frame")
    expect(page.locator("#framed")).to_be_hidden()
    found = counting(half_site)
    assert len(found) == 64
    new = [one for one in found if one["quantity"] != "hold current"]
    assert {one["status"] for one in new} == {"single"}
    assert {one["value"] for one in new if one["quantity"] == "max. voltage"} == {60, 30, 24, 16, 8}
    assert all(one["kind"] == "" for one in new if one["quantity"] == "max. voltage")
    first = [one for one in found if one["quantity"] == "hold current"]
    assert {one["number_id"] for one in first} == {one["number_id"] for one in before}  # agreed, so kept
    with open_library(half_site.library) as library:
        last = library.history()[-1]
    assert (last.action, last.who) == (Action.FRAME, "Tester")
    page.locator("#tab-steps").click()
    expect(page.locator("#steps li")).to_contain_text("framed a table on page 1")
    keep(page, "review-framed-read")
    page.locator("#steps").get_by_role("button", name="Take back").click()
    expect(page.locator("#steps li")).to_contain_text("Nothing has been decided")
    assert [one["number_id"] for one in counting(half_site)] == [one["number_id"] for one in before]


def test_a_frame_through_a_word_is_refused(half_site, page: Page) -> None:
    """The line says which word; Esc gives the frame up, and the question is there again."""
    page.goto(f"{half_site.address}/review?sheet={half_site.sheet(SHEET)}")
    expect(page.locator(".drawing img")).to_be_visible()
    page.get_by_role("button", name="Frame a table").click()
    drawn(page, (80.0, *TABLE[1:]))
    expect(page.locator("#said")).to_contain_text("edge runs through “")
    expect(page.locator(".frame-box")).to_have_count(0)
    page.keyboard.press("Escape")
    expect(page.get_by_role("button", name="Frame a table")).to_have_attribute("aria-pressed", "false")
    expect(page.locator("#card")).to_be_visible()


@pytest.mark.parametrize(("change", "words"), [
    ({"columns": [{"x0": 44, "x1": 120, "meaning": "max_voltage", "unit": "V"}]}, "that names the parts"),
    ({"columns": [{"x0": 44, "x1": 120, "meaning": "length"}]}, "the meaning 'length'"),
    ({"columns": [{"x0": 44, "x1": 120, "meaning": "hold_current", "unit": "V"}]}, "the unit 'V'"),
    ({"page": 7}, "page 7"),
])
def test_a_frame_that_means_nothing_is_refused(half_site, change: dict[str, object], words: str) -> None:
    """One line each, and nothing is stored."""
    columns = [{"x0": 44, "x1": 120, "meaning": "part"},
               {"x0": 120, "x1": 160, "meaning": "hold_current", "unit": "A"}]
    sent = {"page": 1, "x0": 44, "top": 165, "x1": 548, "bottom": 321, "heading_bottom": 216,
            "columns": columns}
    answer = half_site.client.post(f"/api/sheets/{half_site.sheet(SHEET)}/frames", json=sent | change)
    assert answer.status_code == 400
    assert words in answer.json()["detail"]
    assert half_site.review(SHEET)["later"] == []


def test_a_file_that_could_not_be_read_is_framed(serve, tmp_path: Path, page: Page) -> None:
    """A page in words nobody knows, without decimals, is refused by the reader; opened by hand it is stored
    without a number, says why, and its table is read as its columns are named."""
    pdf = tmp_path / "unknown.pdf"
    rows = [("Blorn", "Vask", "Tiv"), *((f"ZQ-{n:03d}", str(n), str(2 * n)) for n in (10, 20, 30, 40))]
    site = sent_to_be_framed(serve, page, pdf, rows)
    expect(page.locator("#what")).to_have_text("Nothing was read from this sheet")
    page.keyboard.press("a")
    expect(page.locator("#said")).to_contain_text("frame a table")
    page.locator("#tab-findings").click()
    expect(page.locator("#findings")).to_contain_text("not read by itself")
    expect(page.locator(".drawing img")).to_be_visible()
    keep(page, "review-by-hand")
    assert violations(page) == []
    page.keyboard.press("f")
    drawn(page, (70.0, 100.0, 400.0, 225.0))
    expect(page.locator("#framed-columns tbody tr")).to_have_count(3)
    page.get_by_label("Column 1 holds").select_option("part")
    for number, meaning in ((2, "hold_current"), (3, "trip_current")):
        page.get_by_label(f"Column {number} holds").select_option(meaning)
        page.get_by_label(f"Unit of column {number}").select_option("mA")
        page.get_by_label(f"Ambient of column {number}").fill("23")
    page.get_by_role("button", name="Read this table").click()
    expect(page.locator("#said")).to_contain_text("8 numbers read from the frame")
    numbers = site.review("unknown.pdf")["numbers"]
    assert ("ZQ-020", "trip current", 0.04) in {
        (one["part_number"], one["quantity"], one["value"]) for one in numbers}
    assert {one["state"] for one in numbers} <= {"single", "disputed"}
    expect(page.locator("#card")).not_to_have_attribute("inert", "")


def test_parts_side_by_side_are_framed_by_mouse(serve, tmp_path: Path, page: Page) -> None:
    """Rows are named where the person says that parts stand side by side; ambients are offered from the
    labels. A second frame around the column of one part takes its name from the page. No number is typed."""
    pdf = tmp_path / "beside.pdf"
    rows = [("Blorn", "ZQ-010", "ZQ-020"), ("Vask 23 °C", "10 A", "20 A"), ("Vask 60 °C", "6 A", "12 A"),
            ("Tiv", "60 V", "60 V")]
    site = sent_to_be_framed(serve, page, pdf, rows)
    expect(page.locator(".drawing img")).to_be_visible()
    page.keyboard.press("f")
    drawn(page, (70.0, 105.0, 400.0, 200.0))
    expect(page.locator("#framed")).to_be_visible()
    page.get_by_label("Parts stand").select_option("beside")
    expect(page.locator("#framed-columns tbody tr")).to_have_count(4)
    expect(page.get_by_label("Row 1 holds")).to_have_value("part")
    for number, ambient in ((2, "23"), (3, "60")):
        page.get_by_label(f"Row {number} holds").select_option("hold_current")
        expect(page.get_by_label(f"Ambient of row {number}")).to_have_value(ambient)
    page.get_by_label("Row 4 holds").select_option("max_voltage")
    assert violations(page) == []
    keep(page, "review-framed-turned")
    page.get_by_role("button", name="Read this table").click()
    expect(page.locator("#said")).to_contain_text("6 numbers read from the frame")
    numbers = site.review("beside.pdf")["numbers"]
    found = {(one["part_number"], one["quantity"], one["value"]) for one in numbers}
    assert ("ZQ-020", "hold current", 12) in found
    assert len(found) == 6
    page.keyboard.press("f")
    drawn(page, (70.0, 127.0, 240.0, 200.0))
    expect(page.locator("#framed")).to_be_visible()
    page.get_by_label("Parts stand").select_option("beside")
    page.get_by_label("named").select_option("ZQ-010")
    expect(page.locator(".frame-column[data-meaning=part]")).to_have_count(0)
