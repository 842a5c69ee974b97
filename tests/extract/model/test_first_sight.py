"""What sheets never seen before showed: names with descriptions or in two columns, notes, reach."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from extract.cells.continued import fits_in
from extract.cells.grids import inks_to_grids
from extract.cells.ink import content_to_ink
from extract.cells.regions import Region
from extract.cells.rows import _fill_merged  # the rule itself, on heights
from extract.cells.separators import region_to_columns
from extract.cells.tables import Cell as Told
from extract.cells.tables import Grid as Table
from extract.cells.tables import Source
from extract.joined.conditions import footnote_to_exception, text_excepts, text_to_said
from extract.joined.glossary import lines_to_glossary
from extract.joined.label_names import texts_to_codes
from extract.joined.part_names import label_to_parts
from extract.meanings.series import _without_stray_share, text_to_units
from extract.meanings.words import Meaning, words_to_scores
from extract.part_names import name_to_doubt
from extract.schema import Quantity, Status
from extract.sheet import read_sheet
from sample_tables.generate.__main__ import draw
from sample_tables.generate.blocks import Cell, Grid, Heading, Sheet, Text
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read, values
from tests.extract.model.test_stages import grid_content


def test_a_description_behind_a_part_number_is_no_piece_of_it() -> None:
    """Where nearly every label goes on with words, the code before them is the part number."""
    described = [f"TQ-{n}0 RESET FUSE {n} V RADIAL" for n in (16, 24, 60)]
    assert texts_to_codes(described) == ("TQ-160", "TQ-240", "TQ-600")
    assert texts_to_codes(["TQ 050", "TQ 075"]) == ("TQ 050", "TQ 075")
    assert texts_to_codes(["TQ-050 LOW RANGE", "TQ-050 HIGH RANGE"]) == (
        "TQ-050 LOW RANGE",
        "TQ-050 HIGH RANGE",
    )


@pytest.mark.parametrize("name", ["TQ-050 60V RADIAL", "TQ-050 16V", "WOLFMAKER TQ-050"])
def test_a_name_that_holds_words_or_values_is_doubted(name: str) -> None:
    """A glued name never stands unmarked, whatever glued it."""
    assert name_to_doubt(name)


def test_a_series_and_a_code_are_one_name_as_the_sheet_prints_it(make_sheet: Draw) -> None:
    """Columns "Series" and "Code" name TQ-050 where the ordering example prints TQ-050."""
    rows = [("TQ", row[0][3:], *row[1:]) for row in ROWS]
    example = "Ordering: series and code, for example TQ-050."
    readings = read(make_sheet([("Series", "Code", *HEADING[1:]), *rows], [STILL_AIR, example]))
    assert set(values(readings, Quantity.HOLD_CURRENT)) == {"TQ-050", "TQ-075", "TQ-110"}


@pytest.mark.parametrize("sign", ["„", "»", "″", "ditto", "idem", '-"-'])
def test_signs_as_above_of_many_countries(sign: str) -> None:
    """Each of these repeats the value above."""
    atoms = content_to_ink(grid_content([[(50.0, sign)]])).lines[0].atoms
    assert [atom.ditto for atom in atoms] == [True]


def test_a_printed_blank_may_part_thousands() -> None:
    """ "1 100" with a blank in the text is one number; two numbers printed apart stay two."""
    blank = content_to_ink(grid_content([[(50.0, "1 100")]]))
    assert [a.text for a in blank.lines[0].atoms] in (["1", "100"], ["1100"])
    apart = content_to_ink(grid_content([[(50.0, "1"), (58.0, "100")]]))
    assert [a.text for a in apart.lines[0].atoms] == ["1", "100"]


def test_a_mark_at_a_name_may_except_the_part() -> None:
    """The note of a mark counts wherever in its line it stands, and below a sign on a line of its own."""
    line = "¹) For marked types Imax = 100 A. ²) Measured at 10 A."
    assert "100 A" in footnote_to_exception("TQ-400 ¹)", "TQ-400", [line], "A")
    assert "10 A" in footnote_to_exception("16,0 ²)", "TQ-400", [line], "sA")
    assert footnote_to_exception("6,1ᵃ", "TQ-400", ["a", "Test current 40 A."], "sA")


def test_a_mark_at_a_name_outweighs_what_a_caption_says_of_all_parts(tmp_path: Path) -> None:
    """A part whose name bears a mark has the current of the mark's note, not that of the caption."""
    heading, rows = (*HEADING[:4], *HEADING[5:]), [(*row[:4], *row[5:]) for row in ROWS]
    rows[2] = ("TQ-110 ¹)", *rows[2][1:])
    head, *body = [tuple(Cell(text) for text in row) for row in (heading, *rows)]
    blocks = (
        Text(STILL_AIR),
        Heading("All types: Imax = 40 A"),
        Grid((head,), tuple(body)),
        Text("¹) For marked types Imax = 100 A.", small=True),
    )
    path = tmp_path / "marked.pdf"
    path.write_bytes(draw(Sheet("marked", "reportlab", "", "", "", blocks, ())))
    found = {r.part_number: r.value for r in read(path) if r.quantity is Quantity.MAX_CURRENT}
    assert (found["TQ-050"], found["TQ-110"]) == (40.0, 100.0)


def test_a_sheet_explains_its_own_symbols() -> None:
    """A symbol behind a known word means what the word does; a definition by other words explains nothing."""
    assert lines_to_glossary(["Hold current Ihx, trip current Iux at 20 °C."]) == {
        "ihx": "hold current",
        "iux": "trip current",
    }
    assert lines_to_glossary(["Hold current in still air, hold current versus ambient"]) == {}
    assert lines_to_glossary(["Imt: maximum current that does not trip the part."]) == {}


@pytest.mark.parametrize(
    ("text", "excepts"),
    [
        ("Umax 60 V per tutta la serie, salvo nota (2)", True),
        ("Alle typer undtagen TQ-050: Umax 60 V", True),
        ("全系列 60 V（TQ-050 除く）", True),
        ("Umax 60 V, sauf indication contraire", False),
        ("All ratings at 25 °C unless otherwise stated", False),
    ],
)
def test_words_of_exception(text: str, excepts: bool) -> None:
    """A caption with an exception is read with a doubt; "unless otherwise stated" excepts nothing."""
    assert text_excepts(text) is excepts


def test_a_caption_may_rate_two_quantities_without_signs() -> None:
    """ "Umax 16 Vdc, Imax 100 A" says both, in a long text too."""
    text = "All parts of this series: Vmax 16 Vdc, Imax 100 A. Ratings in still air at 25 °C ambient."
    assert {(s.quantity, s.value) for s in text_to_said(text)} == {
        (Quantity.MAX_VOLTAGE, 16.0),
        (Quantity.MAX_CURRENT, 100.0),
    }


def test_a_unit_may_stand_between_commas() -> None:
    """ "Time to trip max., s, at" names its unit."""
    assert [unit.name for unit in text_to_units("Time to trip max., s, at the current")] == ["s"]


def merged_sources(filled: dict[int, str], count: int) -> list[Source | None]:
    """How rows without ink of a column came to their cells; `filled` are rows with text."""
    ink = content_to_ink(grid_content([[(50.0, "60")]])).lines[0].atoms
    cells: list[Told | None] = [Told(filled[n], ink) if n in filled else None for n in range(count)]
    _fill_merged(cells, [], [14.0 * n for n in range(count)], 14.0, [None] * (count - 1))
    return [cell.source if cell else None for cell in cells]


def test_a_merged_cell_that_may_begin_at_its_first_row_is_a_guess() -> None:
    """Without rules "60" at row 1 and "30" at row 4 of 6 may be centred (1, 2-6) or first (1-3, 4-6)."""
    assert Source.GUESSED in merged_sources({0: "60", 3: "30"}, 6)
    assert Source.GUESSED not in merged_sources({1: "60", 4: "30"}, 6)


def test_a_limit_without_a_word_on_its_supply_has_none(make_sheet: Draw) -> None:
    """One column of small fault currents is no AC rating because it is small: print alone says AC or DC."""
    rows = [(*row[:4], "3", *row[5:]) for row in ROWS]
    found = [r for r in read(make_sheet([HEADING, *rows], [STILL_AIR])) if r.quantity is Quantity.MAX_CURRENT]
    assert {(r.kind.value, r.status) for r in found} == {("", Status.SINGLE)}


def test_heat_proves_that_a_power_is_in_watts(make_sheet: Draw) -> None:
    """Without a unit a power is proven by the heat of the hold current in R1max; of another size it waits."""
    for powers, sure in ((("0.7", "0.8", "1.0"), True), (("700", "800", "1000"), False)):
        rows = [(*row, power) for row, power in zip(ROWS, powers, strict=True)]
        readings = read(make_sheet([(*HEADING, "Tripped power typ"), *rows], [STILL_AIR]))
        found = {r.status for r in readings if r.quantity is Quantity.TRIPPED_POWER}
        assert (found == {Status.SINGLE}) is sure
        assert sure or Status.SINGLE not in found


def test_a_note_in_an_unknown_language_disputes_a_limit(make_sheet: Draw) -> None:
    """A line of unknown words that names a part beside volts which no table gives it is an exception."""
    note = "Zalgo TQ-110 vembri luvo 12 V totam."
    path = make_sheet([HEADING, *ROWS], [STILL_AIR, note])
    found = {r.part_number: r.status for r in read_sheet(path).readings if r.quantity is Quantity.MAX_VOLTAGE}
    assert found["TQ-110"] is Status.DISPUTED
    assert found["TQ-050"] is not Status.DISPUTED


def test_two_reference_ambients_wait(make_sheet: Draw) -> None:
    """A heading that says another ambient than the sheet's text does is doubted."""
    heading = ("Part number", "Ihold (A) at 20 °C", "Itrip (A) at 20 °C", *HEADING[3:])
    sure = read(make_sheet([heading, *ROWS], ["Polymer PTC resettable fuses."]))
    holds = [r for r in sure if r.quantity is Quantity.HOLD_CURRENT]
    assert {(r.ambient_c, r.status) for r in holds} == {(20.0, Status.SINGLE)}


@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("V enintään (V)", Meaning.MAX_VOLTAGE),
        ("AMPS MAX.", Meaning.MAX_CURRENT),
        ("標準 mΩ", Meaning.R_TYP),
    ],
)
def test_a_heading_of_a_limit_and_a_unit_alone_speaks_for_the_limit(heading: str, meaning: Meaning) -> None:
    """ "Max" and volts, with nothing that is not understood, mean the largest voltage."""
    bare, unknown = words_to_scores(heading), words_to_scores(f"zalgo {heading}")
    assert bare[meaning] > unknown[meaning]


def test_a_pair_may_go_on_in_the_next_line(tmp_path: Path) -> None:
    """ "0.65 /" and below it "1.30" are one cell of hold and trip, though no row is parted from the next."""
    heads = ("Part number", "-20 °C", "0 °C", "23 °C", "60 °C")
    body = [
        (row[0], *(f"{float(row[1]) * k:.2f} /|{float(row[2]) * k:.2f}" for k in (1.3, 1.15, 1.0, 0.7)))
        for row in ROWS
    ]
    ratings, derating = (
        Grid((tuple(map(Cell, head)),), tuple(tuple(map(Cell, row)) for row in rows), zebra=True)
        for head, rows in ((HEADING, ROWS), (heads, body))
    )
    blocks = (Text(STILL_AIR), ratings, Heading("Hold / trip current (A) at ambient temperature"), derating)
    path = tmp_path / "pairs.pdf"
    path.write_bytes(draw(Sheet("pairs", "reportlab", "", "", "", blocks, ())))
    found = {(r.part_number, r.quantity, r.ambient_c): r.value for r in read(path)}
    assert found["TQ-050", Quantity.HOLD_CURRENT, -20.0] == 0.65
    assert found["TQ-110", Quantity.TRIP_CURRENT, 60.0] == 1.54


def test_rows_of_a_further_page_fit_in_the_columns_before_or_not() -> None:
    """Rows without headings stand in the columns of the page before if no text crosses their separators."""
    content = grid_content([[(50.0, "TQ-050"), (100.0, "0.50"), (150.0, "1.00")]] * 3)
    lines = content_to_ink(content).lines
    columns = region_to_columns(Region(lines, (), 0, 600), ())
    before = Table(content, columns, (), (), (), (), (0.0, 0.0, 1.0, 1.0))
    assert fits_in(lines, before)
    crossing = content_to_ink(grid_content([[(70.0, "TQ-050-060"), (150.0, "1.00")]])).lines
    assert not fits_in(crossing, before)


def test_of_two_powers_one_without_its_kind_waits(make_sheet: Draw) -> None:
    """Beside a typical power a bare "Pd" may be the largest or any other: it is doubted."""
    heading = (*HEADING, "Pd typ (W)", "Pd (W)")
    rows = [(*row, str(w), str(round(1.35 * w, 2))) for row, w in zip(ROWS, (0.6, 0.7, 0.9), strict=True)]
    powers = [
        r for r in read(make_sheet([heading, *rows], [STILL_AIR])) if r.quantity is Quantity.TRIPPED_POWER
    ]
    assert {r.status for r in powers if r.kind.value != "typ"} == {Status.DISPUTED}


def test_words_that_stray_over_another_quantity_do_not_count() -> None:
    """ "Maximum time" drawn too wide over "Tripped power" makes no largest power of it."""
    assert _without_stray_share("Maximum time ‖ Tripped power (W)") == "Tripped power (W)"
    assert _without_stray_share("Resistance ‖ R1 max (Ω)") == "Resistance ‖ R1 max (Ω)"
    for kept in ("Time to trip ‖ Time (s)", "Max. time to ‖ trip Current A"):
        assert _without_stray_share(kept) == kept


def test_a_short_code_beside_another_code_is_no_label_of_a_series() -> None:
    """ "AB1 080 60V" names a part that is not there, and not all parts that begin with AB1."""
    parts = ("AB1 012", "AB1 040", "AB1 100")
    assert label_to_parts("AB1 080 60V", parts).names == ()
    assert label_to_parts("AB1 types", parts).names == parts


def test_a_description_below_a_name_is_no_piece_of_it(tmp_path: Path) -> None:
    """Names of two words keep both; the line of words below them is left out, in every table of the sheet."""
    rows = [(f"TQ {row[0][3:]}|poly fuse, 24 V", *row[1:]) for row in ROWS]
    ratings = Grid((tuple(map(Cell, HEADING)),), tuple(tuple(map(Cell, row)) for row in rows))
    path = tmp_path / "described.pdf"
    path.write_bytes(draw(Sheet("described", "reportlab", "", "", "", (Text(STILL_AIR), ratings), ())))
    assert set(values(read(path), Quantity.HOLD_CURRENT)) == {"TQ 050", "TQ 075", "TQ 110"}


def test_a_row_of_pairs_and_single_numbers_waits(tmp_path: Path) -> None:
    """Where some cells of a row hold two numbers and others one, halves may be mixed: it is doubted."""
    heads = ("Part number", "-20 °C", "0 °C", "23 °C", "60 °C")
    shares = (1.3, 1.1, 1, 0.7)
    body = [(r[0], *(f"{float(r[1]) * k:.2f} / {float(r[2]) * k:.2f}" for k in shares)) for r in ROWS]
    body[2] = (body[2][0], "2.86", *body[2][2:])
    ratings, derating = (
        Grid((tuple(map(Cell, head)),), tuple(tuple(map(Cell, row)) for row in rows))
        for head, rows in ((HEADING, ROWS), (heads, body))
    )
    blocks = (Text(STILL_AIR), ratings, Heading("Hold / trip current (A) at ambient temperature"), derating)
    path = tmp_path / "mixed.pdf"
    path.write_bytes(draw(Sheet("mixed", "reportlab", "", "", "", blocks, ())))
    cold = {(r.part_number, r.ambient_c): r.status for r in read(path) if r.ambient_c != 23.0}
    assert cold["TQ-050", 0.0] is Status.SINGLE
    assert cold["TQ-110", 0.0] is Status.DISPUTED


def test_a_heading_may_stand_at_the_foot_of_the_page_before() -> None:
    """Rows at the top of a page take the headings that end the page before."""
    places = (50.0, 120.0, 190.0, 260.0)
    heading = list(zip(places, ("Part", "Ihold", "Itrip", "Vmax"), strict=True))
    rows = [list(zip(places, (f"TQ-0{n}0", f"0.{n}0", f"1.{n}0", "60"), strict=True)) for n in (5, 6, 7)]
    foot, top = grid_content([[(50.0, "Ratings at 23 °C")], heading]), replace(grid_content(rows), number=2)
    grids = inks_to_grids([content_to_ink(foot), content_to_ink(top)])
    assert [grids[-1].heading(n) for n in range(4)] == ["Part", "Ihold", "Itrip", "Vmax"]
