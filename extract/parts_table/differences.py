"""How a typed value came to differ from the printed one: digit swap, decimal point, unit, neighbour.

Comes in: a typed value, the reading it should equal, and what stands around that in the sheet. Goes
out: a code and a cause in words. Decides only among likely stories: the difference itself is certain.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.checks import codes
from extract.checks.writing import value_to_text
from extract.schema import UNIT_OF, Reading


@dataclass(frozen=True, slots=True)
class Around:
    """What else the sheet prints: other numbers of the part, and the same column in other parts
    (nearest first), each with its name."""

    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Story:
    """A difference explained."""

    code: codes.Code
    cause: str


def is_same(typed: float, printed: float) -> bool:
    """Whether two values are one but for the arithmetic of units."""
    return math.isclose(typed, printed, rel_tol=1e-6, abs_tol=1e-12)


def is_rounded(typed: float, step: float, printed: float) -> bool:
    """Whether the typed value is the printed one rounded to the typed digits, by no more than 5 %. A last 5
    is rounded up: where it is just left out, a digit is missing."""
    off = abs(typed - printed)
    is_cut = typed < printed and off >= 0.5 * step * (1 - 1e-6)
    return off <= 0.5 * step * (1 + 1e-6) and off <= 0.05 * abs(printed) and not is_cut


def difference_to_story(typed: float, step: float, reading: Reading, around: Around) -> Story:
    """The likeliest way from the printed to the typed value; arithmetic before neighbours, as a slip of
    the keyboard needs no coincidence."""
    printed = reading.value
    mine, theirs = _digits(typed, printed)
    beside, far = _neighbour(typed, around) or (None, 0)
    near = beside if far <= _NEAR else None
    slip = _power_to_story(typed, printed)
    if slip is None and _is_swap(mine, theirs):
        slip = Story(codes.SOURCE_DIGITS_SWAPPED, "two digits swapped")
    story = slip or near or _digit_to_story((typed, step), reading, (mine, theirs)) or beside
    return story or Story(codes.SOURCE_DIFFERS, _plain_cause(typed, step, printed, (mine, theirs)))


def _power_to_story(typed: float, printed: float) -> Story | None:
    """A sign, a decimal point or a unit."""
    if typed != 0 and is_same(-typed, printed):
        return Story(codes.SOURCE_SIGN_LOST, "a sign lost, or a dash typed as a minus sign")
    if not printed or typed / printed <= 0:
        return None
    power = math.log10(typed / printed)
    whole = round(power)
    if not whole or abs(power - whole) >= 1e-6:
        return None
    if whole % 3 == 0:
        return Story(codes.SOURCE_UNIT_SLIP, f"unit slip: a factor of {10.0**whole:g}")
    return Story(codes.SOURCE_DECIMAL_POINT, f"decimal point: a factor of {10.0**whole:g}")


def _digit_to_story(typed: tuple[float, float], reading: Reading, digits: tuple[str, str]) -> Story | None:
    """A digit glued to what is printed, or left out of it; `typed` with the value of its last digit."""
    value, step = typed
    mine, theirs = digits
    if _is_glued(value, reading.value, reading.raw) or _is_glued_as_typed(value, step, reading.value):
        return Story(codes.SOURCE_FOOTNOTE_DIGIT, "a digit too many at the end, such as a footnote's")
    if _has_one_less(mine, theirs) and value <= _MOST_BY_DIGIT * reading.value:
        return Story(codes.SOURCE_DIGIT_MISSING, "a digit is missing")
    return None


_MOST_BY_DIGIT = 2.0
"""A digit left out makes a number at most so many times as large (1.09 as 1.9), one too many as much less."""


def _plain_cause(typed: float, step: float, printed: float, digits: tuple[str, str]) -> str:
    """What else may have happened, in words; nothing where no slip would do."""
    mine, theirs = digits
    off = abs(typed - printed)
    if _has_one_less(theirs, mine) and printed <= _MOST_BY_DIGIT * typed:
        return "a digit too many"
    if sum(a != b for a, b in zip(mine, theirs, strict=True)) == 1:
        return "one digit differs"
    return "rounded too far" if off <= 0.5 * step * (1 + 1e-6) else ""


_NEAR = 1
"""Rows or columns so near that their value was likelier taken than typed wrong by chance."""


def _neighbour(typed: float, around: Around) -> tuple[Story, int] | None:
    """Where else the typed value stands, and how far away: in the row, then in the column. Only numbers of
    the same dimension are told: an equal number of volts and amperes is chance."""
    found = []
    for far, (name, value) in enumerate(around.columns, 1):
        if is_same(typed, value):
            found.append((Story(codes.SOURCE_NEIGHBOUR_COLUMN, f"the value of another column: {name}"), far))
            break
    for far, (name, value) in enumerate(around.rows, 1):
        if is_same(typed, value):
            story = Story(codes.SOURCE_NEIGHBOUR_ROW, f"the value of another part: {name}")
            found.append((story, (far + 1) // 2))  # the parts above and below are both nearest
            break
    if len(found) == 2 and max(far for _, far in found) <= _NEAR:  # either may be where it was taken from
        (column, _), (row, _) = found
        return Story(column.code, f"{column.cause}, or {row.cause}"), _NEAR
    return min(found, key=lambda one: one[1], default=None)


def _digits(typed: float, printed: float) -> tuple[str, str]:
    """Both values as digits of one length, at one resolution."""
    texts = [f"{abs(value):.9f}".rstrip("0") for value in (typed, printed)]
    places = max(len(text.partition(".")[2]) for text in texts)
    digits = [f"{abs(value):.{places}f}".replace(".", "") for value in (typed, printed)]
    width = max(map(len, digits))
    return digits[0].zfill(width), digits[1].zfill(width)


def _is_swap(a: str, b: str) -> bool:
    differing = [n for n, (x, y) in enumerate(zip(a, b, strict=True)) if x != y]
    return len(differing) == 2 and a[differing[0]] == b[differing[1]] and a[differing[1]] == b[differing[0]]


def _is_glued(typed: float, printed: float, raw: str) -> bool:
    """A digit from 1 to 9 behind what is printed: 24 typed as 242, 0.50 as 0.502. The typed number is
    written in the unit in which the sheet prints."""
    found = re.search(r"\d+(?:[.,]\d+)?", raw)
    if found is None or printed <= 0 or typed <= printed:
        return False
    shown = found[0].replace(",", ".")
    unit = printed / float(shown) if float(shown) else 0.0
    if unit <= 0 or abs(math.log10(unit) - round(math.log10(unit))) > 1e-6:
        return False
    glued = typed / 10.0 ** round(math.log10(unit))
    return any(is_same(glued, float(shown + digit)) for digit in "123456789")


def _is_glued_as_typed(typed: float, step: float, printed: float) -> bool:
    """The same in the unit in which it was typed: 580 mA typed as 5802."""
    if step <= 0 or not 0 < printed < typed:
        return False
    whole, digit = divmod(round(typed / step), 10)
    return digit > 0 and is_same(whole, printed / step)


def _has_one_less(short: str, long: str) -> bool:
    """Whether one string of digits is the other without one of them (leading zeros do not count)."""
    short, long = short.strip("0"), long.strip("0")
    return len(short) + 1 == len(long) and any(long[:n] + long[n + 1 :] == short for n in range(len(long)))


def reading_to_around(
    reading: Reading, part: Sequence[Reading], others: Sequence[tuple[str, Sequence[Reading]]]
) -> Around:
    """What stands around a reading: the part's other numbers of its dimension, nearest on the page first,
    and the same number of the other parts, in the order given."""
    unit = UNIT_OF[reading.quantity]

    def distance(other: Reading) -> float:
        return abs(other.place.x0 - reading.place.x0) + 1000.0 * abs(other.place.page - reading.place.page)

    columns = sorted((r for r in part if r is not reading and UNIT_OF[r.quantity] == unit), key=distance)
    rows = tuple(
        (number, r.value)
        for number, readings in others
        for r in readings
        if (r.quantity, r.kind, r.ambient_c) == (reading.quantity, reading.kind, reading.ambient_c)
    )
    return Around(tuple((_name(r), r.value) for r in columns), rows)


def _name(reading: Reading) -> str:
    ambient = f" at {reading.ambient_c:g} °C" if reading.ambient_c is not None else ""
    kind = f" {reading.kind.value}" if reading.kind.value else ""
    return f"{reading.quantity.value}{kind}{ambient} {value_to_text(reading.value, reading.quantity)}"
