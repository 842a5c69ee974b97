"""Headings that stand close, hang over a neighbour or lack their numbers' column: each once gave a number to
the wrong column or to none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from extract.column_roles import Column
from extract.columns import grid_to_table
from extract.entries import table_to_entries
from extract.grid import Grid, runs_to_cell
from extract.heading_block import runs_to_heading
from extract.heading_cells import lines_to_cells
from extract.heading_doubts import column_to_stranger
from extract.headings import heading_to_meaning
from extract.lines import Run, glyphs_to_runs
from extract.merged_rows import merge_between_rules
from extract.page import Glyph, Rule
from extract.schema import Quantity
from extract.tight_values import is_value_after_value, join_degrees
from extract.walls import block_to_starts

SIZE = 8.0


def _glyphs(text: str, x: float, blank: float = 2.8, top: float = 100.0) -> list[Glyph]:
    """A text whose letters are 4 points wide; "_" leaves a gap as wide as a blank without printing one."""
    glyphs = []
    for letter in text:
        wide = blank if letter in " _" else 4.0
        if letter != "_":
            glyphs.append(Glyph(letter, x, top, x + wide, top + SIZE, SIZE))
        x += wide
    return glyphs


def _words(text: str) -> list[tuple[str, bool]]:
    (run,) = glyphs_to_runs(_glyphs(text, 10.0))
    return [(word.text, word.after_blank) for word in run.words]


def test_a_word_after_a_printed_blank_is_told_from_one_after_a_gap() -> None:
    """Only a blank that fills the gap joins what stands left and right of it."""
    assert _words("Max. time_Current") == [("Max.", False), ("time", True), ("Current", False)]


def _cells(text: str, columns: Sequence[tuple[float, float]]) -> list[tuple[str, int, int]]:
    lines = [glyphs_to_runs(_glyphs(text, 10.0))]
    return [(c.text, c.column, c.column_span) for c in lines_to_cells(lines, columns) if c.text]


def test_a_heading_whose_blank_falls_between_two_columns_speaks_of_both() -> None:
    """A printed blank as wide as the gap between two columns cuts no heading."""
    assert _cells("Tripped power", [(20.0, 36.0), (44.0, 60.0)]) == [("Tripped power", 0, 2)]


def test_headings_closer_than_a_blank_are_two_where_blanks_are_printed() -> None:
    """A limit and a word beside it without a printed blank are two headings; with one they are one."""
    columns = [(14.0, 34.0), (45.0, 66.0), (74.0, 90.0)]
    assert _cells("Maximum_Current Test", columns)[0] == ("Maximum", 0, 1)
    assert _cells("Maximum Current_Test", columns)[0] == ("Maximum Current", 0, 2)


def _run(text: str, x0: float, x1: float, top: float) -> Run:
    return Run(text, x0, top, x1, top + SIZE, SIZE)


def test_a_short_common_heading_hangs_over_the_gap_between_its_columns() -> None:
    """Over numbers at the right edge the heading of two columns stands over one or none, and heads both."""
    columns = [(58.0, 95.0), (173.0, 180.0), (231.0, 238.0), (290.0, 303.0)]
    lines = [
        [_run("Resistance", 240.0, 256.0, 100)],
        [_run("Type", 70.0, 84.0, 110), _run("Vmax (V)", 140.0, 166.0, 110)],
        [_run("Rmin (Ω)", 208.0, 224.0, 120), _run("R1max (Ω)", 262.0, 280.0, 120)],
    ]
    spans = {c.text: (c.column, c.column_span) for c in lines_to_cells(lines, columns) if c.text}
    assert spans["Resistance"] == (2, 2)
    assert (spans["Vmax (V)"], spans["Rmin (Ω)"], spans["R1max (Ω)"]) == ((1, 1), (2, 1), (3, 1))


def test_headings_are_not_matched_in_order_where_one_is_missing() -> None:
    """A common heading without a column and a column without its heading make the number right: no heading
    may move up to the next column's numbers."""
    columns = [(58.0, 83.0), (128.0, 142.0), (191.0, 205.0), (252.0, 267.0), (317.0, 329.0)]
    lines = [
        [_run("Tripped power", 166.0, 200.0, 100)],
        [_run("Type", 73.0, 109.0, 110), _run("typ.", 150.0, 162.0, 110), _run("max.", 212.0, 224.0, 110)],
        [_run("W", 152.0, 158.0, 120), _run("W", 214.0, 220.0, 120), _run("Itrip (A)", 275.0, 300.0, 120)],
    ]
    spans = {c.text: (c.column, c.column_span) for c in lines_to_cells(lines, columns) if c.text}
    assert (spans["typ."], spans["max."]) == ((1, 1), (2, 1))


@pytest.mark.parametrize(("text", "taken"), [("Vmax", True), ("Figure 3", False)])
def test_a_known_heading_right_of_the_last_numbers_is_theirs(text: str, taken: bool) -> None:
    """Without rules only words of the trade are looked for farther right than the numbers."""
    beside = _run(text, 235, 255, 120)
    block = runs_to_heading([*UNITS[:3], beside], COLUMNS, 134, ())
    assert (beside in block.lines[0]) is taken


def test_a_known_heading_left_of_the_first_numbers_is_theirs() -> None:
    """Numbers at the right of wide columns leave the first heading left of them all."""
    columns = [(134.0, 142.0), (214.0, 230.0), (300.0, 314.0)]
    beside, other = _run("Vmax", 88, 106, 120), _run("Ihold", 180, 197, 120)
    block = runs_to_heading([other, beside, _run("note", 60, 80, 120)], columns, 134, ())
    assert {run.text for run in block.lines[0]} == {"Vmax", "Ihold"}


def test_two_headings_of_one_line_are_not_both_the_last_columns() -> None:
    """Where the last column has its heading, one farther right is that of a column without numbers here."""
    beside = _run("Vmax", 235, 255, 120)
    block = runs_to_heading([*UNITS, beside], COLUMNS, 134, ())
    assert [run.text for run in block.lines[0]] == ["A", "V", "W", "Ω"]


def test_units_run_together_name_no_quantity() -> None:
    """"A V DC" are the units of two columns; "V DC" is one."""
    assert heading_to_meaning(("Vmax", "Imax", "A V DC")).quantity is None
    assert heading_to_meaning(("Vmax", "V DC")).quantity is Quantity.MAX_VOLTAGE


def test_degrees_broken_from_their_numbers_are_put_together() -> None:
    """Three or more "°C" each right below a whole number; a lone one may be the foot of another column."""
    runs = [_run(text, 40.0 * n, 40.0 * n + 10, 100) for n, text in enumerate(("40", "60", "85"))]
    degrees = [_run("°C", 40.0 * n, 40.0 * n + 10, 109) for n in range(3)]
    assert [run.text for run in join_degrees([*runs, *degrees])] == ["40 °C", "60 °C", "85 °C"]
    assert len(join_degrees([*runs, degrees[0]])) == 4


def test_a_line_over_rows_that_a_column_begins_in_is_no_row() -> None:
    """"Series BH - 30 V" cut where the voltages begin rates its rows and makes no part of itself."""
    cut = [_run("Series BH -", 0, 34, 24), _run("30 V", 36, 50, 24)]
    grid = _grid(("Part number", "Vmax (V)", "Ihold (A)", "Itrip (A)"), ("BH050", "30", "0.50", "1.00"))
    cells = [runs_to_cell((2, n), (1, 1), [run], run.box) for n, run in enumerate(cut)]
    more = _grid(*BETWEEN)
    last = [replace(cell, row=3) for cell in more.cells if cell.row == 3]
    rows = (*grid.rows, (24.0, 32.0), (36.0, 44.0))
    table = grid_to_table(replace(grid, rows=rows, cells=(*grid.cells, *cells, *last), _index={}))
    assert table is not None
    assert (table.body, table.sections[3].text) == ((1, 3), "Series BH - 30 V")


def test_a_part_number_close_to_its_only_value_is_a_row() -> None:
    """A part that gives one rating stays one, however close it stands."""
    grid = _grid(("Part number", "Vmax (V)", "Ihold (A)"), ("BH050", "60", "0.50"))
    tight = [_run("BH075-60", 0, 38, 24), _run("60", 40, 48, 24)]
    cells = [runs_to_cell((2, n), (1, 1), [run], run.box) for n, run in enumerate(tight)]
    rows = (*grid.rows, (24.0, 32.0))
    table = grid_to_table(replace(grid, rows=rows, cells=(*grid.cells, *cells), _index={}))
    assert table is not None
    assert table.body == (1, 2)


UNITS = [_run(unit, x, x + 8, 120) for unit, x in (("A", 80), ("V", 120), ("W", 160), ("Ω", 200))]
COLUMNS = [(10.0, 60.0), (75.0, 95.0), (115.0, 135.0), (155.0, 175.0), (195.0, 215.0)]


@pytest.mark.parametrize(("text", "is_section"), [("PD V types", True), ("Part number", False)])
def test_a_line_below_the_row_of_units_names_the_rows_below_it(text: str, is_section: bool) -> None:
    """A group may be named with a symbol of the trade; the name of the part column stays a heading."""
    block = runs_to_heading([*UNITS, _run(text, 10, 50, 132)], COLUMNS, 146, ())
    assert [run.text for run in block.section] == ([text] if is_section else [])


def test_a_title_in_larger_letters_over_the_part_column_is_no_heading() -> None:
    """A lone larger line at the left edge ends the heading, though it stands over one column only."""
    title = Run("Electrical data at 23 °C", 10, 100, 62, 111, 11)
    block = runs_to_heading([title, _run("Part no.", 12, 40, 120), *UNITS], COLUMNS, 134, ())
    assert [[run.text for run in line] for line in block.lines] == [["Part no.", "A", "V", "W", "Ω"]]
    assert block.titles == ("Electrical data at 23 °C",)


@pytest.mark.parametrize(("rules", "headed"), [((Rule(98, 8, 300),), True), ((), False)])
def test_the_last_heading_may_stand_beside_numbers_at_the_left_of_a_ruled_column(
    rules: tuple[Rule, ...], headed: bool
) -> None:
    """As far as the rule over the table reaches; without a rule what stands there is another text."""
    beside = _run("Trip current", 250, 290, 120)
    block = runs_to_heading([*UNITS, beside], COLUMNS, 134, rules)
    assert (beside in block.lines[0]) is headed


def _line(code: str, value: str) -> tuple[Run, ...]:
    return glyphs_to_runs(_glyphs(f"{code}_{value}", 10.0, blank=3.6))


@pytest.mark.parametrize(
    ("code", "value", "parted"), [("BJ010-60", "100", True), ("0.7", "10", False), ("Series", "A", False)]
)
def test_a_value_close_to_the_part_number_begins_a_column(code: str, value: str, parted: bool) -> None:
    """A gap without a printed blank that all rows keep parts a code from a value, not the pieces of a
    number or a name."""
    block = [_line(code, value) for _ in range(3)]
    starts = block_to_starts(block, is_value_after_value)
    assert len(starts) == (2 if parted else 1)


def _column(*levels: str) -> Column:
    return Column(0, levels, heading_to_meaning(levels))


@pytest.mark.parametrize(
    ("levels", "stranger"),
    [
        (("power", "Maximum Current", "W"), Quantity.MAX_CURRENT),
        (("Tripped power", "at max. voltage", "W"), None),
        (("动作功率", "Vmax 时", "W"), None),
        (("Puissance dissipée", "après Imax", "W"), None),
        (("Tripped power", "Imax", "W"), Quantity.MAX_CURRENT),
        (("Max. time to trip", "at current 8 A", "s"), None),
        (("Post-trip resistance", "standard trip", "Ω"), None),
    ],
)
def test_a_heading_that_names_what_its_unit_cannot_measure_is_doubted(
    levels: tuple[str, ...], stranger: Quantity | None
) -> None:
    """A piece of another heading strayed in, unless it says the condition of the measurement."""
    assert column_to_stranger(_column(*levels)) is stranger


def _grid(*rows: Sequence[str]) -> Grid:
    columns = tuple((40.0 * n, 40.0 * n + 30) for n in range(len(rows[0])))
    cells = [
        runs_to_cell((r, c), (1, 1), [_run(text, *columns[c], 12.0 * r)] if text else [], (*columns[c], 0, 0))
        for r, row in enumerate(rows)
        for c, text in enumerate(row)
    ]
    edges = tuple((12.0 * r, 12.0 * r + SIZE) for r in range(len(rows)))
    box = (0.0, 0.0, columns[-1][1], edges[-1][1])
    return Grid(1, "aligned", box, columns, edges, tuple(cells))


BETWEEN = (
    ("Part number", "Vmax (V)", "Ihold (A)", "Itrip (A)"),
    ("BH050", "", "0.50", "1.00"),
    ("", "60", "", ""),
    ("BH110", "", "1.10", "2.20"),
)


def test_a_number_alone_between_two_rows_is_reported() -> None:
    """What stands in no row is nobody's number, and is said to be left out."""
    table = grid_to_table(_grid(*BETWEEN))
    assert table is not None
    entries, unread = table_to_entries(table)
    assert Quantity.MAX_VOLTAGE not in {entry.quantity for entry in entries}
    assert [(item.quantity, item.cell.text) for item in unread] == [(Quantity.MAX_VOLTAGE, "60")]


def test_a_number_between_two_rows_that_only_their_labels_part_is_of_both() -> None:
    """Two rows ruled off everywhere but in one column share the number at their middle."""
    y = 12.0 * 2 + SIZE / 2
    rules = [Rule(y, 0, 30), Rule(y, 80, 150), *(Rule(at, 0, 150) for at in (10.0, 46.0))]
    merged = merge_between_rules(_grid(*BETWEEN), rules)
    cells = [(cell.text, cell.row_span) for cell in merged.cells if cell.text == "60"]
    assert cells == [("60", 2)]
