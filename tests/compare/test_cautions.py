"""Cautions stand where someone could be hurt, and come from one place."""

import pytest

from compare.cautions import all_cautions, requirement_to_cautions
from compare.requirement_file import text_to_requirement

BASE = "normal_current_a = 0.5\nambient_cold_c = 0\nambient_hot_c = 40\n"


def names(text: str) -> set[str]:
    return {caution.name for caution in requirement_to_cautions(text_to_requirement(BASE + text))}


ALWAYS = {"limits_not_opens", "verify_on_board", "self_reset", "occasional_faults", "ratings", "mounting"}


def test_some_are_always_shown() -> None:
    """It limits and does not open; it resets by itself; not for cycling; verify on the real board."""
    assert names('supply = "dc"\nsupply_voltage_v = 5.0') == ALWAYS


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ('supply = "ac"\nsupply_voltage_v = 230.0', "mains"),
        ('supply = "ac"\nsupply_voltage_v = 12.0', "dc_rating_on_ac"),
        ('[series_pack]\nchemistry = "li_ion"\ncells = 3', "batteries"),
        ('supply = "dc"\nsupply_voltage_v = 12.0\nbattery = true', "batteries"),
        ('supply = "dc"\nsupply_voltage_v = 120.0', "mains"),
        ('supply = "dc"\nsupply_voltage_v = 12.0\nallow_model = true', "models"),
        ('supply = "dc"\nsupply_voltage_v = 12.0\nsupply_current_limit_a = 2.0', "limiting_supply"),
        ('supply = "dc"\nsupply_voltage_v = 12.0\nneighbour_heating_k = 8', "warm_neighbours"),
        ('supply = "dc"\nsupply_voltage_v = 12.0\ntransient_voltage_v = 20.0', "transient"),
        (
            'supply = "dc"\nsupply_voltage_v = 12.0\nfault_current_min_a = 4\ntrip_time_max_s = 1',
            "semiconductors",
        ),
        (
            'supply = "dc"\nsupply_voltage_v = 12.0\n'
            '[limited_power_source]\nstandard = "iec_60950_1"\nmeasured_after_s = 5',
            "limited_power",
        ),
    ],
)
def test_facts_call_for_more(text: str, name: str) -> None:
    """Batteries, mains, AC, models, slow trips and limited sources each bring their own."""
    assert name in names(text)


def test_every_caution_can_appear() -> None:
    """No caution waits for a fact that nothing states."""
    facts = {"always", "battery", "mains", "ac", "limited_power", "models", "time", "limiting", "transient",
             "neighbours", "drawn"}
    assert {caution.when for caution in all_cautions()} == facts
    assert all(len(caution.text) > 30 for caution in all_cautions())


def test_dangerous_uses_defer_to_code_and_licence() -> None:
    """Mains and batteries name the standard, the local code or a qualified person."""
    texts = {caution.name: caution.text for caution in all_cautions()}
    assert "local codes" in texts["mains"]
    assert "qualified person" in texts["mains"]
    assert "qualified person" in texts["batteries"]
