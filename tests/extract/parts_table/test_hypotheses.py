"""One mistake is one finding: slips that touch many cells are told once, with what their repair settles."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from extract.parts_table import PartsTable, TableFinding, check_table
from extract.schema import Kind, Quantity, Reading, Severity

Typed = Callable[..., PartsTable]
Rows = list[list[str]]
Source = tuple[Reading, ...]
RATINGS = range(1, 14)


def grave(table: PartsTable, source: Source = ()) -> list[TableFinding]:
    """Errors and doubts."""
    return [f for f in check_table(table, source).findings if f.severity is not Severity.NOTE]


def slide(rows: Rows, first: int, last: int, step: int) -> None:
    """Put the cells of some rows one row lower (1) or higher (-1); the part numbers stay."""
    before = [list(row) for row in rows]
    for n in range(first, last + 1):
        rows[n][1:] = before[n - step][1:]


@pytest.mark.parametrize(("first", "step"), [(3, 1), (2, 1), (1, -1), (2, -1)])
def test_rows_that_slid_are_one_finding_against_the_sheet(
    typed: Typed, rows: Rows, source: Source, first: int, step: int
) -> None:
    """All cells from some row on stand beside the wrong parts: one finding names them and their number."""
    slide(rows, first, 7 if step == 1 else 6, step)
    (finding,) = grave(typed(rows), source)
    assert (finding.code, finding.severity) == ("rows-slid", Severity.ERROR)
    assert f"one row {'lower' if step == 1 else 'higher'}" in finding.message
    assert finding.evidence.startswith("settles ")
    assert len(finding.cells) > 20
    assert (finding.page, finding.document) == (2, "qlm.pdf")


@pytest.mark.parametrize("step", [1, -1])
def test_rows_that_slid_are_seen_alone(typed: Typed, rows: Rows, step: int) -> None:
    """The codes of the part numbers tell, wherever the block stands."""
    slide(rows, 2, 7 if step == 1 else 6, step)
    assert [f.code for f in grave(typed(rows)) if f.severity is Severity.ERROR] == ["rows-slid"]


@pytest.mark.parametrize("step", [1, -1])
@pytest.mark.parametrize("column", [1, 2, 6, 8, 9, 11])
def test_a_column_that_slid_is_one_finding(
    typed: Typed, rows: Rows, source: Source, column: int, step: int
) -> None:
    """One column stands a row too low or too high against the sheet."""
    before = [row[column] for row in rows]
    for n in range(2, 7):
        rows[n][column] = before[n - step]
    codes = [f.code for f in grave(typed(rows), source)]
    assert codes.count("column-shifted") == 1
    assert len(codes) <= 2


def test_cells_one_column_aside_are_one_finding(typed: Typed, rows: Rows, source: Source) -> None:
    """A cell was left out and the rest of the row moved left."""
    rows[4] = [*rows[4][:2], *rows[4][3:10], "", *rows[4][10:]]
    (finding,) = grave(typed(rows), source)
    assert (finding.code, finding.row, finding.column) == ("row-shifted", 5, "I trip [A]")
    assert finding.changes[0] == ("C5", "")


@pytest.mark.parametrize(("column", "factor"), [(8, 1000), (9, 1000), (5, 1000), (1, 1000), (6, 1000)])
def test_a_wrong_unit_is_one_finding_at_the_heading(
    typed: Typed, rows: Rows, source: Source, column: int, factor: int
) -> None:
    """Milliohm under Ohm: one finding, not one for each row."""
    for row in rows[1:]:
        row[column] = f"{float(row[column]) * factor:g}"
    found = grave(typed(rows), source)
    assert [(f.code, f.row, f.column) for f in found] == [("heading-unit", 1, rows[0][column])]
    assert found[0].evidence == "settles 7 of 7 differences"


@pytest.mark.parametrize(("one", "other"), [(1, 2), (8, 9), (3, 4), (11, 12), (5, 9)])
def test_exchanged_headings_are_one_finding(
    typed: Typed, rows: Rows, source: Source, one: int, other: int
) -> None:
    """Two headings stand over each other's column."""
    rows[0][one], rows[0][other] = rows[0][other], rows[0][one]
    codes = [f.code for f in grave(typed(rows), source)]
    assert codes.count("headings-swapped") == 1
    assert len(codes) <= 2


def test_a_heading_that_says_another_limit_is_told(typed: Typed, rows: Rows, source: Source) -> None:
    """The column headed R max holds the smallest resistances; the sheet gives no largest."""
    rows[0][8] = "R max [Ohm]"
    found = grave(typed(rows), source)
    assert [(f.code, f.column) for f in found] == [("heading-kind", "R max [Ohm]")]
    assert "resistance min" in found[0].expected


def test_a_limit_is_told_by_two_different_numbers(typed: Typed, rows: Rows, source: Source) -> None:
    """Powers of a series are often alike: typed as typical, where the sheet gives the largest only."""
    named = {row[0]: n for n, row in enumerate(rows)}
    powers = [n for n, heading in enumerate(rows[0]) if "W" in heading]
    readings = []
    for reading in source:
        if reading.quantity is Quantity.TRIPPED_POWER:
            value = 0.5 if named[reading.part_number] % 2 else 0.6
            rows[named[reading.part_number]][powers[0]] = str(value)
            reading = replace(reading, value=value, raw=str(value), kind=Kind.MAX)
        readings.append(reading)
    rows[0][powers[0]] = "Tripped power typ [W]"
    found = [f for f in grave(typed(rows), tuple(readings)) if f.code == "heading-kind"]
    assert [f.expected for f in found] == ["tripped_power max"]


def test_a_lost_sign_of_one_heading_is_told(typed: Typed, source: Source) -> None:
    """The numbers below are those the sheet gives below zero."""
    cold = tuple(replace(r, ambient_c=-40.0, value=r.value * 1.5) for r in source
                 if r.quantity is Quantity.HOLD_CURRENT and r.ambient_c == 23.0)
    table = typed([["Part", "Ihold [A]", "Hold 40 °C [A]"],
                   *([r.part_number, f"{r.value / 1.5:g}", f"{r.value:g}"] for r in cold)])
    found = [f for f in grave(table, (*source, *cold)) if f.code.startswith("heading")]
    assert [(f.code, f.expected) for f in found] == [("heading-sign", "-40 °C")]


@pytest.mark.parametrize("typed_as", ["58", "84", "55"])
def test_a_wrong_temperature_of_a_heading_is_told(
    typed: Typed, rows: Rows, source: Source, typed_as: str
) -> None:
    """The sheet has no such temperature; it gives the numbers below at one that no heading says."""
    rows[0][13] = f"Hold {typed_as} °C [A]"
    found = [f for f in grave(typed(rows), source) if f.code != "ambients-disordered"]
    assert [(f.code, f.cell, f.expected) for f in found] == [("heading-ambient", "N1", "85 °C")]


def test_a_unit_shared_by_wrong_columns_is_one_finding_alone(typed: Typed, rows: Rows) -> None:
    """Both resistance columns hold milliohm under Ohm: no ratio between them shows it, the heat does."""
    for row in rows[1:]:
        row[8], row[9] = (f"{float(text) * 1000:g}" for text in row[8:10])
    found = [f for f in grave(typed(rows)) if f.severity is Severity.ERROR]
    assert [(f.code, f.column) for f in found] == [("heading-unit", "Rmin [Ohm]")]
    assert "of 2 columns times 0.001" in found[0].message


def test_exchanged_part_numbers_are_one_finding(typed: Typed, rows: Rows, source: Source) -> None:
    """Two rows have each other's part number."""
    rows[2][0], rows[5][0] = rows[5][0], rows[2][0]
    (finding,) = grave(typed(rows), source)
    assert (finding.code, finding.row, finding.column) == ("rows-swapped", 3, "Part no.")
    assert finding.changes == (("A3", "QLM-0035-60"), ("A6", "QLM-0110-30"))


@pytest.mark.parametrize(("one", "other"), [(2, 3), (4, 6), (3, 6)])
def test_exchanged_part_numbers_are_seen_alone(typed: Typed, rows: Rows, one: int, other: int) -> None:
    """Both part numbers agree with the other row's hold and trip current, and with none of their own."""
    rows[one][0], rows[other][0] = rows[other][0], rows[one][0]
    found = [f for f in grave(typed(rows)) if f.severity is Severity.ERROR]
    assert [(f.code, f.row) for f in found] == [("rows-swapped", one + 1)]


def test_a_line_of_another_part_is_one_finding(typed: Typed, rows: Rows, source: Source) -> None:
    """From some column on the row has the numbers of the next part."""
    rows[3][8:] = rows[4][8:]
    (finding,) = grave(typed(rows), source)
    assert (finding.code, finding.row) == ("row-of-other-part", 4)
    assert "'QLM-0075-30'" in finding.message


def test_two_slips_at_once_are_two_findings(typed: Typed, rows: Rows, source: Source) -> None:
    """A repair is taken, then the rest is looked at again."""
    rows[0][1], rows[0][2] = rows[0][2], rows[0][1]
    rows[3][9] = "0.85"
    assert [f.code for f in grave(typed(rows), source)] == ["headings-swapped", "source-differs"]


def test_a_value_the_sheet_prints_keeps_no_doubt(typed: Typed, rows: Rows, source: Source) -> None:
    """What a rule doubts and the sheet prints exactly so is a note that says so."""
    odd = tuple(replace(r, value=1.27, raw="1.27") if r.part_number == "QLM-0110-30"
                and r.quantity is Quantity.HOLD_CURRENT and r.ambient_c == 23.0 else r for r in source)
    rows[5][1] = "1.27"
    assert grave(typed(rows)) != []
    report = check_table(typed(rows), odd)
    assert [f for f in report.findings if f.severity is not Severity.NOTE] == []
    assert any("the sheet prints it so" in f.message for f in report.findings)


def test_a_disputed_neighbour_refutes_and_confirms_nothing(typed: Typed, rows: Rows, source: Source) -> None:
    """No repair is claimed from readings that are disputed."""
    from extract.schema import Status

    doubtful = tuple(replace(r, status=Status.DISPUTED) if r.kind is Kind.MIN else r for r in source)
    for row in rows[1:]:
        row[8] = f"{float(row[8]) * 1000:g}"
    codes = {f.code for f in grave(typed(rows), doubtful)}
    assert "source-disputed" in codes
    assert not any(f.evidence.startswith("settles") for f in grave(typed(rows), doubtful))


@pytest.mark.parametrize(("column", "text", "cause"), [
    (1, "5.0", "decimal point"), (9, "800", "unit slip"), (9, "-0.80", "sign"),
])
def test_alone_one_slip_that_silences_all_is_the_cause(
    typed: Typed, rows: Rows, column: int, text: str, cause: str
) -> None:
    """One finding at the cell, with the slip whose undoing leaves no rule to complain."""
    rows[3][column] = text
    (finding,) = grave(typed(rows))
    assert (finding.row, finding.column, finding.severity) == (4, rows[0][column], Severity.ERROR)
    assert cause in finding.cause
    assert finding.evidence.startswith("silences ")


def test_alone_a_cause_that_is_not_sure_is_left_open(typed: Typed, rows: Rows) -> None:
    """A single doubt names no cause: many values would do."""
    rows[3][1] = "0.75"
    (finding,) = [f for f in grave(typed(rows)) if f.row == 4]
    assert (finding.cell, finding.cause) == ("B4", "")
    assert "7 rules say so" in finding.evidence


@pytest.mark.parametrize("length", [2, 3])
def test_a_short_block_that_slid_is_seen_alone_among_twins(
    typed: Typed, rows: Rows, length: int
) -> None:
    """Two parts of each hold current: every other row agrees with itself though it slid, and says nothing."""
    twins = [rows[0]]
    for row in rows[1:]:
        twins += [row, [f"{row[0]}-2", *row[1:]]]
    first = 4
    for n in range(first + 2 * length, first, -1):
        twins[n] = [twins[n][0], *twins[n - 1][1:]]
    found = [f for f in grave(typed(twins)) if f.code == "rows-slid"]
    assert len(found) == 1
    assert "stand one row lower" in found[0].message
