"""Layouts that engineers draw and readers stumble over: each once left numbers out, or changed one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from extract.headings import heading_to_meaning
from extract.lines import glyphs_to_runs
from extract.page import Glyph
from extract.page_objects import Char
from extract.quantities import CellSort, cell_to_numbers
from extract.raised_digits import chars_to_raised
from extract.schema import WHOLE_SERIES, Kind, Quantity, Reading, SheetReading
from extract.sheet import ReadOptions, read_sheet

QUICK = ReadOptions(second_reading=False)
GRID = [("GRID", (0, 0), (-1, -1), 0.5, "black")]
HEADING = ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Imax (A)", "Rmin (Ω)", "R1max (Ω)")
ROWS = [
    ("LV030", "0.30", "0.60", "30", "40", "0.350", "1.200"),
    ("LV050", "0.50", "1.00", "30", "40", "0.150", "0.700"),
    ("LV075", "0.75", "1.50", "30", "40", "0.090", "0.400"),
    ("LV110", "1.10", "2.20", "30", "40", "0.050", "0.200"),
]
Rows = Sequence[Sequence[str]]
Drawn = tuple[str, Rows, Sequence[Any]]


def _draw(folder: Path, *tables: Drawn, intro: str = "All ratings at 23 °C in still air.") -> SheetReading:
    """A sheet of tables, each below its title and drawn in its own style, read by the first reading alone."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table

    styles, path = getSampleStyleSheet(), folder / "sheet.pdf"
    story: list[Flowable] = [Paragraph(intro, styles["BodyText"])]
    for title, rows, style in tables:
        drawn = Table([list(row) for row in rows], style=list(style))
        story += [Spacer(1, 14), Paragraph(title, styles["Heading3"]), drawn]
    SimpleDocTemplate(str(path), pagesize=A4).build(story)
    return read_sheet(path, QUICK)


def _of(sheet: SheetReading, quantity: Quantity) -> dict[tuple[str, float | None], float]:
    return {(r.part_number, r.ambient_c): r.value for r in sheet.readings if r.quantity is quantity}


def _values(readings: Sequence[Reading], quantity: Quantity) -> dict[str, float]:
    return {r.part_number: r.value for r in readings if r.quantity is quantity}


@pytest.mark.parametrize(
    ("text", "values", "units"),
    [
        ("8.0A 0.5S", ["8.0", "0.5"], ["A", "s"]),
        ("0.5 s @ 8 A", ["0.5", "8"], ["s", "A"]),
        ("2.5 at 1.0 A", ["2.5", "1.0"], [None, "A"]),
        ("6,5 (bei 1 A)", ["6.5", "1"], [None, "A"]),
        ("4.0 秒以下\n（5.5 A 通電時）", ["4.0", "5.5"], ["s", "A"]),
        ("1.00 A／1.5 s", ["1.00", "1.5"], ["A", "s"]),
        ("１５０％", ["150"], ["percent"]),
        ("DC 30 V", ["30"], ["V"]),
        ("0.072 Ω 以上", ["0.072"], ["ohm"]),
        ("最大 4.6 秒", ["4.6"], ["s"]),
    ],
)
def test_a_cell_says_what_its_numbers_measure(text: str, values: list[str], units: list[str | None]) -> None:
    """Currents beside times, limits in words and wide signs leave each number with its own unit."""
    parsed = cell_to_numbers(text)
    assert parsed.sort is CellSort.NUMBERS
    assert [str(n.value) for n in parsed.numbers] == values
    assert [n.unit.name if n.unit else None for n in parsed.numbers] == units


@pytest.mark.parametrize(
    ("levels", "quantity", "kind"),
    [
        (("Volts max.",), Quantity.MAX_VOLTAGE, Kind.MAX),
        (("Amps max.",), Quantity.MAX_CURRENT, Kind.MAX),
        (("Watts typ.",), Quantity.TRIPPED_POWER, Kind.TYP),
        (("Maximum rating", "A"), Quantity.MAX_CURRENT, Kind.NONE),
        (("Verlustleistung", "W (typ.)"), Quantity.TRIPPED_POWER, Kind.TYP),
        (("R1ma", "x", "(Ω)"), Quantity.RESISTANCE, Kind.POST_TRIP_MAX),
        (("Max. interrupt ratings", "Current (A)"), Quantity.MAX_CURRENT, Kind.NONE),
        (("Widerstand 1 h nach Auslösen, max.", "Ω"), Quantity.RESISTANCE, Kind.POST_TRIP_MAX),
    ],
)
def test_a_heading_of_few_words_is_understood_by_its_unit(
    levels: tuple[str, ...], quantity: Quantity, kind: Kind
) -> None:
    """A unit spelt out with its limit, a unit under "Maximum rating", a symbol broken in a narrow column."""
    meaning = heading_to_meaning(levels)
    assert (meaning.quantity, meaning.kind) == (quantity, kind)


@pytest.mark.parametrize("heading", ["A max.", "W max.", "A typ."])
def test_the_letter_of_a_dimension_is_no_unit(heading: str) -> None:
    """Columns A, B, C, W of a drawing's dimensions measure neither amps nor watts."""
    assert heading_to_meaning((heading,)).quantity is None


def test_units_joined_by_at_are_a_pair() -> None:
    """A unit "s @ A" heads cells of a time and its test current."""
    meaning = heading_to_meaning(("Max. time to trip", "s @ A"))
    assert [half.is_test_current for half in meaning.pair] == [False, True]


def _glyphs(text: str, sizes: Sequence[float], feet: Sequence[float]) -> list[Glyph]:
    glyphs, x = [], 10.0
    for letter, size, foot in zip(text, sizes, feet, strict=True):
        glyphs.append(Glyph(letter, x, foot - size, x + 0.5 * size, foot, size))
        x += 0.5 * size
    return glyphs


def test_the_digit_before_a_long_subscript_is_no_footnote_mark() -> None:
    """R1max with "max" lowered and nearly as large: the 1 stands on the line, it is not raised."""
    glyphs = _glyphs("R1max", [10, 10, 8.4, 8.4, 8.4], [100, 100, 103, 103, 103])
    assert [(run.text, run.marks) for run in glyphs_to_runs(glyphs)] == [("R1max", ())]


def _chars(text: str, widths: Sequence[float]) -> list[Char]:
    chars, x = [], 0.0
    for letter, width in zip(text, widths, strict=True):
        chars.append(Char(letter, (x, 0, x + width, 8), (1, 0, 0, 1, x, 0), "Face"))
        x += width
    return chars


def test_a_digit_of_a_narrower_kind_is_raised() -> None:
    """A font's own raised 1 calls itself 1: its width, against that of the plain 1, tells it apart."""
    chars = _chars("110/241", [4, 4, 4, 2, 4, 4, 2.4])
    assert "".join(char.text for char in chars_to_raised(chars)) == "110/24¹"
    condensed = _chars("24110/241", [4, 4, 4, 4, 4, 2, 2.4, 2.4, 2.4])
    assert "".join(char.text for char in chars_to_raised(condensed)) == "24110/241"


def test_ambients_in_the_first_column_are_turned(tmp_path: Path) -> None:
    """A derating table with a row for each ambient and a column for each part gives each part its row."""
    derating = [
        ("Ambient", *(row[0] for row in ROWS)),
        ("-20 °C", "0.38", "0.63", "0.95", "1.39"),
        ("0 °C", "0.34", "0.57", "0.86", "1.25"),
        ("23 °C", "0.30", "0.50", "0.75", "1.10"),
        ("40 °C", "0.26", "0.43", "0.64", "0.94"),
        ("60 °C", "0.20", "0.33", "0.50", "0.73"),
    ]
    sheet = _draw(tmp_path, ("Ratings", [HEADING, *ROWS], GRID), ("Hold current (A)", derating, GRID))
    hold = _of(sheet, Quantity.HOLD_CURRENT)
    assert len(hold) == 20
    assert (hold["LV050", -20], hold["LV110", 60]) == (0.63, 0.73)


SHARED = {"LV030": 60, "LV050": 60, "LV075": 16, "LV110": 16}


def _without(column: int, rows: Rows) -> list[tuple[str, ...]]:
    return [tuple(text for n, text in enumerate(row) if n != column) for row in rows]


def test_a_line_over_rows_gives_them_its_voltage(tmp_path: Path) -> None:
    """A line "Maximum voltage 30 V" over a group of rows rates each of them, with its place."""
    bare = _without(3, [HEADING, *ROWS])
    rows = [bare[0], ("Maximum voltage 60 V",), *bare[1:3], ("Maximum voltage 16 V",), *bare[3:]]
    padded = [(*row, *("",) * (6 - len(row))) for row in rows]
    style = [*GRID, ("SPAN", (0, 1), (-1, 1)), ("SPAN", (0, 4), (-1, 4))]
    sheet = _draw(tmp_path, ("Ratings", padded, style))
    assert _values(sheet.readings, Quantity.MAX_VOLTAGE) == SHARED
    raw = {r.raw for r in sheet.readings if r.quantity is Quantity.MAX_VOLTAGE}
    assert raw == {"Maximum voltage 60 V", "Maximum voltage 16 V"}


BOXED = [("BOX", (0, 0), (-1, -1), 0.5, "black"), ("LINEBELOW", (0, 0), (-1, 0), 0.5, "black")]


def test_values_merged_over_rows_without_rules_speak_to_all_of_them(tmp_path: Path) -> None:
    """Limits printed once at the middle of several rows of an unruled body belong to each of these rows."""
    rows = [list(row) for row in (HEADING, *ROWS)]
    rows[2][3] = rows[4][3] = rows[2][4] = rows[3][4] = rows[4][4] = ""
    rows[1][3], rows[3][3] = "60", "16"
    style = [*BOXED, ("SPAN", (3, 1), (3, 2)), ("SPAN", (3, 3), (3, 4)), ("SPAN", (4, 1), (4, 4)),
             ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]
    sheet = _draw(tmp_path, ("Ratings", rows, style))
    assert _values(sheet.readings, Quantity.MAX_VOLTAGE) == SHARED
    assert set(_values(sheet.readings, Quantity.MAX_CURRENT).values()) == {40.0}
    assert len(_values(sheet.readings, Quantity.MAX_CURRENT)) == 4


def test_a_blank_cell_between_values_stays_blank(tmp_path: Path) -> None:
    """Limits that stand on rows of their own say nothing of the rows left blank."""
    rows = [list(row) for row in (HEADING, *ROWS)]
    rows[2][3] = ""
    sheet = _draw(tmp_path, ("Ratings", rows, BOXED))
    assert _values(sheet.readings, Quantity.MAX_VOLTAGE) == {"LV030": 30, "LV075": 30, "LV110": 30}


def test_numbers_of_a_row_without_a_part_belong_to_nobody(tmp_path: Path) -> None:
    """A row that names no part, beside rows that do, is not given to the part in the sheet's title."""
    rows = [HEADING, *ROWS, ("", "", "", "16", "100", "0.020", "0.090")]
    intro = "Product: LV08. Ratings at 23 °C in still air."
    sheet = _draw(tmp_path, ("Ratings of the LV08", rows, GRID), intro=intro)
    assert {r.part_number for r in sheet.readings} == {"LV030", "LV050", "LV075", "LV110"}
    assert any(finding.code == "numbers-not-read" for finding in sheet.findings)


PERCENT = ("100 %", "86 %", "64 %")


def test_rows_of_shares_named_by_their_current_hold_for_the_series(tmp_path: Path) -> None:
    """One row of hold and one of trip shares under the series' name are shares of all its parts."""
    shares = [
        ("LV", "-20 °C", "0 °C", "23 °C", "40 °C", "60 °C"),
        ("Hold current (%)", "126", "114", *("100", "86", "66")),
        ("Trip current (%)", "124", "112", *("100", "88", "70")),
    ]
    sheet = _draw(tmp_path, ("Ratings", [HEADING, *ROWS], GRID), ("Thermal derating", shares, GRID))
    assert _of(sheet, Quantity.HOLD_RATIO)[WHOLE_SERIES, 60] == 0.66
    assert _of(sheet, Quantity.TRIP_RATIO)[WHOLE_SERIES, 60] == 0.70


def test_a_bare_number_is_no_part(tmp_path: Path) -> None:
    """Rows of amps named by their voltage alone are rows of nobody, and said to be left out."""
    derating = [
        ("Vmax (V)", "-20 °C", "0 °C", "25 °C", "40 °C", "60 °C"),
        ("60", "0.38", "0.34", "0.30", "0.26", "0.20"),
        ("30", "0.63", "0.57", "0.50", "0.43", "0.33"),
    ]
    trip = [derating[0], *((row[0], *(f"{2 * float(text):.2f}" for text in row[1:])) for row in derating[1:])]
    sheet = _draw(tmp_path, ("Hold current (A)", derating, GRID), ("Trip current (A)", trip, GRID))
    assert sheet.readings == ()
    assert "numbers-not-read" in {finding.code for finding in sheet.findings}


def test_a_part_number_broken_at_its_hyphen_is_one_word(tmp_path: Path) -> None:
    """A narrow column breaks part numbers after their hyphen: no blank comes in."""
    rows = [(f"LV08-\n{row[0][2:]}", *row[1:]) for row in ROWS]
    sheet = _draw(tmp_path, ("Ratings", [HEADING, *rows], GRID))
    assert {r.part_number for r in sheet.readings} == {"LV08-030", "LV08-050", "LV08-075", "LV08-110"}


def test_decimals_without_a_leading_zero_make_no_row_of_temperatures(tmp_path: Path) -> None:
    """Rows of ".16 .14 .12" below a row of ambients are data, not further headings."""
    derating = [
        ("Part number", "-20 °C", "0 °C", "23 °C", "40 °C", "60 °C"),
        ("LV030", ".38", ".34", ".30", ".26", ".20"),
        ("LV050", ".63", ".57", ".50", ".43", ".33"),
        ("LV075", ".95", ".86", ".75", ".64", ".50"),
    ]
    sheet = _draw(tmp_path, ("Ratings", [HEADING, *ROWS], GRID), ("Hold current (A)", derating, GRID))
    assert _of(sheet, Quantity.HOLD_CURRENT)["LV030", 60] == 0.20


def test_han_that_one_library_decodes_wrongly_is_read_as_the_other_sees_it(tmp_path: Path) -> None:
    """With a font of Han that the PDF only names, the word for "largest" still makes the power a maximum."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.cidfonts import UnicodeCIDFont

    pdfmetrics.registerFont(UnicodeCIDFont("MSung-Light"))
    heading = (*HEADING[:5], "最大功耗 PD (W)")
    rows = [(*row[:5], power) for row, power in zip(ROWS, ("0.6", "0.7", "0.8", "0.9"), strict=True)]
    style = [*GRID, ("FONTNAME", (0, 0), (-1, 0), "MSung-Light")]
    sheet = _draw(tmp_path, ("Ratings", [heading, *rows], style))
    powers = [r for r in sheet.readings if r.quantity is Quantity.TRIPPED_POWER]
    assert {(r.value, r.kind) for r in powers} == {(p, Kind.MAX) for p in (0.6, 0.7, 0.8, 0.9)}


