"""Two readers held against each other: agreement, one only, conflict."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from extract.fused import readings_to_fused
from extract.schema import Kind, Place, Quantity, Reading, Status
from extract.standing import status_to_standing, weaker

PAGE = frozenset({1})


def reading(
    value: float = 0.5,
    part: str = "QX-050",
    status: Status = Status.SINGLE,
    quantity: Quantity = Quantity.HOLD_CURRENT,
    x0: float = 100.0,
    notes: tuple[str, ...] = (),
) -> Reading:
    """One number of page 1 in a cell at x0."""
    ambient = 23.0 if quantity is Quantity.HOLD_CURRENT else None
    return Reading("s.pdf", "0" * 64, part, quantity, Kind.NONE, ambient, None, value, status,
                   Place(1, x0, 50.0, x0 + 20.0, 58.0), f"{value:g}", "A", notes)


def statuses(first: list[Reading], second: list[Reading], pages: frozenset[int] = PAGE) -> list[Status]:
    return [r.status for r in readings_to_fused(first, second, pages)]


def test_what_both_find_is_agreed() -> None:
    """Rule: the same digits, in the row of the same part, under the same heading, found twice."""
    assert statuses([reading()], [reading()]) == [Status.AGREED]


def test_two_readers_of_one_text_do_not_agree_on_digits() -> None:
    """Rule: where no other library read the digits, both readers rest on one text: single."""
    assert statuses([reading()], [reading()], frozenset()) == [Status.SINGLE]


def test_what_one_finds_is_single() -> None:
    """Rule: a number only one reader finds stands as read once, even if its digits were read twice."""
    assert statuses([reading(status=Status.AGREED)], []) == [Status.SINGLE]
    assert statuses([], [reading()]) == [Status.SINGLE]


def test_one_cell_given_to_two_parts_is_disputed() -> None:
    """Rule: the worst fault, a right value under a wrong name, shows as a dispute with both names."""
    fused = readings_to_fused([reading(status=Status.AGREED)], [reading(part="QX-075")], PAGE)
    assert [r.status for r in fused] == [Status.DISPUTED, Status.DISPUTED]
    assert {r.part_number for r in fused} == {"QX-050", "QX-075"}


def test_one_statement_with_two_values_is_disputed() -> None:
    """Rule: two readers that find different values for one statement are both in doubt."""
    assert statuses([reading()], [reading(0.75, x0=300.0)]) == [Status.DISPUTED, Status.DISPUTED]


def test_two_units_for_one_cell_are_one_dispute() -> None:
    """Rule: one cell, one question: the dispute names both values."""
    fused = readings_to_fused([reading(0.05)], [reading(50.0)], PAGE)
    assert [r.status for r in fused] == [Status.DISPUTED]
    assert "50" in fused[0].notes[-1]


def test_a_stray_value_beside_an_agreed_one_is_left_out() -> None:
    """Rule: what both state of a part stands, though one of them also found a number in another table."""
    assert statuses([reading()], [reading(), reading(26.0, x0=300.0)]) == [Status.AGREED]


def test_a_doubt_about_digits_stays() -> None:
    """Rule: only a doubt about meaning can be settled by the other reader, and then the number is single."""
    digits = reading(status=Status.DISPUTED, notes=("another text reader sees '0.6'",))
    meaning = reading(status=Status.DISPUTED, notes=("unit not printed",))
    assert statuses([digits], [reading()]) == [Status.DISPUTED]
    assert statuses([meaning], [reading()]) == [Status.SINGLE]


@given(st.sampled_from([Status.AGREED, Status.SINGLE, Status.DISPUTED]))
def test_the_other_reader_alone_never_raises(status: Status) -> None:
    """Rule: without the same statement of the other reader nothing stands better than before."""
    fused = readings_to_fused([reading(status=status)], [reading(part="QX-075", x0=300.0)], PAGE)[0]
    assert not weaker(status_to_standing(status), status_to_standing(fused.status))


def test_the_named_kind_is_the_kind() -> None:
    """Rule: 10 A without a kind and 10 A dc of one part are one statement, the named one."""
    plain = reading(10.0, quantity=Quantity.MAX_CURRENT)
    named = replace(plain, kind=Kind.DC, place=Place(1, 300.0, 50.0, 320.0, 58.0))
    fused = readings_to_fused([plain, named], [plain], PAGE)
    assert {r.kind for r in fused} == {Kind.DC}


def test_of_two_values_the_surer_is_shown() -> None:
    """Rule: a dispute shows the value of the reader that has no doubt of its own, and names both."""
    doubtful = reading(65.0, status=Status.DISPUTED, notes=("unit not printed",))
    fused = readings_to_fused([doubtful], [reading(0.065)], PAGE)
    assert [(r.value, r.status) for r in fused] == [(0.065, Status.DISPUTED)]
    assert "65" in fused[0].notes[-1]


def test_a_contradiction_that_one_reader_sees_is_kept() -> None:
    """Rule: 1.05 A in one table and 1.00 A in another are not settled by what both readers find."""
    both = [reading(1.0), reading(1.05, x0=300.0)]
    fused = readings_to_fused(both, [reading(1.0)], PAGE)
    assert {r.value for r in fused} == {1.0, 1.05}
    assert next(r.status for r in fused if r.value == 1.05) is Status.DISPUTED
    fused = readings_to_fused([reading(1.0)], both, PAGE)
    assert {r.value for r in fused} == {1.0, 1.05}


def test_a_trip_row_taken_for_a_second_hold_row_is_refuted() -> None:
    """Rule: both find hold 1.0 A; a further hold in a cell that the other reader calls trip is not kept."""
    taken = reading(2.1, x0=300.0)
    trip = replace(taken, quantity=Quantity.TRIP_CURRENT)
    fused = readings_to_fused([reading(1.0), taken], [reading(1.0), trip], PAGE)
    assert [(r.quantity, r.value, r.status) for r in fused] == [
        (Quantity.HOLD_CURRENT, 1.0, Status.AGREED),
        (Quantity.TRIP_CURRENT, 2.1, Status.SINGLE),
    ]
