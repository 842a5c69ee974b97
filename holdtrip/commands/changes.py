"""`holdtrip changes`: what new revisions of datasheets changed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.json_output import json_option, json_outputs, json_written
from holdtrip.library.records import Moment, StoredNumber
from holdtrip.library.sheet_changes import NumberChange, SheetChanges
from holdtrip.library.store import open_library
from holdtrip.library_options import as_of_option, library_address, library_option, say_moment, since_option
from holdtrip.numbers import KINDS, NAMES, conditions_to_text, value_to_text
from holdtrip.outputs import check_outputs
from holdtrip.screen import say, show_table

EXAMPLES = """\b
Examples:
  holdtrip changes                         every sheet of which several revisions are stored
  holdtrip changes --sheet 3f9a            the one whose hash begins so
  holdtrip changes --since 2031-05-01      exit code 1 if there are any: for a nightly job
"""


@click.command("changes", epilog=EXAMPLES)
@click.option("--sheet", "sha256", metavar="SHA256", default="",
              help="Only this newer revision: the first letters of its hash.")
@since_option
@library_option
@as_of_option
@json_option
def command(
    sha256: str, since: datetime | None, library: str | None, as_of: Moment | None, json_path: Path | None
) -> int:
    """Show what new revisions of datasheets changed, number by number, and whom it concerns."""
    check_outputs(json_outputs(json_path), [library_address(library)])
    with open_library(library_address(library), create=False) as opened:
        say_moment(opened, as_of)
        changes = opened.changes(sha256, as_of)
        if since is not None:
            new = {sheet.sha256 for sheet in opened.sheets(as_of) if sheet.imported_at >= since}
            changes = tuple(one for one in changes if one.newer.sha256 in new)
        name = opened.name
    with json_written(json_path) as said:
        if json_path is not None:
            from holdtrip.json_documents import ChangesDocument

            said.append(ChangesDocument(name, tuple(changes)))
        for one in changes:
            _show(one)
        since_then = " since then" if since is not None else ""
        say(f"{name}: {counted(len(changes), 'newer revision')}{since_then}")
    return FOUND_SOMETHING if since is not None and changes else ALL_WELL


def _show(changes: SheetChanges) -> None:
    older, newer = changes.older, changes.newer
    title = f"{older.document} {older.revision} to {newer.document} {newer.revision} ({newer.sha256[:12]})"
    show_table(["Part", "Quantity", "Kind", "Condition", "Before", "After"],
               [_number_to_row(change) for change in changes.numbers]
               + [[text.part_number, text.name, "", "", ", ".join(text.before), ", ".join(text.after)]
                  for text in changes.texts]
               + [[curve.part_number, f"curve: {curve.chart.value.replace('_', ' ')}", "", "",
                   curve.before or "absent", curve.after or "absent"] for curve in changes.curves],
               title=title)
    for words, names in (
        ("new parts", changes.parts_added), ("parts no longer listed", changes.parts_gone),
        ("accepted parts to look at again", changes.accepted_parts),
        ("saved comparisons that used them", changes.comparisons),
    ):
        if names:
            say(f"{words}: {', '.join(names)}")
    say()


def _number_to_row(change: NumberChange) -> list[str]:
    return [change.part_number, NAMES[change.quantity], KINDS[change.kind],
            conditions_to_text(change.ambient_c, change.test_current_a),
            _values(change.before), _values(change.after)]


def _values(numbers: tuple[StoredNumber, ...]) -> str:
    texts = (f"{value_to_text(one.reading.quantity, one.reading.value)} (page {one.reading.place.page})"
             for one in numbers)
    return ", ".join(dict.fromkeys(texts)) or "absent"
