"""Random plans of invented charts: scales, curves, labels, ways of drawing.

Comes in: a seed. Goes out: a ChartPlan. Draws nothing. The same seed gives the same plan.
"""

from __future__ import annotations

import random
import string

from sample_tables.generate.chart_plan import ChartPlan, PlannedCurve

HOLDS = (
    0.05, 0.08, 0.1, 0.14, 0.17, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.65, 0.75, 0.9, 1.1, 1.25, 1.35, 1.5, 1.6,
    1.85, 2.0, 2.5, 2.6, 3.0, 3.3, 3.75, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 11.0, 14.0,
)  # fmt: skip
WAYS = ("top_names", "top_letters", "end_names", "end_letters", "along", "column", "fan", "arrows", "legend")
STROKES = ("line", "line", "bezier", "pieces", "dashed", "dashes", "outline")
TITLES = (
    ("Typical time to trip at 23 °C", "Fault current (A)", "Time to trip (s)"),
    ("Average time-current curves at 20 °C", "Current in amperes", "Time in seconds"),
    ("Typische Auslösezeit bei 23 °C", "Fehlerstrom [A]", "Auslösezeit [s]"),
    ("Temps de déclenchement typique à 25 °C", "Courant (A)", "Temps (s)"),
    ("Typical trip time, 25 °C", "Fault current, A", "Trip time, s"),
)
_PREFIXES = ("WRX", "Q-TOL", "BKN16-", "HLM", "ZAV-S", "RUN30-")


def seed_to_plan(seed: int) -> ChartPlan:
    """A chart at random."""
    dice = random.Random(seed)
    way = dice.choice(WAYS)
    stroke = dice.choice(STROKES)
    most = {"legend": 12, "column": 16, "arrows": 9, "along": 12, "end_names": 12}.get(way, 26)
    curves, letters = _curves(dice, way, dice.randint(3, most))
    title, x_title, y_title = dice.choice(TITLES)
    low, high = min(c.hold_a for c in curves), max(c.hold_a * c.last for c in curves)
    first = 0 if low > 0.8 else -1
    y_unit = "ms" if dice.random() < 0.08 else "s"
    return ChartPlan(
        curves,
        x_decades=(first, 2 if high < 150 else dice.choice((2, 2, 3))),
        y_decades=(dice.choice((-3, -2)), dice.choice((2, 3))),
        corner=(dice.uniform(90, 130), dice.uniform(280, 340)),
        size=(dice.uniform(230, 340), dice.uniform(230, 340)),
        title=title,
        x_title=x_title,
        y_title=y_title.replace("(s)", "(ms)").replace("[s]", "[ms]").replace(", s", ", ms").replace(
            "seconds", "milliseconds") if y_unit == "ms" else y_title,
        grid=dice.choice(("minor", "minor", "minor", "major", "none")),
        jitter=dice.choice((0.0, 0.0, 0.004, 0.012, 0.025)),
        wrong_line=dice.choice((0.0, 0.0, 0.0, 0.05, -0.06)),
        tick_shift=(dice.uniform(-6, 6), dice.uniform(-7, 7)) if dice.random() < 0.4 else (0.0, 0.0),
        labels=way,
        stroke=stroke,
        reversed=dice.random() < 0.3,
        twice=dice.random() < 0.15 and stroke != "dashes",
        hook=dice.random() < 0.1 and stroke in ("line", "bezier"),
        masks=dice.random() < 0.5,
        phantom=dice.random() < 0.15,
        vertices=dice.choice((6, 12, 30, 60, 200)),
        curve_width=dice.choice((0.6, 0.9, 1.1, 1.4)),
        grid_width=dice.choice((0.15, 0.25, 0.35)),
        grid_grey=dice.choice((0.0, 0.5, 0.7)),
        y_unit=y_unit,
        missing_ticks=(2,) if dice.random() < 0.15 else (),
        comma=dice.random() < 0.2,
        seed=seed,
        letters=letters,
    )  # fmt: skip


def _curves(dice: random.Random, way: str, count: int) -> tuple[tuple[PlannedCurve, ...], dict[str, str]]:
    """Curves of neighbouring hold currents, some of which cross, and the key of their letters."""
    start = dice.randint(0, len(HOLDS) - count)
    holds = sorted(dice.sample(HOLDS[start : start + count + min(6, len(HOLDS) - start - count)], count))
    prefix = dice.choice(_PREFIXES)
    by_letter = way in ("top_letters", "end_letters")
    by_colour = way == "legend" or dice.random() < 0.3
    crossing = dice.choice((0.0, 0.0, 0.15, 0.3))
    one = dice.choice(((0.0, 0.0, 0.0), (0.0, 0.45, 0.3), (0.1, 0.2, 0.6)))
    colours = _colours(count) if by_colour else [one] * count
    curves, letters = [], {}
    for number, hold in enumerate(holds):
        part = f"{prefix}{round(hold * 100):03d}"
        label = string.ascii_uppercase[number] if by_letter else part
        if by_letter:
            letters[label] = part
        parts = (part,)
        if not by_letter and dice.random() < 0.08:
            parts = (part, f"{part}/24")
            label = f"{part}, {part}/24"
        curves.append(
            PlannedCurve(
                parts, label, hold,
                scale=6.0 * (1 + crossing * dice.uniform(-1, 1)) * (hold ** 0.2),
                trip=dice.uniform(1.55, 1.75) if crossing else 1.7,
                power=2.2 + crossing * dice.uniform(-1, 1),
                last=dice.uniform(8, 40),
                colour=colours[number],
            )
        )  # fmt: skip
    return tuple(curves), letters


def _colours(count: int) -> list[tuple[float, float, float]]:
    """Colours that the eye tells apart."""
    base = [(0.84, 0.15, 0.16), (0.12, 0.47, 0.71), (0.17, 0.63, 0.17), (1.0, 0.5, 0.05), (0.58, 0.4, 0.74),
            (0.55, 0.34, 0.29), (0.89, 0.47, 0.76), (0.09, 0.75, 0.81), (0.5, 0.5, 0.0), (0.0, 0.0, 0.0),
            (0.0, 0.0, 0.6), (0.6, 0.0, 0.3)]  # fmt: skip
    return [base[number % len(base)] if number < len(base) else (0.0, 0.0, 0.0) for number in range(count)]
