"""Which library, at which time, and who changes it: options that several commands share.

Comes in: what was typed and the surroundings. Goes out: click options, and the address of the library:
as typed, HOLDTRIP_LIBRARY, holdtrip.toml, or a file of the user's own. Opens no library.
"""

from __future__ import annotations

import getpass
import tomllib
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from extract.errors import InputError

if TYPE_CHECKING:
    from holdtrip.library.store import Library

PROJECT_FILE = "holdtrip.toml"
OTHER_KEYS = frozenset({"series"})
"""What the project's file may hold beside the library (holdtrip/series_rules.py)."""
FILE_ENDINGS = (".sqlite", ".sqlite3", ".db")
_SQLITE_HEAD = b"SQLite format 3\0"
"""How an SQLite file begins (sqlite.org/fileformat.html, 1.3.1)."""

library_option = click.option(
    "--library", "library", metavar="FILE_OR_ADDRESS", envvar="HOLDTRIP_LIBRARY",
    help="The library: an SQLite file or a PostgreSQL address. Without it, HOLDTRIP_LIBRARY, then"
         f" `library` in {PROJECT_FILE} of this folder or one above, then a file of your own.",
)
"""The option that every command working on the library takes."""

_FORMS = ("%Y-%m-%d", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S",
          "%Y-%m-%d %H:%M:%S %z", "%Y-%m-%dT%H:%M:%S%z")


class _Time(click.ParamType[datetime]):
    """A local time, or one with its offset, as an aware time."""

    name = "time"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> datetime:
        """Any of the forms; a day is its beginning."""
        if isinstance(value, datetime):
            return value
        for form in _FORMS:
            try:
                return datetime.strptime(str(value), form).astimezone()
            except (ValueError, OverflowError):  # another form, or a year that this clock cannot count
                continue
        self.fail(f"'{value}' is no time such as 2026-03-01, '2026-03-01 14:30' or"
                  " '2026-03-01 14:30:00 +0200'", param, ctx)


_TIME = _Time()


class _Moment(click.ParamType[datetime | int]):
    """A version, as `holdtrip history` numbers them, or a time."""

    name = "moment"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> datetime | int:
        """A number of few digits is a version; anything else must be a time."""
        if isinstance(value, str) and value.isdecimal() and len(value) < 10:
            return int(value)
        return _TIME.convert(value, param, ctx)


def _past(
    _context: click.Context, _option: click.Parameter, value: datetime | int | None
) -> datetime | int | None:
    """A time in the future shows what stands now, and says so."""
    if isinstance(value, datetime) and value > datetime.now(UTC):
        click.echo(f"--as-of {value:%Y-%m-%d %H:%M:%S %z} lies in the future: shown is what stands now",
                   err=True)
    return value


def say_moment(library: Library, as_of: datetime | int | None) -> None:
    """Say on stderr where `--as-of` lies before anything was done, or names a version still to come."""
    if as_of is None:
        return
    first, last = library.span()
    if isinstance(as_of, int):
        if as_of > last:
            click.echo(f"--as-of {as_of} lies in the future: the last version is {last}, which is shown",
                       err=True)
        is_before = as_of < 1
    else:
        is_before = first is None or as_of < first
    if is_before:
        begun = "nothing was done yet" if first is None else (
            f"it was begun on {first.astimezone():%Y-%m-%d %H:%M:%S %z}")
        click.echo(f"--as-of lies before the beginning of {library.name}: {begun}", err=True)


since_option = click.option(
    "--since", metavar="TIME", type=_TIME,
    help="Only revisions imported at or after this time; then the exit code is 1 if there are any.",
)
"""From when on; the command gets an aware time or None."""

as_of_option = click.option(
    "--as-of", "as_of", metavar="TIME_OR_VERSION", type=_Moment(), callback=_past,
    help="Show the library as it stood then: a local time, such as 2026-03-01 or '2026-03-01 14:30', or a"
         " version as `holdtrip history` numbers them.",
)
"""A past state of the library; the command gets an aware time, a version or None."""


def login_name() -> str:
    """The name the system knows the user by; where it knows none the option must be typed."""
    try:
        return getpass.getuser()
    except (ImportError, KeyError, OSError):
        raise click.UsageError("the system does not tell your name: add --who NAME") from None


who_option = click.option(
    "--who", metavar="NAME", envvar="HOLDTRIP_WHO", default=login_name,
    help="Who does this, for the library's history. Without it, HOLDTRIP_WHO, then your login name.",
)
"""Who signs a change."""


def library_address(typed: str | None) -> str:
    """The address to open; the folder of a file of the user's own is made if need be."""
    return typed or _of_project(Path.cwd()) or _of_user()


def is_library(source: str) -> bool:
    """Whether a source typed by the user names a library and not datasheets or a table: by its ending, or by
    how an SQLite file of any other name begins."""
    return "://" in source or source.endswith(FILE_ENDINGS) or _is_sqlite(Path(source).expanduser())


def _is_sqlite(path: Path) -> bool:
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(len(_SQLITE_HEAD)) == _SQLITE_HEAD


def _of_project(folder: Path) -> str | None:
    """`library` of the nearest holdtrip.toml; a file in it is relative to where it stands."""
    path = next((place / PROJECT_FILE for place in (folder, *folder.parents)
                 if (place / PROJECT_FILE).is_file()), None)
    if path is None:
        return None
    try:
        said = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(str(path), str(error), "a TOML file such as: library = 'parts.sqlite'") from error
    unknown = sorted(said.keys() - OTHER_KEYS - {"library"})
    if unknown:
        raise InputError(f"{path}, '{unknown[0]}'", "no such key",
                         " or ".join(sorted({"library", *OTHER_KEYS})))
    address = said.get("library")
    if address is None and said.keys() <= OTHER_KEYS:
        return None
    if not isinstance(address, str) or not address:
        raise InputError(str(path), f"library is {address!r}", "library = 'parts.sqlite' or an address")
    return address if "://" in address else str(path.parent / address)


def _of_user() -> str:
    """A file in the folder where the system keeps a user's data."""
    from platformdirs import user_data_path

    return str(user_data_path("holdtrip", appauthor=False, ensure_exists=True) / "library.sqlite")
