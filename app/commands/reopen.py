"""`holdtrip reopen`: take back what was decided of a part or of single numbers."""

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
  holdtrip reopen QX050 --because "the vendor sent a new page"
  holdtrip reopen QX050 --number 18 --because "looked at the wrong column"
"""


@click.command("reopen", epilog=EXAMPLES)
@review_options()
def command(target: Target, by: Signature, library: str | None) -> int:
    """Take back what was decided of a part or of single numbers.

    The decision taken back stays in the history.
    """
    with open_library(library_address(library), create=False) as opened:
        show_outcome(opened.reopen(target, by), "reopened")
    return ALL_WELL
