"""The smallest cause of a misread layout: plain choices wherever the fault stays.

    python bench/layout_reduce.py NUMBER [NUMBER ...] [--seed 1] [--keep FOLDER]

Takes sheets that bench/layouts.py found faulty, puts one feature after the other back to its plain choice and
keeps each change under which the same fault (outcome, quantity, kind) still shows. Prints the features left.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.layout_plan import FONTS, OPTIONAL, Plan
from bench.layout_sheet import made_plan, planned_sheet
from bench.layouts import entry_value, read_values
from bench.scoring import SILENTLY_WRONG, Outcome, Verdict, judge
from sample_tables.generate.__main__ import draw

PLAIN = Plan(
    producer="reportlab",
    language="en",
    font="dejavu",
    rules="full",
    head="flat",
    unit_place="round",
    current_power=0,
    resistance_power=0,
    time_power=0,
    order="usual",
    optional=OPTIONAL,
    trip_time="pair",
    power_label="typ",
    part_last=False,
    derating="",
    dashes=False,
    marks="",
    gaps=False,
    comma=False,
    zebra=False,
    merged_body=False,
    sections=False,
    turn="",
    rows="few",
    repeat_head=True,
    minus="-",
    contradiction=False,
    short_names=False,
    decoys="none",
    align="center",
    tight=False,
    size=8.0,
)
TOGETHER = ({"language", "font", "comma"}, {"head", "unit_place"}, {"derating", "turn"})
"""Features that must change together to stay printable; tried first."""

Fault = tuple[Outcome, str, str]


def sheet_verdicts(plan: Plan, seed: int, number: int) -> list[Verdict]:
    """What becomes of the entries of a plan's sheet, first reading alone."""
    sheet = planned_sheet(plan, seed, number)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / sheet.document
        path.write_bytes(draw(sheet))
        values, _ = read_values(path, both=False)
    return judge(map(entry_value, sheet.truth), values)


def faults(plan: Plan, seed: int, number: int) -> set[Fault]:
    """The faults of a plan's sheet by outcome, quantity and kind."""
    return {
        (v.outcome, v.key[1].value, v.key[2].value)
        for v in sheet_verdicts(plan, seed, number)
        if v.outcome != Outcome.RIGHT
    }


def worst(found: set[Fault]) -> Fault:
    """The fault to follow: silently wrong before the rest."""
    return min(found, key=lambda fault: (fault[0] not in SILENTLY_WRONG, fault))


def plainer(plan: Plan, names: set[str]) -> Plan:
    """The plan with those features plain."""
    return replace(plan, **{name: getattr(PLAIN, name) for name in names})


def reduced(number: int, seed: int) -> tuple[int, Fault | None, Plan]:
    """The plainest plan found that still shows the worst fault of that sheet."""
    plan = made_plan(seed, number)
    found = faults(plan, seed, number)
    if not found:
        return number, None, plan
    fault = worst(found)
    for names in (*TOGETHER, *({name} for name in Plan.__dataclass_fields__)):
        trial = plainer(plan, set(names))
        if trial.font not in FONTS[trial.language]:
            continue  # no glyphs for these words
        try:
            stays = trial != plan and fault in faults(trial, seed, number)
        except (ValueError, KeyError):
            continue  # a combination that cannot be drawn
        if stays:
            plan = trial
    return number, fault, plan


def main() -> None:
    """Reduce and print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("numbers", type=int, nargs="+")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="folder for the reduced sheets")
    options = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        for number, fault, plan in pool.map(partial(reduced, seed=options.seed), options.numbers):
            if fault is None:
                print(f"{number:5} no fault")
                continue
            odd = [
                f"{name}={getattr(plan, name)!r}"
                for name in Plan.__dataclass_fields__
                if getattr(plan, name) != getattr(PLAIN, name)
            ]
            print(f"{number:5} {' '.join(filter(None, fault))}: {' '.join(odd)}", flush=True)
            if options.keep:
                options.keep.mkdir(parents=True, exist_ok=True)
                content = draw(planned_sheet(plan, options.seed, number))
                (options.keep / f"reduced_{number:04d}.pdf").write_bytes(content)


if __name__ == "__main__":
    main()
