"""The stages of the new reader on small invented grids: ink, separators, meanings, names."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.cells.ink import Line, content_to_ink
from extract.cells.regions import Region
from extract.cells.separators import region_to_columns
from extract.joined.part_names import label_to_parts, may_name_a_part, text_to_name
from extract.meanings.assign import Candidate, candidates_to_assigned
from extract.meanings.words import Meaning
from extract.page import Glyph, PageContent, Rule

SIZE, WIDTH = 10.0, 5.0


def text_glyphs(text: str, x: float, y: float) -> list[Glyph]:
    """Letters of 5 points each, 10 high."""
    return [Glyph(c, x + n * WIDTH, y, x + (n + 1) * WIDTH, y + SIZE, SIZE) for n, c in enumerate(text)]


def grid_content(rows: list[list[tuple[float, str]]], verticals: tuple[Rule, ...] = ()) -> PageContent:
    """A page with rows 14 points apart; each cell is (x, text)."""
    glyphs = [g for n, row in enumerate(rows) for x, text in row for g in text_glyphs(text, x, 100 + 14 * n)]
    return PageContent(1, 600, 800, 0, tuple(glyphs), (), verticals)


def content_to_columns(content: PageContent) -> list[tuple[float, float]]:
    """Ink extents of the columns of all lines of a page."""
    lines: tuple[Line, ...] = content_to_ink(content).lines
    columns = region_to_columns(Region(lines, (), 0, 600), content.verticals)
    return [(column.x0, column.x1) for column in columns]


def test_columns_three_points_apart_stay_apart() -> None:
    """Numbers of neighbouring columns are never joined, however close: a channel is a fact about all rows."""
    rows = [[(50.0, "AB-0100"), (88.0, "16"), (101.0, "100"), (119.0, "1.5")] for _ in range(4)]
    assert len(content_to_columns(grid_content(rows))) == 4


def test_a_unit_behind_its_number_is_no_column() -> None:
    """A lone unit between two separators is not a column: "10 A" stays one cell."""
    rows = [[(50.0, "AB-0100"), (100.0, "10"), (114.0, "A"), (150.0, "0.5")] for _ in range(4)]
    assert len(content_to_columns(grid_content(rows))) == 3


def test_two_values_that_a_sign_joins_stay_one_cell() -> None:
    """ "8.0 A / 0.3 s" is one cell of two values."""
    rows = [[(50.0, "AB-0100"), (100.0, "8.0A"), (124.0, "/"), (133.0, "0.3s")] for _ in range(4)]
    assert len(content_to_columns(grid_content(rows))) == 2


def test_a_rule_parts_what_would_be_one_text() -> None:
    """A drawn rule is evidence enough between two words."""
    rows = [[(50.0, "AB"), (64.0, "red"), (100.0, "0.5")] for _ in range(4)]
    assert len(content_to_columns(grid_content(rows))) == 2
    assert len(content_to_columns(grid_content(rows, (Rule(62.0, 90, 160),)))) == 3


HOLD = (0.1, 0.2, 0.5, 1.1, 2.0)


def column(index: int, base: str, values: tuple[float, ...], head: str = "") -> Candidate:
    """A column without words."""
    return Candidate(index, 0, head, base, values)


def test_units_and_physics_name_columns_without_a_word() -> None:
    """Trip is twice hold; the largest current is far above both; resistance after a trip above the least.

    Source of the ratios: published vendor tables (extract/meanings/priors.toml)."""
    assigned = candidates_to_assigned(
        [
            column(1, "A", HOLD),
            column(2, "A", tuple(2.0 * h for h in HOLD)),
            column(3, "V", (30.0,) * 5),
            column(4, "A", (40.0,) * 5),
            column(5, "ohm", tuple(0.3 / h for h in HOLD)),
            column(6, "ohm", tuple(1.2 / h for h in HOLD)),
        ]
    )
    meanings = [a.meaning for a in assigned]
    assert meanings[:2] == [Meaning.HOLD, Meaning.TRIP]
    assert meanings[4:] == [Meaning.R_MIN, Meaning.R_POST]


def test_words_against_numbers_leave_a_small_lead() -> None:
    """Headings of hold and trip exchanged: physics speaks against them, so the lead shrinks."""
    trip = tuple(2.0 * h for h in HOLD)
    sound = candidates_to_assigned([column(1, "A", HOLD, "Ihold"), column(2, "A", trip, "Itrip")])
    swapped = candidates_to_assigned([column(1, "A", HOLD, "Itrip"), column(2, "A", trip, "Ihold")])
    assert min(a.lead for a in swapped) < min(a.lead for a in sound)


@given(st.floats(0.3, 3.0), st.floats(1.9, 2.2))
def test_hold_and_trip_are_told_at_any_size(scale: float, ratio: float) -> None:
    """The ratio tells them at any usual size, whichever column stands first."""
    hold = tuple(scale * h for h in HOLD)
    trip = tuple(ratio * h for h in hold)
    meanings = {
        a.candidate.series: a.meaning
        for a in candidates_to_assigned([column(1, "A", trip), column(2, "A", hold)])
    }
    assert math.isclose(trip[0] / hold[0], ratio)
    assert (meanings[2], meanings[1]) == (Meaning.HOLD, Meaning.TRIP)


@pytest.mark.parametrize("text", ["16 100 1.5", "0.50", "60 V", "-40", "-40 °C", "1.5 A", "1", "–", "100%"])
def test_values_never_name_a_part(text: str) -> None:
    """A part number is never made of values, units or temperatures."""
    assert not may_name_a_part(text)


@pytest.mark.parametrize("text", ["AB-010", "QX1812L050/60", "ZK 2 015", "0050"])
def test_codes_may_name_a_part(text: str) -> None:
    """Letters with digits, or a code of four digits, may name a part."""
    assert may_name_a_part(text)


PARTS = ("AB-010/60", "AB-020/60", "AB-110/30", "AC-110/30")


@pytest.mark.parametrize(
    ("label", "names"),
    [
        ("AB-020/60", ("AB-020/60",)),
        ("AB-010/60 … AB-110/30", PARTS[:3]),
        ("AB-010, AC-110", ("AB-010/60", "AC-110/30")),
        ("AB", PARTS[:3]),
        ("020", ("AB-020/60",)),
        ("QQ-7", ()),
    ],
)
def test_labels_are_joined_to_parts(label: str, names: tuple[str, ...]) -> None:
    """A label names a part, a range, a list, a series by its beginning, or a part by its code."""
    assert label_to_parts(label, PARTS).names == names


def test_footnote_marks_are_no_part_of_a_name() -> None:
    """Marks behind a part number are taken off; hyphens are made one."""
    assert text_to_name("AB‑010²⁾*") == "AB-010"
