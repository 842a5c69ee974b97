"""`holdtrip explain`: what a finding's code means, why it matters, an example, how to silence it."""

from __future__ import annotations

import click
from rich.markdown import Markdown

from extract.checks import CODES, code_to_page
from extract.errors import InputError
from holdtrip.exits import ALL_WELL
from holdtrip.screen import console, show_table

EXAMPLES = """\b
Examples:
  holdtrip explain                           every code with its gravity
  holdtrip explain heat-ratio                one of them, with an example
"""


@click.command("explain", epilog=EXAMPLES)
@click.argument("code", metavar="[CODE]", default="")
def command(code: str) -> int:
    """Explain a finding's code: what it says, why it matters, an example, how to silence it."""
    if not code:
        show_table(["Code", "Gravest", "Says"],
                   [[one.name, one.severity.value, one.title] for one in CODES.values()])
        return ALL_WELL
    if code not in CODES:
        raise InputError(code, "no such code", advice=_advice(code))
    console().print(Markdown(code_to_page(code)), width=min(console().width, 100))
    return ALL_WELL


def _advice(code: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(code, CODES, n=3)
    return f"Near to it: {', '.join(near)}" if near else "`holdtrip explain` lists them all"
