"""Row labels and the parts they name."""

from __future__ import annotations

import pytest

from extract.joins import label_to_parts

PARTS = ("QX010-60", "QX020-60", "QX035-30", "QX050-30", "QX050-16", "QX110-16")


@pytest.mark.parametrize(
    ("label", "parts", "how"),
    [
        ("QX020-60", ("QX020-60",), "exact"),
        ("QX020-60 **", ("QX020-60",), "exact"),
        ("QX020", ("QX020-60",), "short"),
        ("QX010-60-TR", ("QX010-60",), "short"),
        ("010", ("QX010-60",), "code"),
        ("010 to 035", ("QX010-60", "QX020-60", "QX035-30"), "range"),
        ("QX020-60 thru QX050-30", ("QX020-60", "QX035-30", "QX050-30"), "range"),
        ("QX010-60, QX110-16", ("QX010-60", "QX110-16"), "list"),
        ("QX", ("*",), "series"),
        ("All", ("*",), "series"),
    ],
)
def test_a_label_names_its_parts(label: str, parts: tuple[str, ...], how: str) -> None:
    """Exact names, short and suffixed names, codes, ranges, lists and the series are told apart."""
    joined = label_to_parts(label, PARTS, 3)
    assert (joined.parts, joined.how) == (parts, how)


def test_a_short_name_of_two_parts_names_both() -> None:
    """QX050 stands for two voltages: both come back, for the caller to doubt, never one of them."""
    assert label_to_parts("QX050", PARTS, 3).parts == ("QX050-30", "QX050-16")


@pytest.mark.parametrize("label", ["QX01", "QX500", "300 to 900", "ZZ020-60", ""])
def test_a_label_that_fits_nothing_names_nothing(label: str) -> None:
    """A cut through digits, an unknown range and a foreign name join no part."""
    assert label_to_parts(label, PARTS, 3).parts == ()
