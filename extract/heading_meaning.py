"""What a heading says: the records that headings.py fills.

Comes in: nothing. Goes out: Role and HeadingMeaning. Reads no text.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from extract.schema import Kind, Quantity
from extract.vocabulary import Unit


class Role(StrEnum):
    """What a column is for."""

    PART_NUMBER = "part number"
    VALUE = "value"
    TEXT = "text"
    OTHER = "other"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class HeadingMeaning:
    """What a heading says, alone.

    `quantity` is set for VALUE; `rivals` are other quantities the words allow; `is_test_current`
    marks the current of the time to trip; `ambient_c` is a temperature that stands in the heading;
    `pair` are the meanings of two numbers that share each cell ("Vmax / Imax (V / A)"); `test_multiple` is
    "5 x I_hold" style; `reasons` say which words decided.
    """

    role: Role
    quantity: Quantity | None = None
    kind: Kind = Kind.NONE
    both_kinds: bool = False
    unit: Unit | None = None
    printed_unit: str = ""
    ambient_c: float | None = None
    test_current_a: float | None = None
    test_multiple: float | None = None
    is_test_current: bool = False
    pair: tuple[HeadingMeaning, ...] = ()
    rivals: tuple[Quantity, ...] = ()
    reasons: tuple[str, ...] = ()
