"""What a review did, on the screen: the numbers decided, those put aside, those still to look at.

Comes in: a ReviewOutcome or stored numbers. Goes out: tables and lines on stdout. Decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from extract.schema import Status
from holdtrip.doubt_words import note_to_text
from holdtrip.library.carrying import CarryOutcome
from holdtrip.library.records import (
    BulkOutcome,
    Decision,
    PartRow,
    ReviewOutcome,
    StoredNumber,
    Verdict,
)
from holdtrip.numbers import KINDS, NAMES, condition_to_text, value_to_text
from holdtrip.part_table import box_to_text, reading_to_order
from holdtrip.screen import say, show_table

HEADINGS = ("Number", "Quantity", "Kind", "Condition", "Printed value", "Read as", "Decided", "Page",
            "Box, pt", "Printed", "Notes")

_STYLES = {Verdict.ACCEPTED: "green", Verdict.BULK: "yellow", Verdict.CORRECTED: "cyan",
           Verdict.REJECTED: "dim"}


def show_outcome(outcome: ReviewOutcome, done: str) -> None:
    """One line for what was done; a table of the numbers that still need a look."""
    part = outcome.part
    done = f"{done} in bulk, not looked at one by one" if outcome.in_bulk else done
    say(f"{part.part_number}, {part.document}: {_numbers(len(outcome.decided))} {done}"
        + (f", {len(outcome.rejected)} competing ones rejected" if outcome.rejected else "")
        + f"; the part is now {part.state.value}, version {part.version}")
    if part.waiting:
        say(f"{_numbers(part.waiting)} of it wait for a second person to accept {_it(part.waiting)}")
    if outcome.left:
        show_numbers(outcome.left, "Disputed, each to be looked at and decided by its number")
    if outcome.singles:
        show_numbers(outcome.singles, "Read once only: look at each, or accept them too with --singles")


def show_bulk_outcome(outcome: BulkOutcome) -> None:
    """One line for what was done, one for what is left."""
    parts = len(outcome.parts)
    say(f"{parts} part{'' if parts == 1 else 's'}: {_numbers(outcome.decided)} accepted in bulk, not looked"
        " at one by one")
    if waiting := sum(part.waiting for part in outcome.parts):
        say(f"{_numbers(waiting)} of these parts wait for a second person to accept {_it(waiting)}")
    if outcome.disputed or outcome.singles:
        say(f"left to look at: {_numbers(outcome.disputed)} disputed, {_numbers(outcome.singles)} read once"
            " (--singles takes these too)")


def show_carried(outcome: CarryOutcome) -> None:
    """What was carried to a newer revision; what is printed otherwise there, to be decided."""
    say(f"{outcome.newer}: {_numbers(outcome.carried)} accepted in bulk, carried from {outcome.older}, which"
        " prints them alike")
    if outcome.curves:
        say(f"{outcome.curves} curve{'' if outcome.curves == 1 else 's'} carried, drawn alike")
    if outcome.left:
        show_numbers(outcome.left, "Printed otherwise, new or in doubt: each to be looked at")
    for one in outcome.curves_left:
        say(f"curve {one.curve_id} ({one.curve.part_number}, page {one.curve.place.page}): drawn otherwise,"
            " new or in doubt: to be looked at, `holdtrip curves`")


def _it(count: int) -> str:
    return "it" if count == 1 else "them"


def _numbers(count: int) -> str:
    return f"{count} number{'' if count == 1 else 's'}"


def show_stored_part(row: PartRow, numbers: Iterable[StoredNumber]) -> None:
    """One part of one sheet: its state and version, and every number with what was said of it."""
    revision = f", revision {row.revision}" if row.revision else ""
    show_numbers(sorted(numbers, key=lambda one: reading_to_order(one.reading)),
                 f"{row.part_number}, {row.document}{revision}: {row.state.value}, version {row.version}")


def show_series(row: PartRow, numbers: Sequence[StoredNumber]) -> None:
    """What the sheet of a part says of its whole series, if anything: verdicts rest on it too."""
    if numbers:
        show_numbers(sorted(numbers, key=lambda one: reading_to_order(one.reading)),
                     f"the whole series (*) in {row.document}, {row.part_number} too")


def show_numbers(numbers: Sequence[StoredNumber], title: str) -> None:
    """Every number as printed, with its place and what was said of it."""
    show_table(HEADINGS, [_number_to_row(one) for one in numbers], title=title, numbers=[0, 4, 7],
               styles=[_style(one) for one in numbers])


def _number_to_row(one: StoredNumber) -> list[str]:
    reading = one.reading
    return [str(one.number_id), NAMES[reading.quantity], KINDS[reading.kind], condition_to_text(reading),
            value_to_text(reading.quantity, reading.value), reading.status.value, _decision_to_text(one),
            str(reading.place.page or ""), box_to_text(reading), reading.raw,
            "; ".join(map(note_to_text, reading.notes))]


def _decision_to_text(one: StoredNumber) -> str:
    said = one.decision
    if said is None:
        return ""
    value = f" to {value_to_text(one.reading.quantity, said.value)}" if said.value is not None else ""
    because = f": {said.reason}" if said.reason else ""
    second = f"; signed by {one.second.who} too, {one.second.at:%Y-%m-%d}" if one.second is not None else ""
    second += "; waits for a second person" if one.waiting else ""
    return f"{said.verdict.value.replace('_', ' ')}{value} by {said.who}, {said.at:%Y-%m-%d}{because}{second}"


def _style(one: StoredNumber) -> str:
    said: Decision | None = one.decision
    if one.waiting:
        return "yellow"
    if said is not None and said.verdict in _STYLES:
        return _STYLES[said.verdict]
    return "bold red" if one.reading.status is Status.DISPUTED else ""
