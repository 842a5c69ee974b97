"""`holdtrip accept`: accept single numbers a person looked at, or parts and whole sheets in bulk."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from extract.asked import Answer
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Action, BulkChoice, Signature, Target
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address
from holdtrip.review_options import review_options
from holdtrip.review_table import show_bulk_outcome, show_carried, show_outcome
from holdtrip.screen import say

EXAMPLES = """\b
Examples:
  holdtrip accept QX050 --number 17 --because "page 2 is the newer table"
  holdtrip accept QX050 --quantity hold_current --at-c 60
  holdtrip accept QX050                                   the whole part, in bulk
  holdtrip accept --sheet 3fa1c2                          every part of a datasheet, in bulk
  holdtrip accept --like QX                               every part with QX in its number, in bulk
  holdtrip accept --sheet 3fa1c2 --cause "part-name page 2"   what one question doubts is as read
  holdtrip accept --unchanged 9b02                        what a newer revision prints as the older did

\b
In bulk means: not looked at one by one. Disputed numbers are never accepted in bulk; those read once only
with --singles, and they stay marked. Comparisons take numbers accepted in bulk and name them so.
With --cause you say of one question (`holdtrip sheet SHEET` lists those that are open) that all is as
read: its numbers then count as read once, are checked again, and are accepted in bulk.
"""


@click.command("accept", epilog=EXAMPLES)
@click.option("--like", metavar="TEXT", default="",
              help="Every part in force with this in its number, in bulk; needs no PART.")
@click.option("--unchanged", metavar="SHEET", default="",
              help="Carry decisions from the older revision to this newer datasheet (its name or the first"
                   " letters of its hash), for numbers printed alike, in bulk; lists what changed.")
@click.option("--cause", metavar="QUESTION", default="",
              help="With --sheet: answer this question with 'as read', and accept its numbers in bulk.")
@click.option("--singles", is_flag=True, help="In bulk also the numbers read once only.")
@review_options(part_needed=False)
def command(
    like: str, unchanged: str, cause: str, singles: bool, target: Target, by: Signature, library: str | None
) -> int:
    """Accept a number you have looked at, or parts and whole datasheets in bulk, for comparisons.

    A number named by itself (--number, or a quantity and condition that only one has) counts as looked at,
    and rejects those that compete with it. A part, a datasheet (--sheet) or several parts (--like) are
    accepted in bulk: their disputed numbers, and those read once, stay to be looked at.
    """
    with open_library(library_address(library), create=False) as opened:
        if unchanged:
            if target.part_number or like or target.sha256 or not target.whole_part:
                raise click.UsageError("--unchanged goes alone: it names the newer datasheet")
            show_carried(opened.carry_unchanged(unchanged, by))
            return ALL_WELL
        if cause:
            if target.part_number or like or not target.sha256 or not target.whole_part:
                raise click.UsageError("--cause goes with --sheet alone")
            _accept_cause(opened, target.sha256, cause, by)
            return ALL_WELL
        if target.part_number and not like:
            show_outcome(opened.accept(target, by, singles), "accepted")
            return ALL_WELL
        if target.part_number or not target.whole_part:
            raise click.UsageError("a PART or a number goes without --like; --sheet and --like name parts")
        show_bulk_outcome(opened.accept_in_bulk(BulkChoice(target.sha256, like, singles), by))
    return ALL_WELL


def _accept_cause(library: Library, sheet: str, named: str, by: Signature) -> None:
    """Answer a question of a stored sheet with "as read", and accept in bulk what the checks let pass."""
    from holdtrip.web.settling import RIGHT, named_cause, open_causes, to_reason, to_settled

    library.check_acceptor(by)
    stored = library.named_sheet(sheet)
    numbers = library.sheet_numbers(stored.sha256)
    cause = named_cause(open_causes(numbers), named)
    said = Answer(stored.sha256, stored.document, cause.code, cause.reach, RIGHT, by.who,
                  f"{datetime.now(UTC):%Y-%m-%d}", by.reason)
    settled = to_settled(numbers, said)
    reason = to_reason(settled.cause, said)
    outcome = library.add_later(stored.sha256, settled.came, settled.went, Action.ANSWER,
                                Signature(by.who, reason))
    parts: dict[str, set[int]] = {}
    for number_id, reading in zip(outcome.came, settled.came, strict=True):
        parts.setdefault(reading.part_number, set()).add(number_id)
    say(f"{stored.document}: {cause.question} As read, for {counted(len(settled.went), 'number')}")
    for part_number, number_ids in parts.items():
        target = Target(part_number, stored.sha256, number_ids=frozenset(number_ids))
        accepted = library.accept(target, Signature(by.who, reason), singles=True, in_bulk=True)
        show_outcome(accepted, "accepted")
