"""Typical times to trip by the drawn curves of a part.

Comes in: the curves of a part, and a model that scales a time from one ambient to another. Goes out: a
`DrawnTime`: the band of the drawn line at a current, or why it says nothing. Extrapolates nothing: beyond
its ends a curve is silent, and says where it ends. A typical curve guarantees nothing (see `judging`).

A time scaled to another ambient, or to a part that a load has warmed, rests on the model that scaled it, and
is worth no more than that model.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from compare.derating import SAME_AMBIENT_K
from compare.records import Basis, weakest
from extract.schema import ChartName, Curve, Part, Reading, Status

CURVE_NOTE = "typical curve: no limit; it holds for still air, the maker's board and the ambient of its chart"


class Scaling(NamedTuple):
    """Least and largest ratio of a time at one ambient to that at another, by the models; readings: the hold
    and trip currents they use. None where `note` says why."""

    low: float | None
    high: float | None
    readings: tuple[Reading, ...] = ()
    note: str = ""


APART = 1.5
"""Curves of one part that differ by more are not one. Common practice, no source."""
Scale = Callable[[float, float, float, float], Scaling]
"""Current, A; the curve's ambient and the ambient asked, °C; load before, A → Scaling."""


class DrawnTime(NamedTuple):
    """Typical time to trip by drawn curves at a current and an ambient, s.

    low_s, high_s: from the width of the line and the error of the grid, scaled by the models where the
    ambient is another (`math.inf` where the part may never trip there), None where `note` says why there is
    none; basis: CURVE at the curve's own ambient, ASSUMED where the chart states none, MODEL where scaled.
    """

    low_s: float | None
    high_s: float | None
    basis: Basis = Basis.CURVE
    curves: tuple[Curve, ...] = ()
    note: str = ""
    assumed: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()

    def words(self) -> str:
        """The typical time, in words; empty where there is none."""
        if self.low_s is None or self.high_s is None:
            return ""
        scaled = ", scaled by the models" if self.basis is Basis.MODEL else ""
        where = f"the typical curve of page {self.curves[0].place.page}{scaled}"
        if self.high_s == math.inf:
            return f"{where} says that it may never trip"
        return f"{where} says {self.low_s:.3g} to {self.high_s:.3g} s"


class Ends(NamedTuple):
    """A curve that may be used, and the ambient it holds at, °C; assumed: whether that is assumed."""

    curve: Curve
    ambient_c: float
    assumed: tuple[str, ...]


class DrawnTimes:
    """The drawn times to trip of one part.

    part: with its curves; reference_c: the reference ambient of its sheet, °C, None where unknown.
    """

    __slots__ = ("_drawn", "_note", "_scale")

    def __init__(self, part: Part, reference_c: float | None, scale: Scale) -> None:
        self._scale = scale
        self._drawn, self._note = _usable(part.curves, reference_c)

    @property
    def exist(self) -> bool:
        """Whether the sheet draws times to trip for the part at all, usable or not."""
        return bool(self._drawn or self._note)

    @property
    def lines(self) -> tuple[Curve, ...]:
        """The curves that may be used."""
        return tuple(one.curve for one in self._drawn)

    def corners(self, low_a: float, high_a: float) -> tuple[float, ...]:
        """Currents of the vertices of the curves between two currents: straight lines in log-log between."""
        return tuple(x for one in self._drawn for x, _ in one.curve.points if low_a < x < high_a)

    def at(self, current_a: float, ambient_c: float, preload_a: float = 0.0) -> DrawnTime:
        """What the curves say at a current, A, and an ambient, °C, after a long load, A."""
        reaching = [(band, one) for one in self._drawn
                    if (band := curve_to_band(one.curve, current_a)) is not None]
        if not reaching:
            return DrawnTime(None, None, note=self._note or _ends_to_note(self._drawn, current_a),
                             curves=tuple(one.curve for one in self._drawn))
        nearest_k = min(abs(one.ambient_c - ambient_c) for _, one in reaching)
        told = [(band, one) for band, one in reaching if abs(one.ambient_c - ambient_c) <= nearest_k]
        drawn = _told_to_time(told)
        if drawn.low_s is None or (nearest_k <= SAME_AMBIENT_K and preload_a == 0.0):
            return drawn
        curve_c = told[0][1].ambient_c
        ratio = self._scale(current_a, curve_c, ambient_c, preload_a)
        loaded = f" after a load of {preload_a:.3g} A" if preload_a > 0.0 else ""
        how = f"the curve at {curve_c:g} °C scaled to {ambient_c:g} °C{loaded} by the models"
        return _scaled(drawn, ratio, ambient_c, how)


def _told_to_time(told: Sequence[tuple[tuple[float, float], Ends]]) -> DrawnTime:
    """The time that the curves of one ambient tell together; none where they lie apart."""
    curves = tuple(one.curve for _, one in told)
    assumed = tuple(dict.fromkeys(text for _, one in told for text in one.assumed))
    low_s, high_s = min(band[0] for band, _ in told), max(band[1] for band, _ in told)
    if len(told) > 1 and high_s > low_s * APART:
        return DrawnTime(None, None, curves=curves, note=f"{len(curves)} curves of the part lie apart: "
                         f"{low_s:.3g} and {high_s:.3g} s; a person must look")
    return DrawnTime(low_s, high_s, Basis.ASSUMED if assumed else Basis.CURVE, curves, "", assumed)


def _scaled(drawn: DrawnTime, ratio: Scaling, ambient_c: float, how: str) -> DrawnTime:
    """A drawn time brought to another ambient or load: no better than the models; none without a ratio."""
    if ratio.low is None or ratio.high is None or drawn.low_s is None or drawn.high_s is None:
        return DrawnTime(None, None, note=f"the curve cannot be scaled to {ambient_c:g} °C: {ratio.note}",
                         curves=drawn.curves, readings=ratio.readings)
    return DrawnTime(drawn.low_s * ratio.low, drawn.high_s * ratio.high, weakest(drawn.basis, Basis.MODEL),
                     drawn.curves, "", (*drawn.assumed, how), ratio.readings)


def curve_to_band(curve: Curve, current_a: float) -> tuple[float, float] | None:
    """From the least to the largest time that a drawn line allows at a current, s; None beyond its ends.

    The line is straight in log-log between its vertices; the errors of both axes widen it.
    """
    if len(curve.points) < 2:
        return None
    first_a, last_a = curve.points[0][0], curve.points[-1][0]
    wide = 1.0 + curve.x_error
    if not first_a / wide <= current_a <= last_a * wide or first_a <= 0.0:
        return None
    near_a, far_a = (min(max(one, first_a), last_a) for one in (current_a / wide, current_a * wide))
    times = [*_times_between(curve, near_a, far_a)]
    return min(times) / (1.0 + curve.y_error), max(times) * (1.0 + curve.y_error)


def _times_between(curve: Curve, near_a: float, far_a: float) -> Iterable[float]:
    """Times at both ends of a range of currents and at the vertices within, s."""
    for (x0, y0), (x1, y1) in pairwise(curve.points):
        if x1 < near_a or x0 > far_a:
            continue
        for current_a in (max(x0, near_a), min(x1, far_a)):
            share = math.log(current_a / x0) / math.log(x1 / x0) if x1 > x0 else 0.0
            yield y0 * (y1 / y0) ** share
        if x1 == x0:
            yield y1


def _usable(curves: tuple[Curve, ...], reference_c: float | None) -> tuple[tuple[Ends, ...], str]:
    """Curves of trip times that may be used, each with its ambient; else why none may be."""
    drawn: list[Ends] = []
    note = ""
    for curve in curves:
        if curve.chart is not ChartName.TIME_TO_TRIP:
            continue
        where = f"the curve on page {curve.place.page}"
        if curve.status is Status.DISPUTED:
            note = f"{where} is disputed{f' ({curve.notes[0]})' if curve.notes else ''}: a person must look"
        elif any(y <= 0.0 for _, y in curve.points):
            note = f"{where} draws no time"
        elif curve.ambient_c is not None:
            drawn.append(Ends(curve, curve.ambient_c, ()))
        elif reference_c is None:
            note = f"{where} states no ambient, and the sheet no reference"
        else:
            drawn.append(Ends(curve, reference_c, (
                f"curve taken as at {reference_c:g} °C, the reference: its chart is silent",)))
    return tuple(drawn), "" if drawn else note


def _ends_to_note(drawn: tuple[Ends, ...], current_a: float) -> str:
    if not drawn:
        return ""
    low_a = min(one.curve.points[0][0] for one in drawn)
    high_a = max(one.curve.points[-1][0] for one in drawn)
    return (f"{current_a:.4g} A lies outside the drawn curve of page {drawn[0].curve.place.page}, which runs "
            f"from {low_a:.3g} to {high_a:.3g} A")
