"""The ohm sign, which neither recogniser knows: told by its shape.

Comes in: a recognised line, the page's ink. Goes out: the line with Ω where its ink stands, in place of the
sign it was taken for, or where nothing was read. Changes nothing else, and never a digit outside brackets.

     ***       round above,
    *   *      two sides,
    *   *      no closed hole,
    ** **      two feet with a gap between
"""

from __future__ import annotations

import re
from dataclasses import replace

import cv2
import numpy
from numpy.typing import NDArray

from extract.scans.glyphs import box_to_inked, ink_to_runs
from extract.scans.recognisers import SeenLine

_IS_UNIT = re.compile(r"(?:[\[(（【]|\d) ?[mkM]? ?Ω ?(?:[\])）】]|$)")
_TWICE = re.compile(r"Ω[2Q](?=\s*[\])）】])")  # its feet read as a sign of their own
TAKEN_FOR = frozenset("QOoUuncCDGaΩ&@?口")
IN_BRACKETS = TAKEN_FOR | frozenset("0923568")
OPEN, CLOSE = "([（【", ")]）】"
LEAST_HEIGHT = 0.45  # of the line's: a sign lower than that is no capital letter
EDGE = 0.14  # of the sign: how deep its uppermost and lowest rows are
SAME_PLACE = 0.5  # of the narrower width: strokes that overlap so far are one sign
FOOT = 0.18  # of the width: a foot is wider than a stem
SLIM, STOUT = 0.6, 1.5  # width over height


def line_with_ohm(line: SeenLine, ink: NDArray[numpy.bool_]) -> SeenLine:
    """The line with its ohm signs; as it was where there are none, or ink and signs cannot be matched."""
    line = replace(line, text=_TWICE.sub("Ω", line.text))
    box = box_to_inked(line.box, ink)
    signs = [sign for sign in line.text if not sign.isspace()]
    if box is None or not signs or not _may_hold_ohm(line.text):
        return line
    x0, top, x1, bottom = box
    part = ink[top:bottom, x0:x1]
    marks = ink_to_marks(part)
    if len(marks) not in (len(signs), len(signs) + 1):
        return line
    at = [n for n, mark in enumerate(marks) if is_ohm(mark)]
    if not at or (len(at) > 1 and len(marks) > len(signs)):
        return line
    text = line.text
    for place in at:
        text = _with_sign(text, place, is_missing=len(marks) > len(signs))
    return replace(line, text=text) if _IS_UNIT.search(text) else line


def ink_to_marks(part: NDArray[numpy.bool_]) -> list[NDArray[numpy.bool_]]:
    """The signs of a line from left to right, each cut out alone; strokes above one another are one sign."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(part.astype(numpy.uint8), connectivity=8)
    order = sorted((n for n in range(1, count) if stats[n][4] > 3), key=lambda n: int(stats[n][0]))
    groups: list[list[int]] = []
    for n in order:
        left, width = int(stats[n][0]), int(stats[n][2])
        last = max((int(stats[m][0] + stats[m][2]) for m in groups[-1]), default=0) if groups else 0
        if groups and last - left > SAME_PLACE * min(width, int(stats[groups[-1][0]][2])):
            groups[-1].append(n)
        else:
            groups.append([n])
    return [_cut(numpy.isin(labels, group)) for group in groups]


def _cut(mark: NDArray[numpy.bool_]) -> NDArray[numpy.bool_]:
    columns = numpy.flatnonzero(mark.any(axis=0))
    return mark[:, columns[0] : columns[-1] + 1]


def _may_hold_ohm(text: str) -> bool:
    """Whether an ohm sign may stand in a text: beside brackets, or after a number."""
    return any(sign in OPEN or sign in CLOSE for sign in text) or text[:1].isdigit()


def _with_sign(text: str, place: int, is_missing: bool) -> str:
    """The text with Ω as its sign number `place`, blanks not counted."""
    places = [n for n, sign in enumerate(text) if not sign.isspace()]
    if is_missing:
        at = places[place] if place < len(places) else len(text)
        return f"{text[:at]}Ω{text[at:]}"
    at = places[place]
    closed = place + 1 < len(places) and text[places[place + 1]] in CLOSE
    known = IN_BRACKETS if closed else TAKEN_FOR
    return f"{text[:at]}Ω{text[at + 1 :]}" if text[at] in known else text


def is_ohm(ink: NDArray[numpy.bool_]) -> bool:
    """Whether a cluster of ink, cut to its columns, has the shape of Ω."""
    rows = numpy.flatnonzero(ink.any(axis=1))
    if rows.size == 0 or rows[-1] - rows[0] + 1 < LEAST_HEIGHT * ink.shape[0]:
        return False
    sign = ink[rows[0] : rows[-1] + 1]
    height, width = sign.shape
    if height < 8 or not SLIM <= width / height <= STOUT or _holes(sign):
        return False
    edge = max(1, round(EDGE * height))
    above = ink_to_runs(numpy.asarray(sign[:edge].any(axis=0)))
    feet = ink_to_runs(numpy.asarray(sign[-edge:].any(axis=0)))
    sides = ink_to_runs(sign[height // 2])
    if len(above) != 1 or len(feet) != 2 or len(sides) != 2:
        return False
    middle = 0.5 * width
    return bool(
        above[0][0] > 0.1 * width
        and above[0][1] < 0.9 * width
        and feet[0][0] < 0.2 * width
        and feet[0][1] < middle < feet[1][0]
        and feet[1][1] > 0.8 * width
        and min(feet[0][1] - feet[0][0], feet[1][1] - feet[1][0]) > FOOT * width
        and sides[0][0] < 0.3 * width
        and sides[1][1] > 0.7 * width
    )


def _holes(sign: NDArray[numpy.bool_]) -> int:
    """How many closed holes a sign has."""
    ground = numpy.pad(~sign, 1, constant_values=True).astype(numpy.uint8)
    count, _, stats, _ = cv2.connectedComponentsWithStats(ground, connectivity=4)
    return sum(int(stats[n][4]) > 3 for n in range(1, count)) - 1
