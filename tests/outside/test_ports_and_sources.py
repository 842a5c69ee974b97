"""Ports, limited sources and packs against published standards and notes.

Sources: USB 2.0 specification, IEC 60950-1 table 2B, a published application note on port power, published
threads. What is arithmetic says so.
"""

from collections.abc import Callable

import pytest

from compare.part_numbers import part_to_numbers
from compare.presets import limited_power_limits
from compare.ranking import numbers_to_candidate
from compare.records import Margin, Verdict
from compare.requirement import Requirement
from compare.requirement_file import text_to_requirement
from extract.schema import Part

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]


def asked(name: str, part: Part, requirement: Requirement) -> Margin:
    """The margin of that name."""
    margin = numbers_to_candidate(part_to_numbers(part), requirement).margin_named(name)
    assert margin is not None
    return margin


@pytest.mark.parametrize(("ports", "ohms"), [(1, 0.180), (2, 0.090)])
def test_usb_drop_budget(ports: int, ohms: float) -> None:
    """Supply at least 4.85 V, port at least 4.75 V, board 10 mV, 0.5 A a port: 0.180 ohm; two ganged ports
    0.090 ohm. A published application note prints both results; the port voltage is USB 2.0, 7.2.2.
    """
    requirement = text_to_requirement(
        "ambient_cold_c = 0\nambient_hot_c = 40\nsupply_voltage_min_v = 4.85\n"
        f'[usb_port]\nstandard = "usb2"\nports = {ports}\nboard_drop_v = 0.01'
    )
    assert requirement.voltage_drop_max_v is not None
    assert requirement.voltage_drop_max_v / requirement.normal_current_a == pytest.approx(ohms)


def test_voltage_drop_of_a_small_part(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """0.14 A through 6 ohm: 0.84 V, 4.16 V left of 5 V. Owners of a published board saw about 4 V."""
    part = make_part(hold=0.2, trip=0.4, r_min=2.0, r_1max=6.0)
    margin = asked("voltage_drop", part, make_requirement(normal_current_a=0.14, voltage_drop_max_v=0.5))
    assert margin.value == pytest.approx(0.84)
    assert margin.verdict is Verdict.FAILS


@pytest.mark.parametrize(("volts", "amps", "va"), [(5.0, 8.0, 25.0), (12.0, 8.0, 60.0), (48.0, 3.125, 100.0)])
def test_limited_source(volts: float, amps: float, va: float) -> None:
    """IEC 60950-1, 2.5, table 2B, inherently limited dc: 8 A and 5 U up to 20 V; 150/U and 100 VA at 48 V."""
    assert limited_power_limits(volts, "dc") == pytest.approx((amps, va))


def test_limited_source_passes_warm_and_fails_cold(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """12 V, trip 5.0 A at 23 °C is just 60 VA; at -20 °C (factor 1.30) 6.5 A are 78 VA: fails. Arithmetic."""
    part = make_part(hold=2.5, trip=5.0, trip_ratios={-20.0: 1.30, 23.0: 1.0})
    more = '[limited_power_source]\nstandard = "iec_60950_1"\nmeasured_after_s = 60.0'
    margin = asked("limited_power", part, make_requirement(more, ambient_cold_c=-20.0))
    assert (margin.value, margin.verdict) == (pytest.approx(6.5), Verdict.FAILS)


def test_a_tripped_part_in_a_pack_sees_the_whole_pack(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """13 cells of 4.2 V in series: 54.6 V, so parts of 16 V and 30 V fail. A published thread's pack."""
    requirement = make_requirement(supply_voltage_v=13 * 4.2)
    assert requirement.supply_voltage_v == pytest.approx(54.6)
    parts = [make_part(max_voltage=volts) for volts in (16.0, 30.0, 60.0)]
    verdicts = [asked("max_voltage", part, requirement).verdict for part in parts]
    assert verdicts == [Verdict.FAILS, Verdict.FAILS, Verdict.FITS]
