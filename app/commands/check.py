"""`holdtrip check`: what is wrong in a parts table that people typed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from app.check_table import show_report
from app.column_meanings import texts_to_pairs
from app.exits import ALL_WELL, FOUND_SOMETHING
from app.option_groups import option_group
from app.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from app.own_files import MARKED_COPY, TABLE_FINDINGS
from app.screen import say
from app.silenced import SilenceOptions, silence_finding, silence_options, silenced_keys
from app.sources import open_source
from extract.parts_table import (
    CheckOptions,
    TableOptions,
    TableReport,
    check_table,
    read_parts_table,
)
from extract.parts_table.findings_file import write_table_findings
from extract.schema import Reading, Severity

EXAMPLES = """\b
Examples:
  holdtrip check parts.csv                                  from the table alone
  holdtrip check parts.xlsx --against datasheets/           against the datasheets it came from
  holdtrip check parts.csv --against team.sqlite --findings found.csv
  holdtrip check parts.xlsx --marked marked.xlsx            a copy with every finding at its cell
  holdtrip check parts.csv --map "Stuff=hold_current mA" --map "Notes=ignore"

\b
A table is never called clean: the report says what was checked and what no check reaches. A value a
few per cent wrong, or taken from the next row, shows against the datasheet only.
"""


@dataclass(frozen=True, slots=True)
class Asked:
    """What to read, what to hold it against, how, and where to write the findings."""

    table: Path
    more: tuple[str, ...]
    against: tuple[str, ...]
    mapped: tuple[tuple[str, str], ...]
    sheets: tuple[str, ...]
    same: tuple[tuple[str, str], ...]
    findings: Path | None
    marked: Path | None
    force: bool


Pairs = tuple[tuple[str, str], ...]


def _pairs(_context: click.Context, _option: click.Parameter, typed: tuple[str, ...]) -> Pairs:
    """LEFT=RIGHT as pairs."""
    return texts_to_pairs(typed)


asked_options = option_group(
    "asked", Asked,
    click.argument("table", metavar="TABLE", type=click.Path(path_type=Path)),
    click.argument("more", metavar="", nargs=-1),
    click.option("--against", metavar="SOURCE...", multiple=True,
                 help="Datasheets, a folder of them, a library or a long table to hold the table against."),
    click.option("--map", "mapped", metavar='"HEADING=MEANING"', multiple=True, callback=_pairs,
                 help="What a column means, such as 'Stuff=hold_current mA', 'R=resistance min mOhm',"
                      " 'I60=hold_current at 60 C' or 'Notes=ignore'."),
    click.option("--sheet", "sheets", metavar="NAME", multiple=True,
                 help="Only this sheet of a workbook; may be repeated."),
    click.option("--same", metavar='"TYPED=PRINTED"', multiple=True, callback=_pairs,
                 help="A part number of the table that is this one of the datasheets."),
    click.option("--findings", metavar="OUT.csv", type=OUTPUT, help="Write the findings to this file."),
    click.option("--marked", metavar="OUT.xlsx", type=OUTPUT,
                 help="Write a copy of the table with every finding marked at its cell."),
    force_option,
)


@click.command("check", epilog=EXAMPLES)
@asked_options
@silence_options
def command(asked: Asked, silence: SilenceOptions) -> int:
    """Find what is wrong in a parts table that people typed (CSV or XLSX).

    The columns as understood are shown first. Exit code 1 if any finding is an error.
    """
    check_outputs(_outputs(asked), (asked.table, *asked.against, *asked.more), asked.force)
    table = read_parts_table(asked.table, TableOptions(mapping=asked.mapped, sheets=asked.sheets))
    options = CheckOptions(silenced_keys(silence), dict(asked.same))
    report = check_table(table, _readings(asked), options)
    show_report(report)
    _write(report, asked)
    if silence.number is not None:
        silence_finding(report, silence)
    return FOUND_SOMETHING if any(one.severity is Severity.ERROR for one in report.findings) else ALL_WELL


def _readings(asked: Asked) -> tuple[Reading, ...]:
    """Readings of everything after --against, each once; several sources may follow one --against."""
    if asked.more and not asked.against:
        raise click.UsageError(f"one table at a time, not '{asked.more[0]}' too; sources follow --against")
    opened = [open_source(typed) for typed in (*asked.against, *asked.more)]
    for failure in (failure for source in opened for failure in source.failures):
        say(f"not read: {failure.reason}", style="bold red")
    readings = (reading for source in opened for part in source.parts for reading in part.readings)
    return tuple(dict.fromkeys(readings))


def _outputs(asked: Asked) -> list[Output]:
    files = [("--findings", asked.findings, TABLE_FINDINGS), ("--marked", asked.marked, MARKED_COPY)]
    return [Output(option, path, kind) for option, path, kind in files if path is not None]


def _write(report: TableReport, asked: Asked) -> None:
    if asked.findings is not None:
        with whole_file(asked.findings) as path:
            count = write_table_findings(report.findings, path)
        say(f"wrote {asked.findings}: {count} findings")
    if asked.marked is not None:
        from extract.parts_table.marked_copy import write_marked_copy

        with whole_file(asked.marked) as path:
            count = write_marked_copy(report, path)
        say(f"wrote {asked.marked}: {count} cells marked")
