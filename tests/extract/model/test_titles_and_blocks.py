"""What titles and the shape of a table say of its numbers, on drawn sheets."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.schema import Kind, Quantity, Reading, Status
from sample_tables.generate.__main__ import draw
from sample_tables.generate.blocks import Block, Cell, Grid, Heading, PageBreak, Sheet, Text, cells
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, read

RATINGS = Grid((cells(*HEADING),), tuple(cells(*row) for row in ROWS))


def blocks_to_readings(folder: Path, *blocks: Block) -> tuple[Reading, ...]:
    """What is read of a sheet drawn of some blocks."""
    path = folder / "sheet.pdf"
    path.write_bytes(draw(Sheet("sheet", "reportlab", "", "", "", blocks, ())))
    return tuple(read(path))


def told(readings: tuple[Reading, ...], quantity: Quantity) -> dict[tuple[str, str, float | None], float]:
    """(part, kind, condition) -> value of one quantity."""
    return {
        (
            r.part_number,
            r.kind.value,
            r.test_current_a if r.test_current_a is not None else r.ambient_c,
        ): r.value
        for r in readings
        if r.quantity is quantity
    }


def test_a_title_names_the_columns_of_times(tmp_path: Path) -> None:
    """Below "Typical time to trip (s)" the columns "at 5 A" hold typical times."""
    times = Grid(
        (cells("Part number", "at 5 A", "at 8 A"),),
        (cells("TQ-050", "0.60", "0.25"), cells("TQ-110", "3.8", "1.5")),
    )
    readings = blocks_to_readings(
        tmp_path, Text(STILL_AIR), RATINGS, Heading("Typical time to trip (s)"), times
    )
    found = told(readings, Quantity.TIME_TO_TRIP)
    assert found["TQ-050", "typ", 5.0] == 0.60
    assert found["TQ-110", "typ", 8.0] == 1.5


def test_a_title_names_the_rows_of_times(tmp_path: Path) -> None:
    """The same with the parts as columns and the currents down the side."""
    times = Grid(
        (cells("Parameter", "TQ-050", "TQ-075", "TQ-110"),),
        (cells("at 5 A", "0.60", "1.9", "3.8"), cells("at 8 A", "0.25", "0.70", "1.5")),
    )
    title = Heading("Typical time to trip (s)")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), RATINGS, title, times)
    found = told(readings, Quantity.TIME_TO_TRIP)
    assert found["TQ-050", "typ", 5.0] == 0.60
    assert found["TQ-110", "typ", 8.0] == 1.5


def test_a_numbered_title_below_names_the_columns(tmp_path: Path) -> None:
    """ "Table 2: Resistance in ohms" below columns "min." and "max." says what they hold."""
    parts = [row[0] for row in ROWS]
    rows = tuple(cells(part, f"0.{n}1", f"0.{n}9") for n, part in enumerate(parts, 3))
    below = Text("Table 2: Resistance in ohms", small=True)
    grid = Grid((cells("Type", "min.", "max."),), rows)
    found = told(blocks_to_readings(tmp_path, Text(STILL_AIR), RATINGS, grid, below), Quantity.RESISTANCE)
    assert found[parts[0], "min", None] == 0.31
    assert found[parts[1], "max", None] == 0.49


@pytest.mark.parametrize(("series", "named"), [("TQ", True), ("", False)])
def test_a_derating_titled_with_a_series_speaks_for_it_alone(
    series: str, named: bool, tmp_path: Path
) -> None:
    """Shares below "Thermal derating, TQ" hold for the parts of TQ where the sheet has others."""
    other = Grid((cells(*HEADING),), tuple(cells(row[0].replace("TQ", "ZK"), *row[1:]) for row in ROWS))
    shares = Grid(
        (cells("Ambient (°C)", "-40", "0", "25", "60"),),
        (cells("Percent of hold current", "150%", "118%", "100%", "70%"),),
    )
    title = Heading(f"Thermal derating, {series}" if series else "Thermal derating")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), RATINGS, other, title, shares)
    parts = {part for part, _, _ in told(readings, Quantity.HOLD_RATIO)}
    assert parts == ({row[0] for row in ROWS} if named else {"*"})


def test_temperatures_down_the_side_of_two_columns(tmp_path: Path) -> None:
    """A table of nothing but temperatures, hold and trip currents is one of derated currents."""
    heading = tuple(HEADING)
    one = Grid((cells(*heading),), (cells(*ROWS[0]),))
    rows = (
        ("-40°C", "0.75", "1.50"),
        ("0°C", "0.60", "1.20"),
        ("60°C", "0.33", "0.66"),
        ("85°C", "0.20", "0.40"),
    )
    grid = Grid(
        (cells("Ambient temperature", "Hold current (A)", "Trip current (A)"),),
        tuple(cells(*row) for row in rows),
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), one, Heading("Thermal derating"), grid)
    hold, trip = told(readings, Quantity.HOLD_CURRENT), told(readings, Quantity.TRIP_CURRENT)
    assert (hold[ROWS[0][0], "", -40.0], hold[ROWS[0][0], "", 85.0]) == (0.75, 0.20)
    assert trip[ROWS[0][0], "", 60.0] == 0.66


def test_hold_and_trip_alone_rate_parts(tmp_path: Path) -> None:
    """A table of these two currents, both named by words, is one of ratings."""
    holds = (0.2, 0.3, 0.5, 0.75, 1.1, 1.35, 1.6, 2.5)
    grid = Grid(
        (cells("Part number", "Hold current (A)", "Trip current (A)"),),
        tuple(cells(f"TQ-{hold * 100:03.0f}", f"{hold:.2f}", f"{2 * hold:.2f}") for hold in holds),
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), grid)
    assert told(readings, Quantity.HOLD_CURRENT)["TQ-110", "", 23.0] == 1.10


def test_a_block_of_labels_and_values_is_about_the_part_over_it(tmp_path: Path) -> None:
    """Blocks of one part each, the part number over the labels, a size over the values."""
    labels = ("Hold current", "Trip current", "Maximum voltage", "Maximum current", "Resistance min.")
    blocks = [
        Grid((cells(part, "3216 size"),), tuple(cells(*pair) for pair in zip(labels, values, strict=True)))
        for part, values in (
            ("TQ16S035", ("350 mA", "700 mA", "16 V DC", "40 A", "0.38 Ω")),
            ("TQ16S050", ("500 mA", "1000 mA", "16 V DC", "40 A", "0.21 Ω")),
            ("TQ16S075", ("750 mA", "1500 mA", "16 V DC", "40 A", "0.11 Ω")),
        )
    ]
    heading = Heading("Hold current, trip current and limits")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), heading, *blocks)
    assert told(readings, Quantity.HOLD_CURRENT) == {
        ("TQ16S035", "", 23.0): 0.35,
        ("TQ16S050", "", 23.0): 0.5,
        ("TQ16S075", "", 23.0): 0.75,
    }
    assert told(readings, Quantity.MAX_VOLTAGE)["TQ16S050", Kind.DC.value, None] == 16.0


def test_a_hold_current_at_another_ambient_is_no_rating(tmp_path: Path) -> None:
    """Beside a pair at room temperature "Ihold @ 60 °C" is the current at 60 °C."""
    heads = (
        "Part number",
        "Ihold/Itrip (A, 25 °C)",
        "Ihold @ 60 °C (A)",
        "Vmax (V)",
        "Rmin (Ohm)",
        "R1max (Ohm)",
    )
    rows = [
        (row[0], f"{row[1]} / {row[2]}", f"{float(row[1]) * 0.7:.2f}", row[3], row[5], row[6]) for row in ROWS
    ]
    grid = Grid((cells(*heads),), tuple(cells(*row) for row in rows))
    holds = told(blocks_to_readings(tmp_path, Text("Resettable fuses"), grid), Quantity.HOLD_CURRENT)
    assert (holds["TQ-110", "", 25.0], holds["TQ-110", "", 60.0]) == (1.10, 0.77)


def test_a_part_number_that_looks_like_a_symbol_says_no_current(tmp_path: Path) -> None:
    """ "IT-R60-050" is no trip current: the heading over the column says hold."""
    named = [(row[0].replace("TQ", "IT-R60"), *row[1:]) for row in ROWS]
    ratings = Grid((cells(*HEADING),), tuple(cells(*row) for row in named))
    rows = tuple(cells(row[0], f"{float(row[1]) * 0.7:.2f}", "12", "A6") for row in named)
    at_60 = Grid((cells("Part number", "Ihold 60 °C (A)", "Stock", "Drawer"),), rows)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), ratings, at_60)
    assert told(readings, Quantity.HOLD_CURRENT)["IT-R60-110", "", 60.0] == 0.77
    assert {at for _, _, at in told(readings, Quantity.TRIP_CURRENT)} == {23.0}


def test_a_numbered_title_above_a_table_names_no_table_above_it(tmp_path: Path) -> None:
    """A table of dimensions above "Table 1: Resistance in ohms" has no resistance, on the same page or where
    the table itself stands on the next; the table below the title has."""
    sizes = ("Type", "A min.", "A max.", "B min.", "B max.")
    body = Grid((cells(*sizes),), tuple(cells(row[0], "6.7", "7.9", "4.8", "5.4") for row in ROWS))
    ohms = Grid((cells("Type", "min.", "max."),), tuple(cells(row[0], "0.11", "0.22") for row in ROWS))
    rated = Grid((cells(*HEADING[:5]),), tuple(cells(*row[:5]) for row in ROWS))
    title = Text("Table 1: Resistance in ohms", small=True)
    start = (Text(STILL_AIR), rated, body, title)
    for blocks in ((*start, ohms), (*start, PageBreak(), ohms)):
        found = told(blocks_to_readings(tmp_path, *blocks), Quantity.RESISTANCE)
        assert set(found.values()) <= {0.11, 0.22}


@pytest.mark.parametrize(("line", "asked"), [("RADIAL", True), ("UL1434 listed", True), ("Series TQ", False)])
def test_a_line_over_suffixes_names_a_series_or_is_asked(line: str, asked: bool, tmp_path: Path) -> None:
    """What stands in capitals over "-050" may be no series: unless it says so the names wait."""
    band = (Cell(line, across=len(HEADING), align="left"),)
    rows = tuple(cells("-" + row[0][3:], *row[1:]) for row in ROWS)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Grid((cells(*HEADING),), (band, *rows)))
    assert readings
    assert all((r.status is Status.DISPUTED) is asked for r in readings)


@pytest.mark.parametrize(
    ("head", "upper", "lower", "asked"),
    [
        ("Our no.|Maker's part no.", "BW44-", "TQ-", False),
        ("Maker's part no.|Our no.", "TQ-", "BW44-", False),
        ("Bestell-Nr.|Typ", "BW44-", "TQ-", False),
        ("Part number", "TQ-", "BW44-", True),
    ],
)
def test_the_heading_says_which_of_two_numbers_is_the_part(
    head: str, upper: str, lower: str, asked: bool, tmp_path: Path
) -> None:
    """Of two numbers in a cell the one that the heading calls the part's is the name; unsaid, it is asked."""
    rows = tuple(cells(f"{upper}{row[0][3:]}|{lower}{row[0][3:]}", *row[1:]) for row in ROWS)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Grid((cells(head, *HEADING[1:]),), rows))
    assert {r.part_number for r in readings} == {row[0] for row in ROWS}
    assert all((r.status is Status.DISPUTED) is asked for r in readings)


def test_a_value_under_the_middle_part_may_be_its_alone(tmp_path: Path) -> None:
    """Without rules nobody can tell whether a value under the middle one of three parts holds for all."""
    lines = (("Hold current", "A", "0.50", "0.75", "1.10"), ("Trip current", "A", "1.00", "1.50", "2.20"),
             ("Vmax", "V", "24", "24", "16"), ("Vint max", "V", "", "60", ""),
             ("Minimum resistance", "Ω", "0.15", "0.09", "0.06"))  # fmt: skip
    head = (cells("Parameter", "Unit", *(row[0] for row in ROWS)),)
    grid = Grid(head, tuple(cells(*line) for line in lines), rules="none")
    found = {r.part_number: r.status for r in blocks_to_readings(tmp_path, Text(STILL_AIR), grid)
             if r.quantity is Quantity.MAX_INTERRUPT_VOLTAGE}  # fmt: skip
    assert found.pop("TQ-075") is Status.SINGLE
    assert set(found.values()) == {Status.DISPUTED}


def test_a_dash_in_a_sentence_is_no_equals_sign(tmp_path: Path) -> None:
    """ "The rated voltage drop in the test - 5 V" limits nothing."""
    grid = Grid((cells(*HEADING[:3], *HEADING[5:]),), tuple(cells(*row[:3], *row[5:]) for row in ROWS))
    said = "For all types the rated voltage drop in the test - 5 V is allowed, as the socket's maker says."
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), grid, Text(said))
    assert told(readings, Quantity.MAX_VOLTAGE) == {}
