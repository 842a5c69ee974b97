"""One page of a datasheet as a picture, as it is shown to a reader.

Comes in: a kept PDF and a page number. Goes out: PNG bytes and the page's size in points. Keeps the last
pictures; pdfium works on one page at a time. Reads no text.
"""

from __future__ import annotations

import io
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Any

from PIL.Image import Quantize

from extract.document import open_pdfium
from extract.errors import DocumentError

DOTS_PER_POINT = 2.0
LONGEST_DOTS = 3000
MAX_KEPT_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class PagePicture:
    """A page as PNG, with its size in points."""

    png: bytes
    width: float
    height: float


class PagePictures:
    """Pictures by SHA-256 and page; safe to ask from several threads.

    `one_at_a_time` is to be held by whoever works with pdfium, which knows no threads.
    """

    def __init__(self) -> None:
        self.one_at_a_time, self._kept, self._bytes = Lock(), OrderedDict[tuple[str, int], PagePicture](), 0

    def picture(self, path: Path, sha256: str, page: int) -> PagePicture:
        """The picture of a page counted from 1. Raises DocumentError if there is no such page."""
        with self.one_at_a_time:
            found = self._kept.get((sha256, page))
            if found is None:
                found = path_to_picture(path, page)
                self._keep((sha256, page), found)
            self._kept.move_to_end((sha256, page))
            return found

    def _keep(self, key: tuple[str, int], picture: PagePicture) -> None:
        self._kept[key] = picture
        self._bytes += len(picture.png)
        while self._bytes > MAX_KEPT_BYTES and len(self._kept) > 1:
            _, gone = self._kept.popitem(last=False)
            self._bytes -= len(gone.png)


def path_to_picture(path: Path, page: int) -> PagePicture:
    """Draw a page counted from 1, turned and cut as a reader sees it."""
    with open_pdfium(path, path.name) as pdf:
        if not 1 <= page <= len(pdf):
            raise DocumentError("page", f"{page}", f"1 to {len(pdf)}")
        drawn = pdf[page - 1]
        width, height = drawn.get_size()
        scale = min(DOTS_PER_POINT, LONGEST_DOTS / max(width, height))
        image: Any = drawn.render(scale=scale).to_pil()
    out = io.BytesIO()
    image.convert("RGB").quantize(64, method=Quantize.FASTOCTREE).save(out, "PNG")
    return PagePicture(out.getvalue(), width, height)
