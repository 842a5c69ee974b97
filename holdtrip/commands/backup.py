"""`holdtrip backup`: the whole library with its history in one file."""

from __future__ import annotations

from pathlib import Path

import click

from holdtrip.exits import ALL_WELL
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address, library_option
from holdtrip.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from holdtrip.own_files import BACKUP
from holdtrip.screen import say

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
@force_option
def command(path: Path, library: str | None, force: bool) -> int:
    """Write the library with its whole history into one file."""
    address = library_address(library)
    check_outputs([Output("OUT", path, BACKUP)], [address], force)
    with open_library(address, create=False) as opened, whole_file(path) as unfinished:
        rows, name = opened.backup(unfinished), opened.name
    say(f"wrote {path}: {rows} rows of {name}")
    return ALL_WELL
