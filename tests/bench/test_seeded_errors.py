"""The planted typing errors are what they say: enough kinds, one change each, clean tables left clean."""

import random
import re
from pathlib import Path

import pytest

from bench.seeded_errors import check
from bench.seeded_kinds import Rows, table_to_plantings
from bench.seeded_tables import WideTable, folder_to_tables
from extract.parts_table.records import RawSheet
from extract.schema import Reading, Severity

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


def doubted_cells(texts: Rows, readings: tuple[Reading, ...]) -> set[tuple[int, int]]:
    """(row from 1, column from 0) of every cell that an error or doubt names."""
    findings = check(RawSheet("", texts), readings).findings
    cells = {cell for f in findings if f.severity is not Severity.NOTE for cell in (f.cell, *f.cells) if cell}
    found = (re.fullmatch(r"([A-Z]+)(\d+)", cell) for cell in cells)
    return {(int(one[2]), sum((ord(c) - 64) * 26**n for n, c in enumerate(reversed(one[1]))) - 1)
            for one in found if one is not None}


def test_the_sheet_of_a_table_agrees_with_it(table: WideTable) -> None:
    """The clean table raises no error against the readings it is made of."""
    findings = check(table.sheet(), table.readings).findings
    assert [f for f in findings if f.severity is Severity.ERROR] == []


def test_every_planting_is_found_against_the_sheet(table: WideTable) -> None:
    """Against the sheet each planted error is found in one of its rows and columns."""
    before = doubted_cells(table.sheet().rows, table.readings)
    for planting in table_to_plantings(table, random.Random(2), 1):
        found = doubted_cells(planting.texts, table.readings) - before
        located = [row in planting.rows and column in planting.columns for row, column in found]
        assert any(located), planting.kind
