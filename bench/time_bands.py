"""The bands of the trip-time models against curves drawn in datasheets: how many points lie inside.

    python bench/time_bands.py FOLDER_OF_CURVES FOLDER_OF_TRUTH_TABLES [--by-table]

Comes in: curves as `holdtrip read --curves` writes them (document, part_number, x in A, y in s) and truth
tables of the same sheets for hold and trip current. One point of each curve, in its middle, is taken for the
tabulated one; the models are calibrated on it and asked at the currents of the others. Goes out: the share
inside the band, and of those outside how far and on which side. Judges no part: the law of the models is
tried, not a table. With --by-table the models are calibrated on the part's own tabulated longest time, as in
a comparison: a typical time above the band then means that the models say a part is quicker than it is.
"""

from __future__ import annotations

import argparse
import csv
import math
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from compare.derating import Derating
from compare.part_numbers import part_to_numbers
from compare.trip_time import TripTimes
from extract.reference import reference_ambient_c
from extract.schema import Kind, Part, Place, Quantity, Reading, Status

SWITCHING_C = 125.0
CURRENTS = {"hold_current": Quantity.HOLD_CURRENT, "trip_current": Quantity.TRIP_CURRENT}
Ratings = dict[tuple[str, str], dict[str, list[tuple[float | None, float]]]]
Curve = list[tuple[float, float, float]]
"""Current, time, relative error of the drawn time."""


def read_curves(folder: Path) -> dict[tuple[str, str], Curve]:
    """Sure points of time-to-trip curves, by document and part, with rising current."""
    found: dict[tuple[str, str], Curve] = defaultdict(list)
    for path in sorted(folder.glob("*.csv")):
        for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines()):
            if row["chart"] == "time_to_trip" and row.get("sure", "yes") == "yes":
                point = (float(row["x"]), float(row["y"]), float(row["y_error"] or 0.0))
                found[(row["document"], row["part_number"])].append(point)
    return {key: sorted(set(points)) for key, points in found.items()}


def read_ratings(folder: Path) -> Ratings:
    """Hold and trip currents with their ambients, by document and part."""
    found: Ratings = defaultdict(lambda: defaultdict(list))
    for path in sorted(folder.glob("*.csv")):
        for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines()):
            if row["quantity"] in CURRENTS:
                ambient_c = float(row["ambient_c"]) if row["ambient_c"] else None
                found[(row["document"], row["part_number"])][row["quantity"]].append(
                    (ambient_c, float(row["value"])))
    return found


def read_tabulated(folder: Path) -> dict[tuple[str, str], list[tuple[float, float]]]:
    """Test current and longest time to trip, by document and part."""
    found: dict[tuple[str, str], list[tuple[float, float]]] = defaultdict(list)
    for path in sorted(folder.glob("*.csv")):
        for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines()):
            if row["quantity"] == "time_to_trip" and row["test_current_a"]:
                point = (float(row["test_current_a"]), float(row["value"]))
                found[(row["document"], row["part_number"])].append(point)
    return found


def curve_to_model(
    points: Curve, ratings: dict[str, list[tuple[float | None, float]]],
    tabulated: list[tuple[float, float]] | None = None,
) -> TripTimes | None:
    """The models calibrated on the middle point of a curve, or on tabulated times, at the reference ambient;
    None without ratings."""
    holds, trips = ratings.get("hold_current", []), ratings.get("trip_current", [])
    reference_c = reference_ambient_c(holds, trips if len(trips) == 1 else ())
    at_reference = {name: next((value for ambient_c, value in ratings.get(name, ())
                                if ambient_c in (reference_c, None)), None) for name in CURRENTS}
    hold_a = at_reference["hold_current"]
    if hold_a is None:
        return None
    known = tabulated if tabulated is not None else [points[len(points) // 2][:2]]
    readings = [_reading(CURRENTS[name], value) for name, value in at_reference.items() if value is not None]
    readings += [_reading(Quantity.TIME_TO_TRIP, time_s, current_a) for current_a, time_s in known]
    numbers = part_to_numbers(Part("P", "curve", "0" * 64, tuple(readings)))
    return TripTimes(numbers, Derating(numbers), SWITCHING_C)


def _reading(quantity: Quantity, value: float, test_a: float | None = None) -> Reading:
    return Reading("curve", "0" * 64, "P", quantity, Kind.NONE, 23.0, test_a, value, Status.AGREED,
                   Place(1, 0.0, 0.0, 1.0, 1.0), f"{value:g}")


def offs(points: Curve, model: TripTimes, known_a: float) -> Iterator[tuple[float, float]]:
    """For every other point: its current over that of the calibration, and how far it lies outside the band,
    as the logarithm of a factor: 0 inside, above 0 too slow, below 0 too fast. The error of the drawing is
    allowed.
    """
    for current_a, time_s, error in points:
        if current_a == known_a and time_s == model.points[0].time_s:
            continue  # the point of the calibration itself
        answer = model.at(current_a, 23.0)
        if answer.low_s is None or answer.high_s is None:
            continue
        low_s, high_s = answer.low_s / (1.0 + error), answer.high_s * (1.0 + error)
        over = math.log(time_s / high_s) if time_s > high_s else 0.0
        under = math.log(time_s / low_s) if time_s < low_s else 0.0
        yield current_a / known_a, over + under


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("curves", type=Path)
    parser.add_argument("truth", type=Path)
    parser.add_argument("--by-table", action="store_true")
    arguments = parser.parse_args()
    tabulated = read_tabulated(arguments.truth) if arguments.by_table else {}
    ratings, counted = read_ratings(arguments.truth), Counter[str]()
    by_range: dict[str, list[float]] = defaultdict(list)
    for key, points in read_curves(arguments.curves).items():
        if arguments.by_table and key not in tabulated:
            counted["curves without ratings"] += 1
            continue
        model = curve_to_model(points, ratings[key], tabulated.get(key)) if (
            len(points) > 2 and key in ratings) else None
        counted["curves" if model is not None else "curves without ratings"] += 1
        known_a = tabulated[key][0][0] if arguments.by_table else points[len(points) // 2][0]
        for ratio, off in offs(points, model, known_a) if model is not None else ():
            where = next(name for name, least in RANGES if ratio >= least)
            by_range[where].append(off)
    print(f"{counted['curves']} curves, {counted['curves without ratings']} left out for want of ratings or "
          f"points")
    every = [off for found in by_range.values() for off in found]
    for name, found in (("all", every), *((name, by_range[name]) for name, _ in RANGES)):
        if found:
            print(f"{name:>28}: {len(found):4} points, {_share(found)} inside, {_side(found, 1)} slower, "
                  f"{_side(found, -1)} faster")
    return 0


RANGES = (("3 times the current and more", 3.0), ("1.5 to 3 times", 1.5), ("1 to 1.5 times", 1.0),
          ("0.67 to 1 times", 0.67), ("below 0.67 times", 0.0))


def _share(found: list[float]) -> str:
    return f"{sum(off == 0.0 for off in found) / len(found):.0%}"


def _side(found: list[float], sign: int) -> str:
    beyond = [abs(off) for off in found if off * sign > 0]
    return f"{len(beyond)} (median factor {math.exp(median(beyond)):.2f})" if beyond else "0"


if __name__ == "__main__":
    sys.exit(main())
