"""Two readings of a cell: agreed, single or disputed."""

from __future__ import annotations

import pytest

from extract.agreement import tables_to_verdicts
from extract.columns import Table, grid_to_table
from extract.grid import Cell, Grid, runs_to_cell
from extract.lines import Run
from extract.schema import Status
from extract.second_reading import WitnessCell

TEXTS = [["Part number", "Ihold (A)", "Itrip (A)"], ["AB050", "0.50", "1.00"], ["AB075", "0.75", "1.50"]]


@pytest.fixture
def table() -> Table:
    cells = [_cell(row, column, text) for row, line in enumerate(TEXTS) for column, text in enumerate(line)]
    columns = tuple((column * 100.0, column * 100.0 + 100) for column in range(3))
    rows = tuple((row * 20.0, row * 20.0 + 20) for row in range(3))
    found = grid_to_table(Grid(1, "ruled", (0, 0, 300, 60), columns, rows, tuple(cells)))
    assert found is not None
    return found


def _cell(row: int, column: int, text: str) -> Cell:
    x, y = column * 100.0 + 10, row * 20.0 + 5
    return runs_to_cell((row, column), (1, 1), (Run(text, x, y, x + 40, y + 10, 10.0),), (0, 0, 0, 0))


def _witness(
    changes: dict[tuple[int, int], str], lost: tuple[tuple[int, int], ...] = ()
) -> list[WitnessCell]:
    return [
        WitnessCell(
            1,
            0,
            row,
            column,
            (column * 100.0, row * 20.0, column * 100.0 + 100, row * 20.0 + 20),
            changes.get((row, column), text),
        )
        for row, line in enumerate(TEXTS)
        for column, text in enumerate(line)
        if (row, column) not in lost
    ]


def _verdict(table: Table, witness: list[WitnessCell], third: str = "") -> tuple[Status, str]:
    cell = table.grid.cell_at(1, 1)
    verdict = tables_to_verdicts([table], witness, {id(cell): third})[id(cell)]
    return verdict.status, verdict.reason


def test_equal_texts_in_the_parts_row_agree(table: Table) -> None:
    """Same text, same column, the part's name in the same row: agreed."""
    assert _verdict(table, _witness({}))[0] is Status.AGREED


def test_another_digit_is_a_dispute_that_shows_both(table: Table) -> None:
    """0.50 against 0.80: disputed, with the other text."""
    status, reason = _verdict(table, _witness({(1, 1): "0.80"}))
    assert status is Status.DISPUTED
    assert "0.80" in reason


def test_a_third_reader_that_sees_another_digit_disputes(table: Table) -> None:
    """pdfium decodes the digits otherwise: disputed even where both tables agree."""
    assert _verdict(table, _witness({}), third="0.56")[0] is Status.DISPUTED


@pytest.mark.parametrize(
    ("changes", "lost"),
    [
        ({}, ((1, 1),)),
        ({(1, 1): "0.50 1.00"}, ()),
        ({(1, 0): "AB0"}, ()),
    ],
)
def test_what_the_second_reading_does_not_bear_out_is_single(
    table: Table, changes: dict[tuple[int, int], str], lost: tuple[tuple[int, int], ...]
) -> None:
    """No cell there, two cells joined, or another part's row: one reading only, no dispute."""
    assert _verdict(table, _witness(changes, lost))[0] is Status.SINGLE
