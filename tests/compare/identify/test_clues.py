"""One measurement against one part: likely, unlikely, impossible, or not comparable."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from compare.identify.clues import Clue, seen_to_clues
from compare.identify.known import Known
from compare.identify.seen import Seen, text_to_seen
from extract.errors import InputError
from extract.schema import Kind, Part, Particular, ParticularName, Place, Status

MakeKnown = Callable[..., Known]
MakeSeen = Callable[[str], Seen]


def one(text: str, known: Known, seen: MakeSeen) -> Clue:
    """The one clue that a text gives."""
    (clue,) = seen_to_clues(seen(text), known)
    return clue


def test_leads_are_taken_off(known: MakeKnown, seen: MakeSeen) -> None:
    """0.22 ohm with 0.12 ohm of leads is 0.10 ohm: within 0.1 to 0.4 ohm; unknown leads it may be less."""
    taken = one("resistance_ohm = 0.22\nmeter_lead_resistance_ohm = 0.12", known(), seen)
    unknown = one("resistance_ohm = 0.22", known(), seen)
    assert taken.seen == "0.1 ohm"
    assert "with leads" in unknown.seen
    assert not taken.excludes
    assert not unknown.excludes


def test_a_resistance_below_the_smallest_excludes(known: MakeKnown, seen: MakeSeen) -> None:
    """R_min 0.1 ohm; 0.03 ohm measured with four wires: ageing only adds resistance."""
    clue = one("resistance_ohm = 0.03\nfour_wire = true\nresistance_accuracy_ohm = 0.002", known(), seen)
    assert clue.excludes
    assert "ageing only adds" in clue.against


def test_a_poor_meter_excludes_nothing(known: MakeKnown, seen: MakeSeen) -> None:
    """The same 0.03 ohm by a meter that errs by 0.05 ohm is no proof."""
    assert not one("resistance_ohm = 0.03\nfour_wire = true\nresistance_accuracy_ohm = 0.05", known(),
                   seen).excludes


def test_an_aged_part_is_said_to_be_aged(known: MakeKnown, seen: MakeSeen) -> None:
    """R_1max 0.4 ohm; 0.8 ohm measured: still possible, marked aged, less likely than 0.3 ohm."""
    aged = one("resistance_ohm = 0.8\nfour_wire = true", known(), seen)
    sound = one("resistance_ohm = 0.3\nfour_wire = true", known(), seen)
    assert aged.aged
    assert not aged.excludes
    assert aged.log_likelihood < sound.log_likelihood


def test_carrying_more_than_it_must_trip_at_excludes_only_if_it_lasted(
    known: MakeKnown, seen: MakeSeen
) -> None:
    """Trip current 1.5 A: 2 A for an hour cannot be, 2 A for a second can."""
    assert one("[[held]]\ncurrent_a = 2\ntime_s = 3600", known(), seen).excludes
    assert not one("[[held]]\ncurrent_a = 2\ntime_s = 1", known(), seen).excludes


def test_between_hold_and_trip_all_is_possible(known: MakeKnown, seen: MakeSeen) -> None:
    """Hold 0.75 A, trip 1.5 A: at 1.06 A (their geometric mean) either answer is about as likely."""
    held = one("[[held]]\ncurrent_a = 1.06\ntime_s = 3600", known(), seen)
    tripped = one("[[trip]]\ncurrent_a = 1.06", known(), seen)
    assert math.exp(held.log_likelihood) == pytest.approx(0.5, abs=0.03)
    assert math.exp(tripped.log_likelihood) == pytest.approx(0.5, abs=0.03)


def test_tripping_below_hold_is_weakness_and_far_below_excludes(known: MakeKnown, seen: MakeSeen) -> None:
    """Hold 0.75 A: tripping at 0.6 A needs an aged part, at 0.3 A it is none of these."""
    weak = one("[[trip]]\ncurrent_a = 0.6", known(), seen)
    assert weak.aged
    assert not weak.excludes
    assert one("[[trip]]\ncurrent_a = 0.3", known(), seen).excludes


def test_a_time_longer_than_the_sheets_longest_excludes(known: MakeKnown, seen: MakeSeen) -> None:
    """0.3 s at most at 8 A: 2 s excludes, 0.1 s is what sound parts do."""
    assert one("[[trip]]\ncurrent_a = 8\ntime_s = 2", known(), seen).excludes
    assert not one("[[trip]]\ncurrent_a = 8\ntime_s = 0.1", known(), seen).excludes


def test_the_ambient_counts(known: MakeKnown, seen: MakeSeen, row_a: dict[float, float]) -> None:
    """At 70 °C row A holds 48 %: 0.36 A of 0.75 A; carrying 0.9 A for an hour excludes; at 23 °C not."""
    part = known(ratios=row_a)
    text = "[[held]]\ncurrent_a = 0.9\ntime_s = 3600"
    assert one(f"ambient_c = 70\n{text}", part, seen).excludes
    assert not one(text, part, seen).excludes


def test_without_ambient_currents_are_not_compared(known: MakeKnown) -> None:
    """An unknown ambient makes the clue neutral, never a guess."""
    (clue,) = seen_to_clues(text_to_seen("[[held]]\ncurrent_a = 9\ntime_s = 9999"), known())
    assert clue.neutral
    assert not clue.excludes


def test_a_disputed_number_is_neutral(known: MakeKnown, seen: MakeSeen) -> None:
    """A disputed smallest resistance excludes nothing."""
    sound = known()
    readings = tuple(replace(r, status=Status.DISPUTED) if r.kind is Kind.MIN else r
                     for r in sound.part.readings)
    clue = one("resistance_ohm = 0.01\nfour_wire = true", Known(replace(sound.part, readings=readings)), seen)
    assert clue.neutral
    assert not clue.excludes


def with_size(part: Part, low_mm: float, high_mm: float) -> Known:
    """The part with limits of its body length."""
    place = Place(1, 0.0, 0.0, 1.0, 1.0)
    limits = tuple(Particular(part.document, part.sha256, part.part_number, ParticularName.BODY_LENGTH, kind,
                              value, "", Status.AGREED, place, f"{value:g}")
                   for kind, value in ((Kind.MIN, low_mm), (Kind.MAX, high_mm)))
    return Known(replace(part, particulars=limits))


def test_a_size_far_outside_excludes_a_near_one_does_not(known: MakeKnown, seen: MakeSeen) -> None:
    """4.37 to 4.73 mm: 4.8 mm is a calliper's error away, 7.3 mm is another body."""
    part = with_size(known().part, 4.37, 4.73)
    assert not one("length_mm = 4.8", part, seen).excludes
    assert one("length_mm = 7.3", part, seen).excludes


def test_a_package_code_gives_the_size(known: MakeKnown, seen: MakeSeen) -> None:
    """1812 is 4.5 mm by 3.2 mm (published vendor data): a body of 7.3 mm cannot be."""
    assert one("length_mm = 7.3", known(package="1812"), seen).excludes
    assert not one("length_mm = 4.6", known(package="1812"), seen).excludes


@pytest.mark.parametrize(("text", "told"), [
    ("ambient_c = 20", "nothing seen"),
    ("resistance_ohm = 0.1\nmeter_lead_resistance_ohm = 0.2", "no more than the leads"),
    ("resistance_ohm = 0.1\nfour_wire = true\nmeter_lead_resistance_ohm = 0.02", "four_wire"),
    ("resistence_ohm = 0.1", "no such field"),
])
def test_a_file_that_cannot_be_right_is_refused(text: str, told: str) -> None:
    """Each in one line that names the field."""
    with pytest.raises(InputError, match=told):
        text_to_seen(text)


def test_letters_of_a_drawing_may_be_any_side(known: MakeKnown, seen: MakeSeen) -> None:
    """A 4.37 to 4.73 mm, B 3.07 to 3.41 mm: 4.5 mm is likely, 9 mm is not, nothing is excluded."""
    part, place = known().part, Place(1, 0.0, 0.0, 1.0, 1.0)
    letters = tuple(Particular(part.document, part.sha256, part.part_number, ParticularName.DIMENSION, kind,
                               value, "", Status.AGREED, place, f"{value:g}", letter)
                    for letter, kind, value in (("A", Kind.MIN, 4.37), ("A", Kind.MAX, 4.73),
                                                ("B", Kind.MIN, 3.07), ("B", Kind.MAX, 3.41)))
    lettered = Known(replace(part, particulars=letters))
    near, far = one("length_mm = 4.5", lettered, seen), one("length_mm = 9", lettered, seen)
    assert near.log_likelihood > far.log_likelihood + 10
    assert not far.excludes
