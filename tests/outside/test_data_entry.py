"""Typed tables against published classes of data-entry errors.

Digits: "Error Detecting Decimal Codes", Mathematical Centre Tracts 29, Amsterdam 1969. Spreadsheets:
"Spreadsheets on Trial", HICSS-29, 1996. Both named from memory; bench/data_entry_errors.py plants each class.
"""

import random

from bench.data_entry_errors import table_to_data_entry_errors
from bench.seeded_tables import WideTable
from tests.bench.test_seeded_errors import doubted_cells, table  # noqa: F401  # a fixture is found by name


def test_every_class_of_the_taxonomies_is_found_against_the_sheet(table: WideTable) -> None:  # noqa: F811
    """An error of any class, planted in a table typed from a sheet, is found where it stands. What is typed
    where the sheet prints nothing cannot be told wrong by the sheet."""
    before = doubted_cells(table.sheet().rows, table.readings)
    missed, kinds = [], set()
    for planting in table_to_data_entry_errors(table, random.Random(7), 1):
        kinds.add(planting.kind)
        found = doubted_cells(planting.texts, table.readings) - before
        if not any(row in planting.rows and column in planting.columns for row, column in found):
            missed.append(planting.kind)
    assert len(kinds) >= 15
    assert missed in ([], ["omission: cell left out, column closed up"])
