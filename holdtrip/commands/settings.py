"""`holdtrip settings`: what a team has settled for its library."""

from __future__ import annotations

from pathlib import Path

import click

from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Signature
from holdtrip.library.settings import IN_DATABASE
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say
from holdtrip.sheet_files import SheetFiles, library_to_files

EXAMPLES = """\b
Examples:
  holdtrip settings                                       what is settled
  holdtrip settings --copies database                     copies of datasheets in the database itself
  holdtrip settings --copies /srv/team/datasheets         in a folder that all can write
  holdtrip settings --acceptors "Ann, Ben"                only these may accept and correct
  holdtrip settings --acceptors ""                        everybody may
"""


@click.command("settings", epilog=EXAMPLES)
@click.option("--copies", metavar="PLACE",
              help="Where copies of datasheets are kept: `database`, a folder that all share, or '' for the"
                   " usual folder of each machine.")
@click.option("--acceptors", metavar="NAME,NAME", help="Who may accept and correct; '' for everybody.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
@library_option
def command(copies: str | None, acceptors: str | None, reason: str, who: str, library: str | None) -> int:
    """Show or change what the team has settled for its library; each change stands in the history.

    The names are those that people sign with (--who): they keep order among colleagues, and are no lock
    against somebody who signs with another's name.
    """
    address = library_address(library)
    with open_library(address, create=copies is not None or acceptors is not None) as opened:
        if copies is not None or acceptors is not None:
            place = str(Path(copies).absolute()) if copies and copies != IN_DATABASE else copies
            named = None if acceptors is None else tuple(filter(None, map(str.strip, acceptors.split(","))))
            opened.settle(Signature(who, reason), place, named)
        settled = opened.settings()
        files = library_to_files(address, opened)
        if copies is not None:
            _keep_known(opened.stored_hashes(), address, files)
        name = opened.name
    where = "the database" if settled.copies == IN_DATABASE else str(files.folder)
    say(f"{name}: copies of datasheets in {where}; may accept:"
        f" {', '.join(settled.acceptors) or 'everybody'}")
    return ALL_WELL


def _keep_known(stored: frozenset[str], address: str, files: SheetFiles) -> None:
    """Bring the copies of this machine to the new place; those of other machines come with their imports."""
    usual = library_to_files(address)
    for sha256 in stored:
        path = usual.path_of(sha256)
        if path is not None:
            files.keep(path, sha256)
