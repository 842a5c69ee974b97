"""Texts that a spreadsheet opening our CSV must not calculate.

Comes in: a text. Goes out: the same text, with a leading apostrophe where a spreadsheet would take
it for a formula; and back. Numbers such as -40 stay as they are.
"""

from __future__ import annotations

import re

_FORMULA = re.compile(r"['=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")


def guard(text: str) -> str:
    """The text as it may stand in a cell."""
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def unguard(text: str) -> str:
    """What `guard` was given."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text, 1) else text
