"""`holdtrip withdraw`: a datasheet that stops counting, or counts again; nothing is deleted."""

from __future__ import annotations

import click

from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Signature
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say

EXAMPLES = """\b
Examples:
  holdtrip withdraw draft.pdf --because "a draft of the maker, never published"
  holdtrip withdraw 3fa1c2 --because "another maker's copy"
  holdtrip withdraw 3fa1c2 --undo --because "the maker confirmed it"
"""


@click.command("withdraw", epilog=EXAMPLES)
@click.argument("sheet", metavar="SHEET")
@click.option("--undo", is_flag=True, help="Let a withdrawn datasheet count again.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
@library_option
def command(sheet: str, undo: bool, reason: str, who: str, library: str | None) -> int:
    """Let a datasheet count no longer: its name, or the first letters of its hash.

    Its parts go out of lists and comparisons; an older revision is in force again where there is one.
    Numbers, decisions and the copy stay, and `--as-of` shows them as they stood.
    """
    with open_library(library_address(library), create=False) as opened:
        change = opened.put_back if undo else opened.withdraw
        document, parts = change(sheet, Signature(who, reason))
    count = "count" if parts != 1 else "counts"
    say(f"{document}: {counted(parts, 'part')} {count} {'again' if undo else 'no longer'}")
    return ALL_WELL
