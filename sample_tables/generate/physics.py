"""Invented parts with sound physics: a series is chosen by hand, its parts follow from it.

Comes in: a `Series` (hold currents, voltages and a few shapes). Goes out: `Part` records in SI units.
Does not draw anything and knows no layout. The same series always gives the same parts.

Bands kept, seen across published vendor data: trip / hold 1.7-2.5, I_hold^2 * R1max / Pd 0.1-0.49,
R1max / Rmin 2-10, leakage Pd / Vmax below the hold current, test current between trip and the limit.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from decimal import Decimal

RATIOS = {
    "chip23": {-40: 150, -20: 134, 0: 118, 23: 100, 30: 93, 40: 83, 50: 73, 60: 62, 70: 51, 85: 34},
    "large23": {-40: 142, -20: 128, 0: 114, 23: 100, 30: 95, 40: 87, 50: 79, 60: 71, 70: 63, 85: 52},
    "lead20": {-40: 148, -20: 132, 0: 116, 20: 100, 40: 84, 50: 76, 60: 68, 70: 58, 85: 43},
    "lead25": {-40: 144, -20: 131, 0: 117, 25: 100, 40: 89, 50: 81, 60: 72, 70: 64, 85: 53},
}
"""Hold current in percent of the rating at each ambient in degrees Celsius, by shape."""


@dataclass(frozen=True, slots=True)
class Series:
    """What is chosen by hand for a series.

    `name` is a pattern for part numbers with {code} (hold in 10 mA, three digits) and {volts};
    `holds` in A as printed; `volts` and `amps` one per part or one for all; `test` is "5x" for
    five times the hold current or a fixed current in A; `power_w` is that of a 1 A part.
    """

    name: str
    holds: tuple[str, ...]
    volts: tuple[str, ...]
    amps: tuple[str, ...]
    shape: str
    test: str = "5x"
    power_w: float = 1.1
    heat: float = 0.3
    slow: float = 6.0


@dataclass(frozen=True, slots=True)
class Part:
    """One invented part: A, V, W, ohm, s. `hold_at`: hold current at each ambient in °C."""

    name: str
    hold_a: Decimal
    trip_a: Decimal
    max_v: Decimal
    max_a: Decimal
    typ_w: Decimal
    max_w: Decimal
    r_min: Decimal
    r_max: Decimal
    r1_max: Decimal
    test_a: Decimal
    time_s: Decimal
    hold_at: dict[int, Decimal]
    trip_at: dict[int, Decimal]
    code: str

    @property
    def max_v_ac(self) -> Decimal:
        """AC rating, where a sheet gives one: below the DC rating."""
        return rounded(float(self.max_v) * 5 / 6, 0)

    @property
    def max_a_ac(self) -> Decimal:
        """Fault current on AC, where a sheet gives one."""
        return rounded(float(self.max_a) / 2, 0)


def rounded(value: float, decimals: int) -> Decimal:
    """The value as a decimal number with that many decimals."""
    return Decimal(f"{value:.{decimals}f}")


def one_of(values: tuple[str, ...], index: int) -> Decimal:
    """The value of that part, or the one value of all parts."""
    return Decimal(values[index] if len(values) > 1 else values[0])


def time_at(series: Series, hold: float, test: float) -> float:
    """Seconds to trip: the heat stored grows with the part, the time falls with the square of the current."""
    times_hold = test / hold
    seconds = series.slow * (hold + 0.15) ** 0.45 * (5 / times_hold) ** 2
    return max(0.02, seconds)


def series_to_parts(series: Series) -> tuple[Part, ...]:
    """The parts of a series, smallest first as listed."""
    chance = random.Random(series.name)
    return tuple(series_to_part(series, index, chance) for index in range(len(series.holds)))


def series_to_part(series: Series, index: int, chance: random.Random) -> Part:
    """One part: powers, resistances and times follow from its hold current and the series."""
    hold_a = Decimal(series.holds[index])
    hold, fine = float(hold_a), 3 if hold_a < Decimal("0.1") else 2
    power = series.power_w * hold**0.3 * chance.uniform(0.95, 1.05)
    after = series.heat * chance.uniform(0.85, 1.15) * power / hold**2
    decimals = 3 if after < 20 else 1
    least = after / chance.uniform(2.6, 4.2)
    trip_a = rounded(hold * chance.uniform(1.8, 2.2), fine)
    test_a = hold_a * 5 if series.test == "5x" else Decimal(series.test)
    seconds = time_at(series, hold, float(test_a))
    code = f"{int(hold_a * 100):03d}"
    volts = one_of(series.volts, index)
    ratios = RATIOS[series.shape]
    part = Part(
        series.name.format(code=code, volts=volts),
        hold_a,
        trip_a,
        volts,
        one_of(series.amps, index),
        rounded(power, 2),
        rounded(power * 1.35, 2),
        rounded(least, decimals),
        rounded(math.sqrt(least * after), decimals),
        rounded(after, decimals),
        test_a,
        rounded(seconds, 1 if seconds >= 1 else 2),
        {ambient: rounded(hold * ratio / 100, fine) for ambient, ratio in ratios.items()},
        {ambient: rounded(float(trip_a) * ratio / 100, fine) for ambient, ratio in ratios.items()},
        code,
    )
    must_be_sound(part)
    return part


def must_be_sound(part: Part) -> None:
    """Raise if a part leaves the bands that published parts keep."""
    heat = part.hold_a**2 * part.r1_max / part.typ_w
    checks = {
        "trip / hold": Decimal("1.7") <= part.trip_a / part.hold_a <= Decimal("2.5"),
        "heat ratio": Decimal("0.1") <= heat <= Decimal("0.49"),
        "R1max / Rmin": 2 <= part.r1_max / part.r_min <= 10,
        "leakage": part.typ_w / part.max_v < part.hold_a * Decimal("0.8"),
        "test current": part.trip_a <= part.test_a <= part.max_a,
    }
    broken = [name for name, kept in checks.items() if not kept]
    if broken:
        raise ValueError(f"{part.name}: out of its band: {', '.join(broken)}: {part}")
