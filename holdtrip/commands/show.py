"""`holdtrip show`: one part, every number of it with page, box and printed text."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from extract.schema import WHOLE_SERIES
from holdtrip.exits import ALL_WELL
from holdtrip.json_output import json_option, json_outputs, json_written
from holdtrip.library.records import Moment, PartRow, StoredNumber
from holdtrip.library_options import as_of_option, say_moment
from holdtrip.outputs import check_outputs
from holdtrip.part_table import not_there, parts_named, show_part, show_particulars
from holdtrip.sources import open_source, source_option, source_to_library

if TYPE_CHECKING:
    from holdtrip.library.store import Library

EXAMPLES = """\b
Examples:
  holdtrip show QX050                        the part as the library has it
  holdtrip show QX050 --parts sheet.pdf      as a datasheet says it, storing nothing
"""


@click.command("show", epilog=EXAMPLES)
@click.argument("part_number", metavar="PART")
@source_option
@as_of_option
@json_option
def command(
    part_number: str, source: str | None, as_of: Moment | None, json_path: Path | None
) -> int:
    """Show every number of one part with its page, its place on it and the printed text.

    The box of a number is left, top - right, bottom in points from the page's top left corner.
    Capitals, blanks and dashes in the part number do not matter. If two datasheets list the part,
    both are shown. From a library it tells what was decided of each number, too, and the number by which
    `holdtrip accept` and `holdtrip correct` name it. What the datasheet says of its whole series (`*`),
    such as derating in percent, is shown in a table of its own: verdicts rest on it too.
    """
    address = source_to_library(source)
    if address is None and as_of is not None:
        raise click.UsageError("--as-of is for a library")
    check_outputs(json_outputs(json_path), [one for one in (source, address) if one is not None])
    with json_written(json_path) as said:
        if address is not None:
            shown = _show_from_library(address, part_number, as_of)
        else:
            shown = _show_from_files(source, part_number)
        if json_path is not None:
            from holdtrip.json_documents import ShowDocument

            said.append(ShowDocument(**shown))
    return ALL_WELL


def _show_from_files(source: str | None, part_number: str) -> dict[str, Any]:
    opened = open_source(source)
    parts = parts_named(opened.parts, part_number)
    if not parts:
        raise not_there(opened.name, part_number, (part.part_number for part in opened.parts))
    from holdtrip.curve_plot import show_curves

    for part in parts:
        show_part(part)
        show_curves(part)
    return {"source": opened.name, "parts": tuple(parts)}


def _show_from_library(address: str, part_number: str, as_of: Moment | None) -> dict[str, Any]:
    from holdtrip.curve_plot import show_curves
    from holdtrip.library.newer import newer_to_sentence
    from holdtrip.library.store import open_library
    from holdtrip.review_table import show_series, show_stored_part
    from holdtrip.screen import say

    with open_library(address, create=False) as library:
        say_moment(library, as_of)
        numbers = library.numbers_of(part_number, as_of)
        if not numbers:
            every = library.list_parts(as_of=as_of)
            raise not_there(library.name, part_number, (row.part_number for row in every))
        rows = _numbers_to_rows(library, numbers, as_of)
        drawn = library.part(part_number, as_of)
        said = {(one.sha256, one.part_number): one.particulars for one in drawn}
        newer = library.newer(tuple({row.sha256 for row in rows}), as_of) if rows else ()
        series = () if part_number == WHOLE_SERIES else library.numbers_of(WHOLE_SERIES, as_of)
        name = library.name
    told = {(one.sha256, one.part_number): newer_to_sentence(one) for one in newer}
    shown = list(numbers)
    for row in rows:
        show_stored_part(row, [one for one in _of_sheet(numbers, row.sha256)
                               if one.reading.part_number == row.part_number])
        of_series = _of_sheet(series, row.sha256)
        show_series(row, of_series)
        shown += [one for one in of_series if one not in shown]
        show_particulars(said.get((row.sha256, row.part_number), ()))
        if sentence := told.get((row.sha256, row.part_number)):
            say(f"{row.part_number}: {sentence}", style="bold yellow")
    for one in drawn:
        show_curves(one)
    return {"source": name, "rows": tuple(rows), "numbers": tuple(shown), "newer": tuple(told.values())}


def _numbers_to_rows(
    library: Library, numbers: Sequence[StoredNumber], as_of: Moment | None
) -> list[PartRow]:
    """The rows of the list of parts that the numbers belong to: the part as each sheet prints it."""
    from holdtrip.library.records import PartFilter

    printed = sorted({one.reading.part_number for one in numbers})
    return [row for number in printed for row in library.list_parts(PartFilter(like=number), as_of)
            if row.part_number == number]


def _of_sheet(numbers: Sequence[StoredNumber], sha256: str) -> list[StoredNumber]:
    """The numbers that one sheet prints."""
    return [one for one in numbers if one.reading.sha256 == sha256]
