"""A column type for texts out of PDFs: stores every text without loss, also what a database refuses.

Comes in: any Python text. Goes out: the same text. PostgreSQL refuses NUL and both databases refuse half
of a surrogate pair; such a text, rare and never meant, is stored as JSON behind a mark.
"""

from __future__ import annotations

import json

from sqlalchemy import Dialect, Text
from sqlalchemy.types import TypeDecorator

_MARK = "\ue000"


def text_to_stored(text: str) -> str:
    """The text itself, or behind a mark its JSON form in ASCII."""
    if text.isascii() and "\0" not in text:
        return text
    if "\0" in text or text[0] == _MARK or any("\ud800" <= letter <= "\udfff" for letter in text):
        return _MARK + json.dumps(text)
    return text


def stored_to_text(stored: str) -> str:
    """What `text_to_stored` was given."""
    return json.loads(stored[1:]) if stored[:1] == _MARK else stored


class AnyText(TypeDecorator[str]):
    """Text of any letters, stored without loss."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """On the way in."""
        return None if value is None else text_to_stored(value)

    def process_result_value(self, value: str | bytes | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """On the way out; raises TypeError for bytes, which SQLite keeps in any column."""
        if isinstance(value, bytes):
            raise TypeError("bytes where a text should be")
        return None if value is None else stored_to_text(value)
