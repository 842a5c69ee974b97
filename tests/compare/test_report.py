"""The decision record: everything a reviewer needs, on one page, hostile texts harmless."""

from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest

from compare.cautions import requirement_to_cautions
from compare.plots_drawing import Label, drawing_to_svg
from compare.ranking import Ranking, parts_to_ranking
from compare.report import ranking_to_html
from compare.report_content import ranking_to_record
from compare.report_pdf import ranking_to_pdf
from compare.requirement import Requirement
from extract.schema import Finding, Part, Place, Severity, Status

HOSTILE = '<script>alert("x")</script>&'


@pytest.fixture
def ranking(make_part: Callable[..., Part], make_requirement: Callable[..., Requirement],
            row_a: dict[float, float]) -> Ranking:
    """One part that fits, one that fails, one that cannot be told."""
    parts = [make_part("FITS-1", ratios=row_a, power_max=0.9), make_part("FAILS-1", hold=0.2, ratios=row_a),
             make_part("UNSURE-1", ratios=row_a, max_current=0.0)]
    return parts_to_ranking(parts, make_requirement(
        title="A lamp of our own", ambient_cold_c=0.0, ambient_hot_c=40.0, voltage_drop_max_v=0.3,
        allow_model=True))


class Tags(HTMLParser):
    """Which elements a page has, and which addresses it refers to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.addresses: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Remember an element."""
        self.tags.add(tag)
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href")]


def pdf_text(path: Path) -> list[str]:
    """Text of each page, spaces for line breaks, read by another library than the one that wrote it."""
    document = pypdfium2.PdfDocument(path)
    try:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    finally:
        document.close()


def test_the_page_stands_alone(ranking: Ranking) -> None:
    """No script, nothing loaded from elsewhere."""
    page = Tags(ranking_to_html(ranking))
    assert "script" not in page.tags
    assert "link" not in page.tags
    assert page.addresses == []


def test_the_page_says_what_the_ranking_says(ranking: Ranking) -> None:
    """Best part, verdicts, margins with source page, other parts, requirement, cautions. The datasheet of
    the best part is named once, not for every number."""
    page = ranking_to_html(ranking)
    best = ranking.candidates[0]
    assert best.part_number == "FITS-1"
    for words in ("A lamp of our own", "FITS-1", "FAILS-1", "UNSURE-1", "invented.pdf", ">p. 2 ",
                  "normal_current_a", "Sources by page", "page 2", "responsible engineer"):
        assert words in page
    assert "invented.pdf p. 2" not in page
    for caution in requirement_to_cautions(ranking.requirement):
        assert caution.text.replace("'", "&#39;").replace('"', "&#34;") in page


@pytest.mark.parametrize(("status", "words"), [(Status.AGREED, "have NOT been reviewed by a person"),
                                               (Status.ACCEPTED, "have been reviewed by a person")])
def test_the_record_tells_whether_a_person_has_seen_its_numbers(
    ranking: Ranking, status: Status, words: str, tmp_path: Path
) -> None:
    """A verdict on numbers that only programs have read must say so, in HTML and in PDF."""
    parts = [replace(one.part, readings=tuple(replace(read, status=status) for read in one.part.readings))
             for one in ranking.candidates]
    judged = parts_to_ranking(parts, ranking.requirement)
    ranking_to_pdf(judged, tmp_path / "record.pdf")
    said = ranking_to_record(judged).reviewed
    assert words in said
    assert said in ranking_to_html(judged)
    assert said in " ".join(" ".join(pdf_text(tmp_path / "record.pdf")).split())
    assert "3 parts compared: 1 fits, 1 fails, 1 undetermined" in ranking_to_html(judged)


def test_plots_are_sound_drawings(ranking: Ranking) -> None:
    """Each is well-formed SVG that says in words what it shows; the need and every margin are labelled."""
    record = ranking_to_record(ranking)
    assert len(record.plots) == 2
    for plot in record.plots:
        root = ElementTree.fromstring(drawing_to_svg(plot))
        assert root.get("aria-label") == plot.says
        for shape in plot.shapes:
            if isinstance(shape, Label):
                assert 0.0 <= shape.x <= plot.width
                assert 0.0 <= shape.y <= plot.height
    labels = {shape.text for shape in record.plots[0].shapes if isinstance(shape, Label)}
    assert "must hold 0.4 A" in labels


def test_hostile_texts_are_shown_not_obeyed(
    make_part: Callable[..., Part], make_requirement: Callable[..., Requirement], tmp_path: Path
) -> None:
    """Markup in part number, document, printed text, title and finding stays text, here and in the PDF."""
    part = make_part(HOSTILE)
    evil = replace(part, document=HOSTILE, readings=tuple(
        replace(reading, raw=HOSTILE, document=HOSTILE) for reading in part.readings))
    found = parts_to_ranking([evil], replace(make_requirement(), title=HOSTILE))
    finding = Finding("code", Severity.DOUBT, HOSTILE, document=HOSTILE, place=Place(3, 0, 0, 1, 1))
    page = ranking_to_html(found, [finding])
    assert "script" not in Tags(page).tags
    assert "<script" not in page
    ranking_to_pdf(found, tmp_path / "out.pdf", [finding])
    assert '<script>alert("x")</script>&' in pdf_text(tmp_path / "out.pdf")[0]


def test_control_characters_break_neither_page_nor_pdf(
    make_part: Callable[..., Part], make_requirement: Callable[..., Requirement], tmp_path: Path
) -> None:
    """What no file may hold is shown as replaced."""
    found = parts_to_ranking([make_part("A\x00\ud800\x1bB")], make_requirement())
    assert "A\ufffd\ufffd\ufffdB" in ranking_to_html(found)
    ranking_to_html(found).encode("utf-8")
    ranking_to_pdf(found, tmp_path / "out.pdf")
    assert len(pdf_text(tmp_path / "out.pdf")) == 1


def test_the_pdf_is_one_page_and_says_the_same(ranking: Ranking, tmp_path: Path) -> None:
    """Read back by another library: one page with part, verdict, every margin and every caution."""
    ranking_to_pdf(ranking, tmp_path / "out.pdf")
    pages = pdf_text(tmp_path / "out.pdf")
    assert len(pages) == 1
    record = ranking_to_record(ranking)
    for words in (record.part_number, "FITS", record.title, "UNSURE-1", "reviewer"):
        assert words in pages[0]
    for line in record.margins:
        assert line.value in pages[0]


def test_a_long_record_stays_on_one_page(ranking: Ranking, tmp_path: Path) -> None:
    """Many notes and findings make the print smaller, not longer."""
    notes = ("a long note " * 12,) * 25
    long = replace(ranking, requirement=replace(ranking.requirement, preset_notes=notes))
    ranking_to_pdf(long, tmp_path / "out.pdf")
    assert len(pdf_text(tmp_path / "out.pdf")) == 1


def test_the_same_ranking_gives_the_same_bytes(ranking: Ranking, tmp_path: Path) -> None:
    """Writing the record again changes nothing, so that a filed copy can be compared."""
    ranking_to_pdf(ranking, tmp_path / "one.pdf")
    ranking_to_pdf(ranking, tmp_path / "two.pdf")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
    assert ranking_to_html(ranking) == ranking_to_html(ranking)


def test_without_a_fitting_part_the_gap_is_said(
    make_part: Callable[..., Part], make_requirement: Callable[..., Requirement]
) -> None:
    """The record of a comparison that nothing fits says what is missing."""
    found = parts_to_ranking([make_part(hold=0.2, trip=0.5)], make_requirement())
    assert "No part fits" in ranking_to_html(found)
    assert "more hold" in ranking_to_html(found)


def test_without_parts_there_is_still_a_record(
    make_requirement: Callable[..., Requirement], tmp_path: Path
) -> None:
    """An empty comparison is said to be empty."""
    empty = Ranking(make_requirement(), ())
    assert "No parts were given" in ranking_to_html(empty)
    ranking_to_pdf(empty, tmp_path / "out.pdf")
    assert "No parts were given" in pdf_text(tmp_path / "out.pdf")[0]


@pytest.mark.parametrize("cold_c", [0.0, -10.0])
def test_a_zero_is_stated_too(
    make_part: Callable[..., Part], make_requirement: Callable[..., Requirement], cold_c: float
) -> None:
    """The coldest ambient of 0 °C stands in the record: 0.0 == False once hid it."""
    ranking = parts_to_ranking([make_part()], make_requirement(ambient_cold_c=cold_c))
    asked = {field.name: field for field in ranking_to_record(ranking).asked}
    assert asked["ambient_cold_c"].value == f"{cold_c:g} °C"
    assert asked["ambient_cold_c"].words == "ambient cold"


def test_the_record_says_how_the_fault_currents_came_about(
    make_part: Callable[..., Part], make_requirement: Callable[..., Requirement]
) -> None:
    """10 V over 1.6 and 0.4 ohm are 5 A, 12 V over 0.3 and 0.1 ohm 30 A; each assumption stands by its
    margin."""
    requirement = make_requirement(
        fault_current_min_a="", fault_current_max_a="", source_resistance_min_ohm=0.3,
        source_resistance_max_ohm=1.6, supply_voltage_min_v=10.0, voltage_drop_max_v=0.9)
    record = ranking_to_record(parts_to_ranking([make_part()], requirement))
    said = " ".join(record.circuit)
    of_both = "ohm of source and wiring and"
    assert f"lowest fault current 5 A: 10 V over 1.6 {of_both} 0.4 ohm of the part after a trip" in said
    assert f"highest fault current 30 A: 12 V over 0.3 {of_both} 0.1 ohm of the part as delivered" in said
    assert "typical power 0.8 W" in said
    drop = next(line for line in record.margins if "drop" in line.title)
    assert any("warm part" in text for text in drop.assumed)


def test_a_part_without_numbers_gets_no_sentence_on_its_tripped_state(
    make_part: Callable[..., Part], make_requirement: Callable[..., Requirement]
) -> None:
    """Nothing is told about a part that no number of its sheet supports."""
    bare = make_part(power_typ=0, time=None, r_min=0, r_1max=0)
    record = ranking_to_record(parts_to_ranking([bare], make_requirement()))
    assert len(record.circuit) == 2
    assert not any("leak" in text or "I²t" in text for text in record.circuit)
