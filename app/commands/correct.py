"""`holdtrip correct`: a person's value beside the printed one."""

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
  holdtrip correct QX050 --number 17 --value 0.75 --because "vendor's errata of May"
  holdtrip correct QX050 --quantity resistance --kind min --value 0.018 --because "printed in milliohm"
"""


@click.command("correct", epilog=EXAMPLES)
@click.option("--value", metavar="NUMBER", type=float, required=True,
              help="The right value in A, V, W, ohm or s; ratios as fractions.")
@review_options()
def command(value: float, target: Target, by: Signature, library: str | None) -> int:
    """Put a value beside a printed one that is wrong; comparisons then use it, marked as corrected.

    The printed value stays beside it. A correction needs a reason.
    """
    with open_library(library_address(library), create=False) as opened:
        show_outcome(opened.correct(target, value, by), "corrected")
    return ALL_WELL
