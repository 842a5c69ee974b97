"""What is wrong with a form is told at its fields, all at once, in the words of their labels."""

import pytest

from holdtrip.web.requirement_problems import form_to_problems

WHOLE = {"supply": "dc", "supply_voltage_v": "12", "normal_current_a": "0.45", "ambient_cold_c": "-10",
         "ambient_hot_c": "60"}


def test_a_whole_form_has_no_problem() -> None:
    """Nothing is told where the requirement can be compared."""
    assert form_to_problems(WHOLE.items()) == ()


def test_all_fields_are_told_at_once() -> None:
    """Two wrong numbers and an empty needed field: three problems, each at its field."""
    typed = {**WHOLE, "ambient_cold_c": "-", "hold_factor": "0", "supply_voltage_v": ""}
    found = {problem.field: problem for problem in form_to_problems(typed.items())}
    assert set(found) == {"ambient_cold_c", "hold_factor", "supply_voltage_v"}
    assert [name for name, one in found.items() if one.missing] == ["supply_voltage_v"]
    assert "a number in °C" in found["ambient_cold_c"].message


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [({"ambient_cold_c": "70"}, "ambient_hot_c", "“Ambient cold” = 70"),
     ({"peak_current_a": "3"}, "peak_current_a", "“Peak current” alone"),
     ({"damage_curve": "5:x"}, "damage_curve", "a number in s")])
def test_contradictions_speak_in_labels(typed: dict[str, str], field: str, words: str) -> None:
    """No names of a file's fields, no line numbers: the form has neither."""
    (problem,) = form_to_problems({**WHOLE, **typed}.items())
    assert problem.field == field
    assert words in problem.message
    assert "_" not in problem.message
    assert "line " not in problem.message


def test_what_a_preset_fills_is_not_missing() -> None:
    """A USB port brings its voltage: nothing is needed that it says."""
    typed = {"usb_port.standard": "USB 2.0", "normal_current_a": "0.4", "ambient_cold_c": "0",
             "ambient_hot_c": "50"}
    assert not any(one.field == "supply_voltage_v" for one in form_to_problems(typed.items()))
