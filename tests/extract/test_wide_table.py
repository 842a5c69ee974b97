"""The wide table reads as people read tables, loses nothing and names the cell that is wrong."""

import csv
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.errors import InputError
from extract.schema import Kind, Place, Quantity, Reading, Status
from extract.wide_table import is_wide_table, read_wide_table, write_wide_table

numbers = st.floats(allow_nan=False, allow_infinity=False)
few = st.sampled_from([None, -40.0, 23.0, 1e-7, 85.5])
texts = st.text(max_size=12)
readings = st.builds(
    Reading, document=texts, sha256=st.sampled_from(["ab", "cd"]),
    part_number=st.sampled_from(["A", "=B", "*"]),
    quantity=st.sampled_from(Quantity), kind=st.sampled_from(Kind), ambient_c=few, test_current_a=few,
    value=numbers, status=st.sampled_from(Status),
    place=st.builds(Place, st.integers(0, 9999), numbers, numbers, numbers, numbers),
    raw=texts, unit=texts, notes=st.lists(texts, max_size=3).map(tuple))

HOLD = Reading("a.pdf", "ab", "QX050", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 0.5, Status.AGREED,
               Place(2, 10.0, 20.0, 30.5, 28.0), "0.50", "A", ("footnote 1",))
OHM = replace(HOLD, quantity=Quantity.RESISTANCE, kind=Kind.POST_TRIP_MAX, ambient_c=None, value=0.4)
TIME = replace(HOLD, quantity=Quantity.TIME_TO_TRIP, ambient_c=None, test_current_a=8.0, value=0.02)


@given(st.lists(readings, max_size=8))
def test_round_trip_loses_nothing(rows: list[Reading]) -> None:
    """Reading what was written gives equal records, competing ones too, in the order of the columns."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "wide.csv"
        parts = {(one.document, one.sha256, one.part_number) for one in rows}
        assert write_wide_table(rows, path) == len(parts)
        assert Counter(read_wide_table(path)) == Counter(rows)


def test_columns_read_as_in_the_trade(tmp_path: Path) -> None:
    """One row for each part; quantity, limit, condition and SI unit in the heading; values with points."""
    path = tmp_path / "wide.csv"
    other = replace(HOLD, part_number="QX110", value=1.1)
    write_wide_table([TIME, OHM, HOLD, replace(HOLD, value=0.52), other], path)
    header, first, second = csv.reader(path.read_text(encoding="utf-8").splitlines())
    assert header[:8] == ["document", "part_number", "hold_current 23 °C [A]", "hold_current 23 °C [A] (2)",
                          "resistance post_trip_max [ohm]",
                          "time_to_trip at its current [s] test current [A]",
                          "time_to_trip at its current [s]", "sha256"]
    assert first[:8] == ["a.pdf", "QX050", "0.5", "0.52", "0.4", "8", "0.02", "ab"]
    assert second[:8] == ["a.pdf", "QX110", "1.1", "", "", "", "", "ab"]
    assert is_wide_table(path)


def test_parts_tested_at_their_own_currents_share_a_column(tmp_path: Path) -> None:
    """Forty parts tested at five times their own hold current need one pair of columns, not forty."""
    path = tmp_path / "wide.csv"
    rows = [replace(TIME, part_number=f"QX{n:03}", test_current_a=n / 4) for n in range(1, 41)]
    write_wide_table(rows, path)
    header = next(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    assert sum(name.startswith("time_to_trip") for name in header) == 3  # current, time, and where from
    assert read_wide_table(path) == tuple(rows)


def test_a_table_of_an_earlier_version_is_read(tmp_path: Path) -> None:
    """A heading that names its test current still means it."""
    path = tmp_path / "wide.csv"
    write_wide_table([TIME], path)
    text = path.read_text(encoding="utf-8").replace("time_to_trip at its current [s] test current [A],", "")
    path.write_text(text.replace("at its current", "at 8 A").replace("QX050,8,", "QX050,"), encoding="utf-8")
    assert read_wide_table(path) == (TIME,)


def test_a_typed_table_is_no_wide_table(tmp_path: Path) -> None:
    """It has no column that says where a number is from."""
    path = tmp_path / "typed.csv"
    path.write_text("part_number,Ihold (A)\nQX050,0.5\n", encoding="utf-8")
    assert not is_wide_table(path)
    with pytest.raises(InputError, match="no column document, sha256"):
        read_wide_table(path)


@pytest.mark.parametrize(("old", "new", "found"), [
    (",0.5,", ",0;5,", r"row 2, column hold_current 23 °C \[A\]: found '0;5'"),
    (",0.5,", ",nan,", "row 2, column hold_current"), (",0.5,", ",,", "row 2, column hold_current"),
    ("agreed", "sure", "row 2, column hold_current"), ("[A]", "[mA]", "row 1: the column 'hold_current 23"),
    ("23 °C", "warm °C", "row 1: the column 'hold_current warm"), ("a.pdf,", "a.pdf,,", "row 2: 6 cells"),
    ("[A] from", "[A] of", "row 1: columns hold_current")])
def test_what_is_wrong_is_named(tmp_path: Path, old: str, new: str, found: str) -> None:
    """File, row, column, what was found and what belongs there."""
    path = tmp_path / "wide.csv"
    write_wide_table([HOLD], path)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=rf"wide\.csv, {found}"):
        read_wide_table(path)


@pytest.mark.parametrize("text", ["=1+1", "@sum", "-x"])
def test_no_text_is_a_formula(tmp_path: Path, text: str) -> None:
    """A part number that a spreadsheet would calculate is written so that it does not."""
    path = tmp_path / "wide.csv"
    write_wide_table([replace(HOLD, part_number=text)], path)
    assert f",'{text}," in path.read_text(encoding="utf-8")
    assert read_wide_table(path)[0].part_number == text
