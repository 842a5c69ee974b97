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
  holdtrip settings --signatures 2                        two people for each number
"""


@click.command("settings", epilog=EXAMPLES)
@click.option("--copies", metavar="PLACE",
              help="Where copies of datasheets are kept: `database`, a folder that all share, or '' for the"
                   " usual folder of each machine.")
@click.option("--acceptors", metavar="NAME,NAME", help="Who may accept and correct; '' for everybody.")
@click.option("--signatures", type=click.Choice(["1", "2"]),
              help="How many different people must accept a number before it counts as accepted.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
@library_option
def command(
    copies: str | None, acceptors: str | None, signatures: str | None, reason: str, who: str,
    library: str | None,
) -> int:
    """Show or change what the team has settled for its library; each change stands in the history.

    The names are those that people sign with (--who): they keep order among colleagues, and are no lock
    against somebody who signs with another's name. With two signatures a number that one person accepted
    waits until another accepts it too; what was accepted by one person before waits as well.
    """
    address = library_address(library)
    is_change = any(value is not None for value in (copies, acceptors, signatures))
    with open_library(address, create=is_change) as opened:
        if is_change:
            place = str(Path(copies).absolute()) if copies and copies != IN_DATABASE else copies
            named = None if acceptors is None else tuple(filter(None, map(str.strip, acceptors.split(","))))
            opened.settle(Signature(who, reason), place, named, int(signatures) if signatures else None)
        settled = opened.settings()
        files = library_to_files(address, opened)
        if copies is not None:
            _keep_known(opened.stored_hashes(), address, files)
        name = opened.name
    where = "the database" if settled.copies == IN_DATABASE else str(files.folder)
    say(f"{name}: copies of datasheets in {where}; may accept:"
        f" {', '.join(settled.acceptors) or 'everybody'}; signatures for a number: {settled.signatures}")
    return ALL_WELL


def _keep_known(stored: frozenset[str], address: str, files: SheetFiles) -> None:
    """Bring the copies of this machine to the new place; those of other machines come with their imports."""
    usual = library_to_files(address)
    for sha256 in stored:
        path = usual.path_of(sha256)
        if path is not None:
            files.keep(path, sha256)
