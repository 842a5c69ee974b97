"""A heading that says more than the meaning found for its numbers is asked about."""

from __future__ import annotations

import pytest

from extract.joined.said_else import LEAST_TIME, heading_to_doubts
from extract.meanings.words import Meaning, hits_to_kinds, is_named, text_to_hits
from extract.schema import Kind, Quantity, Status
from extract.vocabulary import foreign_words
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read


def last_column(make_sheet: Draw, heading: str, value: str, quantity: Quantity) -> list[tuple[Kind, Status]]:
    """Kinds and states of what is read of a last column with this heading."""
    rows = [(*HEADING[:5], heading), *((*row[:5], value) for row in ROWS)]
    readings = read(make_sheet(rows, [STILL_AIR]))
    return [(r.kind, r.status) for r in readings if r.quantity is quantity]


@pytest.mark.parametrize("heading", ["Minimum time to trip at 8 A (s)", "Auslösezeit min. bei 8 A (s)"])
def test_a_least_time_is_not_the_longest(make_sheet: Draw, heading: str) -> None:
    """A column of least times is doubted: the quantity is the longest time to trip."""
    assert {s for _, s in last_column(make_sheet, heading, "0.8", Quantity.TIME_TO_TRIP)} == {Status.DISPUTED}
    assert LEAST_TIME in heading_to_doubts(heading, Meaning.TIME, "s")


@pytest.mark.parametrize(
    "heading", ["Mean trip time at 8 A (s)", "Mittlere Auslösezeit 8 A (s)", "Średni czas zadziałania (s)"]
)
def test_a_mean_time_is_a_typical_one(heading: str) -> None:
    """Words for a mean say what "average" says: typical, not the longest (words from memory)."""
    assert Kind.TYP in hits_to_kinds(text_to_hits(heading))


@pytest.mark.parametrize("unit", ["MΩ", "M\u2126", "MOhm", "Mohm", "МОм", "MW"])
def test_a_capital_m_may_mean_a_million(unit: str) -> None:
    """"MΩ" is megaohm by the SI (SI Brochure, 9th ed., table 7: M is mega, m is milli), and some sheets print
    it for milliohm: asked, never read as either."""
    assert "unit_may_be_mega" in heading_to_doubts("R min", Meaning.R_MIN, unit)


@pytest.mark.parametrize("unit", ["mΩ", "mOhm", "мОм", "milliohms", "Milliohms", "mW"])
def test_a_small_m_is_milli(unit: str) -> None:
    """A small m, or milli in letters, is no mega."""
    assert not heading_to_doubts("R min", Meaning.R_MIN, unit)


@pytest.mark.parametrize("heading", ["Insulation resistance min. (Ω)", "Contact resistance max. (Ω)"])
def test_a_resistance_of_something_else_is_asked_about(make_sheet: Draw, heading: str) -> None:
    """Ohms of the insulation or of a contact are not the part's: never undoubted."""
    found = last_column(make_sheet, heading.replace("Ω", "Ohm"), "0.20", Quantity.RESISTANCE)
    assert Status.SINGLE not in {status for _, status in found}
    assert any(d.startswith("meaning_unsure") for d in heading_to_doubts(heading, Meaning.R_MIN, "Ω"))


@pytest.mark.parametrize(
    "heading", ["Time to 50 % current (s)", "Time to trip of a pair (s)", "Trip time limit of standard (s)"]
)
def test_a_time_of_something_else_is_asked_about(heading: str) -> None:
    """A time to a share of the current, of a pair, or that a standard allows is not the part's."""
    assert heading_to_doubts(heading, Meaning.TIME, "s")


@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("Resistance at 85 °C max (Ω)", Meaning.R_MAX),
        ("Resistance drift max. (Ω)", Meaning.R_MAX),
        ("Max. resistance after 100 cycles (Ω)", Meaning.R_MAX),
        ("Tripped power at 85 °C (W)", Meaning.POWER),
        ("Minimum voltage (V)", Meaning.MAX_VOLTAGE),
        ("Max. current 1 s (A)", Meaning.MAX_CURRENT),
        ("Maximum current of connector (A)", Meaning.MAX_CURRENT),
        ("Ihold of two in parallel (A)", Meaning.HOLD),
        ("Čas proženja tipično (s)", Meaning.TIME),
    ],
)
def test_ratings_of_something_else_are_asked_about(heading: str, meaning: Meaning) -> None:
    """Another ambient, a duration, the least of a limit, other things than the part."""
    assert heading_to_doubts(heading, meaning, "")


@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("Resistance at 25 °C max (Ω)", Meaning.R_MAX),
        ("R1max, 1 h after trip (Ω)", Meaning.R_POST),
        ("Hold current at 60 °C (A)", Meaning.HOLD),
        ("Max. time to trip at 8 A (s)", Meaning.TIME),
        ("Maximum fault current (A)", Meaning.MAX_CURRENT),
    ],
)
def test_what_belongs_to_a_rating_is_no_doubt(heading: str, meaning: Meaning) -> None:
    """A room's ambient, the hour after a trip, a test current, an ambient of currents."""
    assert not heading_to_doubts(heading, meaning, "")


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Опір мін., Ом", Kind.MIN),
        ("Опір тип., Ом", Kind.TYP),
        ("Типовий час спрацьовування при 8 А, с", Kind.TYP),
        ("Середній час спрацьовування при 8 А, с", Kind.TYP),
        ("Мінімальний час спрацьовування при 8 А, с", Kind.MIN),
        ("Опір макс. після спрацювання, Ом", Kind.POST_TRIP_MAX),
        ("Опір макс. через 1 год після спрацьовування, Ом", Kind.POST_TRIP_MAX),
        ("Опір після вимкнення, Ом", Kind.POST_TRIP_MAX),
    ],
)
def test_ukrainian_headings_say_their_kind(heading: str, kind: Kind) -> None:
    """Words for least, typical, largest and after a trip, from memory."""
    kinds = hits_to_kinds(text_to_hits(heading))
    assert kind in kinds
    assert kinds <= {kind, Kind.MAX}


def test_ukrainian_insulation_is_no_resistance_of_the_part() -> None:
    """"Опір ізоляції" is the insulation's."""
    assert foreign_words("asked").search("опір ізоляції, мін., мом")


@pytest.mark.parametrize("heading", ["Vrijeme okidanja (s)", "Upornost (Ω)", "Съпротивление", "Varža (Ω)"])
def test_words_of_languages_that_nobody_checked_are_unknown(heading: str) -> None:
    """A language is in the vocabulary with its words for least, typical and after a trip, or not at all: its
    columns are asked about."""
    assert not is_named(Meaning.TIME, heading)
    assert not is_named(Meaning.R_MAX, heading)
