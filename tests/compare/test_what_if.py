"""Sweeping one quantity shows where the winner changes."""

from collections.abc import Callable

import pytest

from compare.ranking import parts_to_ranking
from compare.requirement import Requirement
from compare.what_if import evenly, sweep, sweep_two, sweepable_fields
from extract.errors import InputError
from extract.schema import Part

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]


@pytest.fixture
def parts(make_part: MakePart, row_b: Row) -> list[Part]:
    """A small part of low margin, a large one of more."""
    return [
        make_part("LARGE", hold=1.5, trip=3.0, r_1max=0.1, max_voltage=13.0, ratios=row_b),
        make_part("SMALL", hold=0.75, trip=1.5, max_voltage=30.0, ratios=row_b),
    ]


def test_the_winner_changes_with_the_ambient(parts: list[Part], make_requirement: MakeRequirement) -> None:
    """0.5 A: the small part wins while its hold margin beats the large part's voltage margin of 13/12, then
    loses.

    0.75 A times the share of row B at the ambient must exceed 0.5417 A: up to 57.1 °C by straight lines.
    """
    found = sweep(parts, make_requirement(normal_current_a=0.5), "ambient_hot_c", evenly(23.0, 85.0, 63))
    (change,) = found.changes
    assert (change.winner_below, change.winner_above) == ("SMALL", "LARGE")
    crossing = 50.0 + 10.0 * (0.77 - 0.5 * 13 / 12 / 0.75) / (0.77 - 0.69)
    assert change.below <= crossing <= change.above
    assert found.unit == "°C"


def test_steps_agree_with_single_rankings(parts: list[Part], make_requirement: MakeRequirement) -> None:
    """Every step is what a comparison with that value says; an empty winner means that none fits."""
    found = sweep(parts, make_requirement(), "normal_current_a", [2.0, 0.2, 1.0])
    assert [step.value for step in found.steps] == [0.2, 1.0, 2.0]
    for step in found.steps:
        winner = parts_to_ranking(parts, make_requirement(normal_current_a=step.value)).winner
        assert step.winner == (winner.part_number if winner else "")
    assert found.steps[-1].winner == ""


@pytest.mark.parametrize(
    ("field", "values", "words"),
    [
        ("ambient", [1.0], "no quantity"),
        ("ambient_hot_c", [10.0], "below the coldest"),
        ("hold_factor", [0.5], "may take"),
        ("peak_current_a", [5.0], "peak_duration_s"),
        ("source_resistance_min_ohm", [0.1], "one of them"),
    ],
)
def test_what_makes_no_sense_is_refused(
    parts: list[Part], make_requirement: MakeRequirement, field: str, values: list[float], words: str
) -> None:
    """The same rules hold as in the file."""
    with pytest.raises(InputError, match=words):
        sweep(parts, make_requirement(), field, values)


@pytest.mark.parametrize("span", [(1.0, 1.0, 5), (2.0, 1.0, 5), (0.0, 1.0, 1), (0.0, 1.0, 100_000)])
def test_spans_that_make_no_sense(span: tuple[float, float, int]) -> None:
    """From small to large, at least two steps, and not endlessly many."""
    with pytest.raises(InputError):
        evenly(*span)


def test_every_number_of_a_requirement_may_be_swept() -> None:
    """Ambients and currents among them; flags, texts and tables not."""
    fields = sweepable_fields()
    assert {"ambient_hot_c", "ambient_cold_c", "normal_current_a", "fault_current_min_a"} <= set(fields)
    assert not {"supply", "allow_model", "packages", "wire.awg"} & set(fields)


def test_two_quantities_together(parts: list[Part], make_requirement: MakeRequirement) -> None:
    """Every pair says what the sweep of one says at the other's value."""
    asked, ambients, loads = make_requirement(), evenly(23.0, 80.0, 4), evenly(0.2, 1.0, 3)
    grid = sweep_two(parts, asked, ("ambient_hot_c", ambients), ("normal_current_a", loads))
    for row, ambient_c in zip(grid.steps, grid.values[0], strict=True):
        alone = sweep(parts, make_requirement(ambient_hot_c=ambient_c), "normal_current_a", loads)
        assert row == alone.steps
    with pytest.raises(InputError, match="twice"):
        sweep_two(parts, asked, ("ambient_hot_c", ambients), ("ambient_hot_c", ambients))
    with pytest.raises(InputError, match="at most"):
        sweep_two(parts, asked, ("ambient_hot_c", evenly(23.0, 80.0, 50)),
                  ("normal_current_a", evenly(0.2, 1.0, 50)))
