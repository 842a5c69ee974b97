"""`holdtrip accept`: accept a part, or single numbers of it, for comparisons."""

from __future__ import annotations

import click

from app.exits import ALL_WELL
from app.library_options import library_address
from app.review_options import review_options
from app.review_table import show_outcome
from library.records import Signature, Target
from library.store import open_library

EXAMPLES = """\b
Examples:
  holdtrip accept QX050                                   the whole part, after a look at the page
  holdtrip accept QX050 --number 17 --because "page 2 is the newer table"
  holdtrip accept QX050 --quantity hold_current --at-c 60
"""


@click.command("accept", epilog=EXAMPLES)
@review_options
def command(target: Target, by: Signature, library: str | None) -> int:
    """Accept a part, or single numbers of it, for comparisons.

    Without options the whole part is accepted, except its disputed numbers: each of those needs a look
    of its own and is named by its number. A number accepted by itself rejects those that compete with it.
    """
    with open_library(library_address(library), create=False) as opened:
        show_outcome(opened.accept(target, by), "accepted")
    return ALL_WELL
