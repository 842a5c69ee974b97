"""A typed table is checked by itself: what is wrong is found at its cell, what is right is left alone."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from extract.checks.codes import TRIP_NOT_ABOVE_HOLD
from extract.checks.suspicions import Suspicion
from extract.errors import InputError
from extract.parts_table import CheckOptions, PartsTable, TableFinding, check_table, finding_to_key
from extract.parts_table.reading import sheets_to_table
from extract.parts_table.records import RawSheet, TableOptions
from extract.parts_table.telling import suspicion_to_finding
from extract.parts_table.typed_parts import table_to_parts
from extract.schema import Quantity, Reading, Severity

Typed = Callable[..., PartsTable]
Rows = list[list[str]]


def grave(table: PartsTable, *sources: Reading) -> list[TableFinding]:
    """Errors and doubts."""
    return [f for f in check_table(table, sources).findings if f.severity is not Severity.NOTE]


def codes_of(*findings: TableFinding) -> set[str]:
    """Codes of findings and of the rules that say the same of their cells."""
    echoes = {word.strip(",") for f in findings for word in f.evidence.partition(": ")[2].split()}
    return {f.code for f in findings} | echoes


def test_a_sound_table_raises_neither_error_nor_doubt(typed: Typed, rows: Rows) -> None:
    """Nothing is wrong with the sound rows."""
    assert grave(typed(rows)) == []


@pytest.mark.parametrize(
    ("row", "column", "text", "code"),
    [
        (3, 1, "5.0", "trip-not-above-hold"),
        (3, 1, "0.05", "trip-hold-ratio"),
        (3, 2, "10.0", "trip-hold-ratio"),
        (3, 8, "2.4", "resistance-order"),
        (3, 8, "240", "value-unusual"),
        (3, 9, "8.0", "resistance-ratio"),
        (3, 9, "-0.80", "value-not-positive"),
        (3, 5, "6.0", "heat-ratio"),
        (3, 3, "602", "footnote-digit"),
        (3, 11, "0.24", "rises-with-ambient"),
        (3, 1, "0.75", "code-current-differs"),
        (3, 2, "0.70", "neighbour-copy"),
        (3, 7, "0.45", "test-current-below-hold"),
    ],
)
def test_a_typing_error_is_found_at_its_row(
    typed: Typed, rows: Rows, row: int, column: int, text: str, code: str
) -> None:
    """Each kind of slip raises its code in the row of the slip, and errors nowhere else."""
    rows[row][column] = text
    findings = grave(typed(rows))
    assert code in codes_of(*(f for f in findings if f.row == row + 1))
    assert {f.row for f in findings if f.severity is Severity.ERROR} <= {row + 1}


def test_the_culprit_is_the_cell_most_rules_share(typed: Typed, rows: Rows) -> None:
    """A hold current ten times too large is found at the hold current, not at the cells it disturbs."""
    rows[3][1] = "5.0"
    assert {f.cell for f in grave(typed(rows)) if f.severity is Severity.ERROR} == {"B4"}


def test_swapped_hold_and_trip_are_named(typed: Typed, rows: Rows) -> None:
    """The likely cause is said where the numbers tell it."""
    rows[3][1], rows[3][2] = rows[3][2], rows[3][1]
    (finding,) = grave(typed(rows))
    assert (finding.code, finding.cell, finding.severity) == ("cells-swapped", "B4", Severity.ERROR)
    assert finding.cause == "hold current and trip current exchanged"
    assert "trip-not-above-hold" in codes_of(finding)
    assert not finding.proposed


def test_a_wrong_test_current_is_found_in_its_own_column(typed: Typed, rows: Rows) -> None:
    """The odd test current is found at its cell, not at the time."""
    rows[3][7] = "8.00"
    assert [(f.code, f.column, f.found) for f in grave(typed(rows))] == [
        ("test-pattern-differs", "at [A]", "8.00")
    ]


@pytest.mark.parametrize("step", [1, -1])
@pytest.mark.parametrize("column", [1, 2, 10, 11, 12, 13])
def test_a_column_shifted_by_one_row_is_one_finding(typed: Typed, rows: Rows, column: int, step: int) -> None:
    """A column put one row too low or too high, its end filled again, is seen as a whole."""
    values = [row[column] for row in rows[1:]]
    moved = [values[0], *values[:-1]] if step == 1 else [*values[1:], values[-1]]
    for row, value in zip(rows[1:], moved, strict=True):
        row[column] = value
    found = [f for f in grave(typed(rows)) if f.code == "column-shifted"]
    assert [f.column for f in found] == [rows[0][column]]
    assert found[0].expected == ("these cells one row higher" if step == 1 else "these cells one row lower")


def test_a_few_wrong_rows_are_no_shifted_column(typed: Typed, rows: Rows) -> None:
    """Three errors of different kinds stay three: moving a column must mend far more than it breaks."""
    rows[3][1], rows[3][2] = rows[3][2], rows[3][1]
    rows[4][9] = "400"
    rows[5][3] = "42"
    codes = codes_of(*grave(typed(rows)))
    assert "column-shifted" not in codes
    assert {"trip-not-above-hold", "heat-ratio", "code-voltage-differs"} <= codes


@pytest.mark.parametrize("column", range(1, 14))
def test_a_cell_put_in_is_seen(typed: Typed, rows: Rows, column: int) -> None:
    """A cell put in at the top of a column leaves a gap there and a number below the last part."""
    moved = ["", *(row[column] for row in rows[1:])]
    rows.append([""] * len(rows[0]))
    for row, value in zip(rows[1:], moved, strict=True):
        row[column] = value
    found = grave(typed(rows))
    assert {f.code for f in found} & {"column-shifted", "cell-empty"}
    assert "row-without-part" in {f.code for f in found if f.row == 9}


def test_a_shifted_row_is_one_finding(typed: Typed, rows: Rows) -> None:
    """A row whose cells stand one column too far left is seen as a whole."""
    rows[4] = [*rows[4][:2], *rows[4][3:10], "", *rows[4][10:]]
    found = grave(typed(rows))
    assert "row-shifted" in {f.code for f in found if f.row == 5}


def test_duplicates(typed: Typed, rows: Rows) -> None:
    """A part typed twice is a doubt, and an error at the cell that differs."""
    again = list(rows[3])
    assert [(f.code, f.row) for f in grave(typed([*rows, again]))] == [("duplicate-row", 9)]
    again[9] = "0.85"
    found = [f for f in grave(typed([*rows, again])) if f.code.startswith("duplicate")]
    assert [(f.code, f.cell, f.expected) for f in found] == [
        ("duplicate-contradicts", "J9", "'0.80' as in row 4")
    ]


def test_milliamperes_that_do_not_end_in_zero(typed: Typed, rows: Rows) -> None:
    """603 among 560, 490, 420 is odd: sheets print hundredths of an ampere."""
    rows[0][11] = "Hold 40 °C [mA]"
    for row in rows[1:]:
        row[11] = f"{float(row[11]) * 1000:.0f}"
    assert grave(typed(rows)) == []
    rows[4][11] = "603"
    assert "odd-digits" in {f.code for f in grave(typed(rows)) if f.row == 5}


def test_the_report_says_what_was_not_checked(typed: Typed, rows: Rows) -> None:
    """It never calls a table clean: it counts what was checked and names the blind spots."""
    report = check_table(typed(rows))
    assert report.checked == ("read: 7 parts in 7 rows below the heading",
                              "84 numbers of 7 rows by the rules for a table alone")
    assert any(gap.what == "time_to_trip cells" for gap in report.unchecked)
    assert any("no sheet given" in gap.why for gap in report.unchecked)


def test_a_silenced_finding_is_counted_not_raised(typed: Typed, rows: Rows) -> None:
    """What a person has accepted is not raised again; another value is."""
    rows[3][3] = "42"
    first = check_table(typed(rows))
    key = finding_to_key(next(f for f in first.findings if "code-voltage-differs" in codes_of(f)))
    assert key == ("rules", "qlm005060", "max_voltage", "42; max_voltage; under 'Vmax [V]'")
    again = check_table(typed(rows), (), CheckOptions(silenced=frozenset({key})))
    assert "code-voltage-differs" not in codes_of(*again.findings)
    assert again.silenced >= 1
    rows[3][3] = "43"
    changed = check_table(typed(rows), (), CheckOptions(silenced=frozenset({key})))
    assert "code-voltage-differs" in codes_of(*changed.findings)


@pytest.mark.parametrize("change", [
    {"what": "max_voltage dc"}, {"what": "hold_current at 85 °C"}, {"column": "Vmax 2 [V]"},
    {"found": "43"}, {"part_number": "QLM-0075-60"}, {"quantity": Quantity.MAX_CURRENT},
])
def test_a_silence_covers_one_statement_and_no_other(
    typed: Typed, rows: Rows, change: dict[str, Any]
) -> None:
    """Kind, ambient, test current, heading, value, part and quantity all belong to what was accepted."""
    rows[3][3] = "42"
    finding = next(f for f in check_table(typed(rows)).findings if f.cell == "D4")
    assert finding_to_key(finding) != finding_to_key(replace(finding, **change))


def test_parts_of_two_sheets_are_joined(tmp_path: Path, rows: Rows) -> None:
    """Ratings on one sheet and derating on another are checked together."""
    import openpyxl

    from extract.parts_table import read_parts_table

    book = openpyxl.Workbook()
    ratings, derating = book.worksheets[0], book.create_sheet("Derating")
    rows[3][10] = "0.85"
    for row in rows:
        cells = [float(t) if t.replace(".", "", 1).isdigit() else t for t in row]
        ratings.append(cells[:10])
        derating.append([cells[0], *cells[10:]])
    book.save(tmp_path / "two.xlsx")
    found = grave(read_parts_table(tmp_path / "two.xlsx"))
    assert {(f.sheet, f.cell) for f in found if f.code.startswith("derating")} == {("Derating", "B4")}


def test_two_sheets_that_contradict_each_other(tmp_path: Path, rows: Rows) -> None:
    """The same number of a part typed differently on two sheets is an error on the second."""
    import openpyxl

    from extract.parts_table import read_parts_table

    book = openpyxl.Workbook()
    first, second = book.worksheets[0], book.create_sheet("Copy")
    for row in rows:
        first.append([float(t) if t.replace(".", "", 1).isdigit() else t for t in row])
    second.append(["Part", "R1max (Ω)"])
    second.append(["QLM-0050-60", 0.8])
    second.append(["QLM-0075-30", 0.44])
    book.save(tmp_path / "two.xlsx")
    found = grave(read_parts_table(tmp_path / "two.xlsx"))
    assert [(f.code, f.sheet, f.cell, f.found) for f in found] == [
        ("duplicate-contradicts", "Copy", "B3", "0.44")
    ]


ODD_TEXTS = st.one_of(
    st.text(max_size=8),
    st.sampled_from(
        ["0", "-1", "1e9", "1e400", "nan", "5 V", "100%", "1.000,5", "=A1", "²", "1 2", "0/0", "1R5"]
    ),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 13), ODD_TEXTS), max_size=12))
def test_any_text_is_read_or_told(
    rows: Rows, source: tuple[Reading, ...], planted: list[tuple[int, int, str]]
) -> None:
    """Whatever stands in the cells, checking ends with findings or one clear error, never otherwise; and
    every finding names a row and a column of the table."""
    texts = [list(row) for row in rows]
    for row, column, text in planted:
        texts[row][column] = text.strip()
    sheet = RawSheet("", tuple(map(tuple, texts)))
    try:
        table = sheets_to_table(Path("odd.csv"), (sheet,), TableOptions())
    except InputError:
        return
    for finding in check_table(table, source).findings:
        assert 1 <= finding.row <= len(texts)
        assert finding.column in {" ".join(c.heading.split()) for c in table.sheets[0].columns}


def test_a_rule_over_two_numbers_may_be_told_with_a_third(typed: Typed, rows: Rows) -> None:
    """The cell at fault, put first by what explains all, need not be one of the rule's own two."""
    told = table_to_parts(typed(rows))
    part = told.parts[0]
    assert part.hold is not None
    assert part.trip is not None
    three = (part.numbers[-1], part.trip, part.hold)
    suspicion = Suspicion(TRIP_NOT_ABOVE_HOLD, Severity.ERROR, part, three, "more", "trip is not above hold")
    finding = suspicion_to_finding(suspicion, told)
    assert (finding.cell, finding.cause) == ("N2", "")
