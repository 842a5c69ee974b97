"""`holdtrip export`: what the library holds, as a file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import click

from extract.long_table import write_long_table
from extract.particulars.particulars_table import write_everything
from extract.wide_table import write_wide_table
from holdtrip.exchange_files import write_exchange
from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Moment
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import as_of_option, library_address, library_option, say_moment
from holdtrip.option_groups import option_group
from holdtrip.outputs import OUTPUT, Output, OutputKind, check_outputs, force_option, whole_file
from holdtrip.own_files import EXCHANGE, LONG_TABLE, WIDE_TABLE
from holdtrip.screen import say

EXAMPLES = """\b
Examples:
  holdtrip export numbers.csv --long                       every number with its place
  holdtrip export trusted.csv --long --accepted            only what a person accepted or corrected
  holdtrip export all.csv --long --all                     and sizes, temperatures, approvals
  holdtrip export parts.csv --wide                         one row for each part
  holdtrip export march.csv --long --as-of 2026-03-01      as the library stood then
  holdtrip export library.json                             everything, for another library

\b
Without --long or --wide the whole library is written, with all that was decided, in the form the
ending names: .json (its JSON Schema is holdtrip/library/exchange.schema.json), .xlsx or .parquet.
`holdtrip import` takes it in again, and nothing is lost.
"""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is written: the long or wide table, or everything; which numbers, as of when."""

    long: bool
    wide: bool
    everything: bool
    accepted: bool
    as_of: Moment | None

    @property
    def kind(self) -> OutputKind:
        """The sort of file."""
        if self.long or self.wide:
            return LONG_TABLE if self.long else WIDE_TABLE
        return EXCHANGE


wanted_options = option_group(
    "wanted", Wanted,
    click.option("--long", "long", is_flag=True,
                 help="The long table (CSV): one row for each number, with its place."),
    click.option("--wide", "wide", is_flag=True,
                 help="The wide table (CSV): one row for each part, a column for each rating, then sources."),
    click.option("--all", "everything", is_flag=True,
                 help="With --long: sizes, temperatures, approvals and the like too, as further rows."),
    click.option("--accepted", is_flag=True,
                 help="With --long or --wide: only numbers a person accepted or corrected."),
    as_of_option,
)


@click.command("export", epilog=EXAMPLES)
@click.argument("path", metavar="OUT", type=OUTPUT)
@wanted_options
@library_option
@force_option
def command(path: Path, wanted: Wanted, library: str | None, force: bool) -> int:
    """Write the library to a file: the long or wide table, or everything for another library."""
    if wanted.long and wanted.wide:
        raise click.UsageError("--long or --wide, not both in one file")
    if wanted.accepted and not (wanted.long or wanted.wide):
        raise click.UsageError("--accepted goes with --long or --wide: a library is exchanged whole")
    if wanted.everything and not wanted.long:
        raise click.UsageError("--all goes with --long: a library is exchanged whole")
    address = library_address(library)
    check_outputs([Output("OUT", path, wanted.kind)], [address], force)
    with open_library(address, create=False) as opened, whole_file(path) as unfinished:
        say_moment(opened, wanted.as_of)
        told = _write(opened, unfinished, wanted, path.suffix.lower())
        name = opened.name
    say(f"wrote {path}: {told} of {name}")
    return ALL_WELL


def _write(library: Library, path: Path, wanted: Wanted, ending: str) -> str:
    """Write what is wanted; returns how much that was, in words."""
    if not (wanted.long or wanted.wide):
        write_exchange(library.export_records(wanted.as_of), path, ending)
        return "everything"
    readings = library.readings(accepted_only=wanted.accepted, as_of=wanted.as_of)
    if wanted.wide:
        return f"{write_wide_table(readings, path)} parts"
    if wanted.everything:
        return f"{write_everything(readings, library.particulars(wanted.as_of), path)} rows"
    return f"{write_long_table(readings, path)} numbers"
