"""The first recogniser of text, a neural one (rapidocr on onnxruntime).

Comes in: a grey page, level. Goes out: lines of text with boxes. Decides nothing. It is optional, as the
second is (second_recogniser.py): the extra `scans`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from itertools import pairwise
from typing import Any

import cv2
import numpy

from extract.scans.picture import Grey

Dots = tuple[int, int, int, int]
"""A box in dots of the page: x0, top, x1, bottom."""

FIND_AT = 0.7  # of the page's fineness: finer finds no more lines and takes twice as long
SHORT_CROP = [3, 48, 112]  # cells are short: padding them to the usual 320 takes three times as long
PAD_PX = 3


@dataclass(frozen=True, slots=True)
class SeenLine:
    """A line of text as one recogniser sees it: its box, text, and confidence from 0 to 1."""

    box: Dots
    text: str
    confidence: float


def neural_is_here() -> bool:
    """Whether the neural recogniser is installed."""
    return find_spec("rapidocr") is not None and find_spec("onnxruntime") is not None


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


def grey_to_quads(grey: Grey, at: float) -> list[numpy.ndarray]:
    """The four corners of each line of text that the neural recogniser finds, slanted ones too, from the
    upper left of the line as it is read."""
    small = cv2.resize(grey, None, fx=at, fy=at, interpolation=cv2.INTER_AREA)
    found = _neural()(cv2.cvtColor(small, cv2.COLOR_GRAY2BGR), use_det=True, use_cls=False, use_rec=False)
    return [] if found.boxes is None else [numpy.asarray(corners) / at for corners in found.boxes]


def crops_to_texts(crops: Sequence[Grey]) -> list[tuple[str, float]]:
    """What the neural recogniser reads in each picture of one line, and its confidence from 0 to 1."""
    if not crops:
        return []
    read = _neural().recognize_txt([cv2.cvtColor(crop, cv2.COLOR_GRAY2BGR) for crop in crops])
    return [(text, float(score)) for text, score in zip(read.txts or (), read.scores, strict=True)]


def boxes_to_seen_lines(grey: Grey, boxes: Sequence[Dots]) -> list[SeenLine]:
    """What the neural recogniser reads in each box; boxes in which it reads nothing are left out."""
    if not boxes:
        return []
    crops = [cv2.cvtColor(grey_to_crop(grey, box), cv2.COLOR_GRAY2BGR) for box in boxes]
    read = _neural().recognize_txt(crops)
    return [
        SeenLine(box, text, float(score))
        for box, text, score in zip(boxes, read.txts or (), read.scores, strict=True)
        if text.strip()
    ]


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


def grey_to_crop(grey: Grey, box: Dots, pad: int = PAD_PX) -> Grey:
    """The part of a page in a box and a little about it."""
    x0, top, x1, bottom = box
    return grey[max(0, top - pad) : bottom + pad, max(0, x0 - pad) : x1 + pad]
