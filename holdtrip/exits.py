"""How a command ends: its exit code, and one line on stderr for every way of failing.

Comes in: the command group and its arguments. Goes out: an exit code. No error of a user's input
ever shows a traceback; an error of the program's own does only with HOLDTRIP_TRACEBACK set.
"""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Sequence

import click

from extract.errors import HoldtripError
from holdtrip.outputs import naming_output
from holdtrip.plain_text import printable

ALL_WELL = 0
FOUND_SOMETHING = 1
"""A finding of severity error, a sheet of a batch that could not be read, or no part that fits."""
BAD_INPUT = 2
OWN_ERROR = 3
EXTRA_OF = {
    "fastapi": "serve", "starlette": "serve", "uvicorn": "serve", "h11": "serve",
    "jinja2": "report", "matplotlib": "report", "reportlab": "report",
    "psycopg": "postgres", "pyarrow": "parquet", "dask": "cluster", "distributed": "cluster",
}
"""Package → the extra of pyproject.toml that brings it; a plain installation has none of them."""
STOPPED = 130
"""Ended by Ctrl-C, as shells count it."""


def run(group: click.Group, arguments: Sequence[str]) -> int:
    """Run a command and return its exit code; every failure becomes one line on stderr."""
    try:
        result = group.main(list(arguments), prog_name="holdtrip", standalone_mode=False)
        with naming_output():
            sys.stdout.flush()
    except (click.Abort, KeyboardInterrupt):
        return _fail("stopped", STOPPED)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        return ALL_WELL
    except click.ClickException as error:
        return _fail(_usage_line(error), BAD_INPUT)
    except HoldtripError as error:
        return _fail(str(error), BAD_INPUT)
    except BrokenPipeError:
        # The reader of our output (head, less) has gone; there is nobody left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ALL_WELL
    except ModuleNotFoundError as error:
        return _missing(error)
    except OSError as error:
        return _fail(_system_line(error), BAD_INPUT)
    except Exception as error:  # noqa: BLE001 - the last stand: an own error must not look like a result
        return _own_error(error)
    return result if isinstance(result, int) else ALL_WELL


def _fail(line: str, code: int) -> int:
    click.echo(f"holdtrip: {printable(line)}", err=True)
    return code


def _usage_line(error: click.ClickException) -> str:
    line = error.format_message().rstrip(".")
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "holdtrip"
    return f"{line}. Type `{command} --help` for help"


def _system_line(error: OSError) -> str:
    where = f"{error.filename}: " if error.filename else ""
    return f"{where}{error.strerror or error}"


def _missing(error: ModuleNotFoundError) -> int:
    """A package of an extra that was not asked for at the installation; any other is an error of our own."""
    package = (error.name or "").partition(".")[0]
    if package not in EXTRA_OF:
        return _own_error(error)
    return _fail(f"the package {package} is not installed, which this needs; it comes with the extra"
                 f" {EXTRA_OF[package]}: pip install 'holdtrip[{EXTRA_OF[package]}]', from where holdtrip was"
                 " installed", BAD_INPUT)


def _own_error(error: Exception) -> int:
    if os.environ.get("HOLDTRIP_TRACEBACK"):
        traceback.print_exc()
    return _fail(
        f"an error of holdtrip's own, not of your input: {type(error).__name__}: {error}. Please report it"
        " with the command you typed; HOLDTRIP_TRACEBACK=1 shows the details a report needs",
        OWN_ERROR,
    )
