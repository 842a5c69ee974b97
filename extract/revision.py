"""Which revision of a sheet this is.

Comes in: the texts of the pages. Goes out: the revision or its date as printed, or nothing. Does not say
which of two revisions is the newer.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_REVISION = re.compile(
    r"(?:\brev(?:ision|ised)?\b\s*(?:letter|no|date)?\s*[.:]?\s*|\bissued?\b\s*[:.]\s*|\bausgabe\s*[:.]?\s*|版本\s*[:：]?\s*|改訂\s*[:：]?\s*)"
    r"(?P<text>[A-Z]{1,2}\d?\b|[\w.]*\d[\w./\-]*(?:\s?\d{2,4})?)",
    re.IGNORECASE,
)


def texts_to_revision(texts: Sequence[str]) -> str:
    """The printed revision or its date, from the first page that names one; empty if none does."""
    for text in texts:
        for match in _REVISION.finditer(text):
            if re.search(r"\d", match["text"]) or len(match["text"]) <= 2:
                return " ".join(match.group().split())
    return ""
