"""What columns mean, as a person says it: "HEADING=MEANING", on the command line and on the page.

Comes in: typed texts. Goes out: pairs for TableOptions. Does not know which meanings there are.
"""

from __future__ import annotations

from collections.abc import Iterable

from extract.errors import InputError


def texts_to_pairs(typed: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Each text parted at its last "="; raises InputError for one without a text on both sides."""
    return tuple(map(_text_to_pair, typed))


def _text_to_pair(text: str) -> tuple[str, str]:
    left, _, right = text.rpartition("=")
    if not left.strip() or not right.strip():
        raise InputError(f"'{text}'", "no two texts with = between them", "a text, = and a text",
                         "Write it such as 'My heading=hold_current mA'")
    return left.strip(), right.strip()
