"""The colours of the lines in a painted chart.

Comes in: colours of pixels. Goes out: a few colours and for each a mask of the pixels that have it. Dark
lines without a hue are one colour. Follows no line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.pixels.painted import Pixels

Mask = NDArray[numpy.uint8]
Colour = tuple[int, int, int]

VIVID, VIVID_SHARE = 12, 0.2  # of 255, and of its darkness: so far apart are the colours of a hue at least
INKED = 60  # of 255: so much darker than paper is the darkest colour of a hue
HUELESS = 25  # of 255: colours that differ by less among themselves are black or grey
APART = 36.0  # lines of one hue whose middles differ by more are of two colours: brown and orange
SPREAD_PX, HUE_PX = 5, 3  # a JPEG spreads the hue of a thin line over so many pixels
DARK = 110  # of 255: darker than this without a hue is black
BINS = 36  # of the circle of hues
LEAST_SHARE = 0.004  # of the vivid pixels: a hue of fewer is none
REACH = 2  # bins that a hue reaches to either side of its peak


@dataclass(frozen=True, slots=True)
class Painting:
    """One colour and where it is painted: without the grid, and with it."""

    colour: Colour
    mask: Mask
    inked: Mask


def rgb_to_paintings(rgb: Pixels) -> tuple[Painting, ...]:
    """The colours of lines: each hue with a peak of its own, and black."""
    high, low = rgb.max(axis=2), rgb.min(axis=2)
    vivid = _to_vivid(high, low)
    found = []
    if vivid.any():
        mixed = cv2.blur(rgb, (HUE_PX, HUE_PX))
        hues = cv2.cvtColor(mixed, cv2.COLOR_RGB2HSV_FULL)[:, :, 0].astype(numpy.int16) * BINS // 256
        counts = numpy.bincount(hues[vivid], minlength=BINS)
        nearest = _bins_to_peaks(counts)
        for peak in sorted(set(nearest.values())):
            own = numpy.isin(hues, [b for b, p in nearest.items() if p == peak]) & vivid
            found.append(_to_painting(rgb, own))
    dark = (high < DARK) & ~vivid
    if dark.any():
        found.append(_to_painting(rgb, dark))
    return tuple(found)


def _to_vivid(high: Mask, low: Mask) -> NDArray[numpy.bool_]:
    """The inked pixels whose surroundings have a hue, for how dark they are."""
    spread = cv2.blur((high - low).astype(numpy.float32), (SPREAD_PX, SPREAD_PX))
    depth = cv2.blur((255 - low).astype(numpy.float32), (SPREAD_PX, SPREAD_PX))
    return numpy.asarray((spread > VIVID) & (spread > VIVID_SHARE * depth) & (255 - low > INKED))


def _bins_to_peaks(counts: NDArray[numpy.int64]) -> dict[int, int]:
    """Each bin of hues with the peak it belongs to: bins that climb to the same one."""
    smooth = counts + (numpy.roll(counts, 1) + numpy.roll(counts, -1)) / 2
    peaks = [
        b
        for b in range(BINS)
        if smooth[b] > LEAST_SHARE * smooth.sum()
        and smooth[b] >= smooth[b - 1]
        and smooth[b] > smooth[(b + 1) % BINS]
    ]
    found = {}
    for b in range(BINS):
        near = [(min(abs(b - p), BINS - abs(b - p)), p) for p in peaks]
        if near and min(near)[0] <= REACH:
            found[b] = min(near)[1]
    return found


def _to_painting(rgb: Pixels, own: NDArray[numpy.bool_]) -> Painting:
    mask = own.astype(numpy.uint8)
    return Painting(_middle(rgb, own), mask, mask)


def _middle(rgb: Pixels, mask: NDArray[numpy.bool_]) -> Colour:
    red, green, blue = (int(value) for value in numpy.median(rgb[mask], axis=0))
    return red, green, blue


def line_to_colour(rgb: Pixels, points: Sequence[tuple[float, float]]) -> Colour:
    """The colour in the middle of a line."""
    at = numpy.array(points, dtype=numpy.int64)
    columns, rows = at[:, 0].clip(0, rgb.shape[1] - 1), at[:, 1].clip(0, rgb.shape[0] - 1)
    red, green, blue = (int(value) for value in numpy.median(rgb[rows, columns], axis=0))
    return red, green, blue


def colours_to_told(colours: Sequence[Colour]) -> list[Colour]:
    """For each colour that of its kind: colours that lie close, and what lies close to these, are one; so are
    all that have no hue, whose depth is that of their width."""
    if not colours:
        return []
    if all(max(colour) - min(colour) < HUELESS for colour in colours):
        return [_mean(colours)] * len(colours)
    kinds: list[list[Colour]] = []
    for colour in colours:
        near = [kind for kind in kinds if any(math.dist(colour, other) < APART for other in kind)]
        kinds = [kind for kind in kinds if kind not in near]
        kinds.append([colour, *(other for kind in near for other in kind)])
    told = {colour: _mean(kind) for kind in kinds for colour in kind}
    return [told[colour] for colour in colours]


def _mean(colours: Sequence[Colour]) -> Colour:
    red, green, blue = (round(sum(parts) / len(colours)) for parts in zip(*colours, strict=True))
    return red, green, blue
