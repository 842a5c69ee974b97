"""What is drawn and written on one page, as pdfium's objects hold it.

Comes in: a pdfium page. Goes out: Ink: strokes as polylines with their colour and width, letters with their
box and angle, boxes of pictures; all in points from the top left of the page as shown. What a clip cuts off
is cut off, what nobody can see is left out. Takes no more than InkLimits from a page: what is beyond is
counted, not read. Understands nothing of charts.
"""

from __future__ import annotations

import ctypes
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from extract.charts.cutting import cut_polyline
from extract.charts.painting import (
    SAME_MATRIX,
    Matrix,
    apply,
    multiply,
    object_to_colour,
    object_to_dashes,
    object_to_matrix,
    object_to_width,
)
from extract.hidden import page_to_hidden_glyphs
from extract.page import glyph_key

Point = tuple[float, float]
Box = tuple[float, float, float, float]

_BEZIER_STEPS, _BEZIER_PT = 12, 1.0  # a Bezier piece becomes so many straight ones, no shorter than that
FEW_SEGMENTS = 6
_EVERYWHERE: Box = (-1e6, -1e6, 1e6, 1e6)


@dataclass(frozen=True, slots=True)
class InkLimits:
    """What is taken from one page. objects: painted objects; segments: pieces of paths; depth: forms within
    forms; far_points: a coordinate beyond it is no place on a page."""

    objects: int = 40_000
    segments: int = 120_000
    depth: int = 6
    far_points: float = 50_000.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """One subpath. `width` in points (0 for a filled shape), `colour` of its line or, filled only, of its
    area; `order` counts the painted objects; `is_closed` if it returns to its beginning; `dashes` how long
    its dashes and gaps are, in points."""

    points: tuple[Point, ...]
    colour: tuple[int, int, int]
    width: float
    order: int
    is_filled: bool = False
    is_dashed: bool = False
    is_closed: bool = False
    dashes: tuple[float, ...] = ()
    box: Box = field(init=False, compare=False)

    def __post_init__(self) -> None:
        """The box of its points, which is asked for many times: x0, top, x1, bottom."""
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        object.__setattr__(self, "box", (min(xs), min(ys), max(xs), max(ys)))


@dataclass(frozen=True, slots=True)
class Letter:
    """One printed character: its box, the direction it is read in (degrees, 0 to the right, 90 upwards),
    its size in points, its colour, which text object it belongs to, and whether a blank stands before it."""

    text: str
    box: Box
    angle: float
    size: float
    colour: tuple[int, int, int] = (0, 0, 0)
    run: int = 0
    is_spaced: bool = False

    @property
    def mid(self) -> Point:
        """The middle of its box."""
        return (self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2


@dataclass(frozen=True, slots=True)
class Ink:
    """What stands on one page; `left_out` counts what was beyond the limits."""

    number: int
    width: float
    height: float
    strokes: tuple[Stroke, ...]
    letters: tuple[Letter, ...]
    pictures: tuple[Box, ...]
    left_out: int = 0


def page_to_drawing(page: Any, number: int, limits: InkLimits = InkLimits()) -> Ink:
    """What is drawn on a pdfium page, without its letters."""
    width, height, shown = _page_to_shown(page)
    taker = _Taker(shown, limits)
    taker.take_page(page)
    return Ink(number, width, height, tuple(taker.strokes), (), tuple(taker.pictures), taker.left_out)


def with_letters(ink: Ink, page: Any) -> Ink:
    """The same ink with what is written on its page."""
    return replace(ink, letters=tuple(_page_to_letters(page, _page_to_shown(page)[2])))


def _page_to_shown(page: Any) -> tuple[float, float, Callable[[float, float], Point]]:
    """Width and height of the page as shown, and how a point of the PDF gets there."""
    x0, y0, x1, y1 = page.get_mediabox()
    turn = page.get_rotation()
    wide, high = x1 - x0, y1 - y0
    turned: dict[int, Callable[[float, float], Point]] = {
        0: lambda x, y: (x - x0, y1 - y),
        90: lambda x, y: (y - y0, x - x0),
        180: lambda x, y: (x1 - x, y - y0),
        270: lambda x, y: (y1 - y, x1 - x),
    }
    size = (high, wide) if turn in (90, 270) else (wide, high)
    return *size, turned[turn]


class _Taker:
    """Takes the objects of a page one after the other until the limits are reached."""

    def __init__(self, shown: Callable[[float, float], Point], limits: InkLimits) -> None:
        self._shown, self._limits = shown, limits
        self._objects = self._segments = 0
        self.strokes: list[Stroke] = []
        self.pictures: list[Box] = []
        self.left_out = 0

    def take_page(self, page: Any) -> None:
        """Everything painted on a page."""
        import pypdfium2.raw as raw

        for index in range(raw.FPDFPage_CountObjects(page)):
            self._take(raw.FPDFPage_GetObject(page, index), SAME_MATRIX, _EVERYWHERE, 0)

    def _take(self, handle: Any, matrix: Matrix, clip: Box, depth: int) -> None:
        import pypdfium2.raw as raw

        self._objects += 1
        if self._objects > self._limits.objects:
            self.left_out += 1
            return
        kind = raw.FPDFPageObj_GetType(handle)
        if kind == raw.FPDF_PAGEOBJ_FORM and depth < self._limits.depth:
            inner = multiply(object_to_matrix(handle), matrix)
            within = self._clip(handle, matrix, clip)
            for index in range(raw.FPDFFormObj_CountObjects(handle)):
                self._take(raw.FPDFFormObj_GetObject(handle, index), inner, within, depth + 1)
        elif kind == raw.FPDF_PAGEOBJ_PATH:
            self._take_path(handle, matrix, clip)
        elif kind == raw.FPDF_PAGEOBJ_IMAGE:
            to_page = multiply(object_to_matrix(handle), matrix)
            corners = [self._shown(*apply(to_page, x, y)) for x in (0, 1) for y in (0, 1)]
            self.pictures.append(_points_to_box(corners))

    def _take_path(self, handle: Any, matrix: Matrix, clip: Box) -> None:
        import pypdfium2.raw as raw

        count = raw.FPDFPath_CountSegments(handle)
        self._segments += count
        if self._segments > self._limits.segments:
            self.left_out += count
            return
        mode, stroked = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(handle, ctypes.byref(mode), ctypes.byref(stroked))
        colour = object_to_colour(handle, bool(stroked.value))
        if colour is None or not (stroked.value or mode.value):
            return
        if not stroked.value and count <= FEW_SEGMENTS:
            self._take_area(handle, matrix, colour)
            return
        inner = object_to_colour(handle, False) if mode.value and count <= FEW_SEGMENTS else None
        if inner is not None and inner != colour:  # a box with an edge: the patch of a legend, perhaps
            self._take_area(handle, matrix, inner)
        to_page = multiply(object_to_matrix(handle), matrix)
        width = object_to_width(handle, to_page) if stroked.value else 0.0
        dashes = object_to_dashes(handle, to_page)
        within = self._clip(handle, matrix, clip)
        for points, is_closed in _path_to_subpaths(handle, count):
            shown = [self._shown(*apply(to_page, x, y)) for x, y in points]
            if any(not abs(v) < self._limits.far_points for point in shown for v in point):  # NaN too
                self.left_out += len(points)
                continue
            is_filled = bool(mode.value)
            for piece in cut_polyline(shown, within) if not is_filled else [shown]:
                if not is_filled or _overlap(_points_to_box(shown), within):
                    kind = (is_filled, bool(dashes), is_closed, dashes)
                    self.strokes.append(Stroke(tuple(piece), colour, width, self._objects, *kind))

    def _take_area(self, handle: Any, matrix: Matrix, colour: tuple[int, int, int]) -> None:
        """A filled area of few edges, as its box: pages hold thousands of them."""
        import pypdfium2.raw as raw

        edges = [ctypes.c_float() for _ in range(4)]
        raw.FPDFPageObj_GetBounds(handle, *map(ctypes.byref, edges))
        left, foot, right, head = (edge.value for edge in edges)
        corners = ((left, foot), (right, foot), (right, head), (left, head), (left, foot))
        points = tuple(self._shown(*apply(matrix, x, y)) for x, y in corners)
        if all(abs(v) < self._limits.far_points for point in points for v in point):
            self.strokes.append(Stroke(points, colour, 0.0, self._objects, True, False, True))

    def _clip(self, handle: Any, matrix: Matrix, clip: Box) -> Box:
        """The box that is left of the page for an object: its clip paths, as boxes, within those before."""
        import pypdfium2.raw as raw

        path = raw.FPDFPageObj_GetClipPath(handle)
        for index in range(min(raw.FPDFClipPath_CountPaths(path), 20) if path else 0):
            points = []
            for at in range(min(raw.FPDFClipPath_CountPathSegments(path, index), 200)):
                point = _segment_to_point(raw.FPDFClipPath_GetPathSegment(path, index, at))
                points.append(self._shown(*apply(matrix, *point)))
            if points:
                x0, top, x1, bottom = _points_to_box(points)
                clip = (max(clip[0], x0), max(clip[1], top), min(clip[2], x1), min(clip[3], bottom))
        return clip


def _points_to_box(points: list[Point]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _overlap(one: Box, other: Box) -> bool:
    return one[0] <= other[2] and other[0] <= one[2] and one[1] <= other[3] and other[1] <= one[3]


def _segment_to_point(segment: Any) -> Point:
    import pypdfium2.raw as raw

    x, y = ctypes.c_float(), ctypes.c_float()
    raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
    return x.value, y.value


def _path_to_subpaths(handle: Any, count: int) -> Iterator[tuple[list[Point], bool]]:
    """Its subpaths as polylines (Bezier pieces flattened), and whether each is closed."""
    import pypdfium2.raw as raw

    points: list[Point] = []
    controls: list[Point] = []
    for index in range(count):
        segment = raw.FPDFPath_GetPathSegment(handle, index)
        kind, point = raw.FPDFPathSegment_GetType(segment), _segment_to_point(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            if len(points) > 1:
                yield points, False
            points, controls = [point], []
        elif kind == raw.FPDF_SEGMENT_BEZIERTO:
            controls.append(point)
            if len(controls) == 3 and points:
                points += _bezier_to_points(points[-1], controls)
                controls = []
        else:
            points.append(point)
        if raw.FPDFPathSegment_GetClose(segment) and len(points) > 1:
            if points[-1] != points[0]:
                points.append(points[0])
            yield points, True
            points = points[:1]
    if len(points) > 1:
        yield points, False


def _bezier_to_points(start: Point, controls: list[Point]) -> list[Point]:
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = start, *controls
    found = []
    reach = abs(bx - ax) + abs(by - ay) + abs(cx - bx) + abs(cy - by) + abs(dx - cx) + abs(dy - cy)
    steps = max(2, min(_BEZIER_STEPS, int(reach / _BEZIER_PT)))
    for step in range(1, steps + 1):
        t = step / steps
        s = 1 - t
        p, q, r, u = s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t
        found.append((p * ax + q * bx + r * cx + u * dx, p * ay + q * by + r * cy + u * dy))
    return found


def _page_to_letters(page: Any, shown: Callable[[float, float], Point]) -> Iterator[Letter]:
    """The printed characters somebody can see, in the order of the text layer; blanks left out."""
    import pypdfium2.raw as raw

    textpage = page.get_textpage()
    is_hidden = _HiddenGlyphs(page, textpage)
    turn = page.get_rotation()
    edges = raw.FS_RECTF()
    runs: dict[int, int] = {}
    is_spaced = True
    for index in range(raw.FPDFText_CountChars(textpage)):
        text = chr(raw.FPDFText_GetUnicode(textpage, index))
        if text.isspace() or ord(text) < 32:
            is_spaced = True
            continue
        if is_hidden(index, text):
            continue
        raw.FPDFText_GetLooseCharBox(textpage, index, ctypes.byref(edges))
        box = _points_to_box([shown(edges.left, edges.bottom), shown(edges.right, edges.top)])
        angle = (-math.degrees(raw.FPDFText_GetCharAngle(textpage, index)) - turn) % 360
        run = _char_to_run(textpage, index, runs)
        size = _char_to_size(textpage, index)
        yield Letter(text, box, angle, size, _char_to_colour(textpage, index), run, is_spaced)
        is_spaced = False


class _HiddenGlyphs:
    """Tells which characters nobody can see; of equal ones at one place as many as are hidden."""

    def __init__(self, page: Any, textpage: Any) -> None:
        self._left = dict(page_to_hidden_glyphs(page))
        self._textpage = textpage

    def __call__(self, index: int, text: str) -> bool:
        import pypdfium2.raw as raw

        if not self._left:
            return False
        x, y = ctypes.c_double(), ctypes.c_double()
        raw.FPDFText_GetCharOrigin(self._textpage, index, ctypes.byref(x), ctypes.byref(y))
        key = glyph_key(text, x.value, y.value)
        if self._left.get(key, 0) <= 0:
            return False
        self._left[key] -= 1
        return True


def _char_to_run(textpage: Any, index: int, runs: dict[int, int]) -> int:
    import pypdfium2.raw as raw

    handle = raw.FPDFText_GetTextObject(textpage, index)
    address = ctypes.addressof(handle.contents) if handle else 0
    return runs.setdefault(address, len(runs))


def _char_to_size(textpage: Any, index: int) -> float:
    """Its size on the page: that of the font, scaled as its matrix does."""
    import pypdfium2.raw as raw

    matrix = raw.FS_MATRIX()
    size = float(raw.FPDFText_GetFontSize(textpage, index))
    if not raw.FPDFText_GetMatrix(textpage, index, ctypes.byref(matrix)):
        return size
    return size * math.sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c))


def _char_to_colour(textpage: Any, index: int) -> tuple[int, int, int]:
    import pypdfium2.raw as raw

    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    raw.FPDFText_GetFillColor(textpage, index, *map(ctypes.byref, (red, green, blue, alpha)))
    return red.value, green.value, blue.value
