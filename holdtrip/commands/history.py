"""`holdtrip history`: who did what to the library, when and why."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.json_output import json_option, json_outputs, json_written
from holdtrip.library.records import Change, Moment
from holdtrip.library.store import open_library
from holdtrip.library_options import as_of_option, library_address, library_option, say_moment
from holdtrip.outputs import check_outputs
from holdtrip.screen import say, show_table

EXAMPLES = """\b
Examples:
  holdtrip history                         the last changes of the library
  holdtrip history QX050                   all that was done to one part
"""


@click.command("history", epilog=EXAMPLES)
@click.argument("part_number", metavar="[PART]", default="")
@click.option("--last", metavar="N", type=click.IntRange(min=1), default=40, show_default=True,
              help="How many changes to show, the latest.")
@library_option
@as_of_option
@json_option
def command(
    part_number: str, last: int, library: str | None, as_of: Moment | None, json_path: Path | None
) -> int:
    """Show who changed the library, when and why, oldest first."""
    check_outputs(json_outputs(json_path), [library_address(library)])
    with open_library(library_address(library), create=False) as opened:
        say_moment(opened, as_of)
        changes = opened.history(part_number, as_of)
        name = opened.name
    with json_written(json_path) as said:
        if json_path is not None:
            from holdtrip.json_documents import HistoryDocument

            said.append(HistoryDocument(name, tuple(changes[-last:])))
        _show(changes, name, part_number, last)
    return ALL_WELL


def _show(changes: Sequence[Change], name: str, part_number: str, last: int) -> None:
    if changes:
        show_table(["Version", "Time", "Who", "Did", "To", "Because"],
                   [[str(one.version), f"{one.at.astimezone():%Y-%m-%d %H:%M:%S %z}",
                     f"{one.who} (according to the file)" if one.from_file else one.who,
                     one.action.value, one.subject, one.reason] for one in changes[-last:]], numbers=[0])
    say(f"{counted(len(changes), 'change')} in {name}"
        + (f" that touched {part_number}" if part_number else "")
        + (f", the last {last} shown" if len(changes) > last else ""))
