"""Densities and information: checked against scipy's integration and against textbook cases."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from compare.identify.spans import Span, chances_to_information, spans_to_information

sizes = st.floats(0.05, 3.0)


@given(low=st.floats(-3.0, 3.0), wide=st.floats(0.0, 3.0), below=sizes, above=sizes)
def test_a_span_is_a_density(low: float, wide: float, below: float, above: float) -> None:
    """It integrates to one (scipy.integrate.quad)."""
    span = Span(low, low + wide, below, above)
    pieces = ((-math.inf, low), (low, low + wide), (low + wide, math.inf))
    total = sum(quad(lambda at: math.exp(span.log_density(at)), *ends)[0] for ends in pieces)
    assert total == pytest.approx(1.0, abs=1e-6)


def test_equal_spans_tell_nothing_and_far_ones_one_bit() -> None:
    """Mutual information of two equally likely causes: 0 if they look the same, 1 bit if they never do
    (Shannon 1948, section 6)."""
    here, far = Span(0.0, 1.0, 0.01, 0.01), Span(5.0, 6.0, 0.01, 0.01)
    assert spans_to_information([here, here], [1.0, 1.0]) == pytest.approx(0.0, abs=1e-9)
    assert spans_to_information([here, far], [1.0, 1.0]) == pytest.approx(1.0, abs=0.03)


def test_a_question_that_halves_tells_one_bit() -> None:
    """A sure yes against a sure no tells one bit; a coin tells none (Shannon 1948)."""
    assert chances_to_information([1.0, 0.0], [1.0, 1.0]) == pytest.approx(1.0)
    assert chances_to_information([0.5, 0.5], [3.0, 1.0]) == pytest.approx(0.0)


def test_half_overlapping_spans_tell_half_a_bit() -> None:
    """Two uniform densities that share half their length: half the answers decide, half tell nothing."""
    one, other = Span(0.0, 2.0, 1e-3, 1e-3), Span(1.0, 3.0, 1e-3, 1e-3)
    assert spans_to_information([one, other], [1.0, 1.0]) == pytest.approx(0.5, abs=0.03)
