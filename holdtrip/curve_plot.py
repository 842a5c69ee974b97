"""A part's curves on the screen: what each says, and trip times drawn on log paper with the table's points.

Comes in: a part with its curves. Goes out: tables and a plot of plain characters on stdout. Extrapolates
nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from extract.curve_lines import curve_at
from extract.schema import ChartName, Curve, Kind, Part, Quantity, Reading
from holdtrip.numbers import number_to_text
from holdtrip.screen import console, say, show_table

WIDE, HIGH = 64, 18
CURVE, LIMIT = "*", "M"
CAUTION = ("Typical curves are no limits: they hold for still air, the maker's board and the ambient of the "
           "chart.")  # fmt: skip
_NAMES = {
    ChartName.TIME_TO_TRIP: "time to trip",
    ChartName.HOLD_RATIO: "hold ratio",
    ChartName.TRIP_RATIO: "trip ratio",
}


def show_curves(part: Part) -> None:
    """What each curve of a part says; trip times drawn with the tabulated maxima over them."""
    if not part.curves:
        return
    headings = (
        "Curve",
        "Kind",
        "From - to",
        "At the table's test current",
        "Error",
        "Status",
        "Page",
        "Label",
    )
    show_table(
        [*headings, "Notes"],
        [_curve_to_row(curve, part) for curve in part.curves],
        title=f"{part.part_number}: curves",
    )
    limits = _limits(part)
    for curve in part.curves:
        if curve.chart is ChartName.TIME_TO_TRIP:
            plot = curve_to_plot(curve, [(r.test_current_a or 0.0, r.value) for r in limits])
            console().print("\n".join(plot), markup=False, highlight=False)  # nothing of a file is in it
    say(CAUTION)


def _limits(part: Part) -> list[Reading]:
    """The tabulated longest times to trip."""
    return [
        reading
        for reading in part.readings
        if reading.quantity is Quantity.TIME_TO_TRIP
        and reading.kind in (Kind.NONE, Kind.MAX)
        and reading.test_current_a
    ]


def _curve_to_row(curve: Curve, part: Part) -> list[str]:
    unit = "A" if curve.chart is ChartName.TIME_TO_TRIP else "°C"
    first, last = curve.points[0][0], curve.points[-1][0]
    times = [_time_to_text(curve, limit) for limit in _limits(part)] if unit == "A" else []
    return [
        _NAMES[curve.chart],
        curve.kind.value,
        f"{first:.3g} - {last:.3g} {unit}",
        "; ".join(dict.fromkeys(times)),
        f"{100 * max(curve.x_error, curve.y_error):.0f} %",
        curve.status.value,
        str(curve.place.page),
        curve.label,
        "; ".join(curve.notes),
    ]


def _time_to_text(curve: Curve, limit: Reading) -> str:
    current_a = limit.test_current_a or 0.0
    time_s = curve_at(curve, current_a)
    at = f"{number_to_text(current_a)} A"
    if time_s is None:
        return f"{at}: outside the drawn curve"
    return f"{at}: {time_s:.2g} s (table: at most {number_to_text(limit.value)} s)"


def curve_to_plot(curve: Curve, limits: Sequence[tuple[float, float]]) -> list[str]:
    """Lines of characters: the curve on log paper, M where the table has its maximum."""
    points = [*curve.points, *limits]
    low_x, high_x = _decades([x for x, _ in points])
    low_y, high_y = _decades([y for _, y in points])
    rows = [[" "] * WIDE for _ in range(HIGH)]
    for column in range(WIDE):
        current_a = 10.0 ** (low_x + (high_x - low_x) * (column + 0.5) / WIDE)
        time_s = curve_at(curve, current_a)
        if time_s is not None:
            rows[_place(math.log10(time_s), low_y, high_y, HIGH)][column] = CURVE
    for x, y in limits:
        rows[_place(math.log10(y), low_y, high_y, HIGH)][_place(math.log10(x), low_x, high_x, WIDE)] = LIMIT
    drawn = [f"{_mark(row, low_y, high_y):>7} |{''.join(rows[row])}" for row in range(HIGH - 1, -1, -1)]
    axis = f"{'':7} +{'-' * WIDE}"
    told = f"{'A, log scales; * curve, M maximum of the table':^{WIDE - 16}}"
    return [*drawn, axis, f"{'s':>7}  {10.0**low_x:<8g}{told}{10.0**high_x:>8g}"]


def _decades(values: Sequence[float]) -> tuple[int, int]:
    logs = [math.log10(value) for value in values if value > 0]
    low, high = math.floor(min(logs)), math.ceil(max(logs))
    return low, max(high, low + 1)


def _place(value: float, low: int, high: int, count: int) -> int:
    return max(0, min(count - 1, int((value - low) / (high - low) * count)))


def _mark(row: int, low: int, high: int) -> str:
    """The power of ten whose line a row holds."""
    for power in range(low, high + 1):
        if _place(power, low, high, HIGH) == row:
            return f"{10.0**power:g}"
    return ""
