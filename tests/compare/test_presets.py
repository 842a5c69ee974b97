"""Presets fill in what a standard or a pack demands, and cite it."""

import pytest

from compare.presets import limited_power_limits, preset_names
from compare.requirement_file import text_to_requirement
from extract.errors import InputError

AMBIENT = "ambient_cold_c = 0\nambient_hot_c = 40\n"


@pytest.mark.parametrize(("ports", "ohms"), [(1, 0.180), (2, 0.090)])
def test_usb_drop_budget(ports: int, ohms: float) -> None:
    """Supply 4.85 V at least, port 4.75 V, board 10 mV: 0.180 ohm for 0.5 A, 0.090 ohm for two ganged ports.

    Published application note; the port voltage is that of USB 2.0, 7.2.2.
    """
    requirement = text_to_requirement(
        AMBIENT
        + f'supply_voltage_min_v = 4.85\n[usb_port]\nstandard = "usb2"\nports = {ports}\nboard_drop_v = 0.01'
    )
    assert requirement.normal_current_a == pytest.approx(0.5 * ports)
    assert requirement.voltage_drop_max_v is not None
    assert requirement.voltage_drop_max_v / requirement.normal_current_a == pytest.approx(ohms)


def test_usb_over_current_limit() -> None:
    """At most 5.0 A, USB 2.0 7.2.1.2.1 and USB 3.0 11.4.1.1.1; the clause is cited and what is remembered
    says so.
    """
    for name, clause in (("usb2", "7.2.1.2.1"), ("usb3", "11.4.1.1.1")):
        text = AMBIENT + f'supply_voltage_min_v = 5.0\n[usb_port]\nstandard = "{name}"'
        requirement = text_to_requirement(text)
        assert requirement.trip_current_max_a == 5.0
        assert any(clause in note for note in requirement.preset_notes)
    assert any("from memory" in note for note in requirement.preset_notes)


@pytest.mark.parametrize("low", ["", "supply_voltage_min_v = 4.75\n"])
def test_usb_without_a_drop_budget_is_refused(low: str) -> None:
    """A port whose drop cannot be worked out is not silently left unasked."""
    with pytest.raises(InputError, match="supply_voltage_min_v"):
        text_to_requirement(AMBIENT + low + '[usb_port]\nstandard = "usb2"')


@pytest.mark.parametrize(
    ("voltage_v", "supply", "limits"),
    [
        (5.0, "dc", (8.0, 25.0)),
        (12.0, "dc", (8.0, 60.0)),
        (48.0, "dc", (3.125, 100.0)),
        (24.0, "ac", (8.0, 100.0)),
        (48.0, "ac", None),
        (60.1, "dc", None),
    ],
)
def test_limited_power_limits(voltage_v: float, supply: str, limits: tuple[float, float] | None) -> None:
    """IEC 60950-1, 2.5, table 2B: 8 A and 5 U up to 20 V, 8 A and 100 VA up to 30 V, 150/U and 100 VA up to
    60 V dc.
    """
    assert limited_power_limits(voltage_v, supply) == (None if limits is None else pytest.approx(limits))


def test_limited_power_beyond_the_table_is_refused() -> None:
    """The standard has no limits above 60 V DC: no number is made up."""
    text = AMBIENT + (
        'supply = "dc"\nsupply_voltage_v = 72\nnormal_current_a = 1\n'
        '[limited_power_source]\nstandard = "iec_60950_1"\nmeasured_after_s = 5'
    )
    with pytest.raises(InputError, match="72 V dc"):
        text_to_requirement(text)


def test_series_pack() -> None:
    """Full voltage and short-circuit resistance count every cell, and a pack is a battery."""
    pack = '[series_pack]\nchemistry = "lifepo4"\ncells = 4\ncell_resistance_ohm = 0.005'
    requirement = text_to_requirement(AMBIENT + "normal_current_a = 2\n" + pack)
    assert requirement.supply_voltage_v == pytest.approx(14.6)
    assert requirement.source_resistance_min_ohm == pytest.approx(0.02)
    assert requirement.battery
    assert any("from memory" in note for note in requirement.preset_notes)


def test_a_severer_value_of_the_file_goes_before_the_preset() -> None:
    """A value of the file that asks more stands, and that is noted."""
    pack = '[series_pack]\nchemistry = "li_ion"\ncells = 3\ncell_resistance_ohm = 0.02'
    requirement = text_to_requirement(AMBIENT + "supply_voltage_v = 13.0\nnormal_current_a = 2\n" + pack)
    assert requirement.supply_voltage_v == 13.0
    assert sum("stands" in note for note in requirement.preset_notes) == 1


def test_the_other_answer_to_a_presets_question_is_refused() -> None:
    """A fault current beside the resistances of the cells: which of the two holds is the user's to say."""
    pack = '[series_pack]\nchemistry = "li_ion"\ncells = 3\ncell_resistance_ohm = 0.02'
    with pytest.raises(InputError, match="one of them"):
        text_to_requirement(AMBIENT + "fault_current_max_a = 90.0\nnormal_current_a = 2\n" + pack)


@pytest.mark.parametrize(("chemistry", "empty_v"), [("li_ion", 2.5), ("lifepo4", 2.0), ("nimh", 0.9)])
def test_a_pack_is_empty_too(chemistry: str, empty_v: float) -> None:
    """The lowest voltage is that of empty cells, from memory and said so; a protection that ends the
    discharge earlier may be stated, a pack that is never empty not.
    """
    pack = f'[series_pack]\nchemistry = "{chemistry}"\ncells = 4\n'
    base = AMBIENT + "normal_current_a = 2\n"
    requirement = text_to_requirement(base + pack)
    assert requirement.supply_voltage_min_v == pytest.approx(4 * empty_v)
    assert any("from memory" in note and "empty" in note for note in requirement.preset_notes)
    assert text_to_requirement(f"{base}{pack}empty_cell_v = {empty_v * 1.1}").supply_voltage_min_v == (
        pytest.approx(4.4 * empty_v))
    assert text_to_requirement(
        f"{base}supply_voltage_min_v = {4.4 * empty_v}\n{pack}").supply_voltage_min_v == (
            pytest.approx(4.4 * empty_v))
    with pytest.raises(InputError, match="less severe"):
        text_to_requirement(f"{base}supply_voltage_min_v = {6 * empty_v}\n{pack}")


def test_two_answers_in_a_pack_are_refused() -> None:
    """Short-circuit current and cell resistance answer one question."""
    pack = (
        '[series_pack]\nchemistry = "li_ion"\ncells = 3\ncell_resistance_ohm = 0.02\n'
        "short_circuit_current_a = 100"
    )
    with pytest.raises(InputError, match="one of them"):
        text_to_requirement(AMBIENT + "normal_current_a = 2\n" + pack)


@pytest.mark.parametrize(
    "table", ["usb_port", "limited_power_source", "series_pack", "process_io", "telecom_line"])
def test_an_unknown_preset_names_the_known_ones(table: str) -> None:
    """Every known name is offered."""
    more = {
        "usb_port": 'standard = "x"',
        "limited_power_source": 'standard = "x"\nmeasured_after_s = 5',
        "series_pack": 'chemistry = "x"\ncells = 3',
        "process_io": 'standard = "x"',
        "telecom_line": 'standard = "x"',
    }[table]
    with pytest.raises(InputError) as caught:
        text_to_requirement(AMBIENT + f"[{table}]\n{more}")
    assert all(name in str(caught.value) for name in preset_names(table))


@pytest.mark.parametrize(("standard", "current_a"), [("usb_c_1a5", 1.5), ("usb_c_3a", 3.0)])
def test_type_c_ports(standard: str, current_a: float) -> None:
    """1.5 and 3 A at up to 5.5 V, from memory and said so."""
    requirement = text_to_requirement(
        AMBIENT + f'supply_voltage_min_v = 5.0\n[usb_port]\nstandard = "{standard}"')
    assert (requirement.normal_current_a, requirement.supply_voltage_v) == (current_a, 5.5)
    assert any("from memory" in note for note in requirement.preset_notes)


def test_one_part_for_all_ports_or_one_for_each() -> None:
    """Four ports behind one part draw 2.0 A, each with its own 0.5 A; what that means is said."""
    hub = AMBIENT + 'supply_voltage_min_v = 5.0\n[usb_port]\nstandard = "usb2"\nports = 4\n'
    one, each = text_to_requirement(hub), text_to_requirement(hub + 'parts = "each"')
    assert (one.normal_current_a, each.normal_current_a) == (2.0, 0.5)
    assert any("takes all of them down" in note for note in one.preset_notes)
    assert any("leaves the others alive" in note for note in each.preset_notes)


def test_process_io_and_telecom_line() -> None:
    """24 V with tolerance and ripple, 19.2 to 30 V; a line that touches the mains: 230 V rms, 23 A, 600 V."""
    base = AMBIENT + "normal_current_a = 0.1\n"
    io = text_to_requirement(base + '[process_io]\nstandard = "iec_61131_2"')
    assert (io.supply, io.supply_voltage_min_v, io.supply_voltage_v) == ("dc", 19.2, 30.0)
    with pytest.raises(InputError, match="less severe"):
        text_to_requirement(base + 'supply_voltage_v = 24\n[process_io]\nstandard = "iec_61131_2"')
    line = text_to_requirement(base + '[telecom_line]\nstandard = "itu_t_k20"')
    assert (line.supply, line.supply_voltage_v, line.fault_current_max_a) == ("ac", 230.0, 23.0)
    assert (line.transient_voltage_v, line.transient_source_resistance_ohm) == (600.0, 600.0)


@pytest.mark.parametrize(("voltage_v", "limits"), [(12.0, (1000.0 / 12.0, 250.0)), (48.0, (1000.0 / 48.0,
                                                                                           250.0))])
def test_a_limited_source_with_a_protector(voltage_v: float, limits: tuple[float, float]) -> None:
    """IEC 60950-1, table 2C: 1000/U A and 250 VA."""
    assert limited_power_limits(voltage_v, "dc", "2C") == pytest.approx(limits)


def test_an_enclosure_heats_the_part() -> None:
    """48 °C beside the part in a room of 25 °C are 23 K more at the hottest; less is refused."""
    measured = "[enclosure]\nat_part_c = 48\nroom_c = 25"
    base = AMBIENT + 'supply = "dc"\nsupply_voltage_v = 12\nnormal_current_a = 0.3\n'
    assert text_to_requirement(base + measured).hottest_c == 63.0
    assert text_to_requirement(base + "neighbour_heating_k = 30\n" + measured).hottest_c == 70.0
    with pytest.raises(InputError, match="less severe"):
        text_to_requirement(base + "neighbour_heating_k = 10\n" + measured)


def test_parts_side_by_side_are_refused() -> None:
    """The first to trip hands its current to the others."""
    with pytest.raises(InputError, match="do not share the current evenly"):
        text_to_requirement(AMBIENT + 'supply = "dc"\nsupply_voltage_v = 12\nnormal_current_a = 0.3\n'
                            "parallel_parts = 2")
