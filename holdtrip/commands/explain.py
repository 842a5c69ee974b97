"""`holdtrip explain`: what a finding's code means, why it matters, an example, how to silence it."""

from __future__ import annotations

from pathlib import Path

import click
from rich.markdown import Markdown

from extract.checks import CODES, code_to_page
from extract.errors import InputError
from holdtrip.exits import ALL_WELL
from holdtrip.json_output import json_option, json_outputs, json_written
from holdtrip.outputs import check_outputs
from holdtrip.screen import console, show_table

EXAMPLES = """\b
Examples:
  holdtrip explain                           every code with its severity
  holdtrip explain heat-ratio                one of them, with an example
"""


@click.command("explain", epilog=EXAMPLES)
@click.argument("code", metavar="[CODE]", default="")
@json_option
def command(code: str, json_path: Path | None) -> int:
    """Explain a finding's code: what it says, why it matters, an example, how to silence it."""
    if code and code not in CODES:
        raise InputError(code, "no such code", advice=_advice(code))
    check_outputs(json_outputs(json_path), ())
    with json_written(json_path) as said:
        if json_path is not None:
            from holdtrip.json_documents import ExplainDocument, ExplainedCode

            asked = [CODES[code]] if code else CODES.values()
            said.append(ExplainDocument(tuple(
                ExplainedCode(one.name, one.severity, one.title, code_to_page(one.name)) for one in asked)))
        _show(code)
    return ALL_WELL


def _show(code: str) -> None:
    if not code:
        show_table(["Code", "Severity", "Says"],
                   [[one.name, one.severity.value, one.title] for one in CODES.values()])
        return
    console().print(Markdown(code_to_page(code)), width=min(console().width, 100))


def _advice(code: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(code, CODES, n=3)
    return f"Near to it: {', '.join(near)}" if near else "`holdtrip explain` lists them all"
