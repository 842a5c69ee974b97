"""What a sheet's curves and tables say of each other.

Comes in: curves, the readings of the tables. Goes out: findings: a typical curve above the tabulated maximum,
a part without a curve where its neighbours have one, curves nobody can tell apart, an irregular grid. Changes
nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from extract.curve_lines import curve_at
from extract.schema import ChartName, Curve, Finding, Kind, Quantity, Reading, Severity, Status

ABOVE_MAXIMUM = "curve-above-maximum"
MISSING = "curve-missing"
ALIKE = "curves-alike"
GRID = "grid-irregular"
IRREGULAR = 0.02  # relative: a grid that fits its scale worse is told
SURELY_ABOVE = 1.05  # of the tabulated maximum: the line's own width left aside


def curves_to_findings(curves: Sequence[Curve], readings: Iterable[Reading]) -> tuple[Finding, ...]:
    """Everything noticed about the curves of a sheet."""
    times = [curve for curve in curves if curve.chart is ChartName.TIME_TO_TRIP]
    if not times:
        return ()
    known = tuple(readings)
    return (*_above_maximum(times, known), *_missing(times, known), *_alike(times), *_irregular(curves))


def _above_maximum(curves: Sequence[Curve], readings: Sequence[Reading]) -> list[Finding]:
    """A typical time longer than the tabulated maximum at the tabulated test current: the sheet contradicts
    itself, or the curve was given to the wrong part."""
    findings = []
    for curve in curves:
        for reading in readings:
            is_limit = reading.quantity is Quantity.TIME_TO_TRIP and reading.kind in (Kind.NONE, Kind.MAX)
            if not is_limit or reading.part_number != curve.part_number or not reading.test_current_a:
                continue
            time_s = curve_at(curve, reading.test_current_a)
            if time_s is None or time_s <= SURELY_ABOVE * (1 + curve.y_error) * reading.value:
                continue
            findings.append(
                Finding(
                    ABOVE_MAXIMUM,
                    Severity.DOUBT,
                    f"the curve of {curve.part_number} on page {curve.place.page} takes {time_s:.3g} s at "
                    f"{reading.test_current_a:g} A; the table on page {reading.place.page} allows at most "
                    f"{reading.value:g} s: look at both, and at whose curve it is",
                    f"{time_s:.3g} s",
                    f"at most {reading.value:g} s",
                    curve.document,
                    curve.part_number,
                    Quantity.TIME_TO_TRIP,
                    curve.place,
                )
            )
    return findings


def _missing(curves: Sequence[Curve], readings: Sequence[Reading]) -> list[Finding]:
    """Parts of the tables without a curve, told once for the sheet."""
    drawn = {curve.part_number for curve in curves}
    parts = dict.fromkeys(r.part_number for r in readings if r.quantity is Quantity.TIME_TO_TRIP)
    lacking = [part for part in parts if part not in drawn]
    if not lacking or len(lacking) == len(parts):
        return []
    listed = ", ".join(lacking[:6]) + (f" and {len(lacking) - 6} more" if len(lacking) > 6 else "")
    message = f"no curve of trip times was found for {listed}, though other parts of the sheet have one"
    return [Finding(MISSING, Severity.NOTE, message, document=curves[0].document)]


def _alike(curves: Sequence[Curve]) -> list[Finding]:
    """Disputed curves, with what else they could be."""
    return [
        Finding(
            ALIKE,
            Severity.DOUBT,
            f"whose curve this is cannot be told for sure: {'; '.join(curve.notes)}",
            f"'{curve.label}'",
            "one curve for one part",
            curve.document,
            curve.part_number,
            Quantity.TIME_TO_TRIP,
            curve.place,
        )
        for curve in curves
        if curve.status is Status.DISPUTED
    ]


def _irregular(curves: Sequence[Curve]) -> list[Finding]:
    """Charts whose grid fits no regular scale well, once for each chart."""
    charts = {(curve.place, curve.document): max(curve.x_error, curve.y_error) for curve in curves}
    return [
        Finding(
            GRID,
            Severity.NOTE,
            f"the grid of the chart on page {place.page} is drawn irregularly: its values are good to "
            f"{100 * error:.0f} %",
            f"{100 * error:.0f} %",
            "lines at regular places",
            document,
            place=place,
        )
        for (place, document), error in charts.items()
        if error > 2 * IRREGULAR
    ]
