"""`holdtrip list`: the parts of a source, one line each."""

from __future__ import annotations

from datetime import datetime

import click

from app.exits import ALL_WELL
from app.library_options import as_of_option
from app.part_table import show_parts
from app.screen import say
from app.sources import open_source, source_option, source_to_library

EXAMPLES = """\b
Examples:
  holdtrip list                              every part of the library, and how far it is reviewed
  holdtrip list --like QX                    those with QX in the part number
  holdtrip list --parts datasheets/          the parts of datasheets, storing nothing
"""


@click.command("list", epilog=EXAMPLES)
@source_option
@click.option("--like", metavar="TEXT", default="", help="Only parts with this in their number.")
@click.option("--top", metavar="N", type=click.IntRange(min=1), default=200, show_default=True,
              help="How many to show.")
@as_of_option
def command(source: str | None, like: str, top: int, as_of: datetime | None) -> int:
    """List parts, of a library with how far they are reviewed, of datasheets with their main ratings."""
    address = source_to_library(source)
    if address is not None:
        name, count = _list_library(address, like, top, as_of)
    elif as_of is not None:
        raise click.UsageError("--as-of is for a library")
    else:
        opened = open_source(source)
        parts = [part for part in opened.parts if like.casefold() in part.part_number.casefold()]
        name, count = opened.name, len(parts)
        show_parts(parts[:top])
    say(f"{count} parts in {name}" + (f" with {like} in their number" if like else "")
        + (f"; {count - top} more than shown, see --top" if count > top else ""))
    return ALL_WELL


def _list_library(address: str, like: str, top: int, as_of: datetime | None) -> tuple[str, int]:
    """Show the rows of a library; returns its name and how many parts there are."""
    from app.library_table import show_part_rows
    from library.records import PartFilter
    from library.store import open_library

    with open_library(address, create=False) as library:
        rows = library.list_parts(PartFilter(like=like), as_of)
        show_part_rows(rows[:top], library.newer(as_of=as_of))
        return library.name, len(rows)
