"""Rules of the new reader on sheets drawn on the spot: rows told, headings, conditions, footnotes, names."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from extract.cells.tables import Cell
from extract.document import path_to_document
from extract.errors import DocumentError
from extract.joined.conditions import footnote_to_exception, text_to_said
from extract.joined.part_names import text_to_name
from extract.meanings.conditions import field_to_condition
from extract.meanings.fields import head_to_places
from extract.meanings.series import Series, cell_to_entry, text_to_units
from extract.model_reader import document_to_model_readings
from extract.quantities import NumberStyle
from extract.schema import Quantity, Reading, Status

HEADING = ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Imax (A)", "Rmin (Ohm)", "R1max (Ohm)")
ROWS = [
    ("TQ-050", "0.50", "1.00", "24", "40", "0.15", "0.70"),
    ("TQ-075", "0.75", "1.50", "24", "40", "0.09", "0.40"),
    ("TQ-110", "1.10", "2.20", "16", "40", "0.06", "0.25"),
]
STILL_AIR = "Polymer PTC resettable fuses. All ratings in still air at 23 °C."
Draw = Callable[..., Path]


def read(path: Path) -> tuple[Reading, ...]:
    """What the new reader reads from a sheet."""
    return document_to_model_readings(path_to_document(path))


def values(readings: tuple[Reading, ...], quantity: Quantity) -> dict[str, float]:
    """Part number → value of a quantity."""
    return {r.part_number: r.value for r in readings if r.quantity is quantity}


def test_a_plain_table_is_read(make_sheet: Draw) -> None:
    """Every rating stands under its part, single, at the ambient of the text."""
    readings = read(make_sheet([HEADING, *ROWS], [STILL_AIR]))
    assert values(readings, Quantity.TRIP_CURRENT) == {"TQ-050": 1.0, "TQ-075": 1.5, "TQ-110": 2.2}
    assert {r.ambient_c for r in readings if r.quantity is Quantity.HOLD_CURRENT} == {23.0}
    assert {r.status for r in readings} == {Status.SINGLE}


def test_a_turned_table_is_the_same_model(make_sheet: Draw) -> None:
    """Parts across and quantities down give the same readings as parts down."""
    turned = [tuple(row[n] for row in [HEADING, *ROWS]) for n in range(len(HEADING))]
    upright, other = (read(make_sheet(rows, [STILL_AIR])) for rows in ([HEADING, *ROWS], turned))
    for quantity in (Quantity.HOLD_CURRENT, Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT):
        assert values(other, quantity) == values(upright, quantity)


def test_signs_as_above_repeat_the_value(make_sheet: Draw) -> None:
    """A ditto mark stands for the value above it and says so."""
    rows = [ROWS[0], ("TQ-075", "0.75", "1.50", '"', '"', "0.09", "0.40"), ROWS[2]]
    readings = read(make_sheet([HEADING, *rows], [STILL_AIR]))
    assert values(readings, Quantity.MAX_VOLTAGE)["TQ-075"] == 24.0
    noted = [r for r in readings if r.part_number == "TQ-075" and r.quantity is Quantity.MAX_VOLTAGE]
    assert noted[0].notes == ("as above",)


def test_an_order_number_does_not_name_the_part(make_sheet: Draw) -> None:
    """Of two columns that could name the parts, the one headed part number does."""
    rows = [(f"48-31{n:02d}", *row) for n, row in enumerate(ROWS)]
    readings = read(make_sheet([("Order No.", *HEADING), *rows], [STILL_AIR]))
    assert set(values(readings, Quantity.HOLD_CURRENT)) == {"TQ-050", "TQ-075", "TQ-110"}


def turned(extra: list[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """The table with parts across, with rows added below its first."""
    rows = [tuple(row[n] for row in [HEADING, *ROWS]) for n in range(len(HEADING))]
    return [rows[0], *extra, *rows[1:]]


def test_lines_above_columns_name_the_parts_each_on_its_own(make_sheet: Draw) -> None:
    """A maker and an order number above or below the part number of a turned table are no part of it."""
    extra = [("Maker", "Tarnquill", "Tarnquill", "Tarnquill"), ("Order No.", "71-0912", "72-0915", "73-0918")]
    readings = read(make_sheet(turned(extra), [STILL_AIR]))
    assert set(values(readings, Quantity.HOLD_CURRENT)) == {"TQ-050", "TQ-075", "TQ-110"}


def test_a_heading_may_say_its_ambient(make_sheet: Draw) -> None:
    """ "Hold current at 60 °C" beside the hold current is the hold current there, in the unit of each
    cell."""
    extra = [
        ("Hold current at 40 °C", "430 mA", "640 mA", "0.94 A"),
        ("Hold current at 60 °C", "330 mA", "500 mA", "0.72 A"),
    ]
    readings = read(make_sheet(turned([]) + extra, [STILL_AIR]))
    at_60 = {r.part_number: r.value for r in readings if r.ambient_c == 60.0}
    assert at_60 == {"TQ-050": 0.33, "TQ-075": 0.5, "TQ-110": 0.72}


def test_a_note_that_names_parts_rates_these_alone(make_sheet: Draw) -> None:
    """The voltage of the sheet holds for all parts but those that a note gives another."""
    rows = [row[:3] + row[4:] for row in [HEADING, *ROWS]]
    notes = [STILL_AIR, "Umax = 30 V DC", "Exception: TQ-110 Umax = 16 V DC."]
    volts = values(read(make_sheet(rows, notes)), Quantity.MAX_VOLTAGE)
    assert volts == {"TQ-050": 30.0, "TQ-075": 30.0, "TQ-110": 16.0}


@pytest.mark.parametrize(
    ("head", "first", "second"),
    [
        ("Max. voltage DC / AC", "dc", "ac"),
        ("Ihold / Itrip (A)", "ihold", "itrip"),
    ],
)
def test_a_heading_of_two_says_one_of_each(head: str, first: str, second: str) -> None:
    """Of two words with a slash between, each stands for one of the two numbers of a cell."""
    places = head_to_places(head)
    assert [first in place for place in places] == [True, False]
    assert [second in place for place in places] == [False, True]


@pytest.mark.parametrize(
    ("text", "values"),
    [("%145", (145.0,)), ("1,5 s bij 0,25 A", (1.5, 0.25)), ("72 / 50 V", (72.0, 50.0)), ("TYP-005", ())],
)
def test_cells_of_any_language(text: str, values: tuple[float, ...]) -> None:
    """A percent sign before a number, a word between time and current, one unit for two, a name like a
    limit."""
    entry = cell_to_entry(Cell(text, ()), NumberStyle())
    assert tuple(number.value for number in entry.numbers) == values


def test_a_sheet_of_another_kind_gives_nothing_undisputed(make_sheet: Draw) -> None:
    """A one-time fuse has no pair of hold and trip current: its sheet is refused, and the kind is named."""
    heading = ("Part number", "Rated current (A)", "Rated voltage (V)", "Breaking capacity (A)", "I2t (A2s)")
    rows = [(f"FZ-{n}", f"{n}.0", "250", "35", f"{1.7 * n:.2f}") for n in range(1, 12)]
    with pytest.raises(DocumentError, match="one-time fuse"):
        read(make_sheet([heading, *rows], ["One-time fuses, quick acting. 25 °C."]))


@pytest.mark.parametrize(
    ("heading", "condition"),
    [
        ("Time to trip at 8 A (s)", (8.0, None)),
        ("Time to trip at 5 x Ihold (s)", (None, 5.0)),
        ("Max. time at 500 mA", (0.5, None)),
        ("Time to trip (s)", (None, None)),
    ],
)
def test_a_heading_states_its_condition(heading: str, condition: tuple[float | None, float | None]) -> None:
    """The test current of a time stands in its heading, in A or as a multiple of the hold current."""
    assert field_to_condition(Series(1, heading, heading, (), (heading,))) == condition


@pytest.mark.parametrize("text", ["at 8 A", "5.0 A", "Time at 3 A"])
def test_the_unit_of_a_condition_is_no_unit_of_the_column(text: str) -> None:
    """ "at 8 A" under a heading of times does not make the column one of amperes."""
    assert text_to_units(text) == ()


def test_a_footnote_that_names_another_value_is_an_exception() -> None:
    """A marked voltage whose note gives volts for the part is doubted; a note about packing is not."""
    notes = ("*) TQ-250: 24 V only", "† taped")
    assert footnote_to_exception("30*)", "TQ-250", notes, "V") == notes[0]
    assert footnote_to_exception("30*)", "TQ-050", notes, "V") == ""
    assert footnote_to_exception("30†", "TQ-250", notes, "V") == ""


def test_a_caption_rates_only_with_a_number_and_its_unit() -> None:
    """ "Umax = 16 V, Imax = 0.1 kA" says two ratings; a definition says none."""
    said = {(s.quantity, s.value) for s in text_to_said("Series A (Vmax = 16 V dc, Imax = 0.1 kA)")}
    assert said == {(Quantity.MAX_VOLTAGE, 16.0), (Quantity.MAX_CURRENT, 100.0)}
    assert text_to_said("Vmax: largest voltage the part stands at Imax") == ()


def test_signs_in_a_turned_table_repeat_the_part_before(make_sheet: Draw) -> None:
    """Where quantities go down, a ditto mark means the part at its left: above it stands another quantity."""
    turned = [[row[n] for row in [HEADING, *ROWS]] for n in range(len(HEADING))]
    turned[4] = ["Imax (A)", "40", '"', '"']
    readings = read(make_sheet([tuple(row) for row in turned], [STILL_AIR]))
    assert values(readings, Quantity.MAX_CURRENT) == dict.fromkeys(("TQ-050", "TQ-075", "TQ-110"), 40.0)


@pytest.mark.parametrize("mark", ["a)", " 1)", "ᵃ)", "†", "²)"])
def test_a_footnote_mark_is_no_piece_of_a_name(mark: str) -> None:
    """A letter or digit with a closing bracket that nothing opens belongs to a note."""
    assert text_to_name(f"TQ-110{mark}") == "TQ-110"
    assert text_to_name("TQ-110(2a)") == "TQ-110(2a)"


def test_a_note_may_name_the_parts_before_the_value(make_sheet: Draw) -> None:
    """ "Maximum current for A and B is 10 A" contradicts the 40 A of these two rows, and of no other."""
    note = "Maximum fault current for TQ-050 and TQ-075 is 10 A."
    found = {
        (r.part_number, r.value): r.status
        for r in read(make_sheet([HEADING, *ROWS], [STILL_AIR, note]))
        if r.quantity is Quantity.MAX_CURRENT
    }
    assert found["TQ-050", 40.0] is found["TQ-075", 40.0] is Status.DISPUTED
    assert found["TQ-110", 40.0] is Status.SINGLE


def test_two_voltages_of_a_cell_wait_unless_their_supplies_are_printed(make_sheet: Draw) -> None:
    """ "60/30" says AC and DC only under a heading that does, in whatever language."""
    rows = [(*row[:3], "60/30", *row[4:]) for row in ROWS]
    for heading, sure in (("Vmax (V)", False), ("Umax ss/st (V)", True), ("Vmax DC/AC (V)", True)):
        titles = (*HEADING[:3], heading, *HEADING[4:])
        readings = read(make_sheet([titles, *rows], [STILL_AIR]))
        volts = [r for r in readings if r.quantity is Quantity.MAX_VOLTAGE]
        if sure:
            assert {(r.kind.value, r.value) for r in volts} == {("dc", 60.0), ("ac", 30.0)}
        else:
            assert {r.status for r in volts} == {Status.DISPUTED}


def test_a_line_of_changes_rates_nothing(make_sheet: Draw) -> None:
    """An arrow from a value to another tells what was before."""
    history = "TQ-050: Vmax 20 V -> 24 V"
    readings = read(make_sheet([HEADING, *ROWS], [STILL_AIR, history]))
    volts = [r for r in readings if r.quantity is Quantity.MAX_VOLTAGE]
    assert {r.value for r in volts if r.part_number == "TQ-050"} == {24.0}
