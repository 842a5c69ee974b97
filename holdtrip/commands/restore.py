"""`holdtrip restore`: a library from a backup."""

from __future__ import annotations

from pathlib import Path

import click

from extract.errors import InputError
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.address import shown_address
from holdtrip.library.backup import backup_to_copies, check_copies, restore_library
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
    check_copies(path)
    rows = restore_library(path, address)
    kept = _restore_copies(path, address)
    say(f"restored {counted(rows, 'row')} and {counted(kept, 'copy', 'copies')} of datasheets"
        f" into {shown_address(address)}")
    return ALL_WELL


def _restore_copies(path: Path, address: str) -> int:
    """Keep the copies of datasheets beside a library that was just restored; returns how many."""
    kept = 0
    with open_library(address, create=False) as opened:
        files = library_to_files(address, opened)
        try:
            for sha256, data in backup_to_copies(path):
                files.keep_bytes(data, sha256)
                kept += 1
        except OSError as error:
            raise InputError(
                shown_address(address), f"the library is restored, of its copies of datasheets {kept}:"
                f" {error.strerror or error}", "all of them",
                "Make room, remove this library and restore it again") from error
    return kept
