"""Lists of labels and values, names in two pieces, currents and times by turns, open ranges, marked notes."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.cells.data_lines import is_data_line, is_section_title
from extract.cells.ink import content_to_ink
from extract.joined.part_names import label_to_parts
from extract.quantities import CellSort, cell_to_numbers
from extract.schema import Kind, Quantity, Status
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read, values
from tests.extract.model.test_stages import grid_content

PARTS = ("TQ60-010", "TQ60-025", "TQ60-040", "TQ30-250", "TQ30-300")
TYPED = """
QUARTERHOLD FUSES                                 SHEET {n} of 2

SELF-RESETTING POLYMER PROTECTOR    TYPE TQ/10{n}

2.   RATINGS (at 20 degC in still air)
     2.1 Hold current .......................... {hold} A
     2.2 Trip current .......................... {trip} A
     2.3 Maximum working voltage ............... 30 V d.c.
     2.4 Maximum fault current ................. 40 A

3.   RESISTANCE (at 20 degC)
     3.1 As delivered, minimum ................. 0.132 ohm
     3.2 One hour after tripping, maximum ...... 0.442 ohm

4.   TIME TO TRIP (at 20 degC)

            Test current      Typical     Maximum
                (A)             (s)         (s)
            ------------      -------     -------
                1.88               13          23
                3.75              3.0         5.4
                  10             0.38        0.69
"""


def typed_sheet(path: Path) -> Path:
    """Two specifications of one part each, as a typewriter sets them."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path))
    for n, (hold, trip) in enumerate((("0.75", "1.50"), ("0.90", "1.80")), start=1):
        canvas.setFont("Courier", 10)
        for number, line in enumerate(TYPED.format(n=n, hold=hold, trip=trip).splitlines()):
            canvas.drawString(60, 780 - 12 * number, line)
        canvas.showPage()
    canvas.save()
    return path


def test_a_typed_list_of_one_part_on_each_page_is_read(tmp_path: Path) -> None:
    """Dots lead to the value, section numbers are none, each page is of the part that it names."""
    readings = read(typed_sheet(tmp_path / "typed.pdf"))
    assert values(readings, Quantity.HOLD_CURRENT) == {"TQ/101": 0.75, "TQ/102": 0.9}
    assert values(readings, Quantity.TRIP_CURRENT) == {"TQ/101": 1.5, "TQ/102": 1.8}
    assert values(readings, Quantity.MAX_VOLTAGE) == {"TQ/101": 30.0, "TQ/102": 30.0}
    longest = [r for r in readings if r.quantity is Quantity.TIME_TO_TRIP and r.kind is Kind.NONE]
    times = {(r.test_current_a, r.value) for r in longest}
    assert times == {(1.88, 23.0), (3.75, 5.4), (10.0, 0.69)}
    kinds = {r.kind for r in readings if r.quantity is Quantity.RESISTANCE}
    assert kinds == {Kind.MIN, Kind.POST_TRIP_MAX}


def test_dots_that_lead_to_a_value_are_no_text() -> None:
    """Leaders go, whether they touch the words or not; a dash of three dots stays."""
    line = content_to_ink(grid_content([[(50.0, "Trip........1.50")]])).lines[0]
    assert [atom.text for atom in line.atoms] == ["Trip", "1.50"]
    assert [a.text for a in content_to_ink(grid_content([[(50.0, "0.1...0.2")]])).lines[0].atoms] == [
        "0.1...0.2"
    ]


def test_the_title_of_a_section_is_no_heading_of_a_column() -> None:
    """A number with a point and one text is a title; a row that begins with a number is none."""
    title, row = content_to_ink(
        grid_content([[(50.0, "4."), (80.0, "TIME TO TRIP")], [(50.0, "4."), (80.0, "0.5"), (120.0, "1.0")]])
    ).lines
    assert is_section_title(title)
    assert not is_section_title(row)


def test_currents_beside_the_heading_of_part_numbers_are_a_heading() -> None:
    """ "Model | 10 A | 15 A" stands over times; "TQ-050 | 10 A | 15 A" is a row."""
    heading, row = content_to_ink(
        grid_content(
            [[(50.0, name), (120.0, "10A"), (160.0, "15A"), (200.0, "25A")] for name in ("Model", "TQ-050")]
        )
    ).lines
    assert not is_data_line(heading)
    assert is_data_line(row)


@pytest.mark.parametrize(
    "text", ["30 V d.c.", "30 V DC", "30 V a.c.", "30 Vd.c.", "30 V (d.c.)", "30 V c.c."]
)
def test_a_supply_with_points_is_part_of_the_unit(text: str) -> None:
    """Volts of direct or alternating current, as each country prints them."""
    cell = cell_to_numbers(text)
    assert cell.sort is CellSort.NUMBERS
    assert float(cell.numbers[0].value) == 30.0


def test_a_suffix_beside_its_series_is_half_a_name(make_sheet: Draw) -> None:
    """A column of "-050/24" headed as suffix of part numbers is no column of values."""
    rows = [("TQ12" if n < 2 else "TQ18", f"-{row[0][3:]}/24", *row[1:]) for n, row in enumerate(ROWS)]
    example = "Part number = series + suffix, for example TQ12-050/24."
    readings = read(make_sheet([("Series", "Part No. suffix", *HEADING[1:]), *rows], [STILL_AIR, example]))
    assert set(values(readings, Quantity.HOLD_CURRENT)) == {"TQ12-050/24", "TQ12-075/24", "TQ18-110/24"}


def test_a_suffix_that_no_text_joins_is_doubted(make_sheet: Draw) -> None:
    """Where the sheet prints no whole name the joined one waits for a person."""
    rows = [("TQ12" if n < 2 else "TQ18", f"-{row[0][3:]}/24", *row[1:]) for n, row in enumerate(ROWS)]
    readings = read(make_sheet([("Series", "Part No. suffix", *HEADING[1:]), *rows], [STILL_AIR]))
    assert {r.status for r in readings} <= {Status.DISPUTED}


@pytest.mark.parametrize("turn", [0, 1])
def test_currents_and_times_by_turns_are_pairs(make_sheet: Draw, turn: int) -> None:
    """Each time goes with the current of its own pair, whichever of the two stands first."""
    times = {"TQ-050": ("2 A", "3.0 s", "4 A", "0.7 s"), "TQ-075": ("3 A", "4.0 s", "6 A", "0.8 s"),
             "TQ-110": ("4 A", "5.0 s", "8 A", "0.9 s")}  # fmt: skip
    pairs = ("Current", "Time") * 2
    if turn:
        pairs = ("Time", "Current") * 2
        times = {part: (b, a, d, c) for part, (a, b, c, d) in times.items()}
    rows = [(*row, *times[row[0]]) for row in ROWS]
    readings = read(make_sheet([(*HEADING, *pairs), *rows], [STILL_AIR]))
    found = {
        (r.part_number, r.test_current_a, r.value) for r in readings if r.quantity is Quantity.TIME_TO_TRIP
    }
    assert found >= {("TQ-050", 2.0, 3.0), ("TQ-050", 4.0, 0.7), ("TQ-110", 8.0, 0.9)}
    assert len(found) == 6


@pytest.mark.parametrize(
    ("label", "names"),
    [
        ("TQ60-010 t/m TQ60-040", PARTS[:3]),
        ("TQ60-010 bis TQ60-040", PARTS[:3]),
        ("TQ30-250 en hoger", PARTS[3:]),
        ("TQ60-025 and above", PARTS[1:]),
        ("TQ30-250及以上", PARTS[3:]),
        ("TQ60-025 y menores", PARTS[:2]),
    ],
)
def test_a_range_may_be_open_at_one_end(label: str, names: tuple[str, ...]) -> None:
    """ "and above" reaches to the last part of the letters, "and below" to the first."""
    assert label_to_parts(label, PARTS).names == names


def test_a_marked_note_stands_in_the_place_of_what_a_caption_says_of_all(make_sheet: Draw) -> None:
    """ "All types: Vmax 16 V²" and "² TQ-110: Vmax 24 V" give 24 V for that part, once."""
    rows = [(*row[:3], *row[4:]) for row in ROWS]
    above = [STILL_AIR, "² TQ-110: Vmax 24 V.", "All types: Vmax 16 V²"]
    readings = read(make_sheet([(*HEADING[:3], *HEADING[4:]), *rows], above))
    volts = {(r.part_number, r.value) for r in readings if r.quantity is Quantity.MAX_VOLTAGE}
    assert volts == {("TQ-050", 16.0), ("TQ-075", 16.0), ("TQ-110", 24.0)}
