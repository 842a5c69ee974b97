"""`holdtrip reject`: take a part, or single numbers of it, out of every comparison."""

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
  holdtrip reject QX050 --because "obsolete, see the new series"
  holdtrip reject QX050 --number 18 --because "a typing error of the sheet"
"""


@click.command("reject", epilog=EXAMPLES)
@review_options()
def command(target: Target, by: Signature, library: str | None) -> int:
    """Take a part, or single numbers of it, out of every comparison.

    Nothing is deleted: the numbers stay with the reason, and `holdtrip reopen` takes the decision back.
    """
    with open_library(library_address(library), create=False) as opened:
        show_outcome(opened.reject(target, by), "rejected")
    return ALL_WELL
