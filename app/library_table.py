"""What a library holds, on the screen.

Comes in: the library's rows. Goes out: tables on stdout. Opens and changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable

from app.numbers import number_to_text
from app.screen import show_table
from library.records import PartRow, PartState

_STATE_STYLES = {PartState.ACCEPTED: "green", PartState.IN_REVIEW: "yellow"}


def show_part_rows(rows: Iterable[PartRow]) -> None:
    """One row for each part: hold currents from hot to cold, state, and how many numbers wait."""
    rows = tuple(rows)
    headings = ["Part", "Hold A, hot to cold", "State", "Accepted", "of these in bulk", "To review",
                "of these disputed", "read once", "Rejected", "Revision", "Datasheet"]
    show_table(headings, [_row_to_cells(row) for row in rows], numbers=[1, 3, 4, 5, 6, 7, 8],
               styles=[_STATE_STYLES.get(row.state, "") for row in rows])


def _row_to_cells(row: PartRow) -> list[str]:
    counts = (row.accepted, row.in_bulk, row.undecided, row.disputed, row.single, row.rejected)
    return [row.part_number, _range(row.hold_current_min_a, row.hold_current_max_a), row.state.value,
            *(str(count) if count else "" for count in counts), row.revision, row.document]


def _range(low: float | None, high: float | None) -> str:
    ends = [number_to_text(end) for end in (low, high) if end is not None]
    return " - ".join(dict.fromkeys(ends))
