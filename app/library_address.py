"""Where the team's library is: as typed, HOLDTRIP_LIBRARY, holdtrip.toml, or a file of the user's own.

Comes in: the option's value and the surroundings. Goes out: an address `library` understands, a file
path or a database address. Opens nothing.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import click

from extract.errors import InputError

PROJECT_FILE = "holdtrip.toml"
FILE_ENDINGS = (".sqlite", ".sqlite3", ".db")

library_option = click.option(
    "--library", "library", metavar="FILE_OR_ADDRESS", envvar="HOLDTRIP_LIBRARY",
    help="The library: an SQLite file or a PostgreSQL address. Without it, HOLDTRIP_LIBRARY, then"
         f" `library` in {PROJECT_FILE} of this folder or one above, then a file of your own.",
)
"""The option that every command working on the library takes."""


def library_address(typed: str | None) -> str:
    """The address to open; the folder of a file of the user's own is made if need be."""
    return typed or _of_project(Path.cwd()) or _of_user()


def is_library(source: str) -> bool:
    """Whether a source typed by the user names a library and not datasheets or a table."""
    return "://" in source or source.endswith(FILE_ENDINGS)


def _of_project(folder: Path) -> str | None:
    """`library` of the nearest holdtrip.toml; a file in it is relative to where it stands."""
    path = next((place / PROJECT_FILE for place in (folder, *folder.parents)
                 if (place / PROJECT_FILE).is_file()), None)
    if path is None:
        return None
    try:
        address = tomllib.loads(path.read_text(encoding="utf-8")).get("library")
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(str(path), str(error), "a TOML file such as: library = 'parts.sqlite'") from error
    if not isinstance(address, str) or not address:
        raise InputError(str(path), f"library is {address!r}", "library = 'parts.sqlite' or an address")
    return address if "://" in address else str(path.parent / address)


def _of_user() -> str:
    """A file in the folder where the system keeps a user's data."""
    from platformdirs import user_data_path

    return str(user_data_path("holdtrip", appauthor=False, ensure_exists=True) / "library.sqlite")
