"""Names that another column or a word beside them puts in question are asked about; lists share, or ask."""

from __future__ import annotations

import pytest

from extract.joined.label_names import texts_to_codes
from extract.joined.name_forms import texts_to_forms
from extract.joined.rival_names import NameColumn, is_rivalled, says_not_own
from extract.joined.variants import lines_to_listed
from extract.part_names import name_to_doubt
from extract.schema import Quantity, Status
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read

NAMES = tuple(row[0] for row in ROWS)
ARTICLES = ("TQ-0603-010", "TQ-0805-020", "TQ-1206-035")
PACKAGES = ("SMD0603", "SMD0805", "SMD1206")
CODES = ("P05A", "P07A", "P11A")


def named(
    make_sheet: Draw, first: tuple[str, tuple[str, ...]], second: tuple[str, tuple[str, ...]]
) -> tuple[set[str], bool]:
    """The parts that hold currents are read of with two columns of names, and whether each waits."""
    rows = [(a, b, *row[1:]) for a, b, row in zip(first[1], second[1], ROWS, strict=True)]
    readings = read(make_sheet([(first[0], second[0], *HEADING[1:]), *rows], [STILL_AIR]))
    held = [r for r in readings if r.quantity is Quantity.HOLD_CURRENT]
    return {r.part_number for r in held}, all(r.status is Status.DISPUTED for r in held)


def test_a_package_under_type_is_asked_about(make_sheet: Draw) -> None:
    """"SMD0603" beside the article "TQ-0603-010": its digits stand within the article's, not all of it."""
    assert named(make_sheet, ("Article No.", ARTICLES), ("Type", PACKAGES))[1]


def test_a_type_within_its_order_number_is_the_part(make_sheet: Draw) -> None:
    """"TQ-050" within "48-TQ-050": the seller puts his own before the maker's number."""
    own = ("Order No.", tuple(f"48-{name}" for name in NAMES))
    assert named(make_sheet, own, ("Type", NAMES)) == (set(NAMES), False)


def test_digits_that_spell_the_hold_current_are_a_parts() -> None:
    """"TQ-050" of 0.50 A beside the order number "9KQ050T15": a part number, though not within the other."""
    types, orders = NameColumn("Type", NAMES), ("9KQ050T15", "9KQ075T15", "9KQ110T15")
    order = NameColumn("Order No.", orders)
    assert not is_rivalled(types, [order], (0.5, 0.75, 1.1))
    assert is_rivalled(types, [order], (0.3, 0.4, 0.5))


def test_numbers_without_letters_beside_names_with_letters_are_asked_about(make_sheet: Draw) -> None:
    """"3216-05" under "Model" beside "TQ-050" under "Order No." may be a size and a count."""
    assert named(make_sheet, ("Order No.", NAMES), ("Model", ("3216-05", "3216-07", "3216-11")))[1]


@pytest.mark.parametrize("heading", ["Typ obudowy", "Gehäusetyp", "Type of package", "Case type"])
def test_a_type_of_case_names_no_part(make_sheet: Draw, heading: str) -> None:
    """A heading that says type of case is one of packages."""
    parts, _ = named(make_sheet, ("Nr katalogowy", NAMES), (heading, CODES))
    assert parts == set(NAMES)


@pytest.mark.parametrize(
    ("heading", "former"),
    [
        ("Former manufacturer part no.", True),
        ("Replaces", True),
        ("Ersetzt Typ", True),
        ("Équivalent fabricant", True),
        ("Прежний тип", True),
        ("Manufacturer part no.", False),
        ("Hersteller-Teilenummer", False),
    ],
)
def test_words_for_numbers_that_are_not_the_parts_own(heading: str, former: bool) -> None:
    """Former, competing and equivalent numbers, in the languages of the vocabulary (from memory)."""
    assert says_not_own(heading) is former


def test_a_former_number_of_the_maker_does_not_win(make_sheet: Draw) -> None:
    """"Part no." beside "Former manufacturer part no.": the part is the first."""
    old = ("Former manufacturer part no.", ("RX050", "RX075", "RX110"))
    assert named(make_sheet, ("Part no.", NAMES), old)[0] == set(NAMES)


def test_a_former_number_alone_is_asked_about(make_sheet: Draw) -> None:
    """Where nothing but former numbers names the rows, each waits."""
    rows = [("Former type", *HEADING[1:]), *ROWS]
    readings = read(make_sheet(rows, [STILL_AIR]))
    assert all(r.status is Status.DISPUTED for r in readings)


def test_a_word_for_type_and_marking_does_not_decide() -> None:
    """"Oznaczenie" and its like mean the type on one sheet, the marking on another: asked beside a type."""
    type_, marking = NameColumn("Typ", NAMES), NameColumn("Oznaczenie", CODES)
    assert is_rivalled(type_, [marking])
    assert is_rivalled(marking, [type_])
    assert not is_rivalled(NameColumn("Oznaczenie", NAMES), [])
    assert not is_rivalled(type_, [NameColumn("Marking", CODES)])


def test_digits_in_brackets_are_a_piece_of_the_number() -> None:
    """"TQ16 (050)" is not TQ16: other brackets hold a marking or another spelling."""
    assert texts_to_forms(["TQ16 (050)", "TQ24 (075)"]) == (("TQ16 (050)",), ("TQ24 (075)",))
    assert texts_to_forms(["TQ-050 (T5)", "TQ-075 (T7)"]) == (("TQ-050",), ("TQ-075",))


@pytest.mark.parametrize("name", ["e.g. TQ-050", "2 x TQ-050", "TQ-050 ×2", "TQ-050 (sample)", "see TQ-050"])
def test_words_beside_a_number_make_no_name(name: str) -> None:
    """A word in small letters, a count or an abbreviation says what the number is, and is none of it."""
    assert name_to_doubt(name)


@pytest.mark.parametrize("name", ["TQ-050..", "~TQ-050", "TQ-050?", "(TQ-050)", "TQ-050A/B", "TQ 050/075",
                                  "* TQ-050", "†TQ-050"])
def test_a_number_that_is_not_whole_is_no_name(name: str) -> None:
    """Signs that a number goes on, is in question, stands in a footnote or is two."""
    assert name_to_doubt(name)
    assert not name_to_doubt("TQ-050xx")
    assert not name_to_doubt("TQ1206-110/24")
    assert not name_to_doubt("TQ 120/170")


def test_an_order_number_that_spells_the_hold_current_is_a_rival() -> None:
    """"TQ-050" under "Order No." beside "SMD1206-A" under "Type": the first says 0.50 A."""
    types = NameColumn("Type", ("SMD1206-A", "SMD1812-A", "SMD2920-A"))
    assert is_rivalled(types, [NameColumn("Order No.", NAMES)], (0.5, 0.75, 1.1))
    assert not is_rivalled(types, [NameColumn("Order No.", ("48-1", "48-2", "48-3"))], (0.5, 0.75, 1.1))


def test_what_is_made_of_several_parts_is_none() -> None:
    """Ratings of two in parallel are not the part's: the brackets stay, and the name is asked about."""
    texts = texts_to_codes([f"{name} (2 in parallel)" for name in NAMES])
    assert all(map(name_to_doubt, (name for names in texts_to_forms(texts) for name in names)))


def test_two_numbers_after_a_comma_are_both() -> None:
    """"TQ-050, TQ-050S" rates both, as a stroke does."""
    assert texts_to_forms(["TQ-050, TQ-050S"]) == (("TQ-050", "TQ-050S"),)


def test_a_drawing_number_is_not_the_parts(make_sheet: Draw) -> None:
    """"Drawing type" beside an order code: nothing of the drawing passes unasked."""
    parts, asked = named(make_sheet, ("Drawing type", ("D1-05", "D2-07", "D3-11")), ("Order code", NAMES))
    assert asked or parts == set(NAMES)


@pytest.mark.parametrize("word", ["replaces", "formerly", "like"])
def test_a_word_before_numbers_says_what_they_are(word: str) -> None:
    """Only a word for a picture is cut; with any other the name is none."""
    texts = [f"{word} {name}" for name in NAMES]
    assert texts_to_forms(texts) == tuple((text,) for text in texts)
    assert all(map(name_to_doubt, texts))
    assert texts_to_forms([f"photo {name}" for name in NAMES]) == tuple((name,) for name in NAMES)


def test_two_numbers_parted_by_a_stroke_are_no_name() -> None:
    """"TQ050/TQ60" is two parts, or a part and its series."""
    assert name_to_doubt("TQ050/TQ60")
    assert not name_to_doubt("TQ1206-110/8")


@pytest.mark.parametrize(
    "lines",
    [
        ["TQ-050B not released", "TQ-050A active", "Part number, status"],
        ["TQ-050B 1812", "TQ-050A 1206", "Part number and size"],
        ["TQ-050B 60 V, straight", "TQ-050A 24 V, straight", "Part number, voltage"],
        ["TQ-050B 0.45 A", "TQ-050A 0.50 A", "Part number"],
        ["TQ-050B taped", "TQ-050A bulk", "Part number, hold current"],
        ["Type TQ-050A replaces TQ-050 and TQ-050X."],
        ["Part number TQ-050A (see other sheets for parts TQ-050H and TQ-050L)"],
        ["Ratings of TQ-050A", "TQ-050B taped", "TQ-050A bulk", "Part number, packing"],
    ],
)
def test_a_list_that_may_tell_its_parts_apart_is_unsure(lines: list[str]) -> None:
    """Values beside the names, a sentence with further words, a title that names one of them: the table below
    may be of one part alone."""
    listed = lines_to_listed(lines)
    assert listed.names
    assert not listed.sure


def test_packing_leads_and_sizes_tell_no_parts_apart() -> None:
    """Words of packing and leads, lengths and packed counts leave the ratings as they are."""
    lines = ["TQ-050B taped, 10 mm pitch 1,500", "TQ-050A bulk, 5 mm pitch 500", "Part number and leads"]
    assert lines_to_listed(lines).sure


@pytest.mark.parametrize("line", ["Part numbers: TQ-050A, TQ-050B", "Typ TQ-050A und TQ-050B"])
def test_a_line_of_nothing_but_parts_is_sure(line: str) -> None:
    """A list in one line that says no more than which parts."""
    assert lines_to_listed([line]).sure
