"""Which lines of a framed table are one row: no half part number, no lost row, no number of another."""

from itertools import pairwise
from pathlib import Path

import pytest

from extract.framed.frames import Frame, FrameColumn, Role
from extract.framed.tables import document_to_framed
from extract.schema import Quantity, Reading, Status
from tests.extract.framed.test_other_layouts import DAY, HOLD, PART, drawn

TRIP = FrameColumn(260, 340, Role.VALUE, Quantity.TRIP_CURRENT, unit="A", ambient_c=23.0)
FRAME = Frame(1, (70, 85, 300, 290), 106, (PART, HOLD))
WIDER = Frame(1, (70, 85, 340, 290), 106, (PART, HOLD, TRIP))
HEAD = [(80.0, 100.0, "Blorn"), (170.0, 100.0, "Vask")]
ENDS = ("050", "060", "070")
Texts = list[tuple[float, float, str]]


def read(folder: Path, texts: Texts, frame: Frame = FRAME, rules: tuple[float, ...] = ()) -> tuple[
        list[tuple[str, float, bool]], tuple[str, ...]]:
    """Part, value and whether it is in doubt, row by row; and what was not read."""
    table = document_to_framed(drawn(folder, [*HEAD, *texts], rules), frame, DAY)
    return [_said(one) for one in table.readings], table.not_read


def _said(one: Reading) -> tuple[str, float, bool]:
    return one.part_number, one.value, one.status is Status.DISPUTED


@pytest.mark.parametrize("pitch", [24.0, 30.0, 40.0])
@pytest.mark.parametrize("level", [0.0, 5.5, 11.0])
def test_a_name_in_two_lines_is_whole_wherever_its_value_stands(
    tmp_path: Path, pitch: float, level: float
) -> None:
    """The value stands beside the first line of the name, the last, or between both: where a hyphen says
    that the name goes on, it is read whole and surely."""
    texts: Texts = []
    for n, end in enumerate(ENDS):
        top = 120 + n * pitch
        texts += [(80, top, "ZQ30-"), (80, top + 11, end), (170, top + level, f"0.{5 + n} A")]
    found, lost = read(tmp_path, texts)
    assert found == [("ZQ30-050", 0.5, False), ("ZQ30-060", 0.6, False), ("ZQ30-070", 0.7, False)]
    assert lost == ()


@pytest.mark.parametrize("pitch", [22.0, 24.0, 40.0])
@pytest.mark.parametrize("level", [0.0, 5.5, 11.0])
def test_a_name_in_two_lines_without_a_hyphen_is_a_doubt(tmp_path: Path, pitch: float, level: float) -> None:
    """Nothing says to which row a text above or below it belongs: no number of these rows is sure."""
    texts: Texts = []
    for n, end in enumerate(ENDS):
        top = 120 + n * pitch
        texts += [(80, top, "ZQ30"), (80, top + 11, end), (170, top + level, f"0.{5 + n} A")]
    found, _ = read(tmp_path, texts)
    assert found
    assert all(doubt for _, _, doubt in found)


def test_half_a_name_beside_a_number_is_never_sure(tmp_path: Path) -> None:
    """Two numbers of one part in two lines, its name in both: neither half of the name is a part."""
    texts: Texts = [(80, 120, "ZQ30-"), (170, 120, "0.5 A"), (80, 131, "050"), (270, 131, "1.7 A"),
                    (80, 160, "ZQ40-060"), (170, 160, "0.6 A"), (270, 160, "1.8 A"),
                    (80, 190, "ZQ40-070"), (170, 190, "0.7 A"), (270, 190, "1.9 A")]
    found, _ = read(tmp_path, texts, WIDER)
    assert {name for name, _, doubt in found if not doubt} == {"ZQ40-060", "ZQ40-070"}


@pytest.mark.parametrize("word", ["-", "n/a", "–"])
def test_a_row_whose_value_is_a_mark_of_none_is_a_row(tmp_path: Path, word: str) -> None:
    """It is no rest of the name above it: the part above keeps its name and its number."""
    texts: Texts = [(80, 120, "ZQ30-050"), (170, 120, "0.50 A"), (80, 140, "ZQ30-060"), (170, 140, word)]
    assert read(tmp_path, texts, rules=(106.0, 250.0)) == ([("ZQ30-050", 0.5, False)], ())
    close: Texts = [(80, 120, "ZQ30/"), (170, 120, "0.5 A"), (80, 132, "ZQ40"), (170, 132, word),
                    (80, 150, "ZQ41"), (170, 150, "0.7 A"), (80, 170, "ZQ42"), (170, 170, "0.8 A")]
    found, lost = read(tmp_path, close)
    assert [name for name, _, _ in found] == ["ZQ30/", "ZQ41", "ZQ42"]
    assert lost == ()


def test_a_row_whose_value_is_a_word_is_named_as_not_read(tmp_path: Path) -> None:
    """Its part stands in no other row's name; where it stands so close that it could be the rest of the name
    above, that is a doubt there."""
    texts: Texts = [(80, 120, "ZQ30"), (170, 120, "0.5 A"), (80, 132, "ZQ40"), (170, 132, "rolm"),
                    (80, 150, "ZQ41"), (170, 150, "0.7 A"), (80, 170, "ZQ42"), (170, 170, "0.8 A")]
    found, lost = read(tmp_path, texts)
    assert found == [("ZQ30", 0.5, True), ("ZQ41", 0.7, False), ("ZQ42", 0.8, False)]
    assert lost == ("ZQ40: “rolm” is no number",)


def test_a_number_without_a_part_is_never_the_part_s_above(tmp_path: Path) -> None:
    """One part named, numbers of two lines in different columns: they may be of two parts. So may a number
    that stands nameless and close below a row."""
    texts: Texts = [(80, 120, "ZQ30-050"), (170, 120, "0.50 A"), (270, 140, "1.7 A")]
    found, _ = read(tmp_path, texts, WIDER, (106.0, 250.0))
    assert [value for _, value, _ in found] == [0.5, 1.7]
    assert all(doubt for _, _, doubt in found)
    more: Texts = [(80, 120, "ZQ30"), (170, 120, "0.5 A"), (170, 131, "0.4 A"),
                   (80, 160, "ZQ41"), (170, 160, "0.7 A"), (80, 190, "ZQ42"), (170, 190, "0.8 A")]
    found, lost = read(tmp_path, more)
    assert found == [("ZQ30", 0.5, True), ("ZQ41", 0.7, False), ("ZQ42", 0.8, False)]
    assert lost == ("“0.4 A” stands in a row without a part number",)


def test_a_unit_below_its_number_is_read_with_it(tmp_path: Path) -> None:
    """A number is never read in another unit than the one printed in the line below it."""
    texts: Texts = []
    for n, end in enumerate(ENDS):
        top = 120.0 + n * 30
        texts += [(80, top, "ZQ30-"), (170, top, f"{500 + n}"), (80, top + 11, end), (170, top + 11, "mA")]
    found, _ = read(tmp_path, texts)
    assert found == [("ZQ30-050", 0.5, False), ("ZQ30-060", 0.501, False), ("ZQ30-070", 0.502, False)]


def test_a_title_between_rows_at_their_distance_is_of_no_row(tmp_path: Path) -> None:
    """A line of text as far from the rows as they are from each other names no part and casts no doubt."""
    tops = [120.0 + 20 * n for n in range(5)]
    assert {b - a for a, b in pairwise(tops)} == {20.0}
    names = ("ZQ30", "ZQ31", "Radial types", "ZQ41", "ZQ42")
    texts: Texts = [(80, top, name) for top, name in zip(tops, names, strict=True)]
    texts += [(170, top, "0.5 A") for top, name in zip(tops, names, strict=True) if name.startswith("ZQ")]
    found, _ = read(tmp_path, texts)
    assert found == [(name, 0.5, False) for name in names if name.startswith("ZQ")]
