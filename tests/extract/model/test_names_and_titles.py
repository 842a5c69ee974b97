"""Rules of part numbers beside other texts, of titles and of notes, on texts alone."""

from __future__ import annotations

import pytest

from extract.cells.temperatures import text_to_bare_ambient
from extract.joined.conditions import footnote_to_exception, text_to_said
from extract.joined.name_forms import is_number_in_groups, texts_to_forms
from extract.joined.part_names import label_to_parts, may_name_a_part, sheet_to_single_part, text_to_name
from extract.meanings.conditions import text_to_current
from extract.meanings.series import text_to_units
from extract.schema import Kind, Quantity

PARTS = ("TQ-010", "TQ-020", "TQ-030", "TR-010", "TR-020")


@pytest.mark.parametrize(
    ("texts", "names"),
    [
        (("TQ-010 NEW", "TQ-020"), (("TQ-010",), ("TQ-020",))),
        (("TQ-010 (A)", "TQ-020 (B)"), (("TQ-010",), ("TQ-020",))),
        (("TQ-010 (A)", "TQ-010 (B)"), (("TQ-010 (A)",), ("TQ-010 (B)",))),
        (("TQ010/TQ010S", "TQ020/TQ020S"), (("TQ010", "TQ010S"), ("TQ020", "TQ020S"))),
        (("TQ1206-050/24", "TQ1206-075/24"), (("TQ1206-050/24",), ("TQ1206-075/24",))),
        (("", "TQ-020"), ((), ("TQ-020",))),
    ],
)
def test_what_stands_beside_a_part_number(texts: tuple[str, ...], names: tuple[tuple[str, ...], ...]) -> None:
    """Status and brackets go, two whole numbers alike are both; brackets that tell rows apart stay, and so
    does a slash within one number."""
    assert texts_to_forms(texts) == names


@pytest.mark.parametrize("text", ["12.345.010", "88-1010", "1234 567 890"])
def test_an_article_number_in_groups_needs_its_heading(text: str) -> None:
    """Groups of digits name a part under a heading that says so, and nowhere else."""
    assert is_number_in_groups(text)
    assert may_name_a_part(text, headed=True)
    assert not may_name_a_part(text)


@pytest.mark.parametrize("text", ["12.345", "0.10-0.20", "60/30", "1.85", "-40"])
def test_a_value_is_no_article_number(text: str) -> None:
    """Decimal numbers, ranges and pairs never name a part."""
    assert not is_number_in_groups(text)
    assert not may_name_a_part(text, headed=True)


def test_a_name_broken_at_its_hyphen_is_one() -> None:
    """ "TQ-2920-" and "030" below it are one part number."""
    assert text_to_name("TQ-2920- 030A") == "TQ-2920-030A"


@pytest.mark.parametrize(
    ("label", "parts"),
    [
        ("TQ-010 TR-010", ("TQ-010", "TR-010")),
        ("TQ-010 à/to TQ-030", ("TQ-010", "TQ-020", "TQ-030")),
    ],
)
def test_labels_of_several_parts(label: str, parts: tuple[str, ...]) -> None:
    """Two numbers in a cell are both parts; a range may say "to" in two languages."""
    assert label_to_parts(label, PARTS).names == parts


def test_marks_that_stand_above_their_notes_doubt_what_they_mark() -> None:
    """Where a line holds only marks, which note belongs to which is not told: a marked value is doubted if
    any note names a number in its unit."""
    notes = ("(a) (b)", "For this type the interrupt voltage is 650 V. For this type 40 A.", "At 23 °C.")
    assert footnote_to_exception("600(a)", "TQ-010", notes, "V")
    assert not footnote_to_exception("600", "TQ-010", notes, "V")


def test_a_letter_that_marks_is_no_word() -> None:
    """The Spanish "a 23" is no note (a)."""
    notes = ("R: resistencia inicial a 23 °C, 600 V.",)
    assert not footnote_to_exception("600(a)", "TQ-010", notes, "V")


def test_limits_of_both_supplies_in_one_line() -> None:
    """ "240 V AC / 120 V DC" gives a limit for each, and words between do not hide a third."""
    said = text_to_said("Umax: 240 V AC / 120 V DC, Schaltspannung max. 265 V AC")
    assert [(one.quantity, one.kind, one.value) for one in said] == [
        (Quantity.MAX_VOLTAGE, Kind.AC, 240.0),
        (Quantity.MAX_VOLTAGE, Kind.DC, 120.0),
        (Quantity.MAX_INTERRUPT_VOLTAGE, Kind.AC, 265.0),
    ]


@pytest.mark.parametrize(
    ("text", "ambient_c"), [("минус 40", -40.0), ("minus 20 °C", -20.0), ("−40 °С", -40.0), ("23", 23.0)]
)
def test_temperatures_with_a_word_for_minus(text: str, ambient_c: float) -> None:
    """A word for minus is a sign, and a Cyrillic letter behind the degree sign is its unit."""
    assert text_to_bare_ambient(text) == ambient_c


def test_units_and_currents_in_words() -> None:
    """ "10 amps" is a test current, and units of other scripts are units."""
    assert text_to_current("at 10 amps") == 10.0
    assert [unit.name for unit in text_to_units("Ток удержания, А, не менее")] == ["A"]


@pytest.mark.parametrize(
    ("text", "quantity", "kind", "value"),
    [
        ("60 VOLTS D.C. MAXIMUM", Quantity.MAX_VOLTAGE, Kind.DC, 60.0),
        ("40 AMPERES MAX. FAULT CURRENT", Quantity.MAX_CURRENT, Kind.NONE, 40.0),
    ],
)
def test_a_limit_with_its_words_behind_it(text: str, quantity: Quantity, kind: Kind, value: float) -> None:
    """A text that is a value and the words of a limit is that limit."""
    assert [(one.quantity, one.kind, one.value) for one in text_to_said(text)] == [(quantity, kind, value)]
    assert text_to_said(f"tested at {text.lower()} for an hour") == ()


def test_a_title_of_two_words_names_the_only_part() -> None:
    """A line of letters and a code is the part of a sheet without tables of names; a standard's is not."""
    assert sheet_to_single_part([], ["TQ 1206-110/8", "Polymer PTC"]) == "TQ 1206-110/8"
    assert sheet_to_single_part([], ["IEC 60738-1", "UL 94V-0"]) == ""
