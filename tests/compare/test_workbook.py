"""The workbook: texts stay texts, formulas stay ours, what is known stands beside them."""

import re
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from compare.corners import numbers_to_case
from compare.derating_lines import Piece, hold_to_pieces, trip_to_pieces
from compare.part_numbers import part_to_numbers
from compare.provenance import Provenance
from compare.ranking import Ranking, parts_to_ranking
from compare.records import Margin
from compare.requirement import Requirement
from compare.workbook import SHEETS, ranking_to_workbook
from compare.workbook_inputs import RESTS_ON, requirement_to_inputs
from compare.workbook_look import at, put
from compare.workbook_margins import BUILDERS
from extract.errors import InputError
from extract.schema import Finding, Part, Severity

EVERYTHING = """
[hot_plug]
capacitance_f = 0.001
resistance_ohm = 0.4
[wire]
awg = 24
insulation_max_c = 105
ampacity_a = 5
[track]
width_mm = 1.5
copper_um = 35
layer = "outer"
temperature_rise_max_k = 20
[[damage_curve]]
current_a = 5
time_s = 20
[[damage_curve]]
current_a = 40
time_s = 0.1
[endurance]
trips_per_month = 1
service_years = 5
[limited_power_source]
standard = "iec_60950_1"
measured_after_s = 60
"""
ASKED = {
    "ambient_cold_c": -10.0, "ambient_hot_c": 45.0, "neighbour_heating_k": 5.0, "peak_current_a": 2.0,
    "peak_duration_s": 0.05, "supply_voltage_min_v": 10.0, "transient_voltage_v": 15.0,
    "supply_current_limit_a": 19.0, "trip_time_max_s": 4.0, "trip_current_max_a": 5.0,
    "voltage_drop_max_v": 0.3, "leakage_max_a": 0.2, "load_resistance_ohm": 30.0, "reset": "self",
    "allow_model": True, "hold_factor": 1.1, "length_max_mm": 5.0, "width_max_mm": 4.0, "height_max_mm": 2.0,
    "lead_spacing_mm": 5.08, "mounting": "surface_mount", "operating_margin_k": 5.0,
}
HOSTILE = ("=1+2", "+A1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", '=HYPERLINK("http://x","y")', "'=1")


@pytest.fixture
def requirement(make_requirement: Callable[..., Requirement]) -> Requirement:
    """A requirement that asks for everything there is."""
    return replace(make_requirement(EVERYTHING, **ASKED), packages=("1812",), approvals=("UL",))


@pytest.fixture
def parts(make_part: Callable[..., Part], row_a: dict[float, float], row_b: dict[float, float]) -> list[Part]:
    """Parts that fit, fail and cannot be told."""
    return [
        make_part("P1", ratios=row_a, package="1812"), make_part("P2", hold=1.1, trip=2.2, ratios=row_b),
        make_part("P3", hold=0.2, trip=0.4, ratios=row_a), make_part("P4", max_voltage=6.0, time=None),
        make_part("P5", ratios=row_b, trip_ratios=row_b, r_1max=0.0),
    ]


def formulas(path: Path) -> list[str]:
    """Every formula of a workbook."""
    book = load_workbook(path)
    return [cell.value for sheet in book for row in sheet.iter_rows() for cell in row
            if cell.data_type == "f"]


@pytest.mark.parametrize("text", HOSTILE)
def test_a_text_never_becomes_a_formula(text: str, tmp_path: Path) -> None:
    """Whatever a text begins with, the cell is a text and marked so for a person who edits it."""
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    put(at(sheet, 1, 1), text)
    book.save(tmp_path / "out.xlsx")
    cell = load_workbook(tmp_path / "out.xlsx").worksheets[0]["A1"]
    assert cell.data_type != "f"
    assert cell.quotePrefix
    assert str(cell.value).replace("\r", "").strip() == text.replace("\r", "").strip()


def test_control_characters_do_not_break_the_file(tmp_path: Path) -> None:
    """Characters that no XML file may hold are shown as replaced."""
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    put(at(sheet, 1, 1), "a\x00b\x1bc\ud800")
    book.save(tmp_path / "out.xlsx")
    assert load_workbook(tmp_path / "out.xlsx").worksheets[0]["A1"].value == "a\ufffdb\ufffdc\ufffd"


def test_a_part_with_control_characters_makes_a_sound_file(
    make_part: Callable[..., Part], requirement: Requirement, tmp_path: Path
) -> None:
    """They do not break the values beside the formulas either."""
    path = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking([make_part("A\x00<&>\ud800\x1b")], requirement), path)
    assert load_workbook(path, data_only=True)["Summary"]["E3"].value == "A\ufffd<&>\ufffd\ufffd"


def test_no_text_of_a_datasheet_stands_in_a_formula(
    make_part: Callable[..., Part], requirement: Requirement, tmp_path: Path
) -> None:
    """Part number, document, package, findings and printed text reach cells only as texts."""
    part = make_part("=cmd|'/c calc'!A1", package="=PACKAGE()")
    evil = replace(part, document="@doc.pdf", readings=tuple(
        replace(reading, raw='=EVIL("x")', document="@doc.pdf") for reading in part.readings))
    finding = Finding("code", Severity.DOUBT, "=EVIL()", document="@doc.pdf")
    path = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking([evil], requirement), path, [finding])
    assert not [formula for formula in formulas(path) if re.search("EVIL|cmd|@|PACKAGE", formula)]
    names = load_workbook(path)["Candidates"]["B5"]
    assert (names.value, names.data_type) == ("=cmd|'/c calc'!A1", "s")


def test_functions_are_those_every_spreadsheet_knows(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """No function that came after ISO/IEC 29500, no macro, nothing volatile."""
    path = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking(parts, requirement), path)
    used = {name for formula in formulas(path) for name in re.findall(r"([A-Z][A-Z0-9.]+)\(", formula)}
    assert used <= {"ABS", "AND", "COUNT", "COUNTIF", "IF", "IFERROR", "INDEX", "INT", "ISNUMBER", "LN",
                    "LOG10", "MATCH", "MAX", "MIN", "NA", "NOT", "OR", "ROUND", "ROWS", "SQRT", "SUMPRODUCT"}
    assert max(map(len, formulas(path))) < 8192  # Excel's limit
    with zipfile.ZipFile(path) as opened:
        assert not [name for name in opened.namelist() if "vba" in name.lower()]


def test_what_is_known_stands_beside_the_formulas(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """A reader that does not calculate sees ranks, verdicts and margins of the program."""
    path = tmp_path / "out.xlsx"
    ranking = parts_to_ranking(parts, requirement)
    ranking_to_workbook(ranking, path)
    book = load_workbook(path, data_only=True)
    assert book.sheetnames == [title for title in SHEETS if title not in ("Ports", "Trip curves")]
    rows = book["Candidates"].iter_rows(min_row=5, max_col=4, values_only=True)
    shown = [(row[0], row[1], row[2], row[3]) for row in rows]
    assert shown == [(rank, one.part_number, one.verdict.value, one.limiting.margin)
                     for rank, one in enumerate(ranking.candidates, 1)]
    margins = [margin for one in ranking.candidates for margin in one.margins]
    rows = book["Margins"].iter_rows(min_row=5, min_col=10, max_col=10, values_only=True)
    verdicts = [row[0] for row in rows]
    assert verdicts == [margin.verdict.value for margin in margins]


def test_every_number_of_the_requirement_is_an_input(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """Each has a defined name that leads to its cell, its unit beside it."""
    path = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking(parts, requirement), path)
    book = load_workbook(path)
    for one in requirement_to_inputs(requirement):
        sheet, cell = book.defined_names[one.name].attr_text.split("!")
        assert (sheet, book[sheet][cell.replace("$", "")].value) == ("Summary", one.value)
    told = {one.field for one in requirement_to_inputs(requirement)}
    assert told >= {*ASKED} - {"reset", "allow_model", "mounting"}


def test_a_margin_has_a_formula_or_a_list_of_inputs(parts: list[Part], requirement: Requirement) -> None:
    """Every margin that can be asked either follows the inputs or says on which it rests."""
    asked = {margin.name for margin in parts_to_ranking(parts, requirement).candidates[0].margins}
    only_if_said = {"tested_trips"}
    assert len(asked) == 28
    assert asked | only_if_said == {*BUILDERS, *RESTS_ON}
    assert not {*BUILDERS} & {*RESTS_ON}


def test_a_margin_without_formula_rests_on_nothing_unlisted(
    parts: list[Part], requirement: Requirement
) -> None:
    """Changing an input that a computed margin does not list changes nothing of that margin.

    Else the workbook would go on showing an outdated verdict.
    """
    before = _by_name(parts, requirement)
    for one in requirement_to_inputs(requirement):
        for factor in (0.7, 1.4):
            after = _by_name(parts, _changed(requirement, one.field, one.value * factor))
            for name, fields in RESTS_ON.items():
                assert one.field in fields or before[name] == after[name], (one.field, name)


def _changed(requirement: Requirement, field: str, value: float) -> Requirement:
    """The requirement with another value of one field, of a table too."""
    table, _, name = field.rpartition(".")
    if not table:
        return replace(requirement, **{name: value})
    return replace(requirement, **{table: replace(getattr(requirement, table), **{name: value})})


def _by_name(parts: list[Part], requirement: Requirement) -> dict[str, list[Margin | None]]:
    ranking = parts_to_ranking(parts, requirement)
    ordered = sorted(ranking.candidates, key=lambda candidate: candidate.part_number)
    return {name: [candidate.margin_named(name) for candidate in ordered] for name in RESTS_ON}


def _pieces_to_a(pieces: tuple[Piece, ...], ambient_c: float) -> float | None:
    """What the formulas of the workbook make of the pieces: the last one that begins below, on its line."""
    piece = next((piece for piece in reversed(pieces) if piece.key_c <= ambient_c), pieces[0])
    if piece.from_a is None or piece.to_a is None or piece.from_c == piece.to_c:
        return piece.from_a
    share = (ambient_c - piece.from_c) / (piece.to_c - piece.from_c)
    return piece.from_a + share * (piece.to_a - piece.from_a)


@pytest.mark.parametrize("number", range(5))
def test_the_lines_say_what_the_derating_says(
    number: int, parts: list[Part], requirement: Requirement
) -> None:
    """At, between and beyond the tabulated ambients the pieces give the same current, or none."""
    case = numbers_to_case(part_to_numbers(parts[number]), requirement)
    for pieces, ask in ((hold_to_pieces(case.numbers, case.derating), case.derating.hold),
                        (trip_to_pieces(case.numbers, case.derating), case.derating.trip)):
        for step in range(-120, 281):
            ambient_c = step / 2.0
            expected = ask(ambient_c).value
            found = _pieces_to_a(pieces, ambient_c)
            assert found == (None if expected is None else pytest.approx(expected, rel=1e-12)), ambient_c


def test_without_parts_there_is_no_workbook(requirement: Requirement, tmp_path: Path) -> None:
    """Nothing to compare is said, not written as an empty file."""
    with pytest.raises(InputError, match="no parts"):
        ranking_to_workbook(Ranking(requirement, ()), tmp_path / "out.xlsx")
    assert not (tmp_path / "out.xlsx").exists()


def test_the_summary_tells_how_many_parts_nobody_has_reviewed(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """Verdicts on numbers straight from datasheets are named as such below the ranking."""
    ranking = parts_to_ranking(parts, requirement)
    ranking_to_workbook(ranking, tmp_path / "out.xlsx")
    sheet = load_workbook(tmp_path / "out.xlsx")["Summary"]
    texts = [str(cell.value) for row in sheet.iter_rows() for cell in row]
    count = min(len(parts), 20)
    assert any(f"{count} of the best {count} rest on printed numbers that nobody has reviewed" in text
               for text in texts)


def test_printing_gives_the_pages_a_review_reads(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """Sheets that calculate are hidden, every other has a print area that ends after the best parts."""
    many = [replace(one, part_number=f"{one.part_number}-{number}") for number in range(40) for one in parts]
    path = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking(many, requirement), path)
    book = load_workbook(path)
    hidden = {sheet.title for sheet in book if sheet.sheet_state == "hidden"}
    assert hidden == {"Corners", "Lines", "Trip model"}
    for sheet in book:
        if sheet.sheet_state != "hidden":
            rows = [int(row) for row in re.findall(r"\$(\d+)", str(sheet.print_area))]
            assert rows, sheet.title
            assert max(rows) - min(rows) < 130, sheet.title


def test_a_pending_margin_leaves_no_rank_settled(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """Ranks and the best part are told only while no margin waits to be computed anew."""
    path = tmp_path / "out.xlsx"
    ranking_to_workbook(parts_to_ranking(parts, requirement), path)
    book = load_workbook(path)
    assert '"pending"' in book["Candidates"]["A5"].value
    assert '"none settled"' in book["Summary"]["E3"].value


def test_the_summary_says_what_it_was_made_from(
    parts: list[Part], requirement: Requirement, tmp_path: Path
) -> None:
    """Cautions, tool, requirement file with its hash, revision of the datasheet, fault currents in words."""
    path = tmp_path / "out.xlsx"
    made = Provenance("holdtrip 9.9", "lamp.toml", "ab" * 32, {parts[0].sha256: "Rev. C 2025"})
    ranking_to_workbook(parts_to_ranking(parts, requirement), path, provenance=made)
    told = " ".join(str(cell.value) for row in load_workbook(path)["Summary"].iter_rows() for cell in row
                    if cell.value is not None)
    for words in ("holdtrip 9.9", "lamp.toml", "abababab", "Rev. C 2025", "does not open the circuit",
                  "lowest fault current 8 A, as stated"):
        assert words in told
