"""Texts of datasheets without what no file may hold.

Comes in: a text. Goes out: the same text with control characters and lone surrogates shown as replaced. Does
not escape for any format.
"""

from __future__ import annotations

import re

_NO_FILE_HOLDS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff\ud800-\udfff]")


def clean(text: str) -> str:
    """The text as XML, HTML and PDF may hold it."""
    return _NO_FILE_HOLDS.sub("\N{REPLACEMENT CHARACTER}", text)
