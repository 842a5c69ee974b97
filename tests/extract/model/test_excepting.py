"""A sentence that gives all parts one limit and some another shares it out; more is asked about.

Wordings as makers print them, from memory; no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.schema import Quantity, Reading, Status
from sample_tables.generate.blocks import Grid, Text, cells
from tests.extract.model.test_plainly_said import UNLIMITED, undisputed
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR
from tests.extract.model.test_titles_and_blocks import blocks_to_readings

NAMES = [row[0] for row in ROWS]
FIRST, LAST = NAMES[0], NAMES[-1]


def limits(readings: tuple[Reading, ...], quantity: Quantity) -> dict[str, set[float]]:
    """Part -> all values read of a limit, doubted or not."""
    found: dict[str, set[float]] = {}
    for reading in readings:
        if reading.quantity is quantity:
            found.setdefault(reading.part_number, set()).add(reading.value)
    return found


def shared(value: float, excepted: dict[str, float]) -> set[tuple[str, float]]:
    """The undisputed pairs expected: all parts with a value, some with another."""
    return {(name, excepted.get(name, value)) for name in NAMES}


@pytest.mark.parametrize(
    "text",
    [
        f"Vmax is 60 V for all types but {LAST}, which is rated 30 V.",
        f"Maximum voltage 60 V, except {LAST}: 30 V.",
        f"Maximum voltage: 60 V for all types, {LAST} however 30 V.",
        f"Vmax 30 V for {LAST}, others 60 V.",
        f"MAXIMUM VOLTAGE IS 60 VOLTS FOR ALL TYPES BUT {LAST}, WHICH IS RATED 30 VOLTS.",
        f"Maximale Spannung 60 V, außer {LAST}: 30 V.",
    ],
)
def test_all_but_some(tmp_path: Path, text: str) -> None:
    """Those named get the value beside them, all others the other one, and nobody is asked."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, Text(text))
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == shared(60.0, {LAST: 30.0})


def test_two_exceptions_with_values_of_their_own(tmp_path: Path) -> None:
    """Of three values the first is that of all, the others of the parts named before them."""
    text = Text(f"Imax 40 A for all types, except {FIRST}: 20 A, {LAST}: 100 A.")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, text)
    assert undisputed(readings, Quantity.MAX_CURRENT) == shared(40.0, {FIRST: 20.0, LAST: 100.0})


def test_parts_from_one_to_another_and_the_larger_ones(tmp_path: Path) -> None:
    """A range names the parts between its ends; "the larger types" are all others."""
    text = Text(
        f"Tripped power is 1.0 W maximum for {FIRST} through {NAMES[1]} and 2.2 W for the larger types."
    )
    table = Grid((cells(*HEADING[:3]),), tuple(cells(*row[:3]) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, text)
    wanted = {name: {1.0 if name in NAMES[:2] else 2.2} for name in NAMES}
    assert limits(readings, Quantity.TRIPPED_POWER) == wanted


def test_a_sentence_over_two_lines(tmp_path: Path) -> None:
    """A sentence is read whole that a line breaks; no value of it is taken for all."""
    lines = (
        Text(f"Maximum voltage is 60 V for all types but {FIRST} and"),
        Text(f"{LAST}, which are rated 30 V."),
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, *lines)
    assert limits(readings, Quantity.MAX_VOLTAGE) == {
        name: {30.0 if name in (FIRST, LAST) else 60.0} for name in NAMES
    }


@pytest.mark.parametrize(
    "text",
    [
        f"Vmax 60 V for all types but {LAST}, which until 2018 was rated 30 V.",
        f"Vmax 60 V for all types but {LAST}, tested at 30 V.",
        f"Vmax 60 V for all types up to 60 °C but {LAST}: 30 V.",
        f"Vmax 60 V DC for all types but {LAST}, which is rated 30 V AC.",
    ],
)
def test_more_than_an_exception_is_asked_about(tmp_path: Path, text: str) -> None:
    """A word that nobody knows beside the two values leaves no number undisputed for the part excepted."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, Text(text))
    assert LAST not in {part for part, _ in undisputed(readings, Quantity.MAX_VOLTAGE)}


def test_sentences_that_contradict_each_other(tmp_path: Path) -> None:
    """Two sentences with different values for a part leave it open."""
    texts = (
        Text(f"Vmax is 60 V for all types but {LAST}, which is rated 30 V."),
        Text(f"Vmax is 60 V for all types but {LAST}, which is rated 16 V."),
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, *texts)
    assert LAST not in {part for part, _ in undisputed(readings, Quantity.MAX_VOLTAGE)}


def test_a_table_with_another_value_is_not_passed_over(tmp_path: Path) -> None:
    """Where the table prints another limit than the sentence, the part's limit is disputed."""
    table = Grid((cells(*HEADING),), tuple(cells(*row) for row in ROWS))
    text = Text(f"Vmax is 60 V for all types but {LAST}, which is rated 33 V.")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, text)
    own = [r for r in readings if r.part_number == LAST and r.quantity is Quantity.MAX_VOLTAGE]
    assert own
    assert all(r.status is Status.DISPUTED for r in own)


@pytest.mark.parametrize(
    "text",
    [
        f"Vmax 30 V to 60 V for all types but {LAST}.",
        f"Imax 100 A at 16 V and 40 A at 60 V (except {FIRST}).",
        f"Imax 100 A for all types but {LAST}, 40 A at 60 V.",
        f"Vmax 60 V, types other than {LAST} 30 V.",
        f"Vmax 60 V for {LAST}, all types smaller than {LAST} 30 V.",
        f"Vmax 60 V for {LAST} only, for {NAMES[1]} 30 V.",
        f"All types except {FIRST} have Vmax 30 V, {NAMES[1]} 60 V.",
        f"Vmax 60 V for {NAMES[1]} and others, 30 V for {LAST}.",
        f"Vmax 60 V for all types but {LAST}, AC 30 V.",
    ],
)
def test_ranges_conditions_and_comparisons_share_out_nothing(tmp_path: Path, text: str) -> None:
    """A range, a condition in another unit, "other than" and "only" leave no limit undisputed."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), UNLIMITED, Text(text))
    assert undisputed(readings, Quantity.MAX_VOLTAGE) | undisputed(readings, Quantity.MAX_CURRENT) == set()


@pytest.mark.parametrize(
    "text",
    [
        "Battery pack: max. 16 V",
        "Fuse holder, max. 250 V AC",
        "Ohmmeter: maximum 1 V",
        "Series ZK: maximum 30 V DC",
    ],
)
def test_volts_of_something_else(tmp_path: Path, text: str) -> None:
    """Volts beside a word of another thing, or of another series, are no limit of the parts below."""
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Text(text), UNLIMITED)
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == set()


@pytest.mark.parametrize(
    "title",
    [
        "Hold / trip current (mA)",
        "Derating of hold / trip current (%)",
        "Hold / trip current of two parts in parallel",
        "Hold / trip current, forced air 2 m/s",
    ],
)
def test_a_title_of_pairs_that_says_more(tmp_path: Path, title: str) -> None:
    """A title proves which of a pair is which only if it says nothing else and all fits the rating."""
    ratings = Grid((cells(*HEADING),), tuple(cells(*row) for row in ROWS))
    body = tuple(cells(row[0], "750 / 1500", "600 / 1200", "400 / 800") for row in ROWS)
    pairs = Grid((cells("Part number", "-40 °C", "0 °C", "40 °C"),), body)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), ratings, Text(title), pairs)
    cold = [r for r in readings if r.ambient_c == -40]
    assert all(r.status is Status.DISPUTED for r in cold)


def test_a_caption_is_not_of_the_parts_of_the_next_table(tmp_path: Path) -> None:
    """A second table right below, of other parts, has no share in the caption of the first."""
    other = Grid((cells(*HEADING[:3]),), tuple(cells("ZK" + row[0][2:], *row[1:3]) for row in ROWS))
    table = Grid((cells(*HEADING[:3]),), tuple(cells(*row[:3]) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Text("TQ: Vmax 60 V, Imax 40 A"), table, other)
    assert not any(part.startswith("ZK") for part, _ in undisputed(readings, Quantity.MAX_VOLTAGE))
