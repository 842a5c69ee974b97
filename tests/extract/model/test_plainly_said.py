"""A number is taken from words without a question only where nothing of the text is left unexplained."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.meanings.left_over import text_hedges, text_to_left_over
from extract.schema import WHOLE_SERIES, Quantity, Reading, Status
from sample_tables.generate.blocks import Grid, Heading, Text, cells
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR
from tests.extract.model.test_titles_and_blocks import RATINGS, blocks_to_readings

UNLIMITED = Grid((cells(*HEADING[:3], *HEADING[5:]),), tuple(cells(*row[:3], *row[5:]) for row in ROWS))
"""The ratings without voltage and fault current."""
LIMITS = {"part_number", "series", "limit", "max", "ac", "dc", "max_voltage", "max_current"}


def undisputed(readings: tuple[Reading, ...], quantity: Quantity) -> set[tuple[str, float]]:
    """The parts with their values of one quantity that nobody is asked about."""
    return {
        (r.part_number, r.value)
        for r in readings
        if r.quantity is quantity and r.status in (Status.AGREED, Status.SINGLE)
    }


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("All types: Vmax 30 V", ""),
        ("All types are rated for a maximum voltage of 60 V.", ""),
        ("3) Alle Typen: Umax 30 V bei 23 °C", ""),
        ("全系列 最大电压 60V", ""),
        ("All types: Vmax 30 V (16 V for the 110)", "110"),
        ("Not all types reach Vmax 30 V", "not reach"),
        ("All types of battery packs: Vmax 60 V", "battery packs"),
        ("All types: Vmax 30 V at 60 °C", "60 c"),
    ],
)
def test_what_is_left_of_a_text(text: str, left: str) -> None:
    """Wordings, values, room temperatures and plain words explain a text; every other word is left."""
    assert text_to_left_over(text, LIMITS, 2) == left


@pytest.mark.parametrize(
    "text",
    [
        "Not all types reach Vmax 30 V.",
        "All types of battery packs: Vmax 60 V.",
        "All types: Vmax 30 V (16 V for the 110).",
        "All types: Vmax 30 V up to 60 °C, 16 V above.",
        "Alle Typen: Umax 30 V, die 110 nur 16 V.",
        "See our other sheet for all types with Vmax 60 V.",
        "In all parts of the country Vmax 30 V is the rule.",
    ],
)
def test_a_sentence_with_more_in_it_is_asked_about(tmp_path: Path, text: str) -> None:
    """A sentence that speaks of all types and says anything else beside the rating gives no undisputed
    number."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, Text(text))
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == set()


def test_a_plain_sentence_rates_all(tmp_path: Path) -> None:
    """ "All types: Vmax 30 V." is asked about nowhere."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, Text("All types: Vmax 30 V."))
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == {(row[0], 30.0) for row in ROWS}


@pytest.mark.parametrize(
    "note",
    ["* Formerly Vmax = 16 V.", "* Tested at Vmax = 60 V.", "* Not for circuits of Vmax = 60 V and more."],
)
def test_a_note_with_more_in_it_is_asked_about(tmp_path: Path, note: str) -> None:
    """The note of a marked part rates it without a question only if it says the rating and nothing else."""
    marked = tuple(cells(row[0] + ("*" if n == 0 else ""), *row[1:3], *row[5:]) for n, row in enumerate(ROWS))
    table = Grid((cells(*HEADING[:3], *HEADING[5:]),), marked)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, Text(note))
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == set()


@pytest.mark.parametrize(
    "title",
    [
        "Insulation resistance (mΩ)",
        "Contact resistance in mΩ",
        "Resistance after 100 trips (ohms)",
        "Resistance in milliohms, tripped state",
        "Resistance 1 h after trip, in ohms",
        "Widerstand bei -40 °C (Ohm)",
        "Resistance (MΩ)",
    ],
)
def test_a_title_with_more_in_it_names_no_resistance(tmp_path: Path, title: str) -> None:
    """A title names the bare columns below it only if it is the wording of the quantity, its unit and the
    room's temperature."""
    table = Grid((cells("Type", "min.", "max."),), tuple(cells(row[0], "12", "45") for row in ROWS))
    shown = Grid((cells(*HEADING[:5]),), tuple(cells(*row[:5]) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), shown, Heading(title), table)
    assert undisputed(readings, Quantity.RESISTANCE) == set()


@pytest.mark.parametrize(
    "title",
    [
        "Time to trip at 60 °C (s)",
        "Minimum time to trip (s)",
        "Trip time of former types (s)",
        "Typical and maximum time to trip (s)",
    ],
)
def test_a_title_with_more_in_it_names_no_time(tmp_path: Path, title: str) -> None:
    """The same of times: at another ambient, of other types, least ones, two kinds at once."""
    table = Grid((cells("Type", "at 5 A", "at 8 A"),), tuple(cells(row[0], "1.60", "0.25") for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), RATINGS, Heading(title), table)
    assert not {part for part, value in undisputed(readings, Quantity.TIME_TO_TRIP) if value in (1.6, 0.25)}


@pytest.mark.parametrize("title", ["Thermal derating, all but TQ30", "Thermal derating: see TQ30"])
def test_a_hedging_title_of_derating_is_asked_about(tmp_path: Path, title: str) -> None:
    """The series that a title excepts, or only refers to, gets no undisputed derating."""
    rows = tuple(
        cells(f"{series}{row[0][2:]}", *row[1:]) for series in ("TQ6", "TQ30", "TQ60") for row in ROWS
    )
    derating = Grid(
        (cells("", "-40 °C", "0 °C", "25 °C", "60 °C"),),
        (cells("Hold current", "150%", "118%", "100%", "70%"),),
    )
    table = Grid((cells(*HEADING),), rows)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, Heading(title), derating)
    assert undisputed(readings, Quantity.HOLD_RATIO) == set()


def test_the_code_of_a_title_ends_with_its_digits(tmp_path: Path) -> None:
    """ "Thermal derating, TQ6" speaks of TQ6-050, not of TQ60-050."""
    rows = tuple(
        cells(f"{series}{row[0][2:]}", *row[1:]) for series in ("TQ6", "TQ30", "TQ60") for row in ROWS
    )
    derating = Grid(
        (cells("", "-40 °C", "0 °C", "25 °C", "60 °C"),),
        (cells("Hold current", "150%", "118%", "100%", "70%"),),
    )
    table = Grid((cells(*HEADING),), rows)
    title = Heading("Thermal derating, TQ6")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, title, derating)
    parts = {part for part, _ in undisputed(readings, Quantity.HOLD_RATIO)}
    assert not {part for part in parts if part.startswith("TQ60")}
    assert WHOLE_SERIES not in parts


@pytest.mark.parametrize(
    "heading", ["Hold current (A), -40 to 85 °C", "Hold current (A), derated above 40 °C"]
)
def test_a_range_of_temperatures_is_no_ambient(tmp_path: Path, heading: str) -> None:
    """A rating whose heading gives the range of its use keeps the ambient of the ratings."""
    table = Grid((cells(HEADING[0], heading, *HEADING[2:]),), tuple(cells(*row) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    held = [r for r in readings if r.quantity is Quantity.HOLD_CURRENT]
    assert held
    assert {r.ambient_c for r in held} <= {20.0, 23.0, 25.0, None}


def test_words_that_hedge() -> None:
    """Words of another time, part or test are known in several languages; "unless otherwise stated" is none
    of them."""
    for text in ("Formerly Vmax = 16 V", "ersetzt TQ-050", "旧型号"):
        assert text_hedges(text)
    assert not text_hedges("Vmax = 16 V unless otherwise noted")


@pytest.mark.parametrize(
    "heading",
    [
        "Minimum time to trip at 8 A (s)",
        "Mean trip time at 8 A (s)",
        "Mittlere Auslösezeit 8 A (s)",
        "Trip time of former types at 8 A (s)",
    ],
)
def test_a_heading_of_another_time_is_asked_about(tmp_path: Path, heading: str) -> None:
    """A shortest or mean time, and one of other types, is no longest time to trip of these parts."""
    table = Grid((cells(*HEADING[:5], heading),), tuple(cells(*row[:5], "0.8") for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert undisputed(readings, Quantity.TIME_TO_TRIP) == set()


@pytest.mark.parametrize(
    "caption", ["Maximum voltage of the mains charger 60 V", "Vmax for one hour only 60 V"]
)
def test_a_caption_of_something_else_is_asked_about(tmp_path: Path, caption: str) -> None:
    """Words between a wording and its value say of what it is: unless all are plain, the rating is asked
    about."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Heading(caption), UNLIMITED)
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == set()
