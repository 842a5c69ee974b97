"""The planted typing errors are what they say: enough kinds, one change each, clean tables left clean."""

import random
from pathlib import Path

import pytest

from bench.seeded_errors import check, marks
from bench.seeded_kinds import table_to_plantings
from bench.seeded_tables import WideTable, folder_to_tables

SAMPLES = Path(__file__).parents[2] / "sample_tables"


@pytest.fixture(scope="module")
def table() -> WideTable:
    """An invented sheet with ratings and derating rows as a wide table."""
    return next(
        t for t in folder_to_tables(SAMPLES) if len(t.rows) >= 7 and any(c.ambient_c for c in t.columns)
    )


def test_there_are_enough_kinds_and_each_changes_the_table(table: WideTable) -> None:
    """At least fourteen kinds; every planting differs from the clean table and names where."""
    plantings = list(table_to_plantings(table, random.Random(1), 1))
    assert len({p.kind for p in plantings}) >= 14
    assert all(p.texts != table.sheet().rows and p.rows and p.columns for p in plantings)


def test_plantings_are_the_same_each_time(table: WideTable) -> None:
    """A seed gives the same errors again."""
    once, again = (list(table_to_plantings(table, random.Random(5), 1)) for _ in range(2))
    assert once == again


def test_the_sheet_of_a_table_agrees_with_it(table: WideTable) -> None:
    """The clean table raises no error against the readings it is made of."""
    assert marks(check(table.sheet().rows, table.readings).findings, errors_only=True) == set()


def test_every_planting_is_found_against_the_sheet(table: WideTable) -> None:
    """Against the sheet each planted error is found in one of its rows and columns."""
    before = marks(check(table.sheet().rows, table.readings).findings)
    for planting in table_to_plantings(table, random.Random(2), 1):
        found = marks(check(planting.texts, table.readings).findings) - before
        headings = {planting.texts[0][n] for n in planting.columns}
        assert any(row in planting.rows and column in headings for row, column, _, _ in found), planting.kind
