"""`holdtrip list`: the parts of a source, one line each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.json_output import json_option, json_outputs, json_written
from holdtrip.library.records import Moment, PartState
from holdtrip.library_options import as_of_option, say_moment
from holdtrip.outputs import check_outputs
from holdtrip.part_table import show_parts
from holdtrip.screen import say
from holdtrip.sources import open_source, source_option, source_to_library

EXAMPLES = """\b
Examples:
  holdtrip list                              every part of the library, and how far it is reviewed
  holdtrip list --like QX                    those with QX in the part number
  holdtrip list --newer                      those of which a newer revision is stored
  holdtrip list --failed                     the files that could not be read, and why
  holdtrip list --parts datasheets/          the parts of datasheets, storing nothing
"""


@click.command("list", epilog=EXAMPLES)
@source_option
@click.option("--like", metavar="TEXT", default="", help="Only parts with this in their number.")
@click.option("--top", metavar="N", type=click.IntRange(min=1), default=200, show_default=True,
              help="How many to show.")
@click.option("--state", type=click.Choice([state.value for state in PartState]), default=None,
              help="Of a library, only parts in this state.")
@click.option("--sheet", metavar="SHEET", default="",
              help="Of a library, only parts of this datasheet: its name or the first letters of its hash.")
@click.option("--maker", metavar="TEXT", default="",
              help="Of a library, only parts of sheets whose maker's name, as far as told, holds this.")
@click.option("--newer", is_flag=True,
              help="Of a library, only parts of which a newer revision is stored.")
@click.option("--failed", is_flag=True, help="Of a library, the files that could not be read, and why.")
@as_of_option
@json_option
def command(
    source: str | None, like: str, top: int, as_of: Moment | None, json_path: Path | None, **only: Any
) -> int:
    """List parts, of a library with how far they are reviewed, of datasheets with their main ratings."""
    address = source_to_library(source)
    if address is None and (as_of is not None or any(only.values())):
        raise click.UsageError("--as-of, --state, --sheet, --maker, --newer and --failed are for a library")
    check_outputs(json_outputs(json_path), [one for one in (source, address) if one is not None])
    with json_written(json_path) as said:
        if address is None:
            shown = _list_source(source, like, top)
        elif only["failed"]:
            shown = _list_failures(address, as_of)
        else:
            shown = _list_library(address, (like, top), as_of, only)
        if json_path is not None:
            from holdtrip.json_documents import ListDocument

            said.append(ListDocument(**shown))
    return ALL_WELL


def _say_count(count: int, name: str, like: str, top: int) -> None:
    say(f"{counted(count, 'part')} in {name}" + (f" with {like} in their number" if like else "")
        + (f"; {count - top} more than shown, see --top" if count > top else ""))


def _list_source(source: str | None, like: str, top: int) -> dict[str, Any]:
    """Show the parts of sheets or a table; returns all that fit, in short."""
    from holdtrip.json_documents import ListedPart

    opened = open_source(source)
    parts = [part for part in opened.parts if like.casefold() in part.part_number.casefold()]
    show_parts(parts[:top])
    _say_count(len(parts), opened.name, like, top)
    listed = (ListedPart(one.part_number, one.document, one.sha256, len(one.readings)) for one in parts)
    return {"source": opened.name, "parts": tuple(listed)}


def _list_failures(address: str, as_of: Moment | None) -> dict[str, Any]:
    from holdtrip.library.store import open_library
    from holdtrip.screen import show_table

    with open_library(address, create=False) as library:
        say_moment(library, as_of)
        failures, name = library.failures(as_of), library.name
    if failures:
        show_table(["File", "When", "Who", "Why"],
                   [[one.document, f"{one.at.astimezone():%Y-%m-%d %H:%M:%S %z}", one.who, one.reason]
                    for one in failures])
    say(f"{counted(len(failures), 'file')} of {name} could not be read")
    return {"source": name, "failures": tuple(failures)}


def _list_library(
    address: str, wanted: tuple[str, int], as_of: Moment | None, only: dict[str, Any]
) -> dict[str, Any]:
    """Show the rows of a library; returns its name and all rows that fit."""
    like, top = wanted
    from holdtrip.library.records import PartFilter
    from holdtrip.library.store import open_library
    from holdtrip.library_table import show_part_rows

    with open_library(address, create=False) as library:
        say_moment(library, as_of)
        states = (PartState(only["state"]),) if only["state"] else ()
        superseded = bool({PartState.SUPERSEDED, PartState.WITHDRAWN} & set(states))
        rows = library.list_parts(PartFilter(like=like, states=states), as_of, live_only=not superseded)
        newer = library.newer(as_of=as_of)
        if only["newer"]:
            behind = {(one.sha256, one.part_number) for one in newer}
            rows = tuple(row for row in rows if (row.sha256, row.part_number) in behind)
        if sheet := only["sheet"]:
            rows = tuple(row for row in rows if row.sha256.startswith(sheet) or row.document == sheet)
        if maker := only["maker"]:
            own = {one.sha256 for one in library.sheets(as_of) if maker.casefold() in one.house.casefold()}
            rows = tuple(row for row in rows if row.sha256 in own)
        show_part_rows(rows[:top], newer)
        _say_count(len(rows), library.name, like, top)
        return {"source": library.name, "rows": tuple(rows)}
