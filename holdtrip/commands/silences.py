"""`holdtrip silences`: what the library was told not to raise again, and taking it back."""

from __future__ import annotations

import click

from extract.errors import InputError
from holdtrip.check_options import texts_to_numbers
from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Signature
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say, show_table

EXAMPLES = """\b
Examples:
  holdtrip silences                                          all of them, with who and why
  holdtrip silences --take-back 2,5 --because "page 3 was misread"
"""

HEADINGS = ["Number", "Code", "Part", "Statement", "Who", "When", "Why"]


@click.command("silences", epilog=EXAMPLES)
@library_option
@click.option("--take-back", "numbers", metavar="NO,NO", default="",
              help="Let these findings be raised again, and these answers about part numbers be asked again."
                   " Needs --because.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
def command(library: str | None, numbers: str, reason: str, who: str) -> int:
    """List findings that somebody accepted with `holdtrip check --silence`, and answers of --same.

    Each covers one statement of one cell: another value, heading, ambient or part is raised as ever.
    """
    with open_library(library_address(library), create=False) as opened:
        known = opened.silenced()
        for number in texts_to_numbers(numbers) if numbers else ():
            if not reason.strip():
                raise InputError(f"--take-back {numbers}", "no reason", "a reason others can follow",
                                 "Add --because 'page 3 was misread'")
            if not 1 <= number <= len(known):
                raise InputError(f"--take-back {number}", f"there are {len(known)} silences",
                                 "the number of a silence as shown")
            opened.unsilence(known[number - 1].key, Signature(who, reason))
            say(f"taken back: {known[number - 1].key.code}, {known[number - 1].key.value}")
        left = opened.silenced() if numbers else known
        name = opened.name
    if left:
        show_table(HEADINGS, [
            [str(number), one.key.code, one.key.part_number, one.key.value, one.who,
             one.at.astimezone().strftime("%Y-%m-%d %H:%M"), one.reason]
            for number, one in enumerate(left, 1)], numbers=[0])
    say(f"{name}: {len(left)} silences")
    return ALL_WELL
