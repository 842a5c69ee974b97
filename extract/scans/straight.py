"""A scanned page set straight: quarter turns and a slight tilt.

Comes in: a grey page. Goes out: the page with its lines level, and by how much it was turned. Rests on the
lines
of text and rules: level, they leave the darkest and the lightest rows.
"""

from __future__ import annotations

import cv2
import numpy

from extract.scans.picture import Grey

MOST_TILT_DEG = 4.0
COARSE_DEG, FINE_DEG = 0.25, 0.025
WIDE_PX = 1200  # the tilt is looked for on a page this wide: one dot is then 0.05 degrees


def grey_to_straight(grey: Grey) -> tuple[Grey, float]:
    """The page turned about its middle until its lines are level, and the turn, degrees clockwise as seen."""
    tilt_deg = grey_to_tilt_deg(grey)
    if abs(tilt_deg) < FINE_DEG:
        return grey, 0.0
    height, width = grey.shape
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), -tilt_deg, 1.0)
    level = cv2.warpAffine(grey, turn, (width, height), flags=cv2.INTER_CUBIC, borderValue=255)
    return numpy.asarray(level, dtype=numpy.uint8), tilt_deg


def grey_to_tilt_deg(grey: Grey) -> float:
    """How far the lines of a page fall to the left, degrees: turning it clockwise by so much levels them."""
    scale = min(1.0, WIDE_PX / grey.shape[1])
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    ink = (255 - small).astype(numpy.float32)
    ink[ink < 60] = 0  # paper and light shading
    best = _best(ink, numpy.arange(-MOST_TILT_DEG, MOST_TILT_DEG + 1e-9, COARSE_DEG))
    return float(round(_best(ink, numpy.arange(best - COARSE_DEG, best + COARSE_DEG + 1e-9, FINE_DEG)), 3))


def _best(ink: numpy.ndarray, angles_deg: numpy.ndarray) -> float:
    return float(max(angles_deg, key=lambda angle: _levelness(ink, float(angle))))


def _levelness(ink: numpy.ndarray, angle_deg: float) -> float:
    """How sharply ink and paper part by rows after a clockwise turn."""
    height, width = ink.shape
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), -angle_deg, 1.0)
    rows = cv2.warpAffine(ink, turn, (width, height), flags=cv2.INTER_LINEAR).sum(axis=1)
    return float(numpy.square(numpy.diff(rows)).sum())
