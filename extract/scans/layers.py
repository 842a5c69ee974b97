"""The text that another program's recognition laid under a picture.

Comes in: a pdfium page, places on it. Goes out: what that text says at each place. It is somebody's
recognition: it can dispute a number and never confirms one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from extract.schema import Place


def page_to_layers(page: Any, places: Sequence[Place]) -> list[str]:
    """The text of the layer at each place, empty where there is none. A page turned by its own entry is not
    asked: its text has other coordinates."""
    textpage = page.get_textpage()
    if page.get_rotation() or not textpage.count_chars():
        return [""] * len(places)
    left, _, _, upper = page.get_cropbox()
    return [
        " ".join(
            str(
                textpage.get_text_bounded(
                    left + place.x0, upper - place.bottom, left + place.x1, upper - place.top
                )
            ).split()
        )
        for place in places
    ]
