"""`holdtrip restore`: a library from a backup."""

from __future__ import annotations

from pathlib import Path

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.address import shown_address
from holdtrip.library.backup import backup_to_copies, restore_library
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address, library_option
from holdtrip.screen import say
from holdtrip.sheet_files import library_to_files

EXAMPLES = """\b
Examples:
  holdtrip restore parts-2026-03.backup --library restored.sqlite
  holdtrip restore team.backup --library postgresql://parts@server/holdtrip
"""


@click.command("restore", epilog=EXAMPLES)
@click.argument("path", metavar="FILE.backup", type=click.Path(path_type=Path))
@library_option
def command(path: Path, library: str | None) -> int:
    """Make a library from a backup, where there is none yet.

    Nothing is written over: if there is a library at the address, or the file is not whole, nothing
    is changed.
    """
    address = library_address(library)
    rows, kept = restore_library(path, address), 0
    with open_library(address, create=False) as opened:
        files = library_to_files(address, opened)
        for sha256, data in backup_to_copies(path):
            files.keep_bytes(data, sha256)
            kept += 1
    say(f"restored {counted(rows, 'row')} and {counted(kept, 'copy', 'copies')} of datasheets"
        f" into {shown_address(address)}")
    return ALL_WELL
