"""`holdtrip curves`: the drawn curves that the library keeps, and what people decide on them."""

from __future__ import annotations

from dataclasses import dataclass

import click

from extract.errors import InputError
from extract.schema import ChartName
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL
from holdtrip.library.curves import StoredCurve
from holdtrip.library.records import Moment, Signature, Verdict
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import as_of_option, library_address, library_option, say_moment, who_option
from holdtrip.option_groups import option_group
from holdtrip.screen import say, show_table

EXAMPLES = """\b
Examples:
  holdtrip curves QX050                                   its curves, each with its number
  holdtrip curves QX050 --accept 7
  holdtrip curves QX050 --label 7 QX065 --because "the arrow of page 3 points at the next curve"
  holdtrip curves QX050 --reject 7 --because "drawn for another series"

\b
A typical curve is no limit: it holds for still air, the maker's board and the ambient of its chart.
"""


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of which curves, by whom and why."""

    accepted: tuple[int, ...]
    rejected: tuple[int, ...]
    reopened: tuple[int, ...]
    labelled: tuple[tuple[int, str], ...]
    reason: str
    who: str

    def decisions(self) -> list[tuple[int, Verdict, str]]:
        """(curve, verdict, part that the label names) for each."""
        return [*((no, Verdict.ACCEPTED, "") for no in self.accepted),
                *((no, Verdict.REJECTED, "") for no in self.rejected),
                *((no, Verdict.REOPENED, "") for no in self.reopened),
                *((no, Verdict.CORRECTED, part) for no, part in self.labelled)]


said_options = option_group(
    "said", Said,
    click.option("--accept", "accepted", metavar="NUMBER", type=int, multiple=True,
                 help="Accept a curve you have looked at; again for another."),
    click.option("--reject", "rejected", metavar="NUMBER", type=int, multiple=True,
                 help="Take a curve out of every comparison."),
    click.option("--reopen", "reopened", metavar="NUMBER", type=int, multiple=True,
                 help="Take back what was decided of a curve."),
    click.option("--label", "labelled", metavar="NUMBER PART", type=(int, str), multiple=True,
                 help="Say which part of the datasheet a curve's label names."),
    click.option("--because", "reason", metavar="TEXT", default="", help="Why, for those who come later."),
    who_option,
)


@click.command("curves", epilog=EXAMPLES)
@click.argument("part_number", metavar="[PART]", default="")
@said_options
@library_option
@as_of_option
def command(part_number: str, said: Said, library: str | None, as_of: Moment | None) -> int:
    """List the drawn curves of a part, or of every part, and decide on them.

    Comparisons use a curve that a person accepted, whose label a person corrected, or that was accepted in
    bulk with its part; with --unreviewed also those nobody looked at. A disputed curve is never used.
    """
    decisions = said.decisions()
    if decisions and as_of is not None:
        raise click.UsageError("--as-of only looks")
    with open_library(library_address(library), create=False) as opened:
        for number, verdict, part in decisions:
            _tell(opened.decide_curve(number, verdict, Signature(said.who, said.reason), part))
        if not decisions:
            say_moment(opened, as_of)
            _list(opened, part_number, as_of)
    return ALL_WELL


def _tell(one: StoredCurve) -> None:
    assert one.decision is not None  # just decided
    what = f"given to {one.given_to}" if one.given_to else one.decision.verdict.value
    what += f" by {one.decision.who}, signed by {one.second.who} too" if one.second is not None else ""
    say(f"curve {one.curve_id} ({one.curve.part_number}, page {one.curve.place.page}): {what}")


def _list(opened: Library, part_number: str, as_of: Moment | None) -> None:
    found = opened.curves(part_number, as_of=as_of)
    if not found:
        raise InputError(part_number or opened.name, "no curve in the library",
                         "a part whose datasheet draws one",
                         "Sheets imported before curves were kept: `holdtrip import FOLDER --again --take`")
    show_table(["Number", "Part", "Curve", "From - to", "Ambient", "Status", "Decided", "Page", "Label",
                "Datasheet"], [_to_row(one) for one in found],
               title=f"{opened.name}: {counted(len(found), 'curve')}")


def _to_row(one: StoredCurve) -> list[str]:
    curve, said = one.curve, one.decision
    unit = "A" if curve.chart is ChartName.TIME_TO_TRIP else "°C"
    decided = "" if said is None else f"{said.verdict.value.replace('_', ' ')} by {said.who}"
    decided += "; waits for a second person" if one.waiting else ""
    decided += f" and {one.second.who}" if one.second is not None else ""
    return [str(one.curve_id), one.given_to or curve.part_number, curve.chart.value.replace("_", " "),
            f"{curve.points[0][0]:.3g} - {curve.points[-1][0]:.3g} {unit}",
            "" if curve.ambient_c is None else f"{curve.ambient_c:g} °C", curve.status.value, decided,
            str(curve.place.page), curve.label, curve.document]
