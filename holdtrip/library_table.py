"""What a library holds, on the screen.

Comes in: the library's rows. Goes out: tables on stdout. Opens and changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable

from holdtrip.counted import counted
from holdtrip.library.newer import NewerRevision
from holdtrip.library.records import PartRow, PartState
from holdtrip.numbers import number_to_text
from holdtrip.screen import show_table

_STATE_STYLES = {PartState.ACCEPTED: "green", PartState.IN_REVIEW: "yellow"}


def show_part_rows(rows: Iterable[PartRow], newer: Iterable[NewerRevision] = ()) -> None:
    """One row for each part: hold currents from hot to cold, state, how many numbers wait, and the newer
    revision of its sheet, if one is stored."""
    rows = tuple(rows)
    told = {(one.sha256, one.part_number): _newer_to_text(one) for one in newer}
    headings = ["Part", "Hold A, hot to cold", "State", "Accepted", "of these in bulk", "To review",
                "of these disputed", "read once", "Rejected", "Revision", "Datasheet"]
    cells = [_row_to_cells(row) for row in rows]
    if any(row.waiting for row in rows):
        headings.append("wait for a 2nd signature")
        for row, shown in zip(rows, cells, strict=True):
            shown.append(str(row.waiting or ""))
    if any((row.sha256, row.part_number) in told for row in rows):
        headings.append("Newer revision")
        for row, shown in zip(rows, cells, strict=True):
            shown.append(told.get((row.sha256, row.part_number), ""))
    show_table(headings, cells, numbers=[1, 3, 4, 5, 6, 7, 8],
               styles=[_STATE_STYLES.get(row.state, "") for row in rows])


def _newer_to_text(one: NewerRevision) -> str:
    if one.state is None:
        return f"{one.newer_document}: no longer listed"
    changed = f"{counted(len(one.changed), 'number')} changed" if one.changed else "same numbers"
    state = "not reviewed" if one.state is PartState.READ else one.state.value
    return f"{one.newer_document}: {changed}, {state}"


def _row_to_cells(row: PartRow) -> list[str]:
    counts = (row.accepted, row.in_bulk, row.undecided, row.disputed, row.single, row.rejected)
    return [row.part_number, _range(row.hold_current_min_a, row.hold_current_max_a), row.state.value,
            *(str(count) if count else "" for count in counts), row.revision, row.document]


def _range(low: float | None, high: float | None) -> str:
    ends = [number_to_text(end) for end in (low, high) if end is not None]
    return " - ".join(dict.fromkeys(ends))
