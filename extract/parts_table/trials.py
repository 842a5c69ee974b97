"""What a repair worth trying is: the records that generators of repairs and their judge share.

Comes in: nothing. Goes out: Trial and the types around it. Generates and judges nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from extract.checks import codes
from extract.parts_table.grid import Place, Repair, View

Wrong = Mapping[Place, bool]
"""Places that were compared, and whether they are wrong."""
IsWrong = Callable[[View, Place], bool | None]

FEWEST_IN_COLUMN = 3
MOST_PAIRS = 200


@dataclass(frozen=True, slots=True)
class Trial:
    """A repair to try: the code and words of the finding it would be, the place to show, and how many
    wrong places it must settle; one that `removes` takes cells away that are proven another part's."""

    code: codes.Code
    repair: Repair
    mark: Place
    message: str
    expected: str
    fewest: int = 2
    is_heading: bool = False
    removes: bool = False
    is_thousands: bool = False
