"""`holdtrip show`: one part, every number of it with page, box and printed text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

import click

from app.exits import ALL_WELL
from app.library_options import as_of_option
from app.part_table import nearest_numbers, parts_named, show_part
from app.sources import open_source, source_option, source_to_library
from extract.errors import InputError
from extract.schema import Part

EXAMPLES = """\b
Examples:
  holdtrip show QX050                        the part as the library has it
  holdtrip show QX050 --parts sheet.pdf      as a datasheet says it, storing nothing
"""


@click.command("show", epilog=EXAMPLES)
@click.argument("part_number", metavar="PART")
@source_option
@as_of_option
def command(part_number: str, source: str | None, as_of: datetime | None) -> int:
    """Show every number of one part with its page, its place on it and the printed text.

    Capitals, blanks and dashes in the part number do not matter. If two datasheets list the part,
    both are shown.
    """
    address = source_to_library(source)
    if address is not None:
        parts = _find_in_library(address, part_number, as_of)
    elif as_of is not None:
        raise click.UsageError("--as-of is for a library")
    else:
        opened = open_source(source)
        parts = parts_named(opened.parts, part_number)
        if not parts:
            raise _not_there(opened.name, part_number, (part.part_number for part in opened.parts))
    for part in parts:
        show_part(part)
    return ALL_WELL


def _find_in_library(address: str, part_number: str, as_of: datetime | None) -> Sequence[Part]:
    from library.store import open_library

    with open_library(address, create=False) as library:
        parts = library.part(part_number, as_of)
        if not parts:
            rows = library.list_parts(as_of=as_of)
            raise _not_there(library.name, part_number, (row.part_number for row in rows))
        return parts


def _not_there(where: str, part_number: str, there: Iterable[str]) -> InputError:
    near = nearest_numbers(there, part_number)
    advice = f"Near to it: {', '.join(near)}" if near else "`holdtrip list` shows what is there"
    return InputError(where, f"no part {part_number}", advice=advice)
