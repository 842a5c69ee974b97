"""`holdtrip accept`: accept single numbers a person looked at, or parts and whole sheets in bulk."""

from __future__ import annotations

import click

from holdtrip.exits import ALL_WELL
from holdtrip.library.records import BulkChoice, Signature, Target
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address
from holdtrip.review_options import review_options
from holdtrip.review_table import show_bulk_outcome, show_carried, show_outcome

EXAMPLES = """\b
Examples:
  holdtrip accept QX050 --number 17 --because "page 2 is the newer table"
  holdtrip accept QX050 --quantity hold_current --at-c 60
  holdtrip accept QX050                                   the whole part, in bulk
  holdtrip accept --sheet 3fa1c2                          every part of a datasheet, in bulk
  holdtrip accept --like QX                               every part with QX in its number, in bulk
  holdtrip accept --unchanged 9b02                        what a newer revision prints as the older did

\b
In bulk means: not looked at one by one. Disputed numbers are never accepted in bulk; those read once only
with --singles, and they stay marked. Comparisons take numbers accepted in bulk and name them so.
"""


@click.command("accept", epilog=EXAMPLES)
@click.option("--like", metavar="TEXT", default="",
              help="Every part in force with this in its number, in bulk; needs no PART.")
@click.option("--unchanged", metavar="SHEET", default="",
              help="Carry decisions from the older revision to this newer datasheet (its name or the first"
                   " letters of its hash), for numbers printed alike, in bulk; lists what changed.")
@click.option("--singles", is_flag=True, help="In bulk also the numbers read once only.")
@review_options(part_needed=False)
def command(
    like: str, unchanged: str, singles: bool, target: Target, by: Signature, library: str | None
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
        if target.part_number and not like:
            show_outcome(opened.accept(target, by, singles), "accepted")
            return ALL_WELL
        if target.part_number or not target.whole_part:
            raise click.UsageError("a PART or a number goes without --like; --sheet and --like name parts")
        show_bulk_outcome(opened.accept_in_bulk(BulkChoice(target.sha256, like, singles), by))
    return ALL_WELL
