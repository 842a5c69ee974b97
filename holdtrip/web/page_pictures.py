"""One page of a datasheet as a picture, as it is shown to a reader.

Comes in: a kept PDF and a page number. Goes out: PNG bytes, or a picture that says why there is none; the
sizes of pages in points. Each is made in a worker with limits, so that a page that takes long blocks no
other. Keeps the last pictures. Reads no text.
"""

from __future__ import annotations

import io
import textwrap
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import BoundedSemaphore, Lock
from typing import Any

from extract.document import open_pdfium
from extract.errors import DocumentError, HoldtripError
from extract.workers import Limits, Loss, Worker, loss_to_sentence
from holdtrip.library.records import StoredNumber
from holdtrip.web.sheet_boxes import NumberBoxes, path_to_boxes

MOST_DOTS = 6
LONGEST_DOTS = 5200
MAX_KEPT_BYTES = 64_000_000
PICTURE_LIMITS = Limits(cpu_s=15.0, max_bytes=1_000_000_000, deadline_s=60.0)
AT_ONCE = 3
"""So many workers draw at once; the others wait for them."""


_Key = tuple[str, int, int]
"""SHA-256, page, dots for each point."""


@dataclass(frozen=True, slots=True)
class PagePicture:
    """A page as PNG, with its size in points; `why_not` is empty, or says why this only stands in for it."""

    png: bytes
    width: float
    height: float
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class PictureJob:
    """What a worker is asked for: the picture of one page with so many dots for each point, the sizes of
    several (`sizes_of`), or where numbers stand (`boxes_of`)."""

    path: Path
    page: int = 0
    dots: int = 2
    boxes_of: tuple[StoredNumber, ...] = ()
    sizes_of: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureAnswer:
    """What it says: the picture, the sizes or the boxes, or one line that says why not."""

    picture: PagePicture | None = None
    sizes: tuple[tuple[int, float, float], ...] = ()
    boxes: tuple[NumberBoxes, ...] = ()
    error: str = ""


class PagePictures:
    """Pictures by SHA-256 and page; safe to ask from several threads."""

    def __init__(self, limits: Limits = PICTURE_LIMITS) -> None:
        self._limits, self._lock = limits, Lock()
        self._kept, self._bytes = OrderedDict[_Key, PagePicture](), 0
        self._sizes: dict[str, tuple[tuple[int, float, float], ...]] = {}
        self._idle: list[Worker] = []
        self._free, self._is_closed = BoundedSemaphore(AT_ONCE), False

    def picture(self, path: Path, sha256: str, page: int, dots: int) -> PagePicture:
        """The picture of a page counted from 1. Raises DocumentError if there is no such page."""
        key = sha256, page, dots
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
                return found
        answer = self._ask(PictureJob(path, page, dots))
        if isinstance(answer, Loss):
            picture = _stand_in(f"page {page}: {loss_to_sentence(answer, self._limits)}")
        elif answer.picture is None:
            raise DocumentError("page", f"{page}", answer.error)
        else:
            picture = answer.picture
        with self._lock:
            self._keep(key, picture)
        return picture

    def sizes(self, path: Path, sha256: str, pages: Sequence[int]) -> tuple[tuple[int, float, float], ...]:
        """Page, width and height in points of those pages that there are; none for a file that cannot be
        opened."""
        with self._lock:
            found = self._sizes.get(sha256)
        if found is None:
            answer = self._ask(PictureJob(path, sizes_of=tuple(pages)))
            found = () if isinstance(answer, Loss) else answer.sizes
            with self._lock:
                self._sizes[sha256] = found
        return found

    def boxes(self, path: Path, numbers: Sequence[StoredNumber]) -> tuple[NumberBoxes, ...]:
        """Where the numbers of a sheet stand; none for a file that cannot be opened or takes too much."""
        answer = self._ask(PictureJob(path, boxes_of=tuple(numbers)))
        return () if isinstance(answer, Loss) else answer.boxes

    def close(self) -> None:
        """End the workers."""
        with self._lock:
            self._is_closed, idle, self._idle = True, self._idle, []
        for worker in idle:
            worker.close()

    def _ask(self, job: PictureJob) -> PictureAnswer | Loss:
        with self._free:
            with self._lock:
                worker = self._idle.pop() if self._idle else None
            worker = worker or Worker("holdtrip.web.page_pictures:job_to_answer", self._limits)
            answer: PictureAnswer | Loss = worker.ask(job)
            with self._lock:
                is_kept = not (isinstance(answer, Loss) or worker.spent or self._is_closed)
                if is_kept:
                    self._idle.append(worker)
            if not is_kept:
                worker.close()
            return answer

    def _keep(self, key: _Key, picture: PagePicture) -> None:
        before = self._kept.pop(key, None)
        self._bytes += len(picture.png) - (len(before.png) if before is not None else 0)
        self._kept[key] = picture
        while self._bytes > MAX_KEPT_BYTES and len(self._kept) > 1:
            _, gone = self._kept.popitem(last=False)
            self._bytes -= len(gone.png)


def _stand_in(why: str) -> PagePicture:
    """A picture of the sentence that says why there is no picture of the page."""
    from PIL import Image, ImageDraw

    width, height = 595.0, 842.0
    image = Image.new("RGB", (int(width), int(height)), "white")
    drawing = ImageDraw.Draw(image)
    drawing.rectangle((20, 20, width - 20, 140), outline="black")
    drawing.text((34, 34), "\n".join(textwrap.wrap(f"No picture of {why}", 66)), fill="black", font_size=14)
    out = io.BytesIO()
    image.save(out, "PNG")
    return PagePicture(out.getvalue(), width, height, why)


# What follows runs in the worker.


def job_to_answer(job: PictureJob) -> PictureAnswer:
    """Draw a page, or measure pages, in this process."""
    try:
        if job.sizes_of:
            return PictureAnswer(sizes=_path_to_sizes(job.path, job.sizes_of))
        if job.boxes_of:
            return PictureAnswer(boxes=path_to_boxes(job.path, job.boxes_of))
        return PictureAnswer(path_to_picture(job.path, job.page, job.dots))
    except HoldtripError as error:
        return PictureAnswer(error=getattr(error, "expected", "") or str(error))


def _path_to_sizes(path: Path, pages: Sequence[int]) -> tuple[tuple[int, float, float], ...]:
    with open_pdfium(path, path.name) as pdf:
        return tuple((page, *pdf[page - 1].get_size()) for page in pages if page <= len(pdf))


def path_to_picture(path: Path, page: int, dots: int) -> PagePicture:
    """Draw a page counted from 1, turned and cut as a reader sees it, with so many dots for each point."""
    from PIL.Image import Quantize

    with open_pdfium(path, path.name) as pdf:
        if not 1 <= page <= len(pdf):
            raise DocumentError("page", f"{page}", f"1 to {len(pdf)}")
        drawn = pdf[page - 1]
        width, height = drawn.get_size()
        scale = min(float(dots), LONGEST_DOTS / max(width, height))
        image: Any = drawn.render(scale=scale).to_pil()
    out = io.BytesIO()
    image.convert("RGB").quantize(64, method=Quantize.FASTOCTREE).save(out, "PNG", compress_level=3)
    return PagePicture(out.getvalue(), width, height)
