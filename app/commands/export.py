"""`holdtrip export`: what the library holds, as a file."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from app.exits import ALL_WELL
from app.library_options import as_of_option, library_address, library_option
from app.outputs import OUTPUT
from app.screen import say
from extract.long_table import write_long_table
from library.store import open_library

EXAMPLES = """\b
Examples:
  holdtrip export numbers.csv --long                       every number with its place
  holdtrip export trusted.csv --long --accepted            only what a person accepted or corrected
  holdtrip export march.csv --long --as-of 2026-03-01      as the library stood then
"""


@click.command("export", epilog=EXAMPLES)
@click.argument("path", metavar="OUT.csv", type=OUTPUT)
@click.option("--long", flag_value="long", required=True, expose_value=False,
              help="One row for each number, with its place.")
@click.option("--accepted", is_flag=True, help="Only numbers a person accepted or corrected.")
@library_option
@as_of_option
def command(path: Path, accepted: bool, library: str | None, as_of: datetime | None) -> int:
    """Write the parts of the library to a file."""
    with open_library(library_address(library), create=False) as opened:
        count = write_long_table(opened.readings(accepted_only=accepted, as_of=as_of), path)
        say(f"wrote {path}: {count} numbers of {opened.name}")
    return ALL_WELL
