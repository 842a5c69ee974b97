"""`holdtrip compare`: parts held against a requirement, ranked, each verdict with its margin and source."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from compare.ports import SHOWN, rank_arrangements
from compare.ranking import Ranking, parts_to_ranking
from compare.requirement import Requirement
from compare.requirement_file import Arrangement, read_arrangements, read_requirement
from compare.what_if import sweep, sweep_two
from holdtrip.best_of_library import library_to_best
from holdtrip.comparison_files import ComparisonFiles, check_files, file_options, write_files
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.outputs import Output, check_outputs
from holdtrip.own_files import SIDE_BY_SIDE_BOOK
from holdtrip.parts_beside import show_side_by_side, show_stand_ins
from holdtrip.ports_table import show_ports
from holdtrip.ranking_table import show_ranking
from holdtrip.relaxing_lines import show_removed
from holdtrip.screen import say
from holdtrip.sources import Source, newer_on, open_source, source_option, source_to_library
from holdtrip.what_if import show_grid, show_sweep, typed_to_values
from holdtrip.why_table import candidates_named, show_why

EXAMPLES = """\b
Examples:
  holdtrip compare requirement.toml                             parts of the library
  holdtrip compare requirement.toml --parts datasheets/ --xlsx out.xlsx --report out.html
  holdtrip compare requirement.toml --parts numbers.csv --top 5
  holdtrip compare requirement.toml --save "lamp, revision B"
  holdtrip compare requirement.toml --why QX050
  holdtrip compare --like QX050                                 what can replace it?
  holdtrip compare --table QX050,QX075,RW110 --xlsx side.xlsx
  holdtrip compare requirement.toml --what-if ambient_hot_c=20:70:11
  holdtrip compare requirement.toml --what-if ambient_hot_c=20:70:6 --what-if normal_current_a=0.2:0.6:5

\b
Verdicts:
  fits          every margin that was asked is met
  undetermined  the data do not tell: a missing row, a disputed number, a current between hold and trip
  fails         at least one margin is missed
"""


@click.command("compare", epilog=EXAMPLES)
@click.argument("requirement_path", metavar="[REQUIREMENT.toml]", required=False,
                type=click.Path(path_type=Path))
@source_option
@click.option("--unreviewed", is_flag=True,
              help="Of a library, use numbers nobody has reviewed too; they stay marked.")
@file_options
@click.option("--what-if", "what_if", metavar="FIELD=FROM:TO[:STEPS]", multiple=True,
              help="Sweep one number of the requirement and show where the best part changes; given twice,"
                   " two of them together.")
@click.option("--why", metavar="PART",
              help="Show every margin of one part: what it rests on, what would have to change, the nearest"
                   " part that fits.")
@click.option("--like", metavar="PART",
              help="Show what can replace this part: every rating at least as good; needs no"
                   " requirement.")
@click.option("--table", "beside", metavar="PART,PART...",
              help="Show two to six parts side by side, the better of each row marked; --xlsx writes it"
                   " too.")
@click.option("--top", metavar="N", type=click.IntRange(min=1), default=20, show_default=True,
              help="How many parts to show on the screen; files get all.")
def command(
    requirement_path: Path | None, source: str | None, unreviewed: bool, top: int, files: ComparisonFiles,
    **asked: Any,
) -> int:
    """Compare parts with a requirement and rank them by verdict and smallest margin.

    The requirement is a TOML file: currents, voltage, ambients, fault, allowed trip time, voltage
    drop. docs/comparing.md lists every field. Of a large library the screen judges no more parts than
    the best need; files judge all.
    """
    if asked["like"] or asked["beside"]:
        return _show_beside(requirement_path, source, unreviewed, files, {**asked, "top": top})
    if requirement_path is None:
        raise click.UsageError("Missing REQUIREMENT.toml (or --like PART, or --table PART,PART)")
    check_files(files, requirement_path, source)
    requirement = read_requirement(requirement_path)
    arrangements = read_arrangements(requirement_path)
    swept = _typed_to_swept(asked["what_if"])
    library = source_to_library(source)
    if library is not None and not (swept or asked["why"] or files.asked):
        return _show_best(library, requirement, arrangements, unreviewed, top)
    opened = open_source(source, unreviewed)
    ranking = parts_to_ranking(opened.parts, requirement)
    explained = candidates_named(ranking, asked["why"], opened.name) if asked["why"] else []
    show_swept = _sweep_to_shown(opened, requirement, swept)
    ports = rank_arrangements(
        arrangements, lambda asked_for: (parts_to_ranking(opened.parts, asked_for), True))
    # files before the screen, whose reader may leave in the middle
    written = write_files(files, ranking, opened, requirement_path, ports)
    for failure in opened.failures:
        say(f"not read: {failure.reason}", style="bold red")
    for candidate in explained:
        show_why(ranking, candidate)
    if not explained:
        show_ranking(ranking, top)
        show_ports(ports)
        show_removed(ranking)
        _tell_newer(opened.library, ranking, top)
    show_swept()
    for line in written:
        say(line)
    return ALL_WELL if ranking.winner is not None else FOUND_SOMETHING


def _show_best(
    library: str, requirement: Requirement, arrangements: Sequence[Arrangement], unreviewed: bool, top: int
) -> int:
    """The best of a library on the screen, no more parts judged than they need."""
    best = library_to_best(library, requirement, unreviewed, top)
    show_ranking(best.ranking, top, best)
    show_ports(rank_arrangements(arrangements, lambda asked_for: _best_of(library, asked_for, unreviewed)))
    _tell_newer(library, best.ranking, top)
    return ALL_WELL if best.ranking.winner is not None else FOUND_SOMETHING


def _typed_to_swept(typed: Sequence[str]) -> list[tuple[str, tuple[float, ...]]]:
    """What --what-if names: a field with its values, once or twice."""
    swept = [typed_to_values(one) for one in typed]
    if len(swept) > 2:
        raise click.UsageError("--what-if may be given once or twice")
    return swept


def _sweep_to_shown(
    opened: Source, requirement: Requirement, swept: Sequence[tuple[str, Sequence[float]]]
) -> Callable[[], None]:
    """What --what-if asks, judged now and shown when called."""
    if len(swept) == 1:
        outcome = sweep(opened.parts, requirement, *swept[0])
        return lambda: show_sweep(outcome)
    if len(swept) == 2:
        grid = sweep_two(opened.parts, requirement, *swept)
        return lambda: show_grid(grid)
    return lambda: None


def _best_of(library: str, requirement: Requirement, unreviewed: bool) -> tuple[Ranking, bool]:
    """The best of a library for one arrangement of ports, and whether all of it was judged."""
    best = library_to_best(library, requirement, unreviewed, SHOWN)
    return best.ranking, not best.not_judged


def _show_beside(
    requirement_path: Path | None, source: str | None, unreviewed: bool, files: ComparisonFiles,
    asked: dict[str, Any],
) -> int:
    """Stand-ins for one part, or parts side by side."""
    _refuse_beside(requirement_path, files, asked)
    if files.xlsx is not None:
        inputs = [path for path in (requirement_path, source) if path is not None]
        check_outputs([Output("--xlsx", files.xlsx, SIDE_BY_SIDE_BOOK)], inputs, files.force)
    requirement = read_requirement(requirement_path) if requirement_path is not None else None
    opened = open_source(source, unreviewed)
    if asked["like"]:
        return show_stand_ins(opened.parts, asked["like"], opened.name, asked["top"])
    numbers = [number.strip() for number in asked["beside"].split(",") if number.strip()]
    return show_side_by_side(opened.parts, numbers, opened.name, requirement, files.xlsx)


def _refuse_beside(requirement_path: Path | None, files: ComparisonFiles, asked: dict[str, Any]) -> None:
    """Refuse what does not go together with --like or --table."""
    if asked["like"] and (asked["beside"] or requirement_path is not None or files.asked):
        raise click.UsageError("--like goes alone with --parts and --top")
    if asked["what_if"] or asked["why"] or files.report or files.json or files.save:
        raise click.UsageError("--table goes with a requirement, --parts and --xlsx only")


def _tell_newer(library: str | None, ranking: Ranking, top: int) -> None:
    """Of the parts shown, those of which the library holds a newer revision."""
    shown = [candidate.part for candidate in ranking.candidates[:top]]
    for (_, part_number), sentence in newer_on(library, shown).items():
        say(f"{part_number}: {sentence}", style="yellow")
