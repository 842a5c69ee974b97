"""The names of a sheet's parts that a painted chart prints, in any direction, over lines too.

Comes in: a grey picture, the same without its lines, the names the sheet knows. Goes out: PrintedNames: what
is printed, where, and whether both recognisers read it. Texts that are no names of the sheet are left out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.ink import Letter
from extract.charts.naming import squeeze
from extract.charts.pixels.hues import Colour
from extract.charts.pixels.lettered import crop_to_tile, tiles_to_sheet
from extract.charts.pixels.marks import ink_to_colour
from extract.charts.pixels.painted import Painted
from extract.charts.pixels.strips import curves_to_strips
from extract.scans.recognisers import SeenLine, crops_to_texts, grey_to_quads
from extract.scans.second_recogniser import lines_to_second_texts

Grey = NDArray[numpy.uint8]
Quad = NDArray[numpy.float64]
Curve = tuple[Sequence[tuple[float, float]], float]

FIND_PX = 1600  # the picture is looked at so large
LEAST_SURE = 0.6  # of the first recogniser
LEAST_NAME = 4  # signs of a name that is looked for
LEAST_HIGH_PX = 6
SAME_PLACE = 0.5  # of its height: two finds of one name stand no farther apart
_LOOKALIKES = str.maketrans("OQILSZBG", "00115286")


@dataclass(frozen=True, slots=True)
class PrintedName:
    """A name as printed; the middles of its left and right edge as it is read and its height, in pixels; the
    direction it is read in, in degrees, 90 upwards; whether both recognisers read it."""

    text: str
    start: tuple[float, float]
    end: tuple[float, float]
    high: float
    is_sure: bool

    @property
    def angle(self) -> float:
        """The direction it is read in: degrees, 0 to the right, 90 upwards."""
        return math.degrees(math.atan2(self.start[1] - self.end[1], self.end[0] - self.start[0])) % 360

    @property
    def corners(self) -> list[tuple[float, float]]:
        """Its four corners."""
        (ax, ay), (bx, by) = self.start, self.end
        long = math.hypot(bx - ax, by - ay) or 1.0
        dx, dy = (ay - by) / long * self.high / 2, (bx - ax) / long * self.high / 2
        return [(ax - dx, ay - dy), (bx - dx, by - dy), (bx + dx, by + dy), (ax + dx, ay + dy)]


def grey_to_names(
    grey: Grey, clean: Grey, names: Sequence[str], angles: Sequence[float]
) -> list[PrintedName]:
    """The names printed in a picture, read in each of the directions (degrees, 90 upwards) in turn."""
    found: list[PrintedName] = []
    for angle in angles:
        forth, size = _turn(grey.shape, angle)
        back = cv2.invertAffineTransform(forth)
        for text, quad, is_sure in _sheet_to_quads(
            _warped(grey, forth, size), _warped(clean, forth, size), names
        ):
            one = _to_printed(text, cv2.transform(quad[None], back)[0], is_sure)
            found += [one] if not any(_is_same(one, other) for other in found) else []
    return found


def curves_to_names(
    looks: tuple[Grey, Grey], curves: Sequence[Curve], names: Sequence[str], scale: float
) -> list[PrintedName]:
    """The names printed along curves (points and width): above them, in the picture without its grid, or on
    them, in the picture. `scale` is how many pixels go to a point."""
    found: list[PrintedName] = []
    for look, is_wiped in zip(looks, (True, False), strict=True):
        strips = curves_to_strips(look, curves, scale, is_wiped)
        if strips is None:
            continue
        for text, quad, is_sure in _sheet_to_quads(strips.sheet, strips.sheet, names):
            corners = numpy.array([strips.to_picture(*corner) for corner in quad])
            one = _to_printed(text, corners, is_sure)
            found += [one] if not any(_is_same(one, other) for other in found) else []
    return found


def _sheet_to_quads(sheet: Grey, witness: Grey, names: Sequence[str]) -> list[tuple[str, Quad, bool]]:
    """The names that are printed level on a sheet: text, corners, and whether the second recogniser reads the
    same on its witness."""
    known = [name for name in names if len(squeeze(name)) >= LEAST_NAME]
    if not known:
        return []
    quads = [_to_level(quad) for quad in grey_to_quads(sheet, min(1.0, FIND_PX / max(sheet.shape)))]
    quads = [quad for quad in quads if _height(quad) >= LEAST_HIGH_PX]
    texts = crops_to_texts([_quad_to_crop(sheet, quad) for quad in quads])
    named = [
        (text, quad)
        for (said, sure), quad in zip(texts, quads, strict=True)
        if sure >= LEAST_SURE and (text := text_to_known(said, known))
    ]
    sure = _borne_out([quad for _, quad in named], [text for text, _ in named], witness)
    return [(text, quad, is_sure) for (text, quad), is_sure in zip(named, sure, strict=True)]


def text_to_known(text: str, names: Sequence[str]) -> str:
    """A text that is names of the sheet, one or several parted by commas, as printed; with letters that look
    like digits put right where that makes it one name only. Empty if it is none."""
    pieces = [piece.strip(" -.,;:|_'") for piece in text.split(",")]
    pieces = [piece for piece in pieces if piece]
    known = {squeeze(name) for name in names}
    said = []
    for piece in pieces:
        if squeeze(piece) in known:
            said.append(piece)
            continue
        alike = [name for name in names if _looks(name) == _looks(piece)]
        if len(alike) != 1:
            return ""
        said.append(alike[0])
    return ", ".join(said)


def _looks(text: str) -> str:
    return squeeze(text).translate(_LOOKALIKES)


def _turn(shape: tuple[int, ...], angle: float) -> tuple[NDArray[numpy.float64], tuple[int, int]]:
    """The turn that lays a direction level, and the size of the turned picture."""
    high, wide = shape[:2]
    forth = cv2.getRotationMatrix2D((wide / 2, high / 2), -angle, 1.0)
    across, along = abs(forth[0, 0]), abs(forth[0, 1])
    size = (int(high * along + wide * across) + 1, int(high * across + wide * along) + 1)
    forth[0, 2] += (size[0] - wide) / 2
    forth[1, 2] += (size[1] - high) / 2
    return numpy.asarray(forth), size


def _warped(grey: Grey, forth: NDArray[numpy.float64], size: tuple[int, int]) -> Grey:
    drawn = cv2.warpAffine(grey, forth, size, flags=cv2.INTER_LINEAR, borderValue=(255,))
    return numpy.asarray(drawn, dtype=numpy.uint8)


def _to_level(quad: NDArray[numpy.float64]) -> Quad:
    """Corners from the upper left in the direction of reading."""
    corners = numpy.asarray(quad, dtype=numpy.float64)
    wide, high = numpy.hypot(*(corners[1] - corners[0])), numpy.hypot(*(corners[3] - corners[0]))
    return corners if wide >= high else numpy.roll(corners, 1, axis=0)


def _height(quad: Quad) -> float:
    return float(numpy.hypot(*(quad[3] - quad[0])))


def _quad_to_crop(grey: Grey, quad: Quad) -> Grey:
    """The part of a picture within four corners, level."""
    wide = max(1, round(float(numpy.hypot(*(quad[1] - quad[0])))))
    high = max(1, round(_height(quad)))
    level = numpy.array([(0, 0), (wide, 0), (wide, high), (0, high)], numpy.float32)
    turn = cv2.getPerspectiveTransform(quad.astype(numpy.float32), level)
    drawn = cv2.warpPerspective(
        grey, turn, (wide, high), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    return numpy.asarray(drawn, dtype=numpy.uint8)


def _borne_out(quads: Sequence[Quad], texts: Sequence[str], clean: Grey) -> list[bool]:
    """Whether the second recogniser reads each text too, in the picture without its lines."""
    if not quads:
        return []
    sheet, boxes = tiles_to_sheet([crop_to_tile(_quad_to_crop(clean, quad)) for quad in quads])
    lines = [SeenLine(box, text, 1.0) for box, text in zip(boxes, texts, strict=True)]
    looks = lines_to_second_texts(sheet, lines, _is_seen)
    return [_is_seen(text, own) for text, own in zip(texts, looks, strict=True)]


def _is_seen(text: str, looks: Sequence[str]) -> bool:
    return any(squeeze(look) == squeeze(text) for look in looks)


def _to_printed(text: str, quad: Quad, is_sure: bool) -> PrintedName:
    left, right = (quad[0] + quad[3]) / 2, (quad[1] + quad[2]) / 2
    return PrintedName(
        text, (float(left[0]), float(left[1])), (float(right[0]), float(right[1])), _height(quad), is_sure
    )


def _is_same(one: PrintedName, other: PrintedName) -> bool:
    """Whether two names are one, found in two directions."""
    middles = [((n.start[0] + n.end[0]) / 2, (n.start[1] + n.end[1]) / 2) for n in (one, other)]
    return math.dist(*middles) < SAME_PLACE * max(one.high, other.high)


def name_to_letters(name: PrintedName, painted: Painted, colours: Sequence[Colour]) -> list[Letter]:
    """The letters of a name, its length shared out among them."""
    inked = numpy.zeros(painted.rgb.shape[:2], numpy.uint8)
    cv2.fillConvexPoly(inked, numpy.array(name.corners, dtype=numpy.int32), (1,))
    colour = ink_to_colour(painted.rgb[inked > 0], colours)
    (ax, ay), (bx, by) = painted.to_page(*name.start), painted.to_page(*name.end)
    count, high = len(name.text), name.high / painted.scale
    turn = math.radians(name.angle)
    across, along = abs(math.cos(turn)), abs(math.sin(turn))
    each = math.hypot(bx - ax, by - ay) / count
    half_wide, half_high = (each * across + high * along) / 2, (each * along + high * across) / 2
    letters = []
    for at, sign in enumerate(name.text):
        if sign.isspace():
            continue
        x, y = ax + (bx - ax) * (at + 0.5) / count, ay + (by - ay) * (at + 0.5) / count
        box = (x - half_wide, y - half_high, x + half_wide, y + half_high)
        is_spaced = at == 0 or name.text[at - 1].isspace()
        letters.append(Letter(sign, box, name.angle, high, colour, 0, is_spaced))
    return letters
