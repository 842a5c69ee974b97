"""The plots of the decision record: hold and trip against ambient, the margins.

Comes in: a candidate with its requirement. Goes out: a `Drawing` for each. Each kind of line has a
dash or a mark of its own, so that a grey print says the same. Draws nothing that was not tabulated,
interpolated or asked.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from compare.corners import Case
from compare.derating_lines import Piece, hold_to_pieces, trip_to_pieces
from compare.explain import margin_title
from compare.plots_drawing import Box, Dot, Drawing, Label, Line, Shape
from compare.records import Basis, Margin, Verdict

INK, GREY, PAPER = "#22384a", "#aab6be", "#ffffff"
HOLD, TRIP, ASKED = "#1f6f5c", "#9c3d22", "#22384a"
BAR_FILLS = {Verdict.FITS: "#bcd9c5", Verdict.FAILS: "#e6b3a4", Verdict.UNDETERMINED: "#e4d9a8"}
WIDTH, HEIGHT = 340.0, 215.0
LEFT, RIGHT, TOP, BOTTOM = 34.0, 12.0, 26.0, 34.0
NAME_RIGHT, SCALE_LEFT = 168.0, 218.0
"""Of the plot of margins: where the names end and where the bars may begin."""
FEW_MARGINS = 11
SIGNS = {Verdict.FITS: "\u2713", Verdict.FAILS: "\u2715", Verdict.UNDETERMINED: "?"}
MARGIN_SCALE = (0.1, 10.0)
"""Bars end at these margins; the number beside a bar says what it is."""


class _Axes:
    """From ambient, °C, and current, A, to points of the drawing."""

    def __init__(self, cold_c: float, hot_c: float, highest_a: float) -> None:
        self.step_c = 20.0 if hot_c - cold_c > 60.0 else 10.0
        self.cold_c = self.step_c * math.floor(cold_c / self.step_c)
        self.hot_c = max(self.step_c * math.ceil(hot_c / self.step_c), self.cold_c + self.step_c)
        self.step_a = _round_step(highest_a / 5.0)
        self.top_a = self.step_a * math.ceil(highest_a / self.step_a)

    def x(self, ambient_c: float) -> float:
        """Across."""
        return LEFT + (ambient_c - self.cold_c) / (self.hot_c - self.cold_c) * (WIDTH - LEFT - RIGHT)

    def y(self, current_a: float) -> float:
        """Down."""
        return HEIGHT - BOTTOM - current_a / self.top_a * (HEIGHT - TOP - BOTTOM)

    def shapes(self) -> Iterator[Shape]:
        """Grid and numbers."""
        for ambient_c in _steps(self.cold_c, self.hot_c, self.step_c):
            x = self.x(ambient_c)
            yield Line(((x, TOP), (x, HEIGHT - BOTTOM)), GREY, 0.4)
            yield Label(x, HEIGHT - BOTTOM + 11, f"{ambient_c:g}", anchor="middle")
        for current_a in _steps(0.0, self.top_a, self.step_a):
            y = self.y(current_a)
            yield Line(((LEFT, y), (WIDTH - RIGHT, y)), GREY, 0.4)
            yield Label(LEFT - 4, y + 3, f"{current_a:g}", anchor="end")
        yield Label(WIDTH - RIGHT, HEIGHT - 12, "ambient at the part, °C", anchor="end")
        yield Label(LEFT, TOP - 6, "A")


def _steps(first: float, last: float, step: float) -> list[float]:
    return [first + step * number for number in range(round((last - first) / step) + 1)]


def _round_step(size: float) -> float:
    power = 10.0 ** math.floor(math.log10(size))
    return next(power * digit for digit in (1.0, 2.0, 2.5, 5.0, 10.0) if power * digit >= size * 0.999)


def case_to_derating_plot(case: Case) -> Drawing | None:
    """Hold and trip against ambient, with what the requirement asks at both ends; None without a table."""
    hold = hold_to_pieces(case.numbers, case.derating)
    trip = trip_to_pieces(case.numbers, case.derating)
    known = [piece for piece in (*hold, *trip) if piece.from_a is not None and piece.to_a is not None]
    if not known:
        return None
    requirement = case.requirement
    asked_a = requirement.normal_current_a * requirement.hold_factor
    fault_a = case.lowest_fault.value
    highest_a = max(asked_a, *(max(piece.from_a or 0.0, piece.to_a or 0.0) for piece in known))
    axes = _Axes(min(requirement.coldest_c, *(piece.from_c for piece in known)),
                 max(requirement.hottest_c, *(piece.to_c for piece in known)), highest_a * 1.12)
    shapes = (*axes.shapes(), *_course(axes, hold, HOLD, ()), *_course(axes, trip, TRIP, (6.0, 3.0)),
              *_asked(axes, case, asked_a, fault_a), *_legend(trip))
    says = (f"Hold and trip current of {case.numbers.part.part_number} against ambient, with the normal "
            f"current of {asked_a:.4g} A at {requirement.hottest_c:g} °C")
    return Drawing(WIDTH, HEIGHT, says, shapes)


def _course(
    axes: _Axes, pieces: tuple[Piece, ...], colour: str, dashes: tuple[float, ...]
) -> Iterator[Shape]:
    """Straight lines between tabulated points, and a dot at each of these."""
    for piece in pieces:
        if piece.from_a is None or piece.to_a is None:
            continue
        start = (axes.x(piece.from_c), axes.y(piece.from_a))
        if piece.from_c == piece.to_c:
            tabulated = piece.basis is Basis.DATA
            yield Dot(*start, 2.2, colour if tabulated else PAPER, colour)
        else:
            yield Line((start, (axes.x(piece.to_c), axes.y(piece.to_a))), colour, 1.4, dashes)


def _asked(axes: _Axes, case: Case, asked_a: float, fault_a: float | None) -> Iterator[Shape]:
    """The operating point at the hottest, and the lowest fault at the coldest where it lies on the sheet."""
    requirement = case.requirement
    x, y = axes.x(requirement.hottest_c), axes.y(asked_a)
    yield Line(((x, y), (x, HEIGHT - BOTTOM)), ASKED, 0.8, (1.5, 2.0))
    yield Box(x - 3.5, y - 3.5, 7.0, 7.0, ASKED)
    side = "end" if x > WIDTH / 2.0 else "start"
    away = -7.0 if side == "end" else 7.0
    yield Label(x + away, y + 10.0, f"must hold {asked_a:.3g} A", 8.0, ASKED, side, True)
    if fault_a is None:
        return
    x, text = axes.x(requirement.coldest_c), f"must trip at {fault_a:.3g} A"
    if fault_a > axes.top_a:
        yield Label(x, TOP - 6.0, f"\u2191 {text}", 8.0, ASKED, "start", True)
        return
    yield Box(x - 3.5, axes.y(fault_a) - 3.5, 7.0, 7.0, PAPER, ASKED)
    yield Label(x + 7.0, axes.y(fault_a) + 3.0, text, 8.0, ASKED, "start", True)


def _legend(trip: tuple[Piece, ...]) -> Iterator[Shape]:
    assumed = any(piece.basis is Basis.ASSUMED and piece.from_a is not None for piece in trip)
    y = HEIGHT - 12.0
    yield Line(((LEFT, y - 3.0), (LEFT + 18.0, y - 3.0)), HOLD, 1.4)
    yield Label(LEFT + 21.0, y, "hold", 8.0, HOLD)
    yield Line(((LEFT + 46.0, y - 3.0), (LEFT + 64.0, y - 3.0)), TRIP, 1.4, (6.0, 3.0))
    yield Label(LEFT + 67.0, y, "trip, assumed to scale like hold" if assumed else "trip", 8.0, TRIP)


def margins_to_plot(margins: tuple[Margin, ...]) -> Drawing:
    """A bar for each margin on a scale of ratios; the line at 1 is where a need is just met."""
    row = 17.0 if len(margins) <= FEW_MARGINS else 12.5
    bottom = TOP + row * len(margins)
    shapes: list[Shape] = []
    for ratio in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0):
        x, just = _margin_x(ratio), ratio == 1.0
        shapes.append(Line(((x, TOP - 4.0), (x, bottom)), INK if just else GREY, 1.2 if just else 0.4))
        shapes.append(Label(x, TOP - 8.0, f"{ratio:g}", 8.0, INK, "middle", just))
    for number, margin in enumerate(margins):
        shapes.extend(_bar(margin, TOP + row * number, row))
    legend = "   ".join(f"{sign} {verdict.value}" for verdict, sign in SIGNS.items())
    shapes.append(Label(LEFT, bottom + 13.0, legend, 7.0, INK))
    shapes.append(Label(WIDTH - RIGHT, bottom + 13.0, "times the need, from 0.1 to 10", 7.0, INK, "end"))
    says = "Margins: " + ", ".join(
        f"{margin_title(margin.name)}{_number(margin)} {margin.verdict.value}" for margin in margins)
    return Drawing(WIDTH, bottom + 18.0, says, tuple(shapes))


def _margin_x(ratio: float) -> float:
    """Where a ratio stands across; those beyond the scale at its ends."""
    low, high = (math.log10(end) for end in MARGIN_SCALE)
    power = math.log10(ratio) if ratio > 0.0 else low
    return SCALE_LEFT + (min(max(power, low), high) - low) / (high - low) * (WIDTH - RIGHT - SCALE_LEFT)


def _bar(margin: Margin, top: float, row: float) -> Iterator[Shape]:
    """Name, sign and number, bar."""
    title, base = margin_title(margin.name), top + row / 2.0 + 2.5
    yield Label(NAME_RIGHT, base, title, 7.0 if len(title) < 45 else 6.2, INK, "end")
    yield Label(NAME_RIGHT + 5.0, base, f"{SIGNS[margin.verdict]}{_number(margin)}", 7.2, INK, "start",
                margin.verdict is not Verdict.FITS)
    if margin.margin is not None:
        ends = sorted((_margin_x(1.0), _margin_x(margin.margin)))
        yield Box(ends[0], top + 2.5, max(1.0, ends[1] - ends[0]), row - 5.0, BAR_FILLS[margin.verdict], INK)


def _number(margin: Margin) -> str:
    """Three digits, or all before the point; empty without a number."""
    ratio = margin.margin
    if ratio is None or not math.isfinite(ratio):
        return ""
    return f" {ratio:.0f}" if ratio >= 100.0 else f" {ratio:.3g}"
