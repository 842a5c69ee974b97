"""`holdtrip backup`: the whole library with its history in one file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address, library_option
from holdtrip.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from holdtrip.own_files import BACKUP
from holdtrip.screen import say
from holdtrip.sheet_files import SheetFiles, library_to_files

EXAMPLES = """\b
Examples:
  holdtrip backup parts-2026-03.backup
  holdtrip backup team.backup --library postgresql://parts@server/holdtrip

\b
The same file restores into an SQLite file or a PostgreSQL server: see `holdtrip restore`. Others may
work on meanwhile; the backup is of one moment.
"""


@click.command("backup", epilog=EXAMPLES)
@click.argument("path", metavar="OUT.backup", type=OUTPUT)
@library_option
@click.option("--no-copies", is_flag=True, help="Without the copies of datasheets: a much smaller file.")
@force_option
def command(path: Path, library: str | None, no_copies: bool, force: bool) -> int:
    """Write the library with its whole history, and the copies of its datasheets, into one file."""
    address = library_address(library)
    check_outputs([Output("OUT", path, BACKUP)], [address], force)
    with open_library(address, create=False) as opened, whole_file(path) as unfinished:
        copies = () if no_copies else _copies(opened, library_to_files(address, opened))
        rows, kept = opened.backup(unfinished, copies)
        name, missing = opened.name, len(opened.sheets()) - kept
    say(f"wrote {path}: {counted(rows, 'row')} and {counted(kept, 'copy', 'copies')} of datasheets of {name}")
    if missing and not no_copies:
        say(f"of {counted(missing, 'datasheet')} no sound copy is kept: `holdtrip verify` names them",
            style="yellow")
    return ALL_WELL


def _copies(opened: Library, files: SheetFiles) -> Iterator[tuple[str, bytes]]:
    """The sound copies of all sheets."""
    for sheet in opened.sheets():
        path = files.path_of(sheet.sha256)
        if path is not None:
            yield sheet.sha256, path.read_bytes()
