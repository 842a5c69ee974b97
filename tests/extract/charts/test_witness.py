"""What the hold currents of the tables say of the names of curves."""

from extract.charts.witness import Named, Word, curves_to_words

HOLDS_A = {"A": 0.5, "B": 1.0, "C": 1.5, "D": 2.0}


def lines(names: str) -> list[Named]:
    """Curves side by side from left to right, named so."""
    return [
        Named(((10.0 * at, 0.0), (10.0 * at + 30.0, 90.0)), 4.0, (name,)) for at, name in enumerate(names, 1)
    ]


def test_curves_in_order_are_borne_out() -> None:
    """A larger hold current trips at a larger current."""
    assert set(curves_to_words(lines("ABCD"), HOLDS_A)) == {Word.BORNE_OUT}


def test_two_labels_taken_for_each_other_are_told() -> None:
    """B and C stand out of order, and swapped all would stand in order: a person must look at both."""
    assert curves_to_words(lines("ACBD"), HOLDS_A)[1:3] == (Word.SWAPPED, Word.SWAPPED)


def test_a_curve_far_out_of_order_is_no_swap() -> None:
    """No swap of two brings D A B C into order: charts with series of different build are drawn so."""
    assert Word.SWAPPED not in curves_to_words(lines("DABC"), HOLDS_A)
