"""The long table loses nothing and names the cell that is wrong."""

import csv
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.errors import InputError
from extract.long_table import COLUMNS, is_long_table, read_long_table, write_long_table
from extract.schema import Kind, Place, Quantity, Reading, Status

numbers = st.floats(allow_nan=False, allow_infinity=False)
points = st.floats(min_value=0, max_value=5000)
texts = st.text(max_size=20)

readings = st.builds(
    Reading,
    document=texts, sha256=st.text("0123456789abcdef", max_size=64), part_number=texts,
    quantity=st.sampled_from(Quantity), kind=st.sampled_from(Kind),
    ambient_c=st.none() | numbers, test_current_a=st.none() | numbers, value=numbers,
    status=st.sampled_from(Status),
    place=st.builds(Place, st.integers(1, 9999), points, points, points, points),
    raw=texts, unit=texts, notes=st.lists(texts, max_size=3).map(tuple),
)

ONE = Reading("a.pdf", "ab", "QX050", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 0.5, Status.AGREED,
              Place(2, 10.0, 20.0, 30.5, 28.0), "0.50", "A", ("footnote 1",))


@given(st.lists(readings, max_size=5))
def test_round_trip_loses_nothing(rows: list[Reading]) -> None:
    """Reading what was written gives equal records, whatever texts and numbers they hold."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.csv"
        assert write_long_table(rows, path) == len(rows)
        assert read_long_table(path) == tuple(rows)


def test_columns_are_those_other_programs_read(tmp_path: Path) -> None:
    """The agreed columns come first, in the agreed order, with point decimals and SI values."""
    write_long_table([ONE], tmp_path / "long.csv")
    header, row = csv.reader((tmp_path / "long.csv").read_text(encoding="utf-8").splitlines())
    assert tuple(header[: len(COLUMNS)]) == COLUMNS
    assert row[: len(COLUMNS)] == ["a.pdf", "QX050", "hold_current", "", "23", "", "0.5", "agreed",
                                   "2", "10", "20", "30.5", "28", "0.50"]


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-x", "@sum", "\t=1"])
def test_no_text_is_a_formula(tmp_path: Path, text: str) -> None:
    """A printed text that a spreadsheet would calculate is written so that it does not."""
    path = tmp_path / "long.csv"
    write_long_table([Reading(**{**{f: getattr(ONE, f) for f in ONE.__slots__}, "raw": text})], path)
    with path.open(encoding="utf-8", newline="") as file:
        raw = next(csv.DictReader(file))["raw"]
    assert raw == "'" + text
    assert read_long_table(path)[0].raw == text


@pytest.mark.parametrize(
    ("column", "text"),
    [("kind", "maximum"), ("value", "0,5"), ("value", ""), ("value", "nan"), ("ambient_c", "room"),
     ("quantity", "amps"), ("status", "fine"), ("page", "0"), ("page", "1.5"), ("x0", "left"),
     ("notes", "none")],
)
def test_a_wrong_cell_is_named(tmp_path: Path, column: str, text: str) -> None:
    """The error tells file, row, column and what was found."""
    path = tmp_path / "long.csv"
    write_long_table([ONE, ONE], path)
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    rows[1][column] = text
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    with pytest.raises(InputError, match=rf"long\.csv, row 3, column {column}: found '{text}'"):
        read_long_table(path)


def test_a_missing_column_is_named(tmp_path: Path) -> None:
    """A file without a needed column says which one."""
    path = tmp_path / "long.csv"
    path.write_text(",".join(c for c in COLUMNS if c != "status") + "\n", encoding="utf-8")
    with pytest.raises(InputError, match="no column status"):
        read_long_table(path)


def test_a_short_row_is_refused(tmp_path: Path) -> None:
    """A row with fewer cells than the header is not filled up with guesses."""
    path = tmp_path / "long.csv"
    path.write_text(",".join(COLUMNS) + "\na.pdf,QX050\n", encoding="utf-8")
    with pytest.raises(InputError, match="row 2: not as many cells"):
        read_long_table(path)


def test_a_long_table_is_told_from_a_typed_one(tmp_path: Path) -> None:
    """The header row alone tells a long table from a wide one."""
    long, wide = tmp_path / "long.csv", tmp_path / "wide.csv"
    write_long_table([ONE], long)
    wide.write_text("Part,Ihold (A),Itrip (A)\nQX050,0.5,1.0\n", encoding="utf-8")
    assert is_long_table(long)
    assert not is_long_table(wide)
