"""A requirement file is read whole or refused in one line that says where, what was found, what is
expected.
"""

from pathlib import Path

import pytest

from compare.requirement import Requirement
from compare.requirement_file import field_rules, read_requirement, text_to_requirement
from extract.errors import InputError

BASE = """supply = "dc"
supply_voltage_v = 12.0
normal_current_a = 0.5
ambient_cold_c = -10
ambient_hot_c = 50
"""


def refused(text: str) -> str:
    """The one line with which a text is refused."""
    with pytest.raises(InputError) as caught:
        text_to_requirement(text, "lamp.toml")
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_plain_requirement() -> None:
    """Numbers as written, whole numbers too; what is not asked is None."""
    requirement = text_to_requirement(BASE + "neighbour_heating_k = 8")
    assert (requirement.supply_voltage_v, requirement.coldest_c, requirement.hottest_c) == (12.0, -10.0, 58.0)
    assert requirement.trip_time_max_s is None
    assert requirement.supply_voltage_min_v is None


def test_every_field_of_the_record_can_be_written() -> None:
    """Rules and record name the same fields, so no field is without an effect or without a rule."""
    filled_otherwise = {
        "limited_power",
        "preset_notes",
        "damage_curve",
        "hot_plug",
        "wire",
        "track",
        "endurance",
        "overrides",
    }
    plain = {name for name in field_rules() if "." not in name}
    assert plain == set(Requirement.__dataclass_fields__) - filled_otherwise


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("normal_current_ma = 500", ("line 6", "normal_current_ma", "normal_current_a")),
        ("ambient_hott_c = 500", ("line 6", "no such field", "ambient_hot_c")),
        ("zzz = 1", ("line 6", "zzz", "docs/comparing.md")),
        ('trip_time_max_s = "2 s"', ("line 6", '"2 s"', "a number in s above 0", "plain number")),
        ("trip_time_max_s = true", ("line 6", "true", "a number in s")),
        ("trip_time_max_s = -1", ("line 6", "-1", "above 0")),
        ("trip_time_max_s = nan", ("line 6", "NaN", "a number")),
        ("trip_time_max_s = inf", ("line 6", "Infinity", "a number")),
        ("trip_time_max_s = 2026-01-01", ("line 6", "2026-01-01", "a number")),
        ("hold_factor = 0.8", ("0.8", "at least 1")),
        ('packages = "1812"', ('"1812"', "a list")),
        ('allow_models = ["time", "luck"]', ('"luck"', "one of time, leakage")),
        ("load_inductance_h = 0.1", ("load_inductance_h alone", "load_current_a")),
        ('[override]\nreason = "none"', ("nothing to override",)),
        ('reset = "maybe"', ('"maybe"', "self, latched")),
        ("allow_model = 1", ("1", "true or false")),
        ("wire = 26", ("26", "[wire]")),
        ("[wire]\ninsulation_max_c = 105", ("neither awg nor area_mm2", "one of them")),
        ("[wire]\nawg = 26", ("wire.insulation_max_c", "missing")),
        ("[wire]\nawg = 26\ninsulation_max_c = 45", ("45 °C", "above the hottest ambient")),
        ("[wire]\nawg = 24\ninsulation_max_c = 105\nampacity_a = 30", ("line 9", "30 A", "29.2 A", "melt")),
        ("[wire]\nawgg = 26", ("line 7", "wire.awgg", "wire.awg")),
        ("[damage_curve]\ncurrent_a = 1", ("[[damage_curve]]",)),
        (
            "[[damage_curve]]\ncurrent_a = 1\ntime_s = 1\n[[damage_curve]]\ncurrent_a = 2\ntime_s = 3",
            ("2 A for 3 s", "no longer"),
        ),
        ("peak_current_a = 2", ("peak_current_a alone", "peak_duration_s")),
        ("peak_current_a = 0.2\npeak_duration_s = 1", ("below the normal current",)),
        ("fault_current_min_a = 9\nfault_current_max_a = 8", ("line 7", "lowest fault current", "8")),
        ("fault_current_min_a = 0.4", ("cannot be told from the load",)),
        ("fault_current_min_a = 4\nsource_resistance_max_ohm = 1", ("both", "one of them")),
        ("supply_voltage_min_v = 13", ("lowest supply voltage", "13")),
        ("neighbour_heating_k = 80", ("130 °C", "switching temperature of 125 °C")),
        ("x = ]", ("not TOML", "line 6")),
    ],
)
def test_what_makes_no_sense_is_refused(line: str, words: tuple[str, ...]) -> None:
    """File, field, what was found and what was expected stand in the line."""
    message = refused(BASE + line)
    assert message.startswith("lamp.toml")
    for word in words:
        assert word in message


def test_hot_below_cold() -> None:
    """The two ambients may be equal but not swapped."""
    message = refused(BASE.replace("ambient_hot_c = 50", "ambient_hot_c = -11"))
    assert "lamp.toml, line 5, ambient_hot_c: -11, with ambient_cold_c = -10" in message
    assert text_to_requirement(BASE.replace("= 50", "= -10")).ambient_hot_c == -10.0


@pytest.mark.parametrize(
    "field", ["supply", "supply_voltage_v", "normal_current_a", "ambient_cold_c", "ambient_hot_c"]
)
def test_a_missing_field(field: str) -> None:
    """The missing field is named with its meaning."""
    message = refused("\n".join(line for line in BASE.splitlines() if not line.startswith(field)))
    assert f"{field}: missing" in message
    assert field_rules()[field].meaning in message


@pytest.mark.parametrize(
    ("data", "words"), [(b"\xff\xfe\x00", "not UTF-8"), (b"x" * 1_000_001, "few kilobytes")]
)
def test_files_that_are_no_text(tmp_path: Path, data: bytes, words: str) -> None:
    """Binary and huge files are refused by name."""
    path = tmp_path / "lamp.toml"
    path.write_bytes(data)
    with pytest.raises(InputError, match=words):
        read_requirement(path)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    """What cannot be opened is told, with its path."""
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(InputError, match="cannot be opened"):
            read_requirement(path)


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    """Some editors write one at the head of a text."""
    path = tmp_path / "lamp.toml"
    path.write_bytes(b"\xef\xbb\xbf" + BASE.encode())
    assert read_requirement(path).normal_current_a == 0.5


def test_all_mistakes_are_told_at_once() -> None:
    """Each in its place, in one line: four slips of single fields, or three contradictions."""
    fields = refused(BASE.replace("= 0.5", "= 500") + "hold_factor = 0.5\nzzz = 1\n[wire]\nawgg = 3")
    for words in ("4 mistakes", "(1) line 3, normal_current_a: 500", "If it is meant in mA, write 0.5",
                  "(2) line 6, hold_factor", "(3) line 7, zzz", "(4) line 9, wire.awgg"):
        assert words in fields
    sense = refused(BASE.replace("= 50", "= -20") + "supply_voltage_min_v = 14\npeak_current_a = 0.1")
    for words in ("4 mistakes", "hottest ambient lies below", "lowest supply voltage", "peak_current_a "
                                                                                       "alone"):
        assert words in sense


@pytest.mark.parametrize(("line", "advice"), [("leakage_max_a = 40", "write 0.04"),
                                              ("voltage_drop_max_v = 250", "write 0.25"),
                                              ("trip_current_max_a = 5e6", "")])
def test_what_the_trade_does_not_know_is_a_slipped_unit(line: str, advice: str) -> None:
    """A number beyond any circuit with such a part is refused, with what it would be in thousandths."""
    message = refused(BASE + line)
    assert "at most" in message
    assert (advice in message) if advice else ("If it is meant" not in message)
