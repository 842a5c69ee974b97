"""Derating charts held against the derating tables of their sheet.

Comes in: curves, the readings of the tables. Goes out: one finding for each chart whose line lies off the
table by more than it is wide. The table counts; the chart changes no number and fills no gap.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from extract.curve_lines import curve_at
from extract.schema import WHOLE_SERIES, ChartName, Curve, Finding, Quantity, Reading, Severity

DERATING_APART = "derating-apart"
ROOM_C = (15.0, 30.0)  # the ambient at which ratings hold
_CURRENTS = {ChartName.HOLD_RATIO: Quantity.HOLD_CURRENT, ChartName.TRIP_RATIO: Quantity.TRIP_CURRENT}
_RATIOS = {ChartName.HOLD_RATIO: Quantity.HOLD_RATIO, ChartName.TRIP_RATIO: Quantity.TRIP_RATIO}


@dataclass(frozen=True, slots=True)
class _Share:
    """What a table says of a part at an ambient: a share of its rating, how well it is printed, and where."""

    reading: Reading
    ambient_c: float
    share: float
    rounding: float


def derating_to_findings(curves: Sequence[Curve], readings: Iterable[Reading]) -> list[Finding]:
    """The chart's line and the table's value where they lie farthest apart, once for each chart and
    quantity."""
    known = tuple(readings)
    worst: dict[tuple[int, float, ChartName], tuple[float, float, Curve, _Share]] = {}
    for curve in curves:
        for share in _shares(curve.chart, known) if curve.chart in _CURRENTS else ():
            drawn = curve_at(curve, share.ambient_c)
            if drawn is None or curve.part_number not in (WHOLE_SERIES, share.reading.part_number):
                continue
            beyond = abs(drawn - share.share) - 2 * curve.y_error - share.rounding
            chart = (curve.place.page, curve.place.top, curve.chart)
            if beyond > 0 and (chart not in worst or beyond > worst[chart][0]):
                worst[chart] = (beyond, drawn, curve, share)
    return [_to_finding(drawn, curve, share) for _, drawn, curve, share in worst.values()]


def _shares(chart: ChartName, readings: Sequence[Reading]) -> Iterator[_Share]:
    """The shares of the rating that the tables print, or that follow from the currents they print."""
    ratings = {
        reading.part_number: reading.value
        for reading in readings
        if reading.quantity is _CURRENTS[chart] and _is_room(reading.ambient_c) and reading.value > 0
    }
    for reading in readings:
        if reading.ambient_c is None or _is_room(reading.ambient_c):
            continue
        if reading.quantity is _RATIOS[chart]:
            yield _Share(reading, reading.ambient_c, reading.value, 0.005)
        elif reading.quantity is _CURRENTS[chart] and reading.part_number in ratings:
            rating = ratings[reading.part_number]
            yield _Share(reading, reading.ambient_c, reading.value / rating, _half_digit(reading) / rating)


def _is_room(ambient_c: float | None) -> bool:
    return ambient_c is None or ROOM_C[0] <= ambient_c <= ROOM_C[1]


def _half_digit(reading: Reading) -> float:
    """Half a unit of the last digit printed, in A; two digits where the text does not tell."""
    _, _, behind = reading.raw.replace(",", ".").partition(".")
    digits = len(behind) if behind.isdigit() else 2
    return float(0.5 * 10.0**-digits)


def _to_finding(drawn: float, curve: Curve, share: _Share) -> Finding:
    part = share.reading.part_number
    return Finding(
        DERATING_APART,
        Severity.NOTE,
        f"the derating chart on page {curve.place.page} has {100 * drawn:.0f} % at {share.ambient_c:g} °C "
        f"for {part}, the table on page {share.reading.place.page} {100 * share.share:.0f} %; "
        "the table counts",
        f"{100 * drawn:.0f} %",
        f"{100 * share.share:.0f} % as tabulated",
        curve.document,
        part,
        _CURRENTS[curve.chart],
        curve.place,
    )
