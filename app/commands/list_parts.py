"""`holdtrip list`: the parts of a source, one line each."""

from __future__ import annotations

import click

from app.exits import ALL_WELL
from app.part_table import show_parts
from app.screen import say
from app.sources import open_source, source_option

EXAMPLES = """\b
Examples:
  holdtrip list                              every part of the library
  holdtrip list --like QX                    those with QX in the part number
  holdtrip list --parts datasheets/          the parts of datasheets, storing nothing
"""


@click.command("list", epilog=EXAMPLES)
@source_option
@click.option("--like", metavar="TEXT", default="", help="Only parts with this in their number.")
def command(source: str | None, like: str) -> int:
    """List parts with their main ratings, each number marked by how sure it is."""
    opened = open_source(source)
    parts = [part for part in opened.parts if like.casefold() in part.part_number.casefold()]
    if parts:
        show_parts(parts)
    say(f"{len(parts)} parts in {opened.name}" + (f" with {like} in their number" if like else ""))
    return ALL_WELL
