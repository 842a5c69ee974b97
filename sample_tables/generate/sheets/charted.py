"""Sheets with a chart of trip times drawn as vectors: each shows one or two difficulties of its curves."""

from __future__ import annotations

import string
from dataclasses import replace

from sample_tables.generate.blocks import Chart, Heading, Look, PageBreak, Sheet, Text
from sample_tables.generate.chart_plan import ChartPlan, PlannedCurve
from sample_tables.generate.columns import table_entries
from sample_tables.generate.physics import Part, Series, series_to_parts
from sample_tables.generate.tables import USUAL, simple_grid
from sample_tables.generate.words import closing, opening, test_notes

HOLDS = ("0.20", "0.30", "0.50", "0.75", "1.10", "1.60", "2.00", "2.60")
COLOURS = (
    (0.84, 0.15, 0.16), (0.12, 0.47, 0.71), (0.17, 0.63, 0.17), (1.0, 0.5, 0.05),
    (0.58, 0.4, 0.74), (0.55, 0.34, 0.29), (0.09, 0.75, 0.81), (0.1, 0.1, 0.1),
)  # fmt: skip


def _parts(pattern: str, holds: tuple[str, ...] = HOLDS) -> tuple[Part, ...]:
    volts = tuple("60" if float(hold) < 0.6 else "30" for hold in holds)
    return series_to_parts(Series(pattern, holds, volts, ("40",), "large23", heat=0.28, slow=5))


def _curves(parts: tuple[Part, ...], **shape: float) -> tuple[PlannedCurve, ...]:
    """A curve for each part, below the time of the table at the table's test current."""
    curves = []
    for part in parts:
        hold, test, limit = float(part.hold_a), float(part.test_a), float(part.time_s)
        curve = PlannedCurve((part.name,), part.name, hold, **shape)
        scale = 0.4 * limit * ((test / (curve.trip * hold)) ** curve.power - 1.0)
        curves.append(replace(curve, scale=scale))
    return tuple(curves)


def _sheet(
    name: str, vendor: str, title: str, difficulty: str, parts: tuple[Part, ...], plan: ChartPlan
) -> Sheet:
    return Sheet(
        name,
        "reportlab",
        vendor,
        title,
        difficulty,
        (
            *opening(),
            Heading("Electrical characteristics (23 °C)"),
            simple_grid(parts, USUAL),
            test_notes(23),
            PageBreak(),
            Chart(plan),
            Text("Typical curves of single parts in still air; they are no limits."),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 23)),
        Look(),
    )


def amberlough() -> Sheet:
    """Tick labels off their lines and one wrong grid line."""
    parts = _parts("AML{code}")
    plan = ChartPlan(
        _curves(parts), labels="top_names", tick_shift=(7.0, -8.0), wrong_line=0.07, jitter=0.004
    )
    return _sheet("amberlough_aml", "Amberlough", "AML leaded protectors",
                  "tick labels stand off their lines, and one grid line stands 7 % of a decade "
                  "off", parts, plan)  # fmt: skip


def brackenfirth() -> Sheet:
    """Letters above the frame with a key below; the top decade has no number."""
    parts = _parts("BKF-{code}")
    letters = dict(zip(string.ascii_uppercase, (part.name for part in parts), strict=False))
    curves = tuple(replace(c, label=letter) for letter, c in zip(letters, _curves(parts), strict=True))
    plan = ChartPlan(curves, labels="top_letters", letters=letters, missing_ticks=(2,))
    return _sheet("brackenfirth_bkf", "Brackenfirth", "BKF leaded protectors",
                  "letters above the curves, explained below; the top decade carries no "
                  "number", parts, plan)  # fmt: skip


def copplestow() -> Sheet:
    """Black on black, curves in pieces of both directions."""
    parts = _parts("CPS{code}")
    plan = ChartPlan(_curves(parts), labels="end_names", stroke="pieces", grid_grey=0.0, curve_width=1.3)
    return _sheet("copplestow_cps", "Copplestow", "CPS leaded protectors",
                  "black curves on a black grid, each drawn in five pieces of either "
                  "direction", parts, plan)  # fmt: skip


def dunnockmere() -> Sheet:
    """Crossing curves with crossing leaders to a column of names."""
    parts = _parts("DNM{code}")
    curves = tuple(
        replace(c, power=c.power + (0.35 if number % 2 else -0.25), last=18 + 3 * number)
        for number, c in enumerate(_curves(parts))
    )
    return _sheet("dunnockmere_dnm", "Dunnockmere", "DNM leaded protectors",
                  "curves cross each other, and so do the leaders from a column of names beside the chart",
                  parts, ChartPlan(curves, labels="column"))  # fmt: skip


def eskwhistle() -> Sheet:
    """A legend by colour within the frame; curves drawn twice, bottom-up."""
    parts = _parts("EKW{code}")
    curves = tuple(replace(c, colour=colour) for c, colour in zip(_curves(parts), COLOURS, strict=True))
    plan = ChartPlan(curves, labels="legend", twice=True, reversed=True)
    return _sheet("eskwhistle_ekw", "Eskwhistle", "EKW leaded protectors",
                  "a legend by colour; every curve is drawn twice, from its lower end "
                  "upwards", parts, plan)  # fmt: skip


def farrowdell() -> Sheet:
    """Slanted names on the curves, in white boxes that hide a part of them."""
    parts = _parts("FRD{code}", HOLDS[1:7])
    plan = ChartPlan(_curves(parts), labels="along", masks=True, stroke="bezier")
    return _sheet("farrowdell_frd", "Farrowdell", "FRD leaded protectors",
                  "slanted names on the curves, each in a white box that hides a part of its "
                  "curve", parts, plan)  # fmt: skip


def garthmoss() -> Sheet:
    """Fan of leaders from names above; a hook at the end of the curves."""
    parts = _parts("GTM{code}")
    plan = ChartPlan(_curves(parts), labels="fan", hook=True)
    return _sheet("garthmoss_gtm", "Garthmoss", "GTM leaded protectors",
                  "upright names above the frame, a fan of leaders to the curves, which end in a "
                  "hook", parts, plan)  # fmt: skip


def hexwater() -> Sheet:
    """Milliseconds, dashed curves of several colours."""
    parts = _parts("HXW{code}")
    curves = tuple(replace(c, colour=colour) for c, colour in zip(_curves(parts), COLOURS, strict=True))
    plan = ChartPlan(curves, labels="legend", stroke="dashes", y_unit="ms", y_title="Time to trip (ms)")
    return _sheet("hexwater_hxw", "Hexwater", "HXW leaded protectors",
                  "time in milliseconds; curves dashed, every dash a stroke of its "
                  "own", parts, plan)  # fmt: skip


def ingleholt() -> Sheet:
    """A label for two parts, a part without a curve."""
    holds = ("0.20", "0.30", "0.50", "0.75", "1.10", "1.60", "2.00")
    parts = _parts("IGH{code}", holds)
    low = _curves(parts)
    double = replace(low[2], parts=(parts[2].name, parts[3].name), label=f"{parts[2].name}, {parts[3].name}")
    curves = (low[0], low[1], double, *low[4:6])
    return _sheet("ingleholt_igh", "Ingleholt", "IGH leaded protectors",
                  "one label names two parts, and one part of the table has no curve", parts,
                  ChartPlan(curves, labels="arrows"))  # fmt: skip


def jackmoor() -> Sheet:
    """Filled outlines, German words, decimal commas, phantom text."""
    parts = _parts("JKM{code}")
    plan = ChartPlan(
        _curves(parts), labels="top_names", stroke="outline", comma=True, phantom=True,
        title="Typische Auslösezeit bei 23 °C", x_title="Fehlerstrom [A]", y_title="Auslösezeit [s]",
    )  # fmt: skip
    return _sheet("jackmoor_jkm", "Jackmoor", "JKM leaded protectors",
                  "curves as filled outlines, German axes with decimal commas, names once more as "
                  "text nobody sees",
                  parts, plan)  # fmt: skip


def kelderby() -> Sheet:
    """No grid, ticks only; letters at both ends."""
    parts = _parts("KDB{code}")
    letters = dict(zip(string.ascii_uppercase, (part.name for part in parts), strict=False))
    curves = tuple(replace(c, label=letter) for letter, c in zip(letters, _curves(parts), strict=True))
    plan = ChartPlan(curves, labels="end_letters", letters=letters, grid="none")
    return _sheet("kelderby_kdb", "Kelderby", "KDB leaded protectors",
                  "no grid, ticks only; a letter at both ends of each curve", parts, plan)  # fmt: skip


def lingthwaite() -> Sheet:
    """Two curves that cannot be told apart: both arrows touch them where they run together."""
    parts = _parts("LGW{code}", ("0.20", "0.50", "0.55", "1.10", "2.00"))
    low = _curves(parts)
    near = replace(low[1], hold_a=low[1].hold_a * 1.012, parts=low[2].parts, label=low[2].label)
    return _sheet("lingthwaite_lgw", "Lingthwaite", "LGW leaded protectors",
                  "two curves lie on each other: which is whose cannot be told, both are disputed", parts,
                  ChartPlan((low[0], low[1], near, *low[3:]), labels="fan"))  # fmt: skip


SHEETS = (amberlough, brackenfirth, copplestow, dunnockmere, eskwhistle, farrowdell, garthmoss, hexwater,
          ingleholt, jackmoor, kelderby, lingthwaite)  # fmt: skip
