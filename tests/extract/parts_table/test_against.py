"""A typed table is held against its sheet: every difference found, located and explained, none invented."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from extract.parts_table import CheckOptions, PartsTable, TableFinding, check_table
from extract.parts_table.against import table_against_readings
from extract.parts_table.differences import Around, difference_to_story, is_rounded
from extract.parts_table.matching import part_numbers_to_matches
from extract.parts_table.reading import sheets_to_table
from extract.parts_table.records import RawSheet, TableOptions
from extract.schema import Kind, Quantity, Reading, Severity, Status

Typed = Callable[..., PartsTable]
Rows = list[list[str]]
Source = tuple[Reading, ...]


def from_source(table: PartsTable, source: Source) -> list[TableFinding]:
    """Findings that the sheet gave."""
    return list(table_against_readings(table, source).findings)


def test_what_was_typed_right_raises_nothing(typed: Typed, rows: Rows, source: Source) -> None:
    """Every cell is compared and none differs."""
    comparison = table_against_readings(typed(rows), source)
    assert comparison.findings == ()
    assert comparison.compared == len(source)
    assert comparison.unchecked == ()


@pytest.mark.parametrize(
    ("column", "text", "code", "proposed"),
    [
        (1, "5.0", "source-decimal-point", "0.5"),
        (9, "800", "source-unit-slip", "0.8"),
        (10, "0.85", "source-digits-swapped", "0.58"),
        (9, "-0.80", "source-sign-lost", "0.8"),
        (3, "602", "source-footnote-digit", "60"),
        (5, "0.55", "source-neighbour-row", "0.6"),
        (11, "0.35", "source-neighbour-column", "0.42"),
        (6, "3.3", "source-differs", "3"),
        (7, "8.00", "source-differs", "2.5"),
        (7, "25.0", "source-decimal-point", "2.5"),
    ],
)
def test_a_difference_is_explained(
    typed: Typed, rows: Rows, source: Source, column: int, text: str, code: str, proposed: str
) -> None:
    """Each kind of slip gets its story, the page, the printed value and the value to type instead."""
    rows[3][column] = text
    (finding,) = from_source(typed(rows), source)
    assert (finding.code, finding.row, finding.column, finding.found) == (code, 4, rows[0][column], text)
    assert finding.proposed == proposed
    assert (finding.page, finding.document) == (2, "qlm.pdf")
    assert finding.severity is Severity.ERROR


def test_the_proposed_value_is_in_the_unit_of_the_column(typed: Typed, rows: Rows, source: Source) -> None:
    """A column in milliohm gets a proposal in milliohm."""
    rows[0][9] = "R1max [mOhm]"
    for row in rows[1:]:
        row[9] = f"{float(row[9]) * 1000:.0f}"
    rows[3][9] = "808"
    (finding,) = from_source(typed(rows), source)
    assert (finding.expected, finding.proposed) == ("0.8 Ω", "800")


@pytest.mark.parametrize(("typed_value", "printed", "rounded"), [
    (0.27, 0.265, True), (0.26, 0.265, False), (0.26, 0.262, True), (0.26, 0.268, False)])
def test_a_last_five_is_rounded_up(typed_value: float, printed: float, rounded: bool) -> None:
    """Where it is just left out, a digit is missing."""
    assert is_rounded(typed_value, 0.01, printed) == rounded


def test_a_digit_too_many_makes_no_number_much_smaller(source: Source) -> None:
    """40 typed as 4.5 is no 40 with a digit more: its cause is not known; 1.5 typed as 1.85 is one."""
    printed = next(r for r in source if r.quantity is Quantity.HOLD_CURRENT)
    story = difference_to_story(4.5, 0.1, replace(printed, value=40.0, raw="40"), Around((), ()))
    assert story.cause == ""
    story = difference_to_story(1.85, 0.01, replace(printed, value=1.5, raw="1.5"), Around((), ()))
    assert story.cause == "a digit too many"


def test_a_rounded_value_is_a_note(typed: Typed, rows: Rows, source: Source) -> None:
    """0.06 for a printed 0.062 is said, but is no error; 0.04 for 0.038 is too far off to be a note."""
    for row in rows[1:]:
        row[8] = f"{float(row[8]):.2f}"
    found = [(f.code, f.row) for f in from_source(typed(rows), source)]
    assert found == [("source-rounded", 6), ("source-differs", 7)]


def test_a_disputed_reading_proves_nothing(typed: Typed, rows: Rows, source: Source) -> None:
    """Where the sheet's own reading is disputed a difference is a doubt, without a proposal."""
    rows[3][9] = "0.85"
    doubtful = tuple(
        replace(r, status=Status.DISPUTED) if r.kind is Kind.POST_TRIP_MAX else r for r in source
    )
    (finding,) = from_source(typed(rows), doubtful)
    assert (finding.code, finding.severity, finding.proposed) == ("source-disputed", Severity.DOUBT, "")
    comparison = table_against_readings(typed(rows), doubtful)
    assert (comparison.compared, comparison.disputed) == (len(source) - 7, 7)
    assert not any(address == f"J{row}" for _, address in comparison.confirmed for row in range(2, 9))


def test_another_revision_is_a_doubt(typed: Typed, rows: Rows, source: Source) -> None:
    """Two revisions of the sheet differ and the table follows one of them."""
    newer = tuple(
        replace(
            r,
            document="qlm_b.pdf",
            sha256="2" * 64,
            value=6.6 if r.quantity is Quantity.TIME_TO_TRIP and r.value == 3.0 else r.value,
        )
        for r in source
    )
    (finding,) = from_source(typed(rows), source + newer)
    assert (finding.code, finding.cell, finding.severity) == ("source-other-revision", "G4", Severity.DOUBT)


def test_rows_of_a_whole_series_count_for_every_part(typed: Typed, source: Source) -> None:
    """A percent row of the series is compared with the percent columns of every part."""
    series = tuple(
        replace(
            source[0],
            part_number="*",
            quantity=Quantity.HOLD_RATIO,
            ambient_c=a,
            value=v,
            test_current_a=None,
        )
        for a, v in ((0.0, 1.15), (40.0, 0.84), (60.0, 0.69))
    )
    table = typed(
        [
            ["Part", "Ihold (A)", "Hold at 0 °C (%)", "Hold at 40 °C (%)", "Hold at 60 °C (%)"],
            ["QLM-0050-60", "0.50", "115", "84", "69"],
            ["QLM-0075-30", "0.75", "115", "48", "69"],
        ]
    )
    (finding,) = from_source(table, source + series)
    assert (finding.code, finding.cell, finding.proposed) == ("source-digits-swapped", "D3", "84")


def test_an_ac_rating_is_not_taken_for_a_dc_rating(typed: Typed, source: Source) -> None:
    """Columns for AC and DC are compared each with its own."""
    both = tuple(
        replace(source[2], kind=kind, value=value) for kind, value in ((Kind.AC, 24.0), (Kind.DC, 60.0))
    )
    table = typed([["Part", "Ihold (A)", "Vmax (Vac)", "Vmax (Vdc)"], ["QLM-0020-60", "0.20", "24", "24"]])
    found = from_source(table, tuple(r for r in source if r.quantity is not Quantity.MAX_VOLTAGE) + both)
    assert [f.cell for f in found] == ["D2"]


def test_doubtful_part_numbers_are_asked_not_assumed(typed: Typed, rows: Rows, source: Source) -> None:
    """A letter O for a zero is nearly a part of the sheet; its cells wait for an answer."""
    rows[3][0], rows[3][9] = "QLM-OO50-60", "0.85"
    table = typed(rows)
    (finding,) = from_source(table, source)
    assert (finding.code, finding.cell) == ("part-match-doubtful", "A4")
    assert "'QLM-0050-60'" in finding.expected
    answered = check_table(table, source, CheckOptions(matches={"QLM-OO50-60": "QLM-0050-60"}))
    assert "J4" in {f.cell for f in answered.findings if f.code.startswith("source")}


def test_parts_without_a_source_are_counted(typed: Typed, rows: Rows, source: Source) -> None:
    """A part that no sheet has, and whose numbers are no part's, is an error and counted as not checked."""
    rows[3] = ["Zed 9", *["7.7"] * (len(rows[3]) - 1)]
    comparison = table_against_readings(typed(rows), source)
    assert [(f.code, f.severity) for f in comparison.findings] == [("part-not-in-sheets", Severity.ERROR)]
    assert [(gap.what, gap.count) for gap in comparison.unchecked] == [("parts", 1)]


def test_what_the_sheet_does_not_give_is_counted(typed: Typed, rows: Rows, source: Source) -> None:
    """Cells without a counterpart are not checked, and that is said."""
    less = tuple(r for r in source if r.quantity is not Quantity.TRIPPED_POWER)
    comparison = table_against_readings(typed(rows), less)
    assert [(gap.count, gap.why) for gap in comparison.unchecked] == [
        (7, "the sheets do not give 'Pd typ [W]'")
    ]


def test_matching_ignores_spelling_only_where_one_part_is_meant() -> None:
    """Dashes and capitals do not matter, unless two parts differ by nothing else."""
    read = ("QLM-0050-60", "QLM-0075-30", "AB-1.5", "AB-15")
    matches = part_numbers_to_matches(["qlm 005060", "AB-15", "ab15", "QLM-0050", "else"], read).of
    assert matches["qlm 005060"].matched == "QLM-0050-60"
    assert matches["AB-15"].matched == "AB-15"
    assert matches["ab15"].matched == ""
    assert set(matches["ab15"].candidates) == {"AB-1.5", "AB-15"}
    assert matches["QLM-0050"].matched == ""
    assert "QLM-0050-60" in matches["QLM-0050"].candidates
    assert matches["else"].candidates == ()


def test_a_cell_the_sheet_leaves_empty_is_no_doubt(typed: Typed, rows: Rows, source: Source) -> None:
    """An empty cell at the end of a column may have slipped, unless the sheet gives nothing there either."""
    rows[1][5] = ""
    lost = [f for f in check_table(typed(rows), source).findings if f.code == "cell-empty"]
    assert [f.severity for f in lost] == [Severity.DOUBT]
    without = tuple(r for r in source
                    if (r.part_number, r.quantity) != (rows[1][0], Quantity.TRIPPED_POWER))
    given = [f for f in check_table(typed(rows), without).findings if f.code == "cell-empty"]
    assert [f.severity for f in given] == [Severity.NOTE]


def as_read(rows: Rows) -> PartsTable:
    """The texts as a table, whatever signs they hold."""
    return sheets_to_table(Path("typed.csv"), (RawSheet("", tuple(map(tuple, rows))),), TableOptions())


@pytest.mark.parametrize("text", ["7.", "2,"])
def test_a_number_cut_off_at_its_point_is_an_error(
    rows: Rows, source: Source, text: str
) -> None:
    """A number that ends in its decimal sign is compared with nothing, so it must not pass."""
    rows[3][6] = text
    found = [f for f in check_table(as_read(rows), source).findings if f.severity is Severity.ERROR]
    assert [(f.code, f.cell) for f in found] == [("number-cut-off", "G4")]


def test_a_comma_in_a_table_of_points_is_told_in_a_column_without_points(
    rows: Rows, source: Source
) -> None:
    """The column has whole numbers and one comma; the other columns say that points are meant."""
    for row in rows[1:]:
        row[6] = "3"
    rows[3][6] = "3,0"
    found = check_table(as_read(rows), source).findings
    assert ("comma-for-point", "G4") in {(f.code, f.cell) for f in found}


def test_a_doubt_about_what_the_sheet_was_read_as_too_is_a_note(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """The rules doubt the typed value as they doubted the sheet's own reading: one question, the sheet's."""
    rows[4][9] = "5.0"
    oddly = tuple(replace(r, value=5.0, raw="5.0", status=Status.DISPUTED)
                  if (r.part_number, r.quantity, r.kind) == (
                      rows[4][0], Quantity.RESISTANCE, Kind.POST_TRIP_MAX) else r for r in source)
    report = check_table(typed(rows), oddly)
    told = [f for f in report.findings if f.cell == "J5" and "read so too" in f.message]
    assert report.disputed == 1
    assert {f.severity for f in told} == {Severity.NOTE}
    assert [f for f in report.findings if f.severity is Severity.DOUBT] == []


def test_a_mistyped_part_number_is_proposed_where_the_row_proves_it(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """A digit too many; the numbers are those of one part. Nothing is proposed where they are not."""
    rows[3][0] = "QLM-00500-60"
    (finding,) = [f for f in check_table(typed(rows), source).findings if f.code == "part-match-doubtful"]
    assert finding.changes == (("A4", "QLM-0050-60"),)
    assert finding.document == ""  # `--repair all` takes what a sheet prints, not what a row suggests
    for column in (1, 2, 5, 8, 9, 10, 11, 12):
        rows[3][column] = f"{float(rows[3][column]) * 1.1:.3f}"
    (finding,) = [f for f in check_table(typed(rows), source).findings if f.code == "part-match-doubtful"]
    assert finding.changes == ()
