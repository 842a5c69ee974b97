"""Two recognisers of text that share nothing: a neural one (rapidocr) and Tesseract (tesserocr).

Comes in: a grey page, level. Goes out: from the first, lines of text with boxes; from the second, the text
it sees
in given boxes. Decides nothing. Both are optional: the extra `scans`, and Tesseract's language data of the
system.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import Any

import cv2
import numpy

from extract.scans.picture import DPI, Grey

Dots = tuple[int, int, int, int]
"""A box in dots of the page: x0, top, x1, bottom."""

FIND_AT = 0.7  # of the page's fineness: finer finds no more lines and takes twice as long
SHORT_CROP = [3, 48, 112]  # cells are short: padding them to the usual 320 takes three times as long
PAD_PX = 3
TESSDATA = ("/usr/share/tesseract-ocr/5/tessdata", "/usr/share/tesseract-ocr/4.00/tessdata",
            "/usr/share/tessdata", "/usr/local/share/tessdata", "/opt/homebrew/share/tessdata")


THREADS = "OMP_THREAD_LIMIT"
NUMBER_SIGNS = "0123456789.,-+/%"


@dataclass(frozen=True, slots=True)
class Look:
    """One way in which Tesseract looks at a line: enlarged so much, framed so widely, numbers only or all."""

    scale: float
    frame_px: int
    numbers: bool


LOOKS = (Look(1.5, 15, False), Look(1.75, 15, True), Look(2.0, 20, True))
"""At the size of the scan the points of narrow numbers are lost; enlarged, each look alone misses two in a
hundred numbers, all three hardly one."""


@dataclass(frozen=True, slots=True)
class SeenLine:
    """A line of text as one recogniser sees it: its box, text, and confidence from 0 to 1."""

    box: Dots
    text: str
    confidence: float


def neural_is_here() -> bool:
    """Whether the neural recogniser is installed."""
    return find_spec("rapidocr") is not None and find_spec("onnxruntime") is not None


def tesseract_data() -> str:
    """The folder of Tesseract's language data, or empty where Tesseract or its data are not installed."""
    if find_spec("tesserocr") is None:
        return ""
    folders = (os.environ.get("TESSDATA_PREFIX", ""), *TESSDATA)
    return next((f for f in folders if f and (Path(f) / "eng.traineddata").is_file()), "")


def grey_to_boxes(grey: Grey, at: float = FIND_AT, cuts: Sequence[int] = ()) -> list[Dots]:
    """Where the neural recogniser finds lines of text on a page made coarser by `at`, from the top. It looks
    at one band of the page after the other, parted at the rows `cuts`: a third of a page needs half the
    memory of the whole."""
    edges = (0, *cuts, grey.shape[0])
    return [
        (x0, top + first, x1, bottom + first)
        for first, last in pairwise(edges)
        for x0, top, x1, bottom in _band_to_boxes(grey[first:last], at)
    ]


def _band_to_boxes(grey: Grey, at: float) -> list[Dots]:
    engine = _neural()
    small = cv2.resize(grey, None, fx=at, fy=at, interpolation=cv2.INTER_AREA)
    found = engine(cv2.cvtColor(small, cv2.COLOR_GRAY2BGR), use_det=True, use_cls=False, use_rec=False)
    if found.boxes is None:
        return []
    return [_corners_to_dots(corners / at, grey.shape) for corners in found.boxes]


def boxes_to_seen_lines(grey: Grey, boxes: Sequence[Dots]) -> list[SeenLine]:
    """What the neural recogniser reads in each box; boxes in which it reads nothing are left out."""
    if not boxes:
        return []
    crops = [cv2.cvtColor(_crop(grey, box), cv2.COLOR_GRAY2BGR) for box in boxes]
    read = _neural().recognize_txt(crops)
    return [
        SeenLine(box, text, float(score))
        for box, text, score in zip(boxes, read.txts or (), read.scores, strict=True)
        if text.strip()
    ]


def lines_to_second_texts(grey: Grey, lines: Sequence[SeenLine]) -> list[tuple[str, ...]]:
    """What Tesseract reads in the box of each line, once for each of its ways of looking; nothing where it
    is not installed. It sees the picture only, never the first recogniser's text; of that it is told one
    thing: whether the line looks like a number."""
    folder = tesseract_data()
    if not folder:
        return [() for _ in lines]
    tesserocr = _tesseract()
    texts: list[list[str]] = [[] for _ in lines]
    with tesserocr.PyTessBaseAPI(path=folder, lang="eng", psm=tesserocr.PSM.SINGLE_LINE) as api:
        for n, look in enumerate(LOOKS):
            for found, line in zip(texts, lines, strict=True):
                if n and not any(sign.isdigit() for sign in line.text):
                    continue  # of words, one look is enough
                numeric = sum(sign in NUMBER_SIGNS for sign in line.text) > 0.8 * len(line.text)
                api.SetVariable("tessedit_char_whitelist", NUMBER_SIGNS if numeric and look.numbers else "")
                found.append(_look_at(api, grey_to_dark_on_light(_crop(grey, line.box, 1)), look))
    return [tuple(found) for found in texts]


@lru_cache(maxsize=1)
def _tesseract() -> Any:
    """Tesseract's library, on one core: on a busy machine its threads wait for one another without end. It
    looks at the limit once, when it is loaded."""
    before = os.environ.get(THREADS)
    os.environ[THREADS] = "1"
    import tesserocr

    if before is None:
        del os.environ[THREADS]
    else:
        os.environ[THREADS] = before
    return tesserocr


def grey_to_dark_on_light(crop: Grey) -> Grey:
    """The crop with its ink black and its ground white, whichever of the two is printed dark."""
    low, high = (float(edge) for edge in numpy.percentile(crop, (2, 98)))
    spread = (crop.astype(numpy.float32) - low) * (255 / max(high - low, 1.0))
    if numpy.median(crop) < (low + high) / 2:
        spread = 255 - spread
    return numpy.asarray(numpy.clip(spread, 0, 255), dtype=numpy.uint8)


def _look_at(api: Any, crop: Grey, look: Look) -> str:
    from PIL import Image

    larger = cv2.resize(crop, None, fx=look.scale, fy=look.scale, interpolation=cv2.INTER_CUBIC)
    edge = look.frame_px
    framed = cv2.copyMakeBorder(larger, edge, edge, edge, edge, cv2.BORDER_CONSTANT, value=255)
    api.SetImage(Image.fromarray(framed))
    api.SetSourceResolution(DPI)
    return str(api.GetUTF8Text()).strip()


@lru_cache(maxsize=1)
def _neural() -> Any:
    """The neural recogniser with the models of its package, on one core."""
    from rapidocr import RapidOCR

    return RapidOCR(
        params={
            "Global.log_level": "critical",
            "Global.text_score": 0.0,
            "Global.max_side_len": 4000,
            "EngineConfig.onnxruntime.intra_op_num_threads": 1,
            "EngineConfig.onnxruntime.inter_op_num_threads": 1,
            "Det.max_candidates": 4000,
            "Rec.rec_img_shape": SHORT_CROP,
        }
    )


def _corners_to_dots(corners: numpy.ndarray, shape: tuple[int, ...]) -> Dots:
    (x0, top), (x1, bottom) = corners.min(axis=0), corners.max(axis=0)
    return max(0, int(x0)), max(0, int(top)), min(shape[1], int(x1) + 1), min(shape[0], int(bottom) + 1)


def _crop(grey: Grey, box: Dots, pad: int = PAD_PX) -> Grey:
    x0, top, x1, bottom = box
    return grey[max(0, top - pad) : bottom + pad, max(0, x0 - pad) : x1 + pad]
