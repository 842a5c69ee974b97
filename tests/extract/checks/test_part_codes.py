"""Codes in part numbers are learnt where the rows prove them, and nowhere else."""

from extract.checks.limits import limits
from extract.checks.numbers import part_number_to_series, text_to_step
from extract.checks.part_codes import rows_to_code

SCALES = (0.001, 0.01, 0.1, 1.0)


def test_a_code_in_hundredths_is_learnt() -> None:
    """The second run of digits times 0.01 A gives the hold current in all rows."""
    rows = [(0.2, (12, 20)), (0.35, (12, 35)), (0.5, (12, 50)), (0.75, (12, 75)), (1.1, (12, 110))]
    learnt = rows_to_code(rows, SCALES, limits().series)
    assert learnt is not None
    assert (learnt.run, learnt.scale, learnt.rows) == (1, 0.01, 5)


def test_one_wrong_row_does_not_unlearn_it() -> None:
    """Four rows of five are enough."""
    rows = [(0.2, (20,)), (0.35, (35,)), (0.5, (50,)), (0.75, (75,)), (1.5, (110,))]
    learnt = rows_to_code(rows, SCALES, limits().series)
    assert learnt is not None
    assert learnt.rows == 4


def test_chance_is_not_learnt() -> None:
    """Numbers that say something else, or one value only, teach nothing."""
    assert (
        rows_to_code([(0.2, (1,)), (0.35, (2,)), (0.5, (3,)), (0.75, (4,))], SCALES, limits().series) is None
    )
    assert rows_to_code([(0.5, (50,))] * 6, SCALES, limits().series) is None
    assert rows_to_code([(0.2, (20,)), (0.35, (35,))], SCALES, limits().series) is None


def test_series_is_the_start_of_the_part_number() -> None:
    """Parts are compared with those whose number starts alike."""
    assert part_number_to_series("QLM-0050-60") == "QLM"
    assert part_number_to_series("29ZZ075/60") == "29ZZ"
    assert part_number_to_series("qlm-0050") == "QLM"


def test_the_last_digit_is_read_from_the_print() -> None:
    """The resolution of a number is that of its printed text, scaled by its unit."""
    assert text_to_step("0.50 A", 0.5) == 0.01
    assert abs(text_to_step("750 mA", 0.75) - 0.001) < 1e-12
    assert abs(text_to_step("87 %", 0.87) - 0.01) < 1e-12
    assert text_to_step("0.78 / 1.56", 1.56) == 0.01
    assert text_to_step("", 0.55) == 0.01
