"""Exchange: what a library exports comes back in another library as it was, in every format."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from pyarrow import parquet

from extract.asked import Answer, Remembered
from extract.errors import InputError
from extract.schema import ChartName, Curve, Kind, Status
from holdtrip.library.comparisons import Comparison, JudgedPart
from holdtrip.library.exchange_json import json_to_records, records_to_json, records_to_schema
from holdtrip.library.exchange_parquet import read_parquet, write_parquet
from holdtrip.library.exchange_print import is_printed
from holdtrip.library.exchange_records import (
    RECORDS,
    DecisionRecord,
    NumberRecord,
    Record,
    ReviewRecord,
    SheetRecord,
    columns_of,
    records_of,
)
from holdtrip.library.exchange_xlsx import read_xlsx, write_xlsx
from holdtrip.library.records import Action, PartRow, PartState, Signature, Target, Verdict
from holdtrip.library.silences import FindingKey
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import HOLD, PLACE, TRIP, hash_of, reading, sheet

ANN, BEN = Signature("Ann", "looked at page 1"), Signature("Ben", "page 2 says otherwise")
SCHEMA_FILE = Path(__file__).parents[2] / "holdtrip" / "library" / "exchange.schema.json"

Trip = Callable[[tuple[Record, ...], Path], tuple[Record, ...]]


def through_json(records: tuple[Record, ...], folder: Path) -> tuple[Record, ...]:
    """Written as JSON and read again."""
    path = folder / "library.json"
    path.write_text(records_to_json(records), encoding="utf-8")
    return json_to_records(path.read_text(encoding="utf-8"), str(path))


def through_xlsx(records: tuple[Record, ...], folder: Path) -> tuple[Record, ...]:
    """Written as a workbook and read again."""
    write_xlsx(records, folder / "library.xlsx")
    return read_xlsx(folder / "library.xlsx")


def through_parquet(records: tuple[Record, ...], folder: Path) -> tuple[Record, ...]:
    """Written as Parquet and read again."""
    write_parquet(records, folder / "library.parquet")
    return read_parquet(folder / "library.parquet")


TRIPS = [through_json, through_xlsx, through_parquet]


def by_table(records: tuple[Record, ...]) -> dict[str, tuple[Record, ...]]:
    """Rows by table: only their order within a table says something."""
    return {kind.TABLE: records_of(kind, records) for kind in RECORDS}


def rows_of(library: Library) -> list[PartRow]:
    """The list of every revision, versions aside: a library counts its own changes."""
    return [replace(row, version=0) for row in library.list_parts(live_only=False)]


@pytest.fixture
def filled(library: Library) -> Library:
    """A library in which everything has happened once."""
    library.import_sheet(sheet("qx_a.pdf", {"QX-050": 0.5, "QX-110": 1.1}, "Rev. A"), "Ann")
    library.accept(Target("QX-050"), ANN)
    library.import_sheet(sheet("qx_b.pdf", {"QX-050": 0.5, "QX-110": 1.2}, "Rev. B"), "Ben")
    library.correct(Target("QX-110", quantity=HOLD), 1.25, BEN)
    library.reopen(Target("QX-110", quantity=HOLD), BEN)
    library.reject(Target("QX-110", quantity=TRIP), BEN)
    line = Curve("rx.pdf", hash_of("rx.pdf"), "RX-1", ChartName.TIME_TO_TRIP, Kind.TYP, None,
                 ((2.0, 9.5), (20.0, 0.1 + 0.2)), Status.SINGLE, PLACE, "RX-1", 0.01, 0.02, ("cut",))
    library.import_sheet(replace(sheet("rx.pdf", {"RX-1": 1.0}), curves=(line,)), "Ann")
    library.decide_curve(library.curves("RX-1")[0].curve_id, Verdict.ACCEPTED, ANN)
    library.settle(ANN, signatures=2)
    library.accept(Target("QX-050", hash_of("qx_a.pdf")), BEN)
    library.decide_curve(library.curves("RX-1")[0].curve_id, Verdict.ACCEPTED, BEN)
    library.settle(ANN, signatures=1)
    library.assign("rx.pdf", "Ben", ANN)
    library.comment("rx.pdf", "page 4 is a scan", BEN)
    library.start_review(Target("RX-1"), ANN)
    library.record_failure("broken.pdf", "", "no table", "Ann")
    library.silence(FindingKey("trend", "qx110", HOLD, "1.2 A"), ANN)
    library.remember_answer(Remembered(
        Answer(hash_of("qx_a.pdf"), "qx_a.pdf", "unit", "page 1", "unit:mA", "Ann", "2031-05-12"), "Quarrow",
        "QX", ("hold_current: ih",)), ANN)
    library.save_comparison(Comparison("board 1", "supply = 'dc'\n", "[]" * 30_000,
                                       (JudgedPart("QX-050", hash_of("qx_a.pdf")),)), BEN)
    return library


@pytest.mark.parametrize("trip", TRIPS)
def test_a_round_trip_loses_nothing(filled: Library, trip: Trip, tmp_path: Path) -> None:
    """Another library takes in the file and exports the same: sheets, numbers, everything said of them by
    whom and when, silences, comparisons; its parts and lists are the same too."""
    exported = filled.export_records()
    with open_library(tmp_path / "other.sqlite") as other:
        outcome = other.import_records(trip(exported, tmp_path), Signature("Eve"))
        assert (outcome.sheets_new, outcome.decisions, outcome.left, outcome.differing) == (3, 8, 0, ())
        assert by_table(other.export_records()) == by_table(exported)
        assert other.parts() == filled.parts()
        assert other.parts(accepted_only=True) == filled.parts(accepted_only=True)
        assert rows_of(other) == rows_of(filled)


def test_every_table_is_in_the_round_trip(filled: Library) -> None:
    """The library above has rows of every kind, so that a lost table would be seen."""
    assert all(records_of(kind, filled.export_records()) for kind in RECORDS)


def test_importing_again_changes_nothing(filled: Library) -> None:
    """What is known is known: numbers, decisions, states and memory stay."""
    before = by_table(filled.export_records()), filled.list_parts(live_only=False)
    outcome = filled.import_records(filled.export_records(), Signature("Eve"))
    assert (outcome.sheets_new, outcome.sheets_known, outcome.decisions, outcome.left) == (0, 3, 0, 0)
    assert (by_table(filled.export_records()), filled.list_parts(live_only=False)) == before


def test_what_is_decided_here_stays(filled: Library, tmp_path: Path) -> None:
    """A colleague's other decision on the same number does not overrule ours; it is counted."""
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_sheet(sheet("qx_a.pdf", {"QX-050": 0.5, "QX-110": 1.1}, "Rev. A"), "Eve")
        other.correct(Target("QX-050", quantity=HOLD), 0.51, Signature("Eve", "measured"))
        outcome = other.import_records(filled.export_records(), Signature("Eve"))
        assert (outcome.sheets_known, outcome.left) == (1, 1)
        held = next(one for one in other.numbers_of("QX-050") if one.reading.quantity is HOLD)
        assert held.decision is not None
        assert (held.decision.value, held.decision.who) == (0.51, "Eve")


def test_another_reading_of_the_same_bytes_is_named_and_left(filled: Library, tmp_path: Path) -> None:
    """Decisions on numbers that were read otherwise here are not taken over."""
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_sheet(sheet("rx.pdf", {"RX-1": 1.01}), "Eve")
        outcome = other.import_records(filled.export_records(), Signature("Eve"))
        assert outcome.differing == ("rx.pdf",)
        assert next(row for row in other.list_parts() if row.part_number == "RX-1").state is PartState.READ


def test_a_file_that_does_not_fit_together_leaves_nothing(filled: Library, tmp_path: Path) -> None:
    """One wrong row, and nothing of the file is stored; the line names table and what was found."""
    records = filled.export_records()
    wrong: list[tuple[tuple[Record, ...], str]] = [
        (tuple(replace(one, status="sure") if isinstance(one, NumberRecord) else one for one in records),
         "table numbers.*found 'sure'.*agreed"),
        (tuple(replace(one, number=one.number + 90) if isinstance(one, DecisionRecord) else one
               for one in records),
         "table decisions.*number 9"),
        (tuple(one for one in records if not isinstance(one, SheetRecord)), "table sheets.*no such row"),
        (tuple(replace(one, at="noon") if isinstance(one, DecisionRecord) else one for one in records),
         "the time 'noon'")]
    with open_library(tmp_path / "other.sqlite") as other:
        for rows, found in wrong:
            with pytest.raises(InputError, match=found):
                other.import_records(rows, Signature("Eve"))
            assert (other.sheets(), other.history()) == ((), ())


def test_the_published_schema_is_that_of_the_files(filled: Library) -> None:
    """library/exchange.schema.json is a valid schema, is up to date, and holds for what is exported."""
    published = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    assert published == records_to_schema()
    jsonschema.Draft202012Validator.check_schema(published)
    exported = json.loads(records_to_json(filled.export_records()))
    jsonschema.validate(exported, published)
    exported["numbers"][0]["status"] = "sure"
    with pytest.raises(jsonschema.ValidationError, match="'sure' is not one of"):
        jsonschema.validate(exported, published)


def test_other_programs_can_read_the_files(filled: Library, tmp_path: Path) -> None:
    """Parquet shows the numbers in typed columns, the workbook one worksheet a table and no formula."""
    records = (*filled.export_records(), ReviewRecord("0" * 64, "=1+1"))
    write_parquet(records, tmp_path / "library.parquet")
    table = parquet.read_table(tmp_path / "library.parquet").to_pylist()
    assert [row["value"] for row in table] == [one.value for one in records_of(NumberRecord, records)]
    write_xlsx(records, tmp_path / "library.xlsx")
    book = load_workbook(tmp_path / "library.xlsx")
    assert book.sheetnames == [*(kind.TABLE for kind in RECORDS), "long_texts"]
    assert [cell.value for cell in book["numbers"][1]] == list(columns_of(NumberRecord))
    assert {cell.data_type for row in book["reviews"].iter_rows() for cell in row} == {"s"}


@pytest.mark.parametrize(("content", "found"), [
    ("[", "line 1: not JSON"), ("[]", "not a library"),
    ('{"format": "holdtrip library", "version": 99}', "version 99"),
    ('{"format": "holdtrip library", "version": 1, "sheets": []}', "no table numbers")])
def test_files_of_something_else_are_refused(content: str, found: str) -> None:
    """One line says what was found."""
    with pytest.raises(InputError, match=found):
        json_to_records(content, "file.json")


def test_other_workbooks_and_parquet_files_are_refused(tmp_path: Path) -> None:
    """Text files under such names, too."""
    path = tmp_path / "notes"
    path.write_text("notes")
    for read in (read_xlsx, read_parquet):
        with pytest.raises(InputError, match="not a"):
            read(path)


@pytest.mark.parametrize(("column", "cell", "found"), [
    ("value", "0.5", "a number"), ("page", 1.5, "a whole number"), ("notes", '["a', "a JSON list"),
    ("notes", "3", "a list"), ("raw", 5, "a text"), ("value", None, "a number")])
def test_a_cell_that_does_not_fit_is_named(filled: Library, column: str, cell: object, found: str) -> None:
    """Table, row, column, what was found and what belongs there."""
    content = json.loads(records_to_json(filled.export_records()))
    content["numbers"][1][column] = cell
    with pytest.raises(InputError, match=rf"numbers, row 2, column {column}: found .*; expected {found}"):
        json_to_records(json.dumps(content), "file.json")


letters = st.text(st.characters(), max_size=8) | st.sampled_from(
    ["=1+1", "'", "\0", "\r\n", "_x000D_", " a ", "\ud800", "\ue000", "see long_texts 1", "\ufffe",
     "x" * 40_000])
floats = st.floats(allow_nan=False, allow_infinity=False)
rows = st.builds(
    NumberRecord, sha256=letters, number=st.integers(1, 10**6), part_number=letters, quantity=letters,
    kind=letters, ambient_c=st.none() | floats, test_current_a=st.none() | floats, value=floats,
    status=letters, page=st.integers(1, 9999), x0=floats, top=floats, x1=floats, bottom=floats, raw=letters,
    unit=letters, notes=st.lists(letters, max_size=3).map(tuple))
others = st.builds(DecisionRecord, sha256=letters, number=st.integers(1, 9), verdict=letters,
                   value=st.none() | floats, who=letters, at=letters, reason=letters)


@pytest.mark.parametrize("trip", TRIPS)
@given(records=st.lists(rows | others, max_size=4).map(tuple))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_letters_and_numbers_survive(trip: Trip, records: tuple[Record, ...], tmp_path: Path) -> None:
    """Formulas, control characters, half surrogates, very long texts, every finite number."""
    assert by_table(trip(records, tmp_path)) == by_table(records)


def test_disputed_and_single_numbers_stay_so(library: Library, tmp_path: Path) -> None:
    """An exchange makes no number surer than it was."""
    library.import_sheet(sheet(more=(reading("qx.pdf", "QX-9", HOLD, 1.0, status=Status.DISPUTED),)), "Ann")
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(through_json(library.export_records(), tmp_path), Signature("Eve"))
        assert [one.status for one in other.readings()] == [one.status for one in library.readings()]


def test_the_same_library_gives_the_same_file_everywhere(filled: Library, tmp_path: Path) -> None:
    """Export, import, export: the same bytes."""
    first = records_to_json(filled.export_records())
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(json_to_records(first, "first"), Signature("Eve"))
        assert records_to_json(other.export_records()) == first


def test_who_signed_elsewhere_is_told_so(filled: Library, tmp_path: Path) -> None:
    """What a file says of who decided is marked as the file's word; taking it in is this library's own."""
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(filled.export_records(), Signature("Eve"))
        history = other.history()
        taken = [one for one in history if one.action is Action.EXCHANGE]
        assert [(one.who, one.from_file) for one in taken] == [("Eve", False)]
        assert all(one.from_file for one in history if one.who in ("Ann", "Ben"))


def test_a_changed_file_is_refused(filled: Library) -> None:
    """A digit changed in a text editor does not pass the checksum; neither does a field nobody knows."""
    text = records_to_json(filled.export_records())
    with pytest.raises(InputError, match="checksum"):
        json_to_records(text.replace('"value": 1.25', '"value": 1.52'), "changed")
    content = json.loads(text)
    content["numbers"][0]["colour"] = "red"
    with pytest.raises(InputError, match="colour"):
        json_to_records(json.dumps(content), "changed")
    with pytest.raises(InputError, match="the table extras"):
        json_to_records(json.dumps(json.loads(text) | {"extras": []}), "changed")


def test_a_parquet_file_robbed_of_its_checksum_is_refused(filled: Library, tmp_path: Path) -> None:
    """What the second version writes has one; only a file of the first may be without."""
    path = tmp_path / "library.parquet"
    write_parquet(filled.export_records(), path)
    table = parquet.read_table(path)
    kept = {key: held for key, held in table.schema.metadata.items() if key != b"holdtrip.checksum"}
    parquet.write_table(table.replace_schema_metadata(kept), path)
    with pytest.raises(InputError, match="checksum"):
        read_parquet(path)


def test_a_file_of_the_first_version_is_still_read(filled: Library) -> None:
    """Without particulars, answers, makers and checksum."""
    content = json.loads(records_to_json(filled.export_records()))
    for name in ("checksum", "particulars", "answers"):
        del content[name]
    for row in content["sheets"]:
        del row["house"]
    records = json_to_records(json.dumps(content | {"version": 1}), "old")
    assert len(records_of(NumberRecord, records)) == len(content["numbers"])


@pytest.mark.parametrize(("edit", "found"), [
    (lambda one: replace(one, imported_at="2999-01-01T00:00:00+00:00"), "lies in the future"),
    (lambda one: replace(one, sha256=one.sha256.upper()), "the sha256")], ids=["time", "hash"])
def test_a_sheet_that_cannot_be_is_refused(
    filled: Library, tmp_path: Path, edit: Callable[[SheetRecord], SheetRecord], found: str
) -> None:
    """A time to come or a hash that is none: nothing is taken in."""
    records = [edit(one) if isinstance(one, SheetRecord) else one for one in filled.export_records()]
    with open_library(tmp_path / "other.sqlite") as other:
        with pytest.raises(InputError, match=found):
            other.import_records(records, Signature("Eve"))
        assert other.history() == ()


def test_rows_that_stand_twice_or_measure_something_else_are_refused(filled: Library) -> None:
    """Two rows of one number, or a hold current in volts."""
    records = filled.export_records()
    number = records_of(NumberRecord, records)[0]
    with pytest.raises(InputError, match="the same as a row before"):
        filled.import_records((*records, number), Signature("Eve"))
    other = [replace(one, unit="mV") if one is number else one for one in records]
    with pytest.raises(InputError, match="hold_current in 'mV'"):
        filled.import_records(other, Signature("Eve"))


def test_places_and_temperatures_that_cannot_be_are_refused(filled: Library) -> None:
    """A page before the first, an ambient below absolute zero, and lists in lists without end."""
    records = filled.export_records()
    number = next(one for one in records if isinstance(one, NumberRecord))
    for edit, found in ((replace(number, page=0), "page 0"), (replace(number, ambient_c=-400.0), "-400 °C")):
        with pytest.raises(InputError, match=found):
            filled.import_records([edit if one is number else one for one in records], Signature("Eve"))
    with pytest.raises(InputError, match="without end"):
        json_to_records("[" * 200_000, "nested.json")


def test_what_waits_for_a_second_signature_comes_back_the_same(library: Library, tmp_path: Path) -> None:
    """The demand for two is the library's own and no part of a file: a part that waits in one and counts in
    the other gives the same bytes."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    library.settle(Signature("Ann"), signatures=2)
    library.accept(Target("QX-050"), Signature("Ann"), singles=True)
    text = records_to_json(library.export_records())
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(json_to_records(text, "a.json"), Signature("Eve"))
        assert records_to_json(other.export_records()) == text


def test_numbers_of_a_file_are_judged_as_at_a_reading(library: Library, tmp_path: Path) -> None:
    """A trip current below the hold current is disputed, whatever the file calls it."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    records = [replace(one, value=0.1) if isinstance(one, NumberRecord) and one.quantity == TRIP.value
               and one.part_number == "QX-050" else one for one in library.export_records()]
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(records, Signature("Eve"))
        (part,) = other.part("QX-050")
        assert {one.status for one in part.readings if one.quantity is TRIP} == {Status.DISPUTED}


@pytest.mark.parametrize(("edit", "found"), [
    ({"value": 1e300}, "the value 1e\\+300"), ({"number": 0}, "number 0"), ({"page": 10 ** 30}, "page 10+;"),
    ({"page": 5}, "page 5; expected pages from 1 to 4"), ({"status": "accepted"}, "the status accepted"),
    ({"sha256": "ab" * 32}, "table sheets.*no such row")], ids=str)
def test_a_number_that_no_reading_gives_is_refused(
    filled: Library, edit: dict[str, object], found: str
) -> None:
    """A value, a count, a page or a standing that cannot be: one line, and the library stays as it is."""
    records, before = filled.export_records(), filled.version()
    number = next(one for one in records if isinstance(one, NumberRecord))
    with pytest.raises(InputError, match=found):
        filled.import_records([replace(one, **edit) if one is number else one for one in records],
                              Signature("Eve"))
    assert filled.version() == before


@pytest.mark.parametrize(("edit", "found"), [
    ({"page_count": -1}, "-1 pages"), ({"pages_read": (1, 9)}, "pages read: 1, 9"),
    ({"revision_of": hash_of("qx_a.pdf")}, "a revision of itself")], ids=str)
def test_a_sheet_of_pages_that_are_none_is_refused(
    library: Library, edit: dict[str, object], found: str
) -> None:
    """No pages, pages read that the sheet does not have, a revision of itself."""
    library.import_sheet(sheet("qx_a.pdf"), "Ann")
    records = [replace(one, **edit) if isinstance(one, SheetRecord) else one
               for one in library.export_records()]
    with pytest.raises(InputError, match=found):
        library.import_records(records, Signature("Eve"))


@pytest.mark.parametrize("value", [None, -5.0, 0.0, 1e300])
def test_a_correction_of_a_file_needs_a_value(library: Library, value: float | None) -> None:
    """A correction without a value, or to one that no part has, is refused in one line."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    said = DecisionRecord(hash_of("qx.pdf"), 1, "corrected", value, "Ben", "2026-01-01T00:00:00+00:00", "")
    with pytest.raises(InputError, match="a correction"):
        library.import_records((*library.export_records(), said), Signature("Eve"))


def test_names_of_a_file_are_safe_text(library: Library, tmp_path: Path) -> None:
    """A name like a path, with characters that steer, or none at all, is stored as at the door."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    for name, kept in (("../../etc/x\u202e\0.pdf", "x<U+202E><U+0000>.pdf"), ("", "unnamed")):
        records = [replace(one, document=name) if isinstance(one, SheetRecord) else one
                   for one in library.export_records()]
        with open_library(tmp_path / f"{len(name)}.sqlite") as other:
            other.import_records(records, Signature("Eve"))
            assert [*other.documents().values()] == [kept]


@pytest.mark.parametrize(("value", "raw", "is_one"), [
    (0.16, "0.16", True), (0.161, "0.16", False), (0.16, "160", True), (0.16, "0,16*", True),
    (24.0, "24²", True), (0.87, "87 %", True), (120.0, "2 min", True), (1500.0, "1,500", True),
    (0.45, "0.20 / 0.45", True),
    (0.5, "see note", True), (61.0, "60", False), (0.18181818, "0.181818", True), (6.7, "– 6,7", True)])
def test_a_value_is_what_its_text_prints(value: float, raw: str, is_one: bool) -> None:
    """In any way of writing and with any prefix; a text without a number says nothing."""
    assert is_printed(reading("qx.pdf", "QX-050", HOLD, value, raw=raw)) is is_one


def test_a_value_that_its_text_does_not_print_is_disputed(library: Library, tmp_path: Path) -> None:
    """17 V beside a printed "16" in a file from elsewhere is disputed, though no rule objects."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    records = [replace(one, value=17.0) if isinstance(one, NumberRecord) and one.quantity == "max_voltage"
               else one for one in library.export_records()]
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(records, Signature("Eve"))
        (part,) = other.part("QX-050")
        limits = {one.status for one in part.readings if one.quantity.value == "max_voltage"}
        assert limits == {Status.DISPUTED}
