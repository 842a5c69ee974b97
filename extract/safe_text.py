"""Names from outside made safe text, once and everywhere the same: file names, names sent to the page.

Comes in: a name that may hold anything, also bytes that are no UTF-8. Goes out: its last component with every
character that steers or hides (control, bidirectional, zero width, half of a pair) written as its code. Such
a text can stand in a database, a terminal, CSV, XLSX, JSON and HTML. Opens no file: the name as it is does.
"""

from __future__ import annotations

import re

LONGEST = 200


def name_to_text(name: str) -> str:
    """The name as it is stored and shown."""
    last = next((part for part in reversed(re.split(r"[/\\]", name)) if part.strip(" .")), "unnamed")
    shown = "".join(one if one.isprintable() else f"<U+{ord(one):04X}>" for one in last)
    return shown if len(shown) <= LONGEST else f"{shown[: LONGEST - 20]}…{shown[-19:]}"
