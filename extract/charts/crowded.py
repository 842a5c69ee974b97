"""Pages that hold more ink than is looked at: given up with a note.

Comes in: the number of a page; limits.toml. Goes out: how much is looked at, and the note. Reads no page.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from extract.schema import Finding, Place, Severity

CHART_CROWDED = "chart-crowded"


@lru_cache(maxsize=1)
def most_strokes() -> int:
    """Lines and areas that are looked at on one page."""
    text = (files("extract.charts") / "limits.toml").read_text(encoding="utf-8")
    return int(tomllib.loads(text)["page"]["strokes"])


def page_to_crowded(number: int, document: str) -> Finding:
    """The note that the charts of a page were given up."""
    told = f"a page holds more lines and areas than are looked at, and its charts are not read; page {number}"
    place = Place(number, 0.0, 0.0, 0.0, 0.0)
    return Finding(
        CHART_CROWDED, Severity.NOTE, told, "more", f"at most {most_strokes()}", document, place=place
    )
