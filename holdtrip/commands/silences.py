"""`holdtrip silences`: what the library was told not to raise again, and taking it back."""

from __future__ import annotations

from collections.abc import Sequence

import click

from extract.errors import InputError
from holdtrip.check_options import texts_to_numbers
from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Signature
from holdtrip.library.silences import Silence
from holdtrip.library.store import open_library
from holdtrip.library_options import library_address, library_option, who_option
from holdtrip.screen import say, show_table
from holdtrip.silenced import silence_to_mark

EXAMPLES = """\b
Examples:
  holdtrip silences                                          all of them, with who and why
  holdtrip silences --take-back 2,5 --because "page 3 was misread"
"""

HEADINGS = ["Number", "Mark", "Code", "Part", "Statement", "Who", "When", "Why"]


@click.command("silences", epilog=EXAMPLES)
@library_option
@click.option("--take-back", "numbers", metavar="NUMBERS", default="",
              help="Let these findings be raised again, and these answers about part numbers be asked again,"
                   " by number or mark. Needs --because.")
@click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later.")
@who_option
def command(library: str | None, numbers: str, reason: str, who: str) -> int:
    """List findings that somebody accepted with `holdtrip check --silence`, and answers of --same.

    Each covers one statement of one cell: another value, heading, ambient or part is raised as ever.
    """
    with open_library(library_address(library), create=False) as opened:
        known = opened.silenced()
        if numbers and not reason.strip():
            raise InputError(f"--take-back {numbers}", "no reason", "a reason others can follow",
                             "Add --because 'page 3 was misread'")
        for one in _named(known, numbers) if numbers else ():
            opened.unsilence(one.key, Signature(who, reason))
            say(f"taken back: {one.key.code}, {one.key.value}")
        left = opened.silenced() if numbers else known
        name = opened.name
    if left:
        show_table(HEADINGS, [
            [str(number), silence_to_mark(one), one.key.code, one.key.part_number, one.key.value, one.who,
             one.at.astimezone().strftime("%Y-%m-%d %H:%M"), one.reason]
            for number, one in enumerate(left, 1)], numbers=[0])
    say(f"{name}: {len(left)} silence{'' if len(left) == 1 else 's'}")
    return ALL_WELL


def _named(known: Sequence[Silence], text: str) -> list[Silence]:
    """The silences that numbers or marks name; raises InputError for one that is not there."""
    found: list[Silence] = []
    for piece in text.replace(" ", "").split(","):
        if piece.isalpha():
            chosen = [one for one in known if silence_to_mark(one) == piece.lower()]
            missing = not chosen
        else:
            numbers = texts_to_numbers(piece)
            missing = not all(1 <= number <= len(known) for number in numbers)
            chosen = [] if missing else [known[number - 1] for number in numbers]
        if missing:
            raise InputError(f"--take-back {piece}", f"there are {len(known)} silences, none of them this",
                             "the number or mark of a silence as shown")
        found += chosen
    return list(dict.fromkeys(found))
