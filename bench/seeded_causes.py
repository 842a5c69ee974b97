"""Whether a finding names the cause of a planted error.

Comes in: the kind planted and a finding. Goes out: right, wrong, or nothing said. Checks no table.
"""

from __future__ import annotations

from extract.parts_table import TableFinding

CAUSES: dict[str, tuple[str, ...]] = {
    "x 10": ("decimal point",), "/ 10": ("decimal point",),
    "x 1000": ("unit slip", "factor of 1000", "another unit"),
    "/ 1000": ("unit slip", "factor of 0.001", "another unit"),
    "digits transposed": ("digits swapped", "transposed", "decimal point: a factor of 0.1"),
    "footnote digit glued": ("digit too many", "footnote"),
    "dash glued as minus": ("sign lost", "minus"),
    "letter for a digit": ("look-alike", "letter"),
    "digit missing": ("digit is missing", "decimal point"),
    "comma for a point": ("comma",),
    "date for a number": ("date",),
    "hold and trip swapped": ("swapped", "exchanged"),
    "V and I swapped": ("exchanged",),
    "Rmin and R1max swapped": ("exchanged", "swapped"),
    "derating neighbours swapped": ("exchanged", "swapped"),
    "cell of the neighbouring row": ("another part", "copied", "equals that of"),
    "cell of the neighbouring column": ("another column", "neighbouring column"),
    "column shifted down": ("one row", "slipped"), "column shifted up": ("one row", "slipped"),
    "column shifted, no gap": ("one row",),
    "row shifted one column left": ("one column",), "row shifted one column right": ("one column",),
    "other usual test current": ("test current", "states the time at", "stated at"),
    "minus sign of a heading lost": ("minus sign", "sign is lost"),
    "row typed twice, differing": ("stands in rows",),
    "rows slid one part lower": ("stand one row",), "rows slid one part higher": ("stand one row",),
    "rows slid, nothing blank": ("stand one row",),
    "part numbers exchanged": ("exchanged",), "cells of two rows exchanged": ("exchanged", "another part"),
    "headings exchanged": ("exchanged",), "unit of a heading": ("another unit",),
    "heading says another limit": ("are those of",),
}
"""Kind → words of which one stands in a cause that is right; a kind without words has no cause to name."""


def finding_to_cause(kind: str, finding: TableFinding) -> bool | None:
    """Whether the cause is right; None where none is given, or the kind has none."""
    words = CAUSES.get(kind)
    if words is None:
        return None
    said = f"{finding.cause}; {finding.message}"
    if any(word in said for word in words):
        return True
    return False if finding.cause else None
