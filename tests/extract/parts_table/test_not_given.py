"""Numbers that the sheets do not give, causes that the table itself shows, shares written as factors."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from extract.parts_table import PartsTable, TableFinding, check_table
from extract.schema import Kind, Quantity, Reading, Severity, Status

Typed = Callable[..., PartsTable]
Rows = list[list[str]]
Source = tuple[Reading, ...]


def grave(table: PartsTable, source: Source = ()) -> list[TableFinding]:
    """Errors and doubts."""
    return [f for f in check_table(table, source).findings if f.severity is not Severity.NOTE]


def test_a_number_where_the_sheet_prints_none_is_doubted(typed: Typed, rows: Rows, source: Source) -> None:
    """The sheet gives R1max for all parts but one; the table has it for that one too."""
    less = tuple(r for r in source if (r.part_number, r.kind) != ("QLM-0050-60", Kind.POST_TRIP_MAX))
    (finding,) = grave(typed(rows), less)
    assert (finding.code, finding.cell, finding.document) == ("source-gives-none", "J4", "qlm.pdf")


def test_a_column_that_was_not_read_is_no_doubt_for_each_cell(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """Where the sheet gives it for few parts it was not read: counted, not doubted."""
    kept = {"QLM-0050-60", "QLM-0035-60"}
    less = tuple(r for r in source if r.kind is not Kind.POST_TRIP_MAX or r.part_number in kept)
    assert grave(typed(rows), less) == []


def test_a_column_at_an_ambient_that_the_sheet_does_not_have_is_asked(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """Hold at 50 °C, which the sheet does not give: one doubt names the temperatures it has."""
    rows[0][12] = "Hold 50 °C [A]"
    for row in rows[1:]:
        row[12] = f"{(float(row[11]) + float(row[12])) / 2:.3f}"
    (finding,) = grave(typed(rows), source)
    assert finding.code == "source-gives-none"
    assert "60" in finding.expected
    assert len(finding.cells) == len(rows) - 1


def test_one_share_for_all_parts_still_tells_its_heading(typed: Typed, rows: Rows, source: Source) -> None:
    """Every part has 70 % at 60 °C; the heading says 50 °C, which the sheet does not have."""
    parts = [row[0] for row in rows[1:]]
    shares = tuple(
        replace(source[0], part_number=part, quantity=Quantity.HOLD_RATIO, ambient_c=ambient, value=value)
        for part in parts for ambient, value in ((40.0, 0.85), (60.0, 0.7), (85.0, 0.5)))
    table = [["Part", "Ihold [A]", "Hold [%] at 40 °C", "Hold [%] at 50 °C", "Hold [%] at 85 °C"],
             *([row[0], row[1], "85", "70", "50"] for row in rows[1:])]
    found = grave(typed(table), (*source, *shares))
    assert [(f.code, f.expected) for f in found] == [("heading-ambient", "60 °C")]


def test_a_power_headed_with_another_limit_is_told(typed: Typed, rows: Rows, source: Source) -> None:
    """The sheet gives typical powers, the heading says maximum."""
    typical = tuple(replace(r, kind=Kind.TYP) if r.quantity is Quantity.TRIPPED_POWER else r for r in source)
    rows[0][5] = "Pd max [W]"
    assert [f.code for f in grave(typed(rows), typical)] == ["heading-kind"]
    rows[0][5] = "Pd [W]"
    assert grave(typed(rows), typical) == []


def test_the_part_typed_twice_is_the_cause(typed: Typed, rows: Rows, source: Source) -> None:
    """The second row of a part differs: the finding says that there are two."""
    rows.append([*rows[3][:9], "0.90", *rows[3][10:]])
    (finding,) = [f for f in grave(typed(rows), source) if f.code.startswith("source")]
    assert "stands in rows 4 and" in finding.cause


def test_a_value_that_both_neighbours_have_names_both(typed: Typed, rows: Rows, source: Source) -> None:
    """R of the next column and of the next part alike: neither is chosen."""
    same = tuple(replace(r, value=0.8) if (r.part_number, r.kind) == ("QLM-0035-60", Kind.MIN) else r
                 for r in source)
    rows[2][8], rows[3][8] = "0.8", "0.80"
    (finding,) = [f for f in grave(typed(rows), same) if f.cell == "I4"]
    assert "another column" in finding.cause
    assert "another part" in finding.cause


def test_a_part_number_is_told_by_the_numbers_of_its_row(typed: Typed, rows: Rows, source: Source) -> None:
    """A part number unlike all of the sheet's, with the numbers of the one part that no row names."""
    rows[3][0] = "Zed 9"
    (finding,) = grave(typed(rows), source)
    assert (finding.code, finding.proposed) == ("part-match-doubtful", "QLM-0050-60")


def test_many_cells_unlike_disputed_readings_are_one_doubt(typed: Typed, rows: Rows, source: Source) -> None:
    """A column of which every reading is disputed is in question once."""
    unsure = tuple(replace(r, status=Status.DISPUTED, value=r.value * 1.3)
                   if r.quantity is Quantity.TRIPPED_POWER else r for r in source)
    (finding,) = [f for f in grave(typed(rows), unsure) if f.code == "source-disputed"]
    assert len(finding.cells) == len(rows) - 1


@pytest.mark.parametrize("words", ["Ih factor at {} °C", "Hold current at {} °C"])
def test_shares_written_as_factors_are_no_currents(typed: Typed, words: str) -> None:
    """0.77 under "factor", or one at the reference in every row, is a share of the hold current."""
    heads = ["Part", "Ihold [A]", *(words.format(t) for t in (0, 23, 60))]
    table = typed([heads, *([f"QLM-{n}", f"{n}.00", "1.15", "1", "0.77"] for n in (2, 3, 4, 5))])
    shares = [c for c in table.sheets[0].columns if c.quantity is Quantity.HOLD_RATIO]
    assert len(shares) == 3
    assert grave(table) == []


def test_a_series_in_a_column_of_its_own_matches_whole_part_numbers(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """The type tells parts apart and the sheets write the series before it."""
    table = [["Family", *rows[0]], *([row[0][:3], f"A{row[0][4:]}", *row[1:]] for row in rows[1:])]
    whole = tuple(replace(r, part_number=r.part_number.replace("QLM-", "QLM-A")) for r in source)
    report = check_table(typed(table), whole)
    assert [f for f in report.findings if f.severity is Severity.ERROR] == []
    assert not any("no part" in gap.why for gap in report.unchecked)


def test_a_slip_in_a_test_current_is_mended_and_compared(typed: Typed, rows: Rows, source: Source) -> None:
    """A letter l for 1 and a comma for a point in the column of test currents."""
    rows[1][7], rows[2][7] = "l.00", "1,75"
    found = grave(typed(rows, ";"), source)
    assert {(f.code, f.cell) for f in found} == {("look-alike", "H2"), ("comma-for-point", "H3")}


def test_part_numbers_with_a_decimal_sign_tell_rows_that_slid(typed: Typed, rows: Rows) -> None:
    """BWG-0,50 says half an ampere: a row that stands beside the wrong one shows."""
    table = [rows[0], *([f"BWG-{row[1].replace('.', ',')}", *row[1:]] for row in rows[1:])]
    before = [list(row) for row in table]
    for n in range(3, len(table)):
        table[n][1:] = before[n - 1][1:]
    assert "rows-slid" in {f.code for f in grave(typed(table, ";"))}


def test_a_temperature_out_of_order_is_one_finding(typed: Typed, rows: Rows) -> None:
    """60 typed as 90: its heading is told, and not each of its cells."""
    rows[0][12] = "Hold 90 °C [A]"
    (finding,) = grave(typed(rows))
    assert (finding.code, finding.cell) == ("ambients-disordered", "M1")


def test_a_column_that_slid_over_four_parts_is_one_finding(typed: Typed, rows: Rows, source: Source) -> None:
    """An empty cell that is filled rightly speaks for the block too."""
    last = len(rows) - 1
    before = [row[8] for row in rows]
    for n in range(last - 2, last + 1):
        rows[n][8] = before[n - 1]
    rows[last - 3][8] = ""
    (finding,) = grave(typed(rows), source)
    assert finding.code == "column-shifted"


def test_two_temperatures_exchanged_are_told_by_the_numbers(typed: Typed, rows: Rows, source: Source) -> None:
    """The hold currents rise with the temperatures of the headings: alone and against one finding."""
    rows[0][11], rows[0][12] = rows[0][12], rows[0][11]
    for found in (grave(typed(rows)), grave(typed(rows), source)):
        assert [f.code for f in found] == ["headings-swapped"]


def test_columns_in_another_order_are_no_mistake(typed: Typed, rows: Rows, source: Source) -> None:
    """Headings and numbers changed places together."""
    for row in rows:
        row[11], row[12] = row[12], row[11]
    assert grave(typed(rows)) == grave(typed(rows), source) == []


def test_time_and_test_current_exchanged_at_the_headings(typed: Typed, rows: Rows, source: Source) -> None:
    """One finding, though no reading of the times is sure."""
    unsure = tuple(replace(r, status=Status.DISPUTED) if r.quantity is Quantity.TIME_TO_TRIP
                   and r.part_number != "QLM-0020-60" else r for r in source)
    rows[0][6], rows[0][7] = rows[0][7], rows[0][6]
    for readings in (source, unsure):
        found = [f for f in grave(typed(rows), readings) if f.code != "source-disputed"]
        assert [f.code for f in found] == ["headings-swapped"]


def test_one_fault_current_in_all_rows_still_tells_its_unit(typed: Typed, rows: Rows, source: Source) -> None:
    """40 A in every row, headed mA: one finding, not one for each row."""
    rows[0][4] = "Imax [mA]"
    assert [f.code for f in grave(typed(rows), source)] == ["heading-unit"]


def test_a_lone_l_is_a_one(typed: Typed, rows: Rows, source: Source) -> None:
    """It is read as the number and compared."""
    rows[1][7] = "l"
    assert [(f.code, f.cell) for f in grave(typed(rows), source)] == [("look-alike", "H2")]


def test_a_time_of_another_test_is_not_put_right_by_guess(typed: Typed, rows: Rows, source: Source) -> None:
    """The sheet prints two tests; the typed pair is half of each: told, and no value proposed."""
    time = next(r for r in source if r.quantity is Quantity.TIME_TO_TRIP and r.part_number == "QLM-0050-60")
    rows[3][7] = "8"
    (finding,) = grave(typed(rows), (*source, replace(time, test_current_a=8.0, value=0.4, raw="0.4")))
    assert "not of one test" in finding.cause
    assert (finding.proposed, finding.changes) == ("", ())


def test_typical_times_are_not_held_against_the_longest(typed: Typed, rows: Rows, source: Source) -> None:
    """The sheet gives both at one current, the typical ones disputed: no error on typed typical ones."""
    times = [r for r in source if r.quantity is Quantity.TIME_TO_TRIP]
    typical = tuple(replace(r, kind=Kind.TYP, value=r.value / 2, status=Status.DISPUTED) for r in times)
    rows[0][6] = "Typ. trip time [s]"
    for row in rows[1:]:
        row[6] = f"{float(row[6]) / 2:g}"
    assert grave(typed(rows), (*source, *typical)) == []


def test_a_temperature_typed_twice_is_told_and_stops_nothing(typed: Typed, rows: Rows) -> None:
    """Two columns at one temperature, out of order: no numbers can tell them apart, and the check goes on."""
    columns = [n for n, heading in enumerate(rows[0]) if "°C" in heading]
    rows[0][columns[1]] = rows[0][columns[0]]
    assert "column-twice" in {finding.code for finding in grave(typed(rows))}
