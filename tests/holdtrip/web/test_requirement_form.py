"""A requirement typed into the form means what the same file means."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compare.requirement_file import field_rules, text_to_requirement
from extract.errors import InputError
from holdtrip.web.form_sections import form_sections
from holdtrip.web.requirement_form import form_to_toml, toml_to_form

FILE = """
title = "a \\"quoted\\" pack \\u0001 é"
supply = "dc"
supply_voltage_v = 12.6
normal_current_a = 0.5
ambient_cold_c = -20
ambient_hot_c = 60.0
packages = ["1812", "2920"]
allow_model = true
fault_current_min_a = 5
[wire]
awg = 26
insulation_max_c = 105
[[damage_curve]]
current_a = 5.0
time_s = 20
[[damage_curve]]
current_a = 60
time_s = 0.1
"""


def test_a_file_survives_the_form() -> None:
    """File to form to file gives the same requirement."""
    assert text_to_requirement(form_to_toml(toml_to_form(FILE, "f"))) == text_to_requirement(FILE)


NAMES = [*(name for name in field_rules() if not name.startswith("damage_curve.")), "damage_curve", "nothing"]


@given(st.lists(st.tuples(st.sampled_from(NAMES), st.text(max_size=30))))
def test_whatever_is_typed_becomes_a_file_that_is_read_or_refused(pairs: list[tuple[str, str]]) -> None:
    """No typed text breaks out of its field: the file parses, unless a field is named twice, and holds no
    field that was not typed."""
    unique = list(dict(pairs).items())
    content = tomllib.loads(form_to_toml(unique))
    typed = {name.split(".")[0] for name, _ in unique}
    assert set(content) <= typed


def test_half_a_row_of_the_damage_curve_is_refused() -> None:
    """A column of the curve by itself would be a table beside the list of rows: no file holds both."""
    with pytest.raises(InputError, match=r"damage_curve\.current_a: no field of the form"):
        form_to_toml([("damage_curve.current_a", "0"), ("damage_curve", "5:20")])


@pytest.mark.parametrize("typed", ["ten", "1e999", "nan", "1;2", "0x10", "12 V"])
def test_a_number_that_is_none_is_refused_in_the_reader_s_words(typed: str) -> None:
    """The form converts no units and guesses nothing."""
    pairs = [*toml_to_form(FILE, "f"), ("voltage_drop_max_v", typed)]
    with pytest.raises(InputError, match="voltage_drop_max_v"):
        text_to_requirement(form_to_toml(pairs))


def test_every_field_has_its_place() -> None:
    """Each field of a requirement file stands in the form exactly once, with its meaning."""
    fields = [field for section in form_sections() for field in section.fields]
    names = [field.name for field in fields]
    assert sorted(names) == sorted(name for name in field_rules() if not name.startswith("damage_curve"))
    assert all(field.meaning for field in fields)


@pytest.mark.parametrize(("typed", "meant"), [
    ("-10,5", -10.5), ("0,125", 0.125), ("\u221210", -10), ("\u20135,25", -5.25)])
def test_a_comma_or_another_dash_is_understood(typed: str, meant: float) -> None:
    """What a keyboard or a document gives for a point or a minus is read as it is meant."""
    assert tomllib.loads(form_to_toml([("ambient_cold_c", typed)])) == {"ambient_cold_c": meant}


@pytest.mark.parametrize("typed", ["1,500", "1,2,3", "1.000,5", "\u2014 5"])
def test_what_may_mean_two_things_is_left_to_be_refused(typed: str) -> None:
    """1,500 may be one and a half or fifteen hundred: it goes to the reader as typed."""
    assert tomllib.loads(form_to_toml([("normal_current_a", typed)])) == {"normal_current_a": typed}
