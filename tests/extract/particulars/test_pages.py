"""What a page says beside the ratings: runs in, particulars out."""

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

import extract.page
from extract.lines import Run, Word
from extract.particulars.reel_lines import runs_to_reeled
from extract.particulars.said_lines import runs_to_said
from extract.particulars.sheet_particulars import runs_to_sizes
from extract.schema import ParticularName, Status
from extract.sheet import ReadOptions, read_sheet

SAMPLES = Path(__file__).parents[3] / "sample_tables"

LINE = 12.0


def run(text: str, x0: float, line: float) -> Run:
    """A run of 8 pt whose words stand 4.4 pt for each character; `line` counts down the page."""
    words, x = [], x0
    for word in text.split(" "):
        words.append(Word(word, x, x + 4.4 * len(word)))
        x += 4.4 * (len(word) + 1)
    top = 100.0 + LINE * line
    return Run(text, x0, top, words[-1].x1, top + 8.0, 8.0, (), tuple(words))


def row(line: float, *cells: tuple[float, str]) -> list[Run]:
    """A row of cells, each centred at its x."""
    return [run(text, x - 2.2 * len(text), line) for x, text in cells]


def said(runs: Sequence[Run]) -> set[tuple[str, str, float | None, str]]:
    """Name, kind, value and text of everything said."""
    return {
        (one.name.value, one.value.kind.value, one.value.value, one.value.text) for one in runs_to_said(runs)
    }


def test_a_value_right_of_its_label() -> None:
    """Label and value as two runs of one line."""
    page = [run("Operating temperature", 50, 0), run("-40 °C to +85 °C", 220, 0)]
    assert said(page) == {
        ("operating_temperature", "min", -40.0, ""),
        ("operating_temperature", "max", 85.0, ""),
    }


def test_a_label_without_its_value_takes_no_other_labels() -> None:
    """Operating temperature stands alone; the storage range below it belongs to storage only."""
    page = [
        run("Operating temperature", 50, 0),
        run("Storage temperature", 50, 1),
        run("0 °C to 40 °C", 220, 1),
    ]
    assert {name for name, *_ in said(page)} == {"storage_temperature"}


def test_the_heading_of_a_derating_table_is_no_range() -> None:
    """ "Ambient operating temperature" over -40 °C, -20 °C ... names no operating temperature."""
    page = [
        run("Ambient operating temperature", 50, 0),
        *row(1, (60, "-40 °C"), (120, "-20 °C"), (180, "0 °C")),
    ]
    assert said(page) == set()


def test_pending_is_said_of_the_agencies_of_its_clause() -> None:
    """UL is approved, CSA and TÜV are pending."""
    found = {
        (one.label, one.value.text)
        for one in runs_to_said([run("UL approved, CSA & TUV approval pending.", 50, 0)])
    }
    assert found == {("CSA", "pending"), ("TÜV", "pending")}


class Counted(tuple[Run, ...]):
    """Runs that count how often one of them is handed out."""

    handed = 0

    def __iter__(self) -> Iterator[Run]:
        for one in super().__iter__():
            Counted.handed += 1
            yield one


def test_a_page_of_many_texts_is_no_more_than_its_share_of_work() -> None:
    """2,000 texts are looked through a few times over, not once for each of them; the line below a broken
    label is still found."""
    many = [run(f"{place}", 300 + 20 * (place % 12), 3 + place // 12) for place in range(2_000)]
    label = [run("Operating", 50, 0), run("temperature", 50, 1), run("-40 °C to +85 °C", 220, 1)]
    Counted.handed = 0
    found = {one.name for one in runs_to_said(Counted((*label, *many)))}
    assert found == {ParticularName.OPERATING_TEMPERATURE}
    assert Counted.handed < 20 * len(many)


def test_a_page_is_taken_apart_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What an import looks for beside the ratings it finds on the page as the ratings were read from it."""
    taken, once = Counter[int](), extract.page.page_to_objects

    def counted(page: Any) -> Any:
        taken[page.page_number] += 1
        return once(page)

    monkeypatch.setattr("extract.page.page_to_objects", counted)
    sheet = read_sheet(SAMPLES / "quarrowick_qk.pdf", ReadOptions(second_reading=False, particulars=True))
    assert sheet.particulars
    assert set(taken.values()) == {1}


def test_not_recommended_for_soldering_is_no_status() -> None:
    """Only the set phrases are a status of the part."""
    page = [run("Wave soldering is not recommended", 50, 0), run("Not recommended for new designs", 50, 3)]
    assert [one.name for one in runs_to_said(page)] == [ParticularName.LIFECYCLE]


def sizes_page(title: str, *rows: list[Run]) -> list[Run]:
    """A table of two letters with min and max under a title."""
    head = [*row(2, (140, "A"), (260, "B")), *row(3, (110, "Min"), (170, "Max"), (230, "Min"), (290, "Max"))]
    return [run(title, 50, 0), *head, *(one for line in rows for one in line)]


NUMBERS = ((110, "4.37"), (170, "4.73"), (230, "3.07"), (290, "3.41"))
INCHES = ((110, "(0.172)"), (170, "(0.186)"), (230, "(0.121)"), (290, "(0.134)"))


def test_sizes_agree_with_their_inches() -> None:
    """1 in = 25.4 mm exactly (international yard and pound agreement, 1959): both say one length."""
    found = runs_to_sizes(
        sizes_page("Dimensions, mm (inches)", row(4, (50, "XY010"), *NUMBERS), row(5, *INCHES)),
        ["XY010", "XY020"],
    )
    assert [(s.part_number, s.leaf.letter, s.leaf.kind.value, s.value_mm) for s in found] == [
        ("XY010", "A", "min", 4.37),
        ("XY010", "A", "max", 4.73),
        ("XY010", "B", "min", 3.07),
        ("XY010", "B", "max", 3.41),
    ]
    assert {s.status for s in found} == {Status.AGREED}


def test_inches_that_say_another_length_dispute_it() -> None:
    """4.37 mm beside 0.192 in: one of them is misprinted."""
    wrong = ((110, "(0.192)"), *INCHES[1:])
    found = runs_to_sizes(
        sizes_page("Dimensions, mm (inches)", row(4, (50, "XY010"), *NUMBERS), row(5, *wrong)),
        ["XY010", "XY020"],
    )
    assert [s.status for s in found] == [Status.DISPUTED, *[Status.AGREED] * 3]
    assert "not the same length" in found[0].notes[0]


def test_sizes_of_tape_and_pads_are_none_of_the_part() -> None:
    """The same table under "Tape dimensions" or "Recommended pad layout dimensions" gives nothing."""
    for title in ("Tape dimensions (mm)", "Recommended pad layout, dimensions in mm"):
        assert runs_to_sizes(sizes_page(title, row(4, (50, "XY010"), *NUMBERS)), ["XY010", "XY020"]) == []


def test_sizes_without_a_unit_are_not_read() -> None:
    """4.37 of what? Absent, not guessed."""
    assert runs_to_sizes(sizes_page("Dimensions", row(4, (50, "XY010"), *NUMBERS)), ["XY010", "XY020"]) == []


def test_a_row_of_an_unknown_part_is_left_out() -> None:
    """A part the ratings do not list gets no sizes."""
    assert (
        runs_to_sizes(sizes_page("Dimensions (mm)", row(4, (50, "ZZ999"), *NUMBERS)), ["XY010", "XY020"])
        == []
    )


def test_a_number_between_two_columns_spoils_its_row() -> None:
    """A number that stands under no heading: the row is not read rather than read wrong."""
    shifted = ((110, "4.37"), (140, "4.73"), (230, "3.07"), (290, "3.41"))
    assert (
        runs_to_sizes(sizes_page("Dimensions (mm)", row(4, (50, "XY010"), *shifted)), ["XY010", "XY020"])
        == []
    )


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("XY010 through XY030 = 1500 pcs. per reel", ["XY010", "XY020", "XY030"]),
        ("XY010, XY030: 2,000 pcs per reel", ["XY010", "XY030"]),
        ("XY010, 020 = 1500 pcs. per reel", []),
        ("XY030 through XY010 = 1500 pcs. per reel", []),
        ("ZZ010 = 1500 pcs. per reel", []),
        ("7 inch reel, 8 mm tape", []),
    ],
)
def test_quantities_per_reel(text: str, named: list[str]) -> None:
    """A range follows the order of the sheet; shortened, unknown or reversed numbers give nothing."""
    found = runs_to_reeled([run(text, 50, 0)], ["XY010", "XY020", "XY030", "XY040"])
    assert [one.part_number for one in found] == named


def test_the_unit_is_that_of_the_tables_own_title() -> None:
    """Tape sizes in mm stand just above a table in inches: 0.172 in is 4.369 mm, never 0.172 mm."""
    page = sizes_page("Dimensions (inches)", row(4, (50, "XY010"), (110, "0.172"), (170, "0.186"),
                                                 (230, "0.121"), (290, "0.134")))
    page += [run("Tape dimensions (mm)", 50, -3), run("Pitch (mm)", 50, -2)]
    found = runs_to_sizes(sorted(page, key=lambda one: one.top), ["XY010", "XY020"])
    assert [one.value_mm for one in found] == [4.3688, 4.7244, 3.0734, 3.4036]


def test_two_units_beside_a_title_without_one_are_none() -> None:
    """"Dimensions", and both mm and inches near it: not read."""
    page = sizes_page("Dimensions", row(4, (50, "XY010"), *NUMBERS))
    page += [run("(mm)", 300, 1), run("(inches)", 350, 1)]
    assert runs_to_sizes(sorted(page, key=lambda one: one.top), ["XY010", "XY020"]) == []


def test_the_first_column_of_a_wide_table_is_not_lost() -> None:
    """Min of A stands 90 pt left of its letter: four sizes, not three."""
    head = [*row(2, (190, "A"), (450, "B")), *row(3, (100, "Min"), (280, "Max"), (360, "Min"), (540, "Max"))]
    numbers = row(4, (40, "XY010"), (100, "4.37"), (280, "4.73"), (360, "3.07"), (540, "3.41"))
    found = runs_to_sizes([run("Dimensions (mm)", 50, 0), *head, *numbers], ["XY010", "XY020"])
    assert [one.value_mm for one in found] == [4.37, 4.73, 3.07, 3.41]
