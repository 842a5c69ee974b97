"""The layout of the sheet Corners, which other sheets refer to before it is written.

Comes in: the questions put to the trip-time model. Goes out: the columns and addresses of Corners. Writes
nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.utils import get_column_letter

from compare.workbook_inputs import DERIVED_COUNT, DRAWN, RESTS_ON
from compare.workbook_questions import Question

TIME_FORMAT = "[>=1000000000]0E+00;0.0000"
"""With all its digits a time that means never, 1E+99 s, would be wider than its column."""

FIRST_NAMED_ROW = 4
CURRENT_COLUMNS = {
    "hold_hot_row": ("Row of hold at the hottest", "0"), "hold_hot": ("Hold at the hottest, A", "0.0000"),
    "hold_hot_state": ("State", ""), "hold_hot_most": ("At most, A", "0.0000"),
    "hold_hot_least": ("At least, A", "0.0000"),
    "hold_cold_row": ("Row of hold at the coldest", "0"), "hold_cold": ("Hold at the coldest, A", "0.0000"),
    "hold_cold_state": ("State", ""), "hold_cold_least": ("Hold at the coldest or at least, A", "0.0000"),
    "trip_hot_row": ("Row of trip at the hottest", "0"), "trip_hot": ("Trip at the hottest, A", "0.0000"),
    "trip_hot_state": ("State", ""),
    "trip_cold_row": ("Row of trip at the coldest", "0"), "trip_cold": ("Trip at the coldest, A", "0.0000"),
    "trip_cold_state": ("State", ""), "trip_cold_most": ("At most, A", "0.0000"),
    "trip_cold_least": ("At least, A", "0.0000"),
    "r_min": ("Smallest resistance, ohm", "General"), "r_1max": ("Post-trip resistance, ohm", "General"),
    "fault_low": ("Lowest fault, A", "0.0000"), "fault_high": ("Highest fault, A", "0.0000"),
    "fault_most": ("Lowest fault at most, A", "0.0000"),
}
TIME_TITLES = {"sure": "guaranteed, s", "least": "not below, s", "low": "model from, s",
               "high": "model to, s"}


@dataclass(frozen=True, slots=True)
class Corners:
    """Where the corners stand: first row of the table, heading and number format, and column, by key."""

    first_row: int
    questions: tuple[Question, ...]
    titles: dict[str, tuple[str, str]]
    columns: dict[str, str]

    def cell(self, key: str, candidate: int) -> str:
        """Address of a corner of a candidate, both as in the ranking as stated, counted from 0."""
        return f"Corners!${self.columns[key]}${self.first_row + candidate}"


def questions_to_corners(questions: Sequence[Question]) -> Corners:
    """The layout: what follows from the inputs on top, the table of candidates below."""
    titles = dict(CURRENT_COLUMNS)
    for question in questions:
        titles |= {f"{question.name}_{key}": (f"{question.title}: {word}", TIME_FORMAT)
                   for key, word in TIME_TITLES.items()}
    columns = {key: get_column_letter(number) for number, key in enumerate(titles, 2)}
    first_row = FIRST_NAMED_ROW + DERIVED_COUNT + len(RESTS_ON) + len(DRAWN) + 2
    return Corners(first_row, tuple(questions), titles, columns)
