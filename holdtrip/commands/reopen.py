"""`holdtrip reopen`: take back what was decided of a part or of single numbers."""

from __future__ import annotations

import click

from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address
from holdtrip.review_options import review_options
from holdtrip.review_table import show_outcome

EXAMPLES = """\b
Examples:
  holdtrip reopen QX050 --because "the maker sent a new page"
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
