"""When two part numbers are one: spaces, dashes, dots and capitals do not tell parts apart.

Comes in: a part number as printed or typed. Goes out: its folded form.
"""

from __future__ import annotations


def fold(part_number: str) -> str:
    """Letters and digits in lower case; a text without any, such as `*`, stays as it is."""
    return "".join(filter(str.isalnum, part_number)).casefold() or part_number.strip()
