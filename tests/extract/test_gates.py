"""What stands around any reader: the kind of part a sheet is about, and names that are none."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from extract.headings import heading_to_meaning
from extract.part_names import name_to_doubt
from extract.schema import Kind, Place, Quantity, Reading, Severity, SheetReading, Status
from extract.sheet import ReadOptions, read_sheet
from extract.sheet_kind import OTHER_KIND, readings_to_kinds, sheet_to_own_kind, texts_to_kind
from extract.workers import Limits

QUICK = ReadOptions(second_reading=False)
RATINGS = [
    ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)", "Pd typ. (W)", "Rmin (Ω)", "R1max (Ω)"),
    ("TQ050", "0.50", "1.00", "24", "0.8", "0.150", "0.700"),
    ("TQ075", "0.75", "1.50", "24", "0.9", "0.090", "0.400"),
    ("TQ110", "1.10", "2.20", "16", "1.0", "0.050", "0.200"),
]


def _reading(part: str, quantity: Quantity, value: float, kind: Kind = Kind.NONE, page: int = 1) -> Reading:
    return Reading("s.pdf", "0" * 64, part, quantity, kind, 23.0, None, value, Status.AGREED,
                   Place(page, 0, 0, 9, 9), str(value))


def _sheet(readings: tuple[Reading, ...]) -> SheetReading:
    return SheetReading("s.pdf", "0" * 64, 1, (1,), "", readings, (), ())


OTHER_SHEETS = [
    ("one_time_fuse", "Chip fuses, fast acting\nRated current, typ. cold resistance, melting I²t"),
    ("one_time_fuse", "Schmelzsicherungen 5 x 20 mm, flink\nNennstrom, Ausschaltvermögen, Schmelzintegral"),
    ("one_time_fuse", "贴片一次性保险丝\n额定电流 分断能力 熔化热能值"),
    ("ntc", "NTC power thermistors\nR25, B value, dissipation factor, thermal time constant"),
    ("ceramic_ptc", "セラミック PTC サーミスタ\nキュリー点 チタン酸バリウム 動作時間"),
    ("varistor", "Metal oxide varistors, 14 mm\nclamping voltage, surge current 8/20 µs"),
    ("diode", "TVS diodes, 600 W\nstand-off voltage, breakdown voltage, peak pulse current"),
    ("thermal_cutoff", "Thermal cut-offs to IEC 60691\nrated functioning temperature, holding temperature"),
    ("inductor", "Shielded power inductors\ninductance (µH), DCR, saturation current"),
]


@pytest.mark.parametrize(("kind", "text"), OTHER_SHEETS)
def test_the_words_of_another_trade_name_its_kind(kind: str, text: str) -> None:
    """Words in any of the languages tell a sheet of another kind of part, whatever was read from it."""
    readings = [_reading(f"AB{n}", Quantity.RESISTANCE, 0.1 * n, Kind.TYP) for n in (1, 2, 3)]
    assert texts_to_kind([text], readings).kind == kind


def test_physics_of_hold_and_trip_outweighs_a_stray_word() -> None:
    """A polymer sheet that mentions a one-time fuse stays one: its trip currents are twice its hold
    currents, R1max some times Rmin."""
    readings = []
    for n in (1, 2, 3):
        readings += [_reading(f"AB{n}", Quantity.HOLD_CURRENT, 0.5 * n),
                     _reading(f"AB{n}", Quantity.TRIP_CURRENT, 1.0 * n),
                     _reading(f"AB{n}", Quantity.RESISTANCE, 0.1, Kind.MIN),
                     _reading(f"AB{n}", Quantity.RESISTANCE, 0.4, Kind.POST_TRIP_MAX)]
    text = "Resettable fuses\nThey replace a one-time fuse in many places."
    assert texts_to_kind([text], readings).kind == "polymer"


def test_nothing_is_read_from_a_sheet_of_another_kind(make_sheet: Callable[..., Path]) -> None:
    """A sheet of fuse-links gives no number and one error that says so."""
    rows = [("Type", "Rated current (A)", "Max. voltage (V)", "Cold resistance typ. (Ω)", "Power max. (W)"),
            ("GF-0063", "0.063", "250", "12.4", "1.6"), ("GF-0100", "0.10", "250", "5.8", "1.6"),
            ("GF-0200", "0.20", "250", "2.0", "1.6")]
    above = ["Cartridge fuse-links, quick-acting, to IEC 60127-2",
             "Hold current: none, the part opens. Pre-arcing I²t and breaking capacity see below."]
    sheet = read_sheet(make_sheet(rows, above), QUICK)
    errors = [f for f in sheet.findings if f.severity is Severity.ERROR]
    assert sheet.readings == ()
    assert [f.code for f in errors] == [OTHER_KIND]
    assert "one-time fuse" in errors[0].message


def test_a_sheet_that_may_be_anything_is_disputed_for_one_reason() -> None:
    """Numbers without a word or a current of ours: not read as sure, one finding."""
    readings = tuple(_reading(f"AB{n}", Quantity.RESISTANCE, 0.1 * n, Kind.TYP) for n in (1, 2, 3))
    sheet = sheet_to_own_kind(_sheet(readings), ["Protection parts, electrical data"])
    assert {r.status for r in sheet.readings} == {Status.DISPUTED}
    assert [f.code for f in sheet.findings] == ["kind-unsure"]


def test_a_mixed_catalogue_is_decided_page_by_page() -> None:
    """Page 2 of a catalogue of resettable fuses is about varistors: only page 1 is ours."""
    ours = [_reading(f"AB{n}", quantity, value * n) for n in (1, 2, 3)
            for quantity, value in ((Quantity.HOLD_CURRENT, 0.5), (Quantity.TRIP_CURRENT, 1.0))]
    theirs = [_reading(f"VR{n}", Quantity.MAX_VOLTAGE, 100.0 * n, page=2) for n in (1, 2)]
    texts = ["Polymer PTC resettable fuses\nhold current trip current",
             "Metal oxide varistors\nvaristor voltage, clamping voltage, surge current 8/20 µs, energy"]
    kinds = readings_to_kinds([*ours, *theirs], texts)
    assert {page: verdict.kind for page, verdict in kinds.items()} == {1: "polymer", 2: "varistor"}


@pytest.mark.parametrize(
    ("name", "is_sound"),
    [("16 100 1.5", False), ("0250", False), ("30 40 0.37", False), ("25 °C", False), ("16 V", False),
     ("Hold current", False), ("AB16 0.75", False), ("AB16-075", True), ("KR 60-010", True),
     ("1425017", True)],
)
def test_a_name_made_of_values_is_none(name: str, is_sound: bool) -> None:
    """Values, bare codes, temperatures and words for a quantity are no part numbers."""
    assert (name_to_doubt(name) == "") is is_sound


@pytest.mark.parametrize("name", ["UL-94-V-0", "UL94V-0", "UL 94 HB", "UL94"])
def test_a_flame_class_is_no_name(name: str) -> None:
    """UL 94 (tests for flammability of plastic materials) says how a coating burns; it names no part."""
    assert name_to_doubt(name)
    assert not name_to_doubt("UL940-V0")


def test_the_column_headed_part_number_names_the_parts(make_sheet: Callable[..., Path]) -> None:
    """An order number before the maker's part number does not become the part."""
    heading = ("Order No.", "Maker's part No.", *RATINGS[0][1:])
    rows = [heading, *((f"14-22{n}3", *row) for n, row in enumerate(RATINGS[1:]))]
    sheet = read_sheet(make_sheet(rows, ["Resettable fuses. All ratings at 23 °C in still air."]), QUICK)
    assert {r.part_number for r in sheet.readings} == {"TQ050", "TQ075", "TQ110"}


@pytest.fixture
def always_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """The generic library is asked about every page, even where nothing is open."""
    monkeypatch.setattr("extract.second.readings.LEAST_OPEN", 0)


def _lose(make_sheet: Callable[..., Path], options: ReadOptions) -> list[str]:
    sheet = read_sheet(make_sheet(RATINGS, ["Resettable fuses. All ratings at 23 °C in still air."]), options)
    return [f.message for f in sheet.findings if f.code == "second-reading-lost"]


@pytest.mark.parametrize("in_process", [True, False])
@pytest.mark.usefixtures("always_asked")
def test_a_broken_second_reader_is_an_error(
    tmp_path: Path, make_sheet: Callable[..., Path], monkeypatch: pytest.MonkeyPatch, in_process: bool
) -> None:
    """camelot that cannot be loaded does not turn agreed numbers into single ones without a word."""
    broken = tmp_path / "broken" / "camelot.py"
    broken.parent.mkdir()
    broken.write_text("raise ImportError('no such library')\n", encoding="utf-8")
    monkeypatch.syspath_prepend(str(broken.parent))
    monkeypatch.delitem(sys.modules, "camelot", raising=False)
    told = _lose(make_sheet, ReadOptions(witness_process=in_process))
    assert len(told) == 1
    assert "camelot cannot be loaded" in told[0]


@pytest.mark.usefixtures("always_asked")
def test_a_second_reader_that_takes_too_long_is_an_error(make_sheet: Callable[..., Path]) -> None:
    """A time-out is told."""
    told = _lose(make_sheet, ReadOptions(witness_limits=Limits(deadline_s=0.01)))
    assert told
    assert "too slow" in told[0]


def test_one_reading_that_was_asked_for_is_no_error(make_sheet: Callable[..., Path]) -> None:
    """Without a second reading by choice every number is single, and nothing is amiss."""
    assert not _lose(make_sheet, QUICK)


def test_a_note_that_contradicts_a_table_disputes_it(make_sheet: Callable[..., Path]) -> None:
    """A footnote excepts one part from a voltage: that reading is disputed, the others are not; a line of
    the history with an old value is no note."""
    above = ["Resettable fuses. All ratings at 23 °C in still air.", "* TQ110: Vmax = 12 V",
             "02/2019 TQ050: Vmax = 20 V"]
    sheet = read_sheet(make_sheet(RATINGS, above), QUICK)
    disputed = {(r.part_number, r.quantity) for r in sheet.readings if r.status is Status.DISPUTED}
    assert disputed == {("TQ110", Quantity.MAX_VOLTAGE)}


def test_a_typical_time_is_not_the_longest(make_sheet: Callable[..., Path]) -> None:
    """A column headed as a typical time to trip is disputed: the quantity is the longest time."""
    heading = ("Part number", "Ihold (A)", "Itrip (A)", "Time to trip at 8 A typ. (s)")
    rows = [heading, ("TQ050", "0.50", "1.00", "0.8"), ("TQ075", "0.75", "1.50", "1.1")]
    sheet = read_sheet(make_sheet(rows, ["Resettable fuses. All ratings at 23 °C in still air."]), QUICK)
    times = [r for r in sheet.readings if r.quantity is Quantity.TIME_TO_TRIP]
    assert len(times) == 2
    assert {r.status for r in times} == {Status.DISPUTED}


@pytest.mark.parametrize(
    "heading",
    [
        ("Typ", "Prąd podtrzymania IH [A]", "Prąd zadziałania IT [A]", "Napięcie maks. Umax [V]"),
        ("Typ", "Přídržný proud (A)", "Vybavovací proud (A)", "Nejvyšší napětí (V)"),
        ("Parça no", "Tutma akımı (A)", "Açma akımı (A)", "Maks. gerilim (V)"),
        ("형명", "유지전류 (A)", "트립전류 (A)", "최대전압 (V)"),
        ("Typenummer", "Houdstroom (A)", "Aanspreekstroom (A)", "Max. spanning (V)"),
        ("Beteckning", "Hållström (A)", "Utlösningsström (A)", "Max. spänning (V)"),
        ("Référence", "Imaintien (A)", "Idécl. (A)", "Tension nominale (V)"),
    ],
)
def test_headings_of_more_languages_are_words_of_the_trade(heading: tuple[str, ...]) -> None:
    """Hold current, trip current and largest voltage in more languages (from memory, no source)."""
    named = [heading_to_meaning((text,)).quantity for text in heading[1:]]
    assert named == [Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.MAX_VOLTAGE]
