"""How long it takes to hold many parts against one requirement.

Run: python bench/compare_speed.py [COUNT ...]   (default 10000 100000)

Comes in: nothing; the parts are invented, each with a full sheet: ratings, ten derating columns,
resistances, a trip time, a package. Goes out: a line for each count and way of judging: parts, seconds by the
clock and of the processor, seconds of the processor allowed, microseconds for each part. One requirement asks
what is usual, the other every question the tool knows. `put in columns`: once for any number of requirements;
`in columns`: all margins, the order, the twenty best readable; `one by one`: every margin of every part
readable, for files, shared among the cores. The making of the parts is not counted. Last a what-if of 100
points over 2,000 parts.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from compare.columns.best import columns_to_best
from compare.columns.part_columns import parts_to_columns
from compare.ranking import parts_to_ranking
from compare.requirement_file import text_to_requirement
from compare.what_if import evenly, sweep
from extract.schema import Kind, Part, PartText, Place, Quantity, Reading, Status

ALLOWED_S = {"usual": 1.0, "everything": 3.0}
"""For 100,000 parts in columns."""
SWEEP_PARTS, SWEEP_POINTS, SWEEP_ALLOWED_S = 2_000, 100, 2.0
WANTED = 20
ONE_BY_ONE = 10_000
"""More parts than these are not made readable one by one: it would take a minute."""
RATIOS = {-40.0: 1.5, -20.0: 1.34, 0.0: 1.18, 23.0: 1.0, 30.0: 0.93, 40.0: 0.85, 50.0: 0.76, 60.0: 0.68,
          70.0: 0.59, 85.0: 0.45}
DOCUMENT, SHA256 = "invented.pdf", "0" * 64

SHORT = """
supply = "dc"
supply_voltage_v = 12.0
normal_current_a = 0.5
ambient_cold_c = -15.0
ambient_hot_c = 55.0
fault_current_min_a = 8.0
source_resistance_min_ohm = 0.4
trip_time_max_s = 2.0
voltage_drop_max_v = 0.3
leakage_max_a = 0.2
"""
FULL = SHORT + """
peak_current_a = 3.0
peak_duration_s = 0.01
trip_current_max_a = 5.0
reset = "latched"
load_resistance_ohm = 24.0
packages = ["1812", "1206"]
allow_model = true
[hot_plug]
capacitance_f = 100e-6
resistance_ohm = 0.2
[wire]
awg = 26
insulation_max_c = 150
ampacity_a = 3.0
[track]
width_mm = 1.0
copper_um = 35.0
layer = "outer"
temperature_rise_max_k = 20.0
[endurance]
trips_per_month = 0.5
service_years = 8
[[damage_curve]]
current_a = 5.0
time_s = 20.0
[[damage_curve]]
current_a = 60.0
time_s = 0.1
"""


def count_to_parts(count: int) -> tuple[Part, ...]:
    """Invented parts, the same ones on every run."""
    chance = random.Random(5)
    return tuple(_part(f"P{number:06d}", chance) for number in range(count))


def _part(number: str, chance: random.Random) -> Part:
    place = Place(1, 0.0, 0.0, 1.0, 1.0)
    readings = tuple(
        Reading(DOCUMENT, SHA256, number, quantity, kind, ambient_c, test_a, value, Status.AGREED, place,
                f"{value:g}")
        for quantity, kind, ambient_c, test_a, value in _numbers(chance))
    package = chance.choice(("1812", "1206 (3216)", "2920"))
    text = PartText(DOCUMENT, SHA256, number, "package", package, place)
    return Part(number, DOCUMENT, SHA256, readings, (text,))


def _numbers(chance: random.Random) -> Iterator[tuple[Quantity, Kind, float | None, float | None, float]]:
    hold_a = round(chance.uniform(0.1, 5.0), 2)
    r_min = round(0.15 / hold_a * chance.uniform(0.7, 1.3), 4)
    yield Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, hold_a
    yield Quantity.TRIP_CURRENT, Kind.NONE, 23.0, None, round(hold_a * chance.uniform(1.7, 2.5), 2)
    yield Quantity.MAX_VOLTAGE, Kind.NONE, None, None, chance.choice((6.0, 16.0, 30.0, 60.0))
    yield Quantity.MAX_CURRENT, Kind.NONE, None, None, chance.choice((10.0, 40.0, 100.0))
    yield Quantity.TRIPPED_POWER, Kind.TYP, None, None, round(chance.uniform(0.5, 2.0), 2)
    yield Quantity.TIME_TO_TRIP, Kind.NONE, None, round(5.0 * hold_a, 2), round(chance.uniform(0.1, 8.0), 2)
    yield Quantity.RESISTANCE, Kind.MIN, None, None, r_min
    yield Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None, None, round(r_min * chance.uniform(2.5, 5.0), 4)
    for ambient_c, ratio in RATIOS.items():
        yield Quantity.HOLD_RATIO, Kind.NONE, ambient_c, None, ratio


def seconds_of(work: Callable[[], object]) -> tuple[float, float]:
    """Time of some work by the clock and by the processor, s; freeing the result is not counted."""
    wall, processor = time.perf_counter(), time.process_time()
    result = work()
    taken = time.perf_counter() - wall, time.process_time() - processor
    assert result is not None
    return taken


def show(what: str, asked: str, count: int, taken: tuple[float, float], allowed_s: float | None) -> None:
    """One line."""
    allowed = "      -" if allowed_s is None else f"{allowed_s:7.1f}"
    print(f"{what:15} {asked:12} {count:8d} {taken[0]:8.2f} {taken[1]:10.2f}  {allowed} "
          f"{taken[1] / count * 1e6:10.1f}")


def main(counts: list[int]) -> None:
    """Print one line for each count, requirement and way of judging."""
    print("way             requirement     parts  seconds  processor  allowed  µs a part")
    asked = {name: text_to_requirement(text, name) for name, text in (("usual", SHORT), ("everything", FULL))}
    for count in counts:
        parts = count_to_parts(count)
        show("put in columns", "-", count, seconds_of(lambda: parts_to_columns(parts)), None)  # noqa: B023
        columns = parts_to_columns(parts)
        for name, requirement in asked.items():
            taken = seconds_of(lambda: columns_to_best(columns, requirement, WANTED))  # noqa: B023
            show("in columns", name, count, taken, ALLOWED_S[name] if count == 100_000 else None)
        if count <= ONE_BY_ONE:
            for name, requirement in asked.items():
                taken = seconds_of(lambda: parts_to_ranking(parts, requirement))  # noqa: B023
                show("one by one", name, count, taken, None)
    some = count_to_parts(SWEEP_PARTS)
    for name, requirement in asked.items():
        values = evenly(20.0, 80.0, SWEEP_POINTS)
        taken = seconds_of(lambda: sweep(some, requirement, "ambient_hot_c", values))  # noqa: B023
        show("what-if of 100", name, SWEEP_PARTS, taken, SWEEP_ALLOWED_S)


if __name__ == "__main__":
    main([int(argument) for argument in sys.argv[1:]] or [10_000, 100_000])
