"""Ratings that a sheet for one part gives as lines of text: "36 V DC / 60 A DC", "Hold current: 1.45 A".

Comes in: the runs of a page outside its tables. Goes out: RatingLines. Reads a number only if its
own line, or the heading just above it, names exactly one quantity that its unit can measure.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from extract.grid import Box, Cell
from extract.headings import heading_to_meaning
from extract.lines import Run
from extract.schema import AT_AMBIENT, Kind, Quantity
from extract.temperatures import text_to_ambient
from extract.vocabulary import Unit, fold, spelling_to_unit, unit_of_quantity, vocabulary


@dataclass(frozen=True, slots=True)
class RatingLine:
    """One number of a line of text, in SI units."""

    quantity: Quantity
    kind: Kind
    value: Decimal
    unit: Unit
    printed_unit: str
    ambient_c: float | None
    box: Box
    raw: str


SHARED_LIMITS = (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE, Quantity.MAX_CURRENT)
_AMOUNT = re.compile(
    r"(?<![\w.,])(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>[mk]?(?:v|a|w|ω|ohms?|s|sec))"
    r"\s*[_ ]?(?P<current>dc|ac|a?rms)?(?![a-z\d°])\s*(?P<limit>max|min|typ)?\.?"
)


def runs_to_rating_lines(runs: Sequence[Run]) -> tuple[RatingLine, ...]:
    """Every rating that stands alone in a line of text."""
    return tuple(
        rating
        for number, run in enumerate(runs)
        for rating in _text_to_ratings(run.text, run.text, run.box, _heading_above(runs, number))
    )


def text_to_ratings(text: str, box: Box) -> tuple[RatingLine, ...]:
    """The ratings a text names, each clause by its own words ("Vmax 16 V, Imax 40 A")."""
    return tuple(
        rating
        for clause in re.split(r"[;,/|](?!\d)", text)
        for rating in _text_to_ratings(clause, text, box, "")
    )


def cell_to_limits(cell: Cell) -> tuple[RatingLine, ...]:
    """What a line over rows of parts, or over their table, may say of them all."""
    ratings = text_to_ratings(" ".join(cell.text.split()), cell.box)
    return tuple(rating for rating in ratings if rating.quantity in SHARED_LIMITS)


def _heading_above(runs: Sequence[Run], number: int) -> str:
    """The nearest line above, not further right, that speaks of maximum ratings, within four lines."""
    run = runs[number]
    above = [
        r
        for r in runs
        if 0 < run.mid_y - r.mid_y <= 4.2 * run.size and r.x0 <= run.x0 + 2 and run.x0 - r.x0 < 60
    ]
    for other in sorted(above, key=lambda r: run.mid_y - r.mid_y):
        folded = fold(other.text)
        if any(all(word in folded for word in group) for group in vocabulary()["rating_lines"]["headings"]):
            return folded
        if _AMOUNT.search(folded) is None:
            return ""
    return ""


def _text_to_ratings(clause: str, raw: str, box: Box, heading: str) -> Iterator[RatingLine]:
    folded = fold(clause)
    amounts = list(_AMOUNT.finditer(folded))
    if not amounts or len(folded.split()) > 14 or re.search(r"\d\s*(?:-|~|to|bis)\s*\d", folded):
        return
    words = _AMOUNT.sub(" ", folded)
    named = (
        heading_to_meaning((re.sub(r"[/:|]", " ", words),)).quantity
        if re.search(r"[^\W\d_]{2}", words)
        else None
    )
    leftover = re.search(r"[^\W\d_]{2}", words)
    if named is None and (not heading or leftover):
        return
    for match in amounts:
        unit = spelling_to_unit(match["unit"])
        quantity = _quantity_of(unit, named, heading)
        if unit is None or quantity is None:
            continue
        value = Decimal(match["value"].replace(",", ".")) * unit.factor
        ambient_c = text_to_ambient(heading) if quantity in AT_AMBIENT and heading else None
        yield RatingLine(
            quantity,
            _kind(quantity, match),
            value,
            unit,
            match["unit"] + (match["current"] or ""),
            ambient_c,
            box,
            raw,
        )


def _quantity_of(unit: Unit | None, named: Quantity | None, heading: str) -> Quantity | None:
    if unit is None:
        return None
    if named is not None:
        return named if unit_of_quantity(named) == unit.base else None
    if heading and unit.base == "V":
        return Quantity.MAX_VOLTAGE
    if heading and unit.base == "A":
        return Quantity.MAX_CURRENT
    return None


def _kind(quantity: Quantity, match: re.Match[str]) -> Kind:
    if quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT, Quantity.MAX_INTERRUPT_VOLTAGE):
        return {"dc": Kind.DC, "ac": Kind.AC, "rms": Kind.AC, "arms": Kind.AC}.get(
            match["current"] or "", Kind.NONE
        )
    limit = match["limit"]
    if quantity in (Quantity.RESISTANCE, Quantity.TRIPPED_POWER) and limit:
        return Kind(limit)
    return Kind.NONE
