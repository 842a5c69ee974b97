"""The account: every printed number is read, doubted, or not read with a reason. Samples and small sheets."""

from __future__ import annotations

import csv
import re
from collections import Counter, defaultdict
from collections.abc import Callable
from pathlib import Path

import pytest

from extract.account.atoms import atom_to_value, is_number
from extract.account.build import NUMBERS_NOT_READ, rows_to_counts
from extract.schema import AccountRow, Fate, Place, SheetReading
from extract.sheet import ReadOptions, read_sheet
from holdtrip.account_file import sheets_to_account_line, write_account

QUICK = ReadOptions(second_reading=False)
SAMPLES = Path(__file__).parents[2] / "sample_tables"
ABOVE = ["Resettable fuses. All ratings at 23 °C in still air."]
RATINGS = [
    ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Pd typ. (W)", "Rmin (Ω)", "R1max (Ω)"),
    ("TQ050", "0.50", "1.00", "24", "0.8", "0.150", "0.700"),
    ("TQ075", "0.75", "1.50", "24", "0.9", "0.090", "0.400"),
    ("TQ110", "1.10", "2.20", "16", "1.0", "0.050", "0.200"),
]


@pytest.mark.parametrize(
    ("text", "is_one"),
    [("0.50", True), ("-40", True), ("85°C", True), ("1.60±0.15", True), ("10/100", True), ("100mA", True),
     ("0.35*", True), ("(23)", True), ("158%", True), ("TQ050", False), ("R1max", False), ("IEC60127", False),
     ("max.", False), ("-", False)],
)
def test_what_counts_as_a_number(text: str, is_one: bool) -> None:
    """A number may carry a sign, a unit, a mark; a code that begins with a letter is a name."""
    assert is_number(text) is is_one


def test_the_value_of_a_piece_of_text() -> None:
    """The first number, point or comma."""
    values = [atom_to_value(text) for text in ("0,35", "1,000.5", "-40°C", "max")]
    assert values == [0.35, 1000.5, -40.0, None]


def test_every_plain_number_of_the_samples_is_in_the_account(
    sample_readings: dict[str, SheetReading],
) -> None:
    """Conservation, counted by another library: each plain number that pdfplumber's own word finder sees on
    an accounted page stands in the account, once for each time it is printed."""
    import pdfplumber

    for name, sheet in sample_readings.items():
        pages: dict[int, Counter[str]] = defaultdict(Counter)
        for row in sheet.account:
            pages[row.place.page].update(re.findall(r"\d+(?:\.\d+)?", row.raw))
        with pdfplumber.open(SAMPLES / name) as pdf:
            for number, own in pages.items():
                page = pdf.pages[number - 1]
                if page.rotation or any(f.code == "hidden-text" for f in sheet.findings):
                    continue
                words = page.extract_words(x_tolerance=1, extra_attrs=["upright", "size"])
                seen = Counter(w["text"] for w in words
                               if w["upright"] and re.fullmatch(r"\d+\.\d+", w["text"]))
                missing = seen - own
                assert not missing, f"{name} page {number}: {missing}"


def test_what_was_read_is_read_in_the_account(sample_readings: dict[str, SheetReading]) -> None:
    """Each reading of a table stands over a number of the account that is read or doubted."""
    for name, sheet in sample_readings.items():
        taken = [row for row in sheet.account if row.fate is not Fate.NOT_READ]
        for reading in sheet.readings:
            inside = [row for row in taken if _is_in(row, reading.place)]
            assert inside, f"{name}: {reading.part_number} {reading.quantity} {reading.raw}"


def _is_in(row: AccountRow, place: Place) -> bool:
    x, y = (row.place.x0 + row.place.x1) / 2, (row.place.top + row.place.bottom) / 2
    inside = place.x0 - 2 <= x <= place.x1 + 2 and place.top - 2 <= y <= place.bottom + 2
    return row.place.page == place.page and inside


def test_every_number_has_one_fate_and_a_reason_if_it_was_not_read(
    sample_readings: dict[str, SheetReading],
) -> None:
    """The sum over fates and reasons is the number of rows; nothing is left without a reason."""
    for sheet in sample_readings.values():
        assert rows_to_counts(sheet.account).total() == len(sheet.account)
        assert all(row.reason for row in sheet.account if row.fate is Fate.NOT_READ)


def test_dimensions_are_named_and_an_unknown_table_is_a_finding(make_sheet: Callable[..., Path]) -> None:
    """Below a ratings table: columns nobody knows are not understood, with a finding that counts them."""
    further = [(f"{n}.7", "3000") for n in (1, 2, 3)]
    rows = [(*RATINGS[0], "Zorl", "Qty"), *((*a, *b) for a, b in zip(RATINGS[1:], further, strict=True))]
    sheet = read_sheet(make_sheet(rows, ABOVE), QUICK)
    counts = rows_to_counts(sheet.account)
    assert counts["not_understood"] == 3
    assert counts["packaging"] == 3
    told = [f for f in sheet.findings if f.code == NUMBERS_NOT_READ]
    assert len(told) == 1
    assert told[0].message.startswith("3 numbers")
    assert told[0].place is not None


def test_a_sheet_of_another_kind_accounts_for_its_numbers_too(make_sheet: Callable[..., Path]) -> None:
    """Nothing is read from fuse-links, and every number says so."""
    rows = [("Type", "Rated current (A)", "Max. voltage (V)", "Cold resistance typ. (Ω)", "Power max. (W)"),
            ("GF-0063", "0.063", "250", "12.4", "1.6"), ("GF-0100", "0.10", "250", "5.8", "1.6")]
    above = ["Cartridge fuse-links, quick-acting, to IEC 60127-2", "Hold current: none. Pre-arcing I²t."]
    sheet = read_sheet(make_sheet(rows, above), QUICK)
    assert {row.reason for row in sheet.account} == {"other_part_kind"}


def test_the_account_as_a_file_and_as_a_line(tmp_path: Path, make_sheet: Callable[..., Path]) -> None:
    """The file has one row for each printed number in the columns others read; the line sums them."""
    sheet = read_sheet(make_sheet(RATINGS, ABOVE), QUICK)
    path = tmp_path / "account.csv"
    assert write_account([sheet], path) == len(sheet.account)
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert ",".join(rows[0]) == "document,page,x0,top,x1,bottom,raw,fate,reason,cause"
    assert Counter(row["fate"] for row in rows) == {"read": 19}
    assert sheets_to_account_line([sheet]) == "19 numbers: 19 read"
