"""Several click options handed to a command as one record, so that no function takes a dozen parameters.

Comes in: a record type whose fields are named like the options. Goes out: a decorator.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from functools import wraps
from typing import Any

import click

one_reading_option = click.option(
    "--one-reading", is_flag=True,
    help="Read each sheet once only: quicker, but no number is agreed, and a misread digit shows nowhere.",
)
"""The option of every command that reads sheets."""

Command = Callable[..., int]
Option = Callable[[Any], Any]


def option_group(name: str, record: type[Any], *options: Option) -> Callable[[Command], Command]:
    """Give a command these options (and arguments); it gets their values as `name`, a `record`."""
    def decorate(command: Command) -> Command:
        @wraps(command)
        def gathered(**typed: Any) -> int:
            values = {field.name: typed.pop(field.name) for field in fields(record)}
            return command(**{name: record(**values)}, **typed)

        decorated: Command = gathered
        for option in reversed(options):
            decorated = option(decorated)
        return decorated

    return decorate
