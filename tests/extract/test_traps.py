"""Tables that look like ratings and are none, and words that lead astray: once silently wrong numbers."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from extract.headings import Role, heading_to_meaning
from extract.schema import Kind, Quantity, Reading, SheetReading, Status
from extract.sheet import ReadOptions, read_sheet

QUICK = ReadOptions(second_reading=False)
STILL_AIR = "All ratings at 23 °C in still air."
HEADING = ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Pd typ. (W)", "Rmin (Ω)", "R1max (Ω)")
RATINGS = [
    HEADING,
    ("TQ050", "0.50", "1.00", "24", "0.8", "0.150", "0.700"),
    ("TQ075", "0.75", "1.50", "24", "0.9", "0.090", "0.400"),
    ("TQ110", "1.10", "2.20", "16", "1.0", "0.050", "0.200"),
]
AMBIENTS = ("-20 °C", "0 °C", "23 °C", "40 °C", "60 °C")
AMPS = [
    ("TQ050", "0.63", "0.57", "0.50", "0.43", "0.33"),
    ("TQ075", "0.95", "0.86", "0.75", "0.64", "0.50"),
    ("TQ110", "1.39", "1.25", "1.10", "0.94", "0.73"),
]


def _read(folder: Path, *tables: tuple[str, Sequence[Sequence[str]]]) -> SheetReading:
    """A sheet of ruled tables, each below its title, read by the first reading alone."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table

    styles, path = getSampleStyleSheet(), folder / "sheet.pdf"
    story: list[Flowable] = [Paragraph(STILL_AIR, styles["BodyText"])]
    for title, rows in tables:
        table = Table([list(row) for row in rows], style=[("GRID", (0, 0), (-1, -1), 0.5, "black")])
        story += [Spacer(1, 14), Paragraph(title, styles["Heading3"]), table]
    SimpleDocTemplate(str(path), pagesize=A4).build(story)
    return read_sheet(path, QUICK)


def _numbers(sheet: SheetReading, quantity: Quantity) -> list[Reading]:
    return [reading for reading in sheet.readings if reading.quantity is quantity]


@pytest.mark.parametrize(
    "title",
    [
        "Maximum ambient operation temperature",  # "ratio" stands inside "operation"
        "Hold current over ambient temperature, tolerance 5 %",
    ],
)
def test_amps_stay_amps_whatever_word_stands_near(tmp_path: Path, title: str) -> None:
    """A derating table whose 23 °C column repeats the ratings is in amps: none of it is a share."""
    derating = [("Part number", *AMBIENTS), *AMPS]
    sheet = _read(tmp_path, ("Electrical ratings", RATINGS), (title, derating))
    assert not _numbers(sheet, Quantity.HOLD_RATIO)
    hot = {r.part_number: r.value for r in _numbers(sheet, Quantity.HOLD_CURRENT) if r.ambient_c == 60}
    assert hot == {"TQ050": 0.33, "TQ075": 0.5, "TQ110": 0.73}


def test_shares_that_are_not_one_at_the_reference_are_disputed(tmp_path: Path) -> None:
    """Shares whose reference column is far from 100 % are shares of something else; bare factors that are
    neither 1 nor the ratings there are not read."""
    for texts, read in ((("190 %", "170 %", "160 %", "120 %", "90 %"), {Status.DISPUTED}), (
        ("1.9", "1.7", "1.6", "1.2", "0.9"), set())):
        rows = [("Part number", *AMBIENTS), *((part, *texts) for part, *_ in AMPS)]
        sheet = _read(tmp_path, ("Electrical ratings", RATINGS), ("Derating factor of hold current", rows))
        assert {r.status for r in _numbers(sheet, Quantity.HOLD_RATIO)} == read


def test_a_multiple_of_the_hold_current_means_the_one_at_the_reference(tmp_path: Path) -> None:
    """Five times the hold current of a part that also states one at 60 °C: the one at 20 °C counts."""
    rows = [
        ("Part number", "Hold 20 °C (A)", "Hold 60 °C (A)", "Itrip (A)", "Vmax (V)", "Time at 5 x Ihold (s)"),
        ("TS170", "1.70", "0.94", "3.40", "16", "3.9"),
        ("TS190", "1.90", "1.04", "3.80", "16", "4.1"),
    ]
    times = _numbers(_read(tmp_path, ("Electrical ratings", rows)), Quantity.TIME_TO_TRIP)
    assert {r.part_number: r.test_current_a for r in times} == {"TS170": 8.5, "TS190": 9.5}


FOREIGN = {
    "Dimensions (mm)": ("Pd", "5.1"),
    "Carrier tape": ("Ihold", "12.0"),
    "Cross reference": ("Ihold (A)", "0.51"),
    "Old values, issue B": ("Ihold (A)", "0.45"),
    "Insulation test": ("Vmax (V)", "500"),
}


@pytest.mark.parametrize("title", sorted(FOREIGN))
def test_a_table_of_something_else_gives_no_rating(tmp_path: Path, title: str) -> None:
    """Shapes, tapes, tests, other makers and old values leave the ratings as they are."""
    heading, value = FOREIGN[title]
    rows = [("Part number", heading, "L", "W"), *((row[0], value, "7.4", "8.1") for row in RATINGS[1:])]
    alone = _read(tmp_path, ("Electrical ratings", RATINGS))
    both = _read(tmp_path, ("Electrical ratings", RATINGS), (title, rows))
    assert [(r.part_number, r.quantity, r.value, r.status) for r in both.readings] == [
        (r.part_number, r.quantity, r.value, r.status) for r in alone.readings
    ]


@pytest.mark.parametrize(
    "heading",
    ["Competitor Ihold (A)", "Hold down (mm)", "Trip hole (mm)", "Thermal resistance (K/W)", "Time on (s)"],
)
def test_a_heading_of_something_else_is_not_read(heading: str) -> None:
    """Trade words inside other names do not make a rating."""
    assert heading_to_meaning((heading,)).role is not Role.VALUE


@pytest.mark.parametrize(
    "ambients",
    [
        [("Part number °C", "-20", "0", "20", "40", "60"), ("°F", "-4", "32", "68", "104", "140")],
        [("Part number", "-20 °C", "0 °C", "20 °C", "40 °C", "60 °C"), ("", "-4", "32", "68", "104", "140")],
        [("Part", "-4 °F (-20 °C)", "32 °F (0 °C)", "68 °F (20 °C)", "104 °F (40 °C)", "140 °F (60 °C)")],
    ],
)
def test_fahrenheit_is_never_read_as_celsius(tmp_path: Path, ambients: list[tuple[str, ...]]) -> None:
    """Of °C and °F side by side the °C are the ambients."""
    derating = [*ambients, *AMPS]
    sheet = _read(tmp_path, ("Electrical ratings", RATINGS), ("Hold current (A) at ambient", derating))
    read_at = {r.ambient_c for r in _numbers(sheet, Quantity.HOLD_CURRENT)}
    assert {-20.0, 0.0, 40.0, 60.0} <= read_at <= {-20.0, 0.0, 20.0, 23.0, 40.0, 60.0}


def test_fahrenheit_alone_is_not_read(tmp_path: Path) -> None:
    """A row of bare numbers that the sheet calls °F gives no ambient."""
    rows = [("Temperature °F", "-4", "32", "68", "104", "140"), *AMPS]
    sheet = _read(tmp_path, ("Electrical ratings", RATINGS), ("Hold current (A) at ambient", rows))
    assert {r.ambient_c for r in _numbers(sheet, Quantity.HOLD_CURRENT)} == {23.0}


def test_a_row_named_after_its_current_is_no_part(tmp_path: Path) -> None:
    """A derating row "Hold current (A)" on a sheet for one part is that part's, not a part of that name."""
    item = [
        ("No.", "Item", "Symbol", "Condition", "Min.", "Typ.", "Max.", "Unit"),
        ("1", "Hold current", "Ihold", "at 23 deg C", "2.60", "-", "-", "A"),
        ("2", "Trip current", "Itrip", "at 23 deg C", "-", "-", "5.00", "A"),
        ("3", "Maximum voltage", "Vmax", "", "-", "-", "6", "V"),
        ("4", "Time to trip", "Ttrip", "at 8.0 A", "-", "-", "5.0", "sec"),
    ]
    derating = [
        ("Ambient (deg C)", "-40", "0", "23", "60", "85"),
        ("Hold current (A)", "3.9", "3.0", "2.6", "1.8", "1.2"),
    ]
    cover = [("Part Number", "TQX-1210L260"), ("Revision", "C")]
    sheet = _read(tmp_path, ("Product", cover), ("Performance ratings", item), ("Thermal derating", derating))
    assert {r.part_number for r in sheet.readings} == {"TQX-1210L260"}
    assert [r.value for r in _numbers(sheet, Quantity.TIME_TO_TRIP)] == [5.0]
    assert len(_numbers(sheet, Quantity.HOLD_CURRENT)) >= 5


def test_a_watermark_across_a_table_changes_nothing(tmp_path: Path) -> None:
    """Glyphs that stand askew belong to no cell."""
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen import canvas
    from reportlab.platypus import Table

    found = []
    for name in ("plain.pdf", "marked.pdf"):
        page = canvas.Canvas(str(tmp_path / name), pagesize=A4)
        page.drawString(72, 780, STILL_AIR)
        if name == "marked.pdf":
            page.saveState()
            page.translate(120, 560)
            page.rotate(35)
            page.setFillGray(0.8)
            page.setFont("Helvetica-Bold", 46)
            page.drawString(0, 0, "PRELIMINARY 2023-07")
            page.restoreState()
        table = Table([list(row) for row in RATINGS])
        table.wrapOn(page, 450, 300)
        table.drawOn(page, 72, 660)
        page.save()
        sheet = read_sheet(tmp_path / name, QUICK)
        found.append([(r.part_number, r.quantity, r.value, r.status) for r in sheet.readings])
    assert found[0]
    assert found[0] == found[1]


def test_a_heading_of_words_ends_the_table_above_it(tmp_path: Path) -> None:
    """Rows below "Part L W G" are none of the derating row above, though their columns line up."""
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfgen import canvas

    places = (60, 150, 200, 250, 300, 350)
    lines = [
        ("Hold current (A) at ambient temperature",),
        ("Part number", *AMBIENTS),
        *AMPS,
        ("Land pattern",),
        ("Part", "L", "W", "G", "H", "T"),
        *((row[0], "3.4", "1.2", "1.0", "0.6", "0.4") for row in AMPS),
    ]
    page = canvas.Canvas(str(tmp_path / "sheet.pdf"), pagesize=A4)
    page.setFont("Helvetica", 8)
    page.drawString(60, 760, "Trip current and maximum voltage are on another page.")
    for number, line in enumerate(lines):
        for x, text in zip(places, line, strict=False):
            page.drawString(x, 700 - 12 * number, text)
    page.save()
    sheet = read_sheet(tmp_path / "sheet.pdf", QUICK)
    assert not {r.value for r in sheet.readings} & {3.4, 1.2, 0.6, 0.4}


def test_a_unit_beside_an_ambient_keeps_its_brackets(tmp_path: Path) -> None:
    """Milliamps in the heading over the ambients are milliamps in every column."""
    rows = [
        ("Part number", *(f"Hold current (mA) {ambient}" for ambient in ("-20 °C", "23 °C", "60 °C"))),
        ("TQ050", "630", "500", "330"),
        ("TQ075", "950", "750", "500"),
        ("TQ110", "1390", "1100", "730"),
    ]
    stacked = [("Part number", *["Hold current (mA)"] * 5), ("", *AMBIENTS)]
    stacked += [(part, *(str(round(float(text) * 1000)) for text in texts)) for part, *texts in AMPS]
    for table in (rows, stacked):
        sheet = _read(tmp_path, ("Electrical ratings", RATINGS), ("Derating", table))
        hot = {r.part_number: r.value for r in _numbers(sheet, Quantity.HOLD_CURRENT) if r.ambient_c == 60}
        assert hot == {"TQ050": 0.33, "TQ075": 0.5, "TQ110": 0.73}


@pytest.mark.parametrize(("least", "is_read"), [(("0.150", "0.090"), True), (("0.150", "9.000"), False)])
def test_a_least_without_a_unit_is_read_only_in_order(
    tmp_path: Path, least: tuple[str, str], is_read: bool
) -> None:
    """A bare "Min." beside "Resistance (Ω) Max." is its least value only if no row says otherwise."""
    rows = [
        ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Min.", "Resistance (Ω) Max."),
        ("TQ050", "0.50", "1.00", "24", least[0], "0.300"),
        ("TQ075", "0.75", "1.50", "24", least[1], "0.200"),
    ]
    sheet = _read(tmp_path, ("Electrical ratings", rows))
    assert bool([r for r in _numbers(sheet, Quantity.RESISTANCE) if r.kind is Kind.MIN]) is is_read
