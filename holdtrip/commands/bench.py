"""`holdtrip bench`: what a person measured on a part, compared with its datasheet."""

from __future__ import annotations

from pathlib import Path

import click

from compare.bench_check import BenchCheck, BenchVerdict, part_to_bench_checks
from compare.explain import quantity_text
from compare.measurements import read_measurements
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.part_table import one_part_named
from holdtrip.screen import say, show_table
from holdtrip.sources import open_source, source_option

EXAMPLES = """\b
Examples:
  holdtrip bench QX050 measured.toml                        with the library
  holdtrip bench QX050 measured.toml --parts sheet.pdf      with a datasheet

\b
measured.toml, for example:
  ambient_c = 24
  meter_lead_resistance_ohm = 0.12
  [[drop]]                     # voltage across the cold part at small currents
  current_a = 0.1
  voltage_v = 0.031
  [trip]
  current_a = 2.5
  time_s = 3.1
"""

_STYLES = {BenchVerdict.FITS: "green", BenchVerdict.OUTSIDE: "bold red",
           BenchVerdict.NOT_COMPARABLE: "yellow"}


@click.command("bench", epilog=EXAMPLES)
@click.argument("part_number", metavar="PART")
@click.argument("path", metavar="MEASURED.toml", type=click.Path(path_type=Path))
@source_option
def command(part_number: str, path: Path, source: str | None) -> int:
    """Compare bench measurements of a part with its datasheet: fits, outside or not comparable.

    This is how an unmarked, aged or counterfeit part is told. A part that passes may still be worn.
    """
    measured = read_measurements(path)
    opened = open_source(source)
    part = one_part_named(opened.parts, part_number, opened.name)
    checks = part_to_bench_checks(part, measured)
    show_table(["Question", "Measured", "Allowed", "Verdict", "Reason", "Source"],
               [_check_to_row(check) for check in checks],
               title=f"{part.part_number}, {part.document}",
               styles=[_STYLES[check.verdict] for check in checks])
    outside = sum(check.verdict is BenchVerdict.OUTSIDE for check in checks)
    say(f"{counted(len(checks), 'question')}, {outside} outside what the datasheet allows")
    return FOUND_SOMETHING if outside else ALL_WELL


def _check_to_row(check: BenchCheck) -> list[str]:
    measured = "" if check.measured is None else quantity_text(check.measured, check.unit)
    return [check.name.replace("_", " "), measured, _allowed(check), check.verdict.value, check.reason,
            check.source]


def _allowed(check: BenchCheck) -> str:
    if check.low is not None and check.high is not None:
        return f"{check.low:.4g} to {quantity_text(check.high, check.unit)}"
    if check.low is not None:
        return f"above {quantity_text(check.low, check.unit)}"
    return "" if check.high is None else f"at most {quantity_text(check.high, check.unit)}"
