"""`holdtrip restore`: a library from a backup."""

from __future__ import annotations

from pathlib import Path

import click

from holdtrip.exits import ALL_WELL
from holdtrip.library.address import shown_address
from holdtrip.library.backup import restore_library
from holdtrip.library_options import library_address, library_option
from holdtrip.screen import say

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
    say(f"restored {restore_library(path, address)} rows into {shown_address(address)}")
    return ALL_WELL
