"""Known parts in order of likelihood, and what separates them."""

import math
from collections.abc import Callable

from compare.identify.known import Known
from compare.identify.ranking import known_to_identification, parts_to_identification
from compare.identify.seen import Seen
from extract.schema import Part

MakePart = Callable[..., Part]
MakeSeen = Callable[[str], Seen]

SMALL = {"hold": 0.3, "trip": 0.6, "r_min": 0.8, "r_1max": 3.0, "power_typ": 0.6, "time": (1.5, 4.0)}
LARGE = {"hold": 2.0, "trip": 4.0, "r_min": 0.02, "r_1max": 0.09, "power_typ": 1.4, "time": (10.0, 4.0)}


def test_the_part_that_fits_comes_first_and_the_others_are_excluded(
    make_part: MakePart, seen: MakeSeen
) -> None:
    """0.2 ohm, carried 0.7 A: the middle one; the small one has more; the large one is unlikely."""
    parts = [make_part("SMALL", **SMALL), make_part("MIDDLE"), make_part("LARGE", **LARGE)]
    found = parts_to_identification(parts, seen(
        "resistance_ohm = 0.2\nfour_wire = true\n[[held]]\ncurrent_a = 0.7\ntime_s = 3600"))
    assert found.suspects[0].part.part_number == "MIDDLE"
    assert [one.part.part_number for one in found.excluded] == ["SMALL"]
    assert "below the smallest" in found.excluded[0].excluded[0]


def test_twins_of_other_voltage_are_named_with_both_voltages(make_part: MakePart, seen: MakeSeen) -> None:
    """Same numbers, 16 V and 30 V: cannot be told apart, nothing separates them, the voltages are told."""
    found = parts_to_identification([make_part("A", max_voltage=16.0), make_part("B", max_voltage=30.0)],
                                    seen("resistance_ohm = 0.2\nfour_wire = true"))
    assert len(found.alike) == 2
    assert found.voltages == (16.0, 30.0)
    assert found.next == ()


def test_the_next_measurement_is_the_one_in_which_they_differ(make_part: MakePart, seen: MakeSeen) -> None:
    """Two parts that differ in their resistance alone: measure that; in their tripped power alone: that."""
    text = "[[held]]\ncurrent_a = 0.5\ntime_s = 60"
    by_ohms = parts_to_identification([make_part("A"), make_part("B", r_min=0.6, r_1max=2.0)], seen(text))
    by_power = parts_to_identification([make_part("A"), make_part("B", power_typ=2.5)], seen(text))
    assert by_ohms.next[0].name == "resistance"
    assert by_power.next[0].name == "tripped power"


def test_a_hold_test_lies_between_the_two_parts(make_part: MakePart, seen: MakeSeen) -> None:
    """Trip 0.9 A against hold 1.1 A: the suggested current lies between, where one trips and one holds."""
    parts = [make_part("A", hold=0.5, trip=0.9), make_part("B", hold=1.1, trip=2.0)]
    found = parts_to_identification(parts, seen("resistance_ohm = 0.2\nfour_wire = true"))
    offer = next(one for one in found.next if one.name == "whether it trips")
    assert 0.9 < float(offer.how.split()[1]) < 1.1
    assert offer.bits > 0.7


def test_the_order_of_the_parts_does_not_matter(make_part: MakePart, seen: MakeSeen) -> None:
    """Shares sum to one and are the same for any order of the parts."""
    parts = [make_part("A"), make_part("B", hold=0.9, trip=1.7), make_part("C", r_1max=0.9)]
    text = seen("resistance_ohm = 0.35\nfour_wire = true")
    forth, back = parts_to_identification(parts, text), parts_to_identification(parts[::-1], text)
    assert [(s.part.part_number, s.share) for s in forth.suspects] == [
        (s.part.part_number, s.share) for s in back.suspects]
    assert math.isclose(sum(one.share for one in forth.suspects), 1.0)


def test_a_part_asked_twice_answers_the_same(make_part: MakePart, seen: MakeSeen) -> None:
    """Kept answers do not change a second identification."""
    known = [Known(make_part("A")), Known(make_part("B", r_min=0.3))]
    text = seen("resistance_ohm = 0.35\nfour_wire = true\n[[trip]]\ncurrent_a = 6\ntime_s = 0.2")
    first, second = known_to_identification(known, text), known_to_identification(known, text)
    assert [one.share for one in first.suspects] == [one.share for one in second.suspects]


def test_no_part_at_all_is_an_answer(make_part: MakePart, seen: MakeSeen) -> None:
    """If every part is excluded nothing is claimed."""
    found = parts_to_identification([make_part("A")], seen("resistance_ohm = 0.001\nfour_wire = true\n"
                                                           "resistance_accuracy_ohm = 0.0005"))
    assert found.suspects == ()
    assert found.alike == ()
    assert found.next == ()
