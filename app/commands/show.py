"""`holdtrip show`: one part, every number of it with page, box and printed text."""

from __future__ import annotations

import click

from app.exits import ALL_WELL
from app.part_table import nearest_numbers, parts_named, show_part
from app.sources import open_source, source_option
from extract.errors import InputError

EXAMPLES = """\b
Examples:
  holdtrip show QX050                        the part as the library has it
  holdtrip show QX050 --parts sheet.pdf      as a datasheet says it, storing nothing
"""


@click.command("show", epilog=EXAMPLES)
@click.argument("part_number", metavar="PART")
@source_option
def command(part_number: str, source: str | None) -> int:
    """Show every number of one part with its page, its place on it and the printed text.

    Capitals, blanks and dashes in the part number do not matter. If two datasheets list the part,
    both are shown.
    """
    opened = open_source(source)
    parts = parts_named(opened.parts, part_number)
    if not parts:
        near = nearest_numbers(opened.parts, part_number)
        raise InputError(opened.name, f"no part {part_number}", advice=_advice(near, source))
    for part in parts:
        show_part(part)
    return ALL_WELL


def _advice(near: list[str], source: str | None) -> str:
    if near:
        return f"Near to it: {', '.join(near)}"
    return "`holdtrip list" + (f" --parts {source}" if source else "") + "` shows what is there"
