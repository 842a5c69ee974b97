"""Parts on the screen: one row each with the ratings an engineer looks for first, or one part in full.

Comes in: parts. Goes out: tables on stdout. A mark beside a number says how far to trust it.
Chooses no number: where several compete, all are shown.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from extract.errors import InputError
from extract.reference import reference_ambient_c
from extract.schema import AT_AMBIENT, Kind, Part, Particular, Quantity, Reading, Status
from holdtrip.doubt_words import note_to_text
from holdtrip.library.part_numbers import fold
from holdtrip.numbers import (
    KINDS,
    LEGEND,
    MARKS,
    NAMES,
    condition_to_text,
    number_to_text,
    particular_to_text,
    value_to_text,
)
from holdtrip.screen import say, show_table

_RATINGS: tuple[tuple[str, Quantity, frozenset[Kind]], ...] = (
    ("Hold A", Quantity.HOLD_CURRENT, frozenset(Kind)),
    ("Trip A", Quantity.TRIP_CURRENT, frozenset(Kind)),
    ("Vmax V", Quantity.MAX_VOLTAGE, frozenset(Kind)),
    ("Imax A", Quantity.MAX_CURRENT, frozenset(Kind)),
    ("Pd W", Quantity.TRIPPED_POWER, frozenset(Kind)),
    ("Trip time s", Quantity.TIME_TO_TRIP, frozenset(Kind)),
    ("Rmin ohm", Quantity.RESISTANCE, frozenset({Kind.MIN})),
    ("R1max ohm", Quantity.RESISTANCE, frozenset({Kind.POST_TRIP_MAX})),
)

_QUANTITIES = tuple(Quantity)
_STATUS_STYLES = {Status.DISPUTED: "bold red", Status.SINGLE: "yellow", Status.CORRECTED: "cyan"}


def show_parts(parts: Sequence[Part]) -> None:
    """One row for each part, the legend of the marks below."""
    headings = ["Part", "at °C", *(heading for heading, _, _ in _RATINGS), "Datasheet"]
    show_table(headings, [_part_to_row(part) for part in parts], numbers=range(1, 2 + len(_RATINGS)))
    say(LEGEND)


def _part_to_row(part: Part) -> list[str]:
    ambient_c = _rating_ambient_c(part)
    ratings = [_rating(part, quantity, kinds, ambient_c) for _, quantity, kinds in _RATINGS]
    return [part.part_number, "" if ambient_c is None else number_to_text(ambient_c), *ratings, part.document]


def _rating_ambient_c(part: Part) -> float | None:
    """Ambient of the ratings to show, by `extract.reference`."""
    hold, trip = ([(one.ambient_c, one.value) for one in part.readings if one.quantity is quantity]
                  for quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT))
    full = [one.ambient_c for one in part.readings if one.quantity is Quantity.HOLD_RATIO and one.value == 1.0
            and one.status is not Status.DISPUTED]
    stated = {one.ambient_c for one in part.readings
              if one.ambient_c is not None and one.quantity not in AT_AMBIENT}
    return reference_ambient_c(hold, trip if len(trip) == 1 else (), full[0] if full else None, stated)


def _rating(part: Part, quantity: Quantity, kinds: frozenset[Kind], ambient_c: float | None) -> str:
    """Every number of a rating, each once, with its mark; hold and trip at the ambient shown only."""
    found = [reading for reading in part.readings if reading.quantity is quantity and reading.kind in kinds]
    if quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT):
        found = [reading for reading in found if reading.ambient_c == ambient_c]
    return " / ".join(dict.fromkeys(map(_rating_to_text, found)))


def _rating_to_text(reading: Reading) -> str:
    current = f" @ {number_to_text(reading.test_current_a)} A" if reading.test_current_a is not None else ""
    kind = f" {KINDS[reading.kind]}" if reading.kind in (Kind.AC, Kind.DC) else ""
    return f"{number_to_text(reading.value)}{MARKS[reading.status]}{kind}{current}"


def show_part(part: Part) -> None:
    """Every number of one part with its condition, trust, page, box and printed text, by quantity."""
    readings = sorted(part.readings, key=reading_to_order)
    show_table(
        ["Quantity", "Kind", "Condition", "Value", "Status", "Page", "Box, pt", "Printed",
         "Notes"],
        [_reading_to_row(reading) for reading in readings],
        title=f"{part.part_number}   {part.document}", numbers=[3, 5],
        styles=[_STATUS_STYLES.get(reading.status, "") for reading in readings],
    )
    for text in part.texts:
        say(f"{text.name}: {text.text} (page {text.place.page})")
    show_particulars(part.particulars)


def show_particulars(said: Sequence[Particular]) -> None:
    """What the sheet says beside the ratings, of the part or of all its parts; nothing if it says nothing."""
    if not said:
        return
    show_table(
        ["Beside the ratings", "Kind", "Value", "Status", "Page", "Printed", "Notes"],
        [[" ".join(filter(None, (one.name.value.replace("_", " "), one.label))), KINDS[one.kind],
          particular_to_text(one), one.status.value, str(one.place.page or ""), one.raw, "; ".join(one.notes)]
         for one in said],
        numbers=[2, 4], styles=[_STATUS_STYLES.get(one.status, "") for one in said])


def reading_to_order(reading: Reading) -> tuple[int, str, float, float]:
    """Quantities as the schema lists them, each from cold to hot and from small to large test current."""
    ambient_c = -math.inf if reading.ambient_c is None else reading.ambient_c
    return _QUANTITIES.index(reading.quantity), reading.kind.value, ambient_c, reading.test_current_a or 0.0


def _reading_to_row(reading: Reading) -> list[str]:
    page = str(reading.place.page or "")
    return [NAMES[reading.quantity], KINDS[reading.kind], condition_to_text(reading),
            value_to_text(reading.quantity, reading.value), reading.status.value, page, box_to_text(reading),
            reading.raw, "; ".join(map(note_to_text, reading.notes))]


def box_to_text(reading: Reading) -> str:
    """Left, top - right, bottom in whole points; empty where no page is known."""
    place = reading.place
    return f"{place.x0:.0f}, {place.top:.0f} - {place.x1:.0f}, {place.bottom:.0f}" if place.page else ""


def parts_named(parts: Iterable[Part], number: str) -> list[Part]:
    """Parts of that number, however spaced, dashed or capitalised."""
    wanted = fold(number)
    return [part for part in parts if fold(part.part_number) == wanted]


def one_part_named(parts: Sequence[Part], number: str, where: str) -> Part:
    """The one part of that number; raises InputError if there is none, or several datasheets list it."""
    found = parts_named(parts, number)
    if not found:
        raise not_there(where, number, (part.part_number for part in parts))
    if len(found) > 1:
        sheets = ", ".join(part.document for part in found)
        raise InputError(where, f"{number} stands in {len(found)} datasheets: {sheets}", "one of them",
                         "Name that datasheet with --parts")
    return found[0]


def not_there(where: str, number: str, there: Iterable[str]) -> InputError:
    """The error for a part that a source does not list, with those that look like it."""
    near = nearest_numbers(there, number)
    advice = f"Near to it: {', '.join(near)}" if near else "`holdtrip list` shows what is there"
    return InputError(where, f"no part {number}", advice=advice)


def nearest_numbers(numbers: Iterable[str], number: str) -> list[str]:
    """Up to five part numbers that look like the one asked for."""
    from difflib import get_close_matches

    folded = {fold(one): one for one in numbers}
    wanted = fold(number)
    near = get_close_matches(wanted, folded, n=5, cutoff=0.5)
    return [folded[one] for one in near] or [one for key, one in folded.items() if wanted in key][:5]
