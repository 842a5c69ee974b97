"""The option `--json OUT.json` of commands that show things; `-` is standard output.

Comes in: the path typed, and a record. Goes out: a file written whole, or the record on standard output with
everything else on standard error.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from holdtrip.outputs import OUTPUT, Output, OutputKind, naming_output, whole_file

STANDARD_OUTPUT = Path("-")


def _is_own(path: Path) -> bool:
    with path.open("rb") as file:
        return re.search(rb'"format": "holdtrip [a-z]+ \d+"', file.read()) is not None


JSON_DOCUMENT = OutputKind("what a command of holdtrip says", (".json",), _is_own)

json_option = click.option(
    "--json", "json_path", metavar="OUT.json", type=OUTPUT,
    help="Write what is shown as JSON, `-` for standard output (schemas: holdtrip/schemas/).",
)
"""The option of every command that shows things."""


def json_outputs(path: Path | None) -> list[Output]:
    """The file to be checked before any work, if one was asked for."""
    return [Output("--json", path, JSON_DOCUMENT)] if path not in (None, STANDARD_OUTPUT) else []


@contextmanager
def json_written(path: Path | None) -> Iterator[list[object]]:
    """Yields a list; the record put into it is written when the block ends. Where it goes to standard output,
    everything else the block says goes to standard error."""
    said: list[object] = []
    if path is None:
        yield said
        return
    from holdtrip.screen import on_standard_error

    if path == STANDARD_OUTPUT:
        with on_standard_error():
            yield said
    else:
        yield said
    if not said:
        return
    from holdtrip.json_documents import document_to_json

    text = document_to_json(said[0])
    if path == STANDARD_OUTPUT:
        with naming_output():
            sys.stdout.write(text)
        return
    with whole_file(path) as unfinished:
        unfinished.write_text(text, encoding="utf-8", errors="backslashreplace")
