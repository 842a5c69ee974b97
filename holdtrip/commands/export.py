"""`holdtrip export`: what the library holds, as a file."""

from __future__ import annotations

from pathlib import Path

import click

from extract.long_table import write_long_table
from extract.particulars.particulars_table import write_everything
from extract.wide_table import write_wide_table
from holdtrip.exchange_files import write_exchange
from holdtrip.exits import ALL_WELL
from holdtrip.library.records import Moment
from holdtrip.library.store import open_library
from holdtrip.library_options import as_of_option, library_address, library_option
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
ending names: .json (its JSON Schema is library/exchange.schema.json), .xlsx or .parquet.
`holdtrip import` takes it in again, and nothing is lost.
"""


@click.command("export", epilog=EXAMPLES)
@click.argument("path", metavar="OUT", type=OUTPUT)
@click.option("--long", "long", is_flag=True,
              help="The long table (CSV): one row for each number, with its place.")
@click.option("--wide", "wide", is_flag=True,
              help="The wide table (CSV): one row for each part, a column for each rating, then sources.")
@click.option("--all", "everything", is_flag=True,
              help="With --long: sizes, temperatures, approvals and the like too, as further rows.")
@click.option("--accepted", is_flag=True,
              help="With --long or --wide: only numbers a person accepted or corrected.")
@library_option
@as_of_option
@force_option
def command(
    path: Path, long: bool, wide: bool, everything: bool, accepted: bool, library: str | None,
    as_of: Moment | None, force: bool,
) -> int:
    """Write the library to a file: the long or wide table, or everything for another library."""
    if long and wide:
        raise click.UsageError("--long or --wide, not both in one file")
    if accepted and not (long or wide):
        raise click.UsageError("--accepted goes with --long or --wide: a library is exchanged whole")
    if everything and not long:
        raise click.UsageError("--all goes with --long: a library is exchanged whole")
    address = library_address(library)
    check_outputs([Output("OUT", path, _kind(long, wide))], [address], force)
    with open_library(address, create=False) as opened, whole_file(path) as unfinished:
        if long and everything:
            count = write_everything(opened.readings(accepted_only=accepted, as_of=as_of),
                                     opened.particulars(as_of), unfinished)
            told = f"{count} rows"
        elif long:
            count = write_long_table(opened.readings(accepted_only=accepted, as_of=as_of), unfinished)
            told = f"{count} numbers"
        elif wide:
            count = write_wide_table(opened.readings(accepted_only=accepted, as_of=as_of), unfinished)
            told = f"{count} parts"
        else:
            write_exchange(opened.export_records(as_of), unfinished, path.suffix.lower())
            told = "everything"
        name = opened.name
    say(f"wrote {path}: {told} of {name}")
    return ALL_WELL


def _kind(long: bool, wide: bool) -> OutputKind:
    if long or wide:
        return LONG_TABLE if long else WIDE_TABLE
    return EXCHANGE
