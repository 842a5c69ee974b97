"""What an address of a library means: a file path is SQLite, postgresql://... is a PostgreSQL server.

Comes in: an address as typed. Goes out: a database URL, or the address as it may be shown (no password).
Opens nothing and does not know where a library is by default: app does.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from extract.errors import InputError

_POSTGRESQL = ("postgresql", "postgres", "postgresql+psycopg")


def address_to_url(address: str | Path) -> URL:
    """The database URL of a file path or a PostgreSQL address; raises InputError for any other scheme."""
    text = str(address)
    if not text.strip():
        raise InputError("library", "an empty address", "a file path or postgresql://user@server/database")
    if "://" not in text:
        return URL.create("sqlite", database=str(Path(text).expanduser()))
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise InputError("library", "an address that cannot be understood",
                         "postgresql://user@server/database") from error
    if url.drivername not in _POSTGRESQL:
        raise InputError("library", f"an address that begins with {url.drivername}://",
                         "a file path (SQLite) or postgresql://user@server/database")
    if find_spec("psycopg") is None:
        raise InputError(shown_address(address), "the PostgreSQL driver is not installed", "",
                         "Install it with: pip install '.[postgres]' in the checkout")
    return url.set(drivername="postgresql+psycopg")


def shown_address(address: str | Path) -> str:
    """The address as messages may show it: a password is starred out."""
    text = str(address)
    if "://" not in text:
        return text
    try:
        return make_url(text).render_as_string(hide_password=True)
    except (ArgumentError, ValueError):
        return "library"
