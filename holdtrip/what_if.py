"""`--what-if`: one quantity of a requirement swept, and where the best part changes.

Comes in: FIELD=FROM:TO[:STEPS] as typed, and a sweep. Goes out: the values, and a table on stdout.
Ranks nothing itself.
"""

from __future__ import annotations

import click

from compare.explain import margin_title
from compare.what_if import Grid, Sweep, SweepStep, evenly
from holdtrip.screen import say, show_table

USUAL_STEPS = 11


def typed_to_values(typed: str) -> tuple[str, tuple[float, ...]]:
    """Field and values of FIELD=FROM:TO[:STEPS]; raises UsageError or InputError."""
    field, _, ends = typed.partition("=")
    parts = ends.split(":")
    try:
        first, last = float(parts[0]), float(parts[1])
        steps = int(parts[2]) if len(parts) == 3 else USUAL_STEPS
    except (IndexError, ValueError):
        raise click.UsageError(f"--what-if {typed}: expected FIELD=FROM:TO or FIELD=FROM:TO:STEPS, such as"
                               " ambient_hot_c=20:70:11") from None
    return field.strip(), evenly(first, last, steps)


def show_sweep(sweep: Sweep) -> None:
    """The best part at each value, then the values between which it changes."""
    rows = [_step_to_row(step, sweep.unit) for step in sweep.steps]
    show_table([sweep.field, "Parts that fit", "Best", "Margin", "Limited by"], rows, title="What if",
               numbers=[0, 1, 3])
    for change in sweep.changes:
        say(f"between {change.below:g} and {change.above:g} {sweep.unit}:"
            f" {change.winner_below or 'no part'} gives way to {change.winner_above or 'no part'}")


def show_grid(grid: Grid) -> None:
    """The best part, and how many fit, at every pair of values."""
    (first, second), (unit, other) = grid.fields, grid.units
    headings = [first, *(f"{value:g} {other}" for value in grid.values[1])]
    rows = [[f"{value:g} {unit}", *(f"{step.winner} ({step.fitting})" if step.winner else "none"
                                    for step in steps)]
            for value, steps in zip(grid.values[0], grid.steps, strict=True)]
    show_table(headings, rows, title=f"What if: best part (how many fit), across: {second}", numbers=[0])


def _step_to_row(step: SweepStep, unit: str) -> list[str]:
    margin = "" if step.margin is None else f"{step.margin:.2f}"
    limited = margin_title(step.limiting_margin) if step.limiting_margin else ""
    return [f"{step.value:g} {unit}", str(step.fitting), step.winner or "none", margin, limited]
