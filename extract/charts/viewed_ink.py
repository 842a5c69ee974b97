"""Charts seen as a reader would take them up: turned level, or from farther off.

Comes in: the ink of a page. Goes out: for each frame whose texts all stand upright, or that is larger than
charts are, the ink around it turned level or made smaller, with the way back; curves read from it are brought
back to their places on the page. Looks at no text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.charts.frames import Frame
from extract.charts.geometry import Box, Point, is_within, to_box
from extract.charts.ink import Ink, Letter
from extract.charts.tracing import PagePicture
from extract.charts.wording import is_upright
from extract.schema import Curve

AROUND_PT, AROUND_SHARE = 100.0, 0.25  # the texts of a chart stand no farther from its frame, or of its size
LEAST_LETTERS, MOST_LEVEL = 15, 0.3  # letters around a frame; the share of them that may be level
LARGE_PT, USUAL_PT = 480.0, 360.0  # a frame larger than this is looked at as if it were so large


@dataclass(frozen=True, slots=True)
class View:
    """How a part of a page is seen: `turn` in quarters (1 if it is read upwards, -1 downwards, 0 as it is),
    made smaller by `scale`."""

    turn: int
    scale: float

    def point(self, point: Point) -> Point:
        """Where a point of the page is seen."""
        x, y = point[0] * self.scale, point[1] * self.scale
        return ((x, y), (-y, x), (y, -x))[self.turn]

    def back(self, point: Point) -> Point:
        """Where a point that is seen stands on the page."""
        x, y = point[0] / self.scale, point[1] / self.scale
        return ((x, y), (y, -x), (-y, x))[self.turn]

    def box(self, box: Box) -> Box:
        """Where a box of the page is seen."""
        return _around(self.point((box[0], box[1])), self.point((box[2], box[3])))

    def box_back(self, box: Box) -> Box:
        """Where a box that is seen stands on the page."""
        return _around(self.back((box[0], box[1])), self.back((box[2], box[3])))


@dataclass(frozen=True, slots=True)
class ViewedInk:
    """The ink around one frame as seen, the view, and the frame's box on the page."""

    ink: Ink
    view: View
    frame: Box


class ViewedPicture(PagePicture):
    """The rendered page, asked at places of a view."""

    def __init__(self, picture: PagePicture, view: View) -> None:
        self._picture, self._view = picture, view

    def colours_at(self, points: Sequence[Point]) -> list[list[tuple[int, int, int]]]:
        """As on the page itself."""
        return self._picture.colours_at([self._view.back(point) for point in points])


def ink_to_viewed(ink: Ink, frames: Sequence[Frame]) -> list[ViewedInk]:
    """The ink around each frame that is better seen otherwise than as it stands."""
    found = []
    for frame in frames:
        room = max(AROUND_PT, AROUND_SHARE * max(frame.width, frame.height))
        letters = [letter for letter in ink.letters if to_box(letter.mid, frame.box) < room]
        scale = USUAL_PT / max(frame.width, frame.height)
        view = View(_letters_to_turn(letters), scale if max(frame.width, frame.height) > LARGE_PT else 1.0)
        if view.turn or view.scale < 1.0:
            found.append(ViewedInk(_seen(ink, frame.box, room, letters, view), view, frame.box))
    return found


def curves_back(curves: Sequence[Curve], view: View) -> list[Curve]:
    """Curves with their places on the page as it is."""
    found = []
    for curve in curves:
        place = curve.place
        x0, top, x1, bottom = view.box_back((place.x0, place.top, place.x1, place.bottom))
        placed = replace(place, x0=x0, top=top, x1=x1, bottom=bottom)
        found.append(replace(curve, place=placed, on_page=tuple(view.back(p) for p in curve.on_page)))
    return found


def _letters_to_turn(letters: Sequence[Letter]) -> int:
    """Which way the letters around a frame must be turned to be level."""
    upright = [letter for letter in letters if is_upright(letter.angle)]
    if len(letters) < LEAST_LETTERS or len(letters) - len(upright) > MOST_LEVEL * len(letters):
        return 0
    return 1 if 2 * sum(letter.angle % 360 < 180 for letter in upright) > len(upright) else -1


def _seen(ink: Ink, box: Box, room: float, letters: Sequence[Letter], view: View) -> Ink:
    """The ink within some room around a box."""
    x0, top, x1, bottom = box
    around = (x0 - room, top - room, x1 + room, bottom + room)
    strokes = tuple(
        replace(
            stroke,
            points=tuple(view.point(point) for point in stroke.points),
            width=stroke.width * view.scale,
            dashes=tuple(dash * view.scale for dash in stroke.dashes),
        )
        for stroke in ink.strokes
        if is_within(stroke.box, around)
    )
    level = tuple(
        replace(
            letter,
            box=view.box(letter.box),
            angle=(letter.angle - 90.0 * view.turn) % 360,
            size=letter.size * view.scale,
        )
        for letter in letters
    )
    return replace(ink, strokes=strokes, letters=level, pictures=())


def _around(one: Point, other: Point) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[0], other[0]), max(one[1], other[1])
