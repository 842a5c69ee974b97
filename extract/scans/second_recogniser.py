"""The second recogniser of text, Tesseract (tesserocr), which shares nothing with the first.

Comes in: a grey page, level, and the lines that the first found. Goes out: what Tesseract reads in their
boxes. Decides nothing. It is optional: the extra `scans`, and Tesseract's language data of the system.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import cv2
import numpy

from extract.scans.glyphs import box_to_inked
from extract.scans.lines_of_ink import DARK
from extract.scans.picture import DPI, Grey
from extract.scans.recognisers import SeenLine, grey_to_crop

LEAST_PX = 8  # a lower line of ink is a dash or points: it is not drawn as high as a letter
TESSDATA = (
    "/usr/share/tesseract-ocr/5/tessdata",
    "/usr/share/tesseract-ocr/4.00/tessdata",
    "/usr/share/tessdata",
    "/usr/local/share/tessdata",
    "/opt/homebrew/share/tessdata",
)
THREADS = "OMP_THREAD_LIMIT"
NUMBER_SIGNS = "0123456789.,-+/%"
DEGREE_SIGNS = "0123456789.,-+°C"
_NUMERIC = re.compile(r"[-+−–±]?[\d.,/%+-]+")
_DEGREES = re.compile(r"[-+−–±]?\d[\d.,]* ?[°º˚oO0]?[C℃c]?")


@dataclass(frozen=True, slots=True)
class Look:
    """One way in which Tesseract looks at a line: its ink so many dots high, framed so widely, as one line,
    as it comes (`raw`) or as one letter, black on white (`bare`), and whether it may read any sign or those
    of numbers."""

    high_px: int
    frame_px: int
    raw: bool = False
    bare: bool = False
    numbers: bool = False
    letter: bool = False


LOOKS = (Look(32, 15), Look(36, 15, raw=True), Look(48, 20, bare=True, numbers=True))
"""Cut to its ink and drawn 32 dots high, a number is read right at 98 of 100 first looks; cut as found, with
the stripes of a shaded row or the line above, at half of the hard ones. What one look misses, another may
see."""

LETTER_LOOK = Look(60, 15, letter=True)


def tesseract_data() -> str:
    """The folder of Tesseract's language data, or empty where Tesseract or its data are not installed."""
    if find_spec("tesserocr") is None:
        return ""
    folders = (os.environ.get("TESSDATA_PREFIX", ""), *TESSDATA)
    return next((f for f in folders if f and (Path(f) / "eng.traineddata").is_file()), "")


def lines_to_second_texts(
    grey: Grey, lines: Sequence[SeenLine], is_settled: Callable[[str, Sequence[str]], bool]
) -> list[tuple[str, ...]]:
    """What Tesseract reads in the box of each line, look by look until they settle the line's text; nothing
    where it is not installed. It sees the picture only, never the first recogniser's text; of that it is told
    one thing: whether the line looks like a number, or like a temperature."""
    folder = tesseract_data()
    if not folder:
        return [() for _ in lines]
    tesserocr = _tesseract()
    with tesserocr.PyTessBaseAPI(path=folder, lang="eng", psm=tesserocr.PSM.SINGLE_LINE) as api:
        return [_line_to_looks(api, grey, line, is_settled) for line in lines]


def _line_to_looks(
    api: Any, grey: Grey, line: SeenLine, is_settled: Callable[[str, Sequence[str]], bool]
) -> tuple[str, ...]:
    crop = grey_to_inked(grey_to_dark_on_light(grey_to_crop(grey, line.box, 1)))
    text = line.text.strip()
    signs = NUMBER_SIGNS if _NUMERIC.fullmatch(text) else DEGREE_SIGNS if _DEGREES.fullmatch(text) else ""
    looks = LOOKS if any(sign.isdigit() for sign in text) else LOOKS[:1]  # of words, one is enough
    texts: list[str] = []
    for look in looks:
        allowed = signs if look.numbers or signs == DEGREE_SIGNS else ""
        api.SetVariable("tessedit_char_whitelist", allowed)
        texts.append(_look_at(api, crop, look))
        if is_settled(text, texts):
            break
    return tuple(texts)


def greys_to_letters(greys: Sequence[Grey]) -> list[str]:
    """What Tesseract reads in each picture of one letter; empty where it is not installed."""
    folder = tesseract_data()
    if not folder or not greys:
        return [""] * len(greys)
    tesserocr = _tesseract()
    with tesserocr.PyTessBaseAPI(path=folder, lang="eng", psm=tesserocr.PSM.SINGLE_CHAR) as api:
        return [_look_at(api, grey_to_inked(grey_to_dark_on_light(grey)), LETTER_LOOK) for grey in greys]


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


def grey_to_inked(crop: Grey) -> Grey:
    """The crop cut to the ink of its own line: stripes of a shaded row and feet of the line above go."""
    height, width = crop.shape
    box = box_to_inked((0, 0, width, height), crop < DARK)
    return crop if box is None else crop[box[1] : box[3], box[0] : box[2]]


def _look_at(api: Any, crop: Grey, look: Look) -> str:
    from PIL import Image

    scale = look.high_px / max(crop.shape[0], LEAST_PX)
    drawn = cv2.resize(crop, None, fx=scale, fy=scale, interpolation=cv2.INTER_CUBIC)
    if look.bare:
        _, drawn = cv2.threshold(drawn, 0, 255, cv2.THRESH_OTSU)
    edge = look.frame_px
    framed = cv2.copyMakeBorder(drawn, edge, edge, edge, edge, cv2.BORDER_CONSTANT, value=255)
    modes = _tesseract().PSM
    own = modes.SINGLE_CHAR if look.letter else modes.RAW_LINE if look.raw else modes.SINGLE_LINE
    api.SetPageSegMode(own)
    api.SetImage(Image.fromarray(framed))
    api.SetSourceResolution(DPI)
    return str(api.GetUTF8Text()).strip()
