"""The command `holdtrip`: a table of commands, each in a file of its own, loaded only when used.

Comes in: the words typed. Goes out: an exit code. Asking for help loads no command and no heavy
package, so it answers at once.
"""

from __future__ import annotations

import gc
import os
import sys
from dataclasses import dataclass
from difflib import get_close_matches
from importlib import import_module

import click

from holdtrip.exits import run


@dataclass(frozen=True, slots=True)
class Entry:
    """Where a command stands and what it does in one line; its file names it `command`."""

    module: str
    summary: str


JOBS: dict[str, dict[str, Entry]] = {
    "Read datasheets": {
        "read": Entry("holdtrip.commands.read",
                      "Read PDF datasheets; show or write each number with its place."),
        "answer": Entry("holdtrip.commands.answer",
                        "Answer the question that disputed numbers of a datasheet wait for."),
        "answers": Entry("holdtrip.commands.answers",
                         "List the answers that the library remembers; edit them, take them back, exchange"
                         " them."),
    },
    "Keep what the team trusts": {
        "import": Entry("holdtrip.commands.import_sheets",
                        "Read PDF datasheets into the library, each all or nothing."),
        "accept": Entry("holdtrip.commands.accept",
                        "Accept a number you have looked at, or parts and whole datasheets in bulk, for"
                        " comparisons."),
        "correct": Entry("holdtrip.commands.correct",
                         "Put a value beside a printed one that is wrong; comparisons then use it, marked as"
                         " corrected."),
        "reject": Entry("holdtrip.commands.reject",
                        "Take a part, or single numbers of it, out of every comparison."),
        "reopen": Entry("holdtrip.commands.reopen",
                        "Take back what was decided of a part or of single numbers."),
        "curves": Entry("holdtrip.commands.curves",
                        "List the drawn curves of a part, or of every part, and decide on them."),
        "withdraw": Entry("holdtrip.commands.withdraw",
                          "Let a datasheet count no longer: its name, or the first letters of its hash."),
        "settings": Entry("holdtrip.commands.settings",
                          "Show or change what the team has settled for its library; each change stands in"
                          " the history."),
        "changes": Entry("holdtrip.commands.changes",
                         "Show what new revisions of datasheets changed, number by number, and whom it"
                         " concerns."),
        "silences": Entry("holdtrip.commands.silences",
                          "List findings that somebody accepted with `holdtrip check --silence`, and answers"
                          " of --same."),
        "sheet": Entry("holdtrip.commands.sheet",
                       "Show stored datasheets, or say something of one: its name, or the first letters of"
                       " its hash."),
        "history": Entry("holdtrip.commands.history",
                         "Show who changed the library, when and why, oldest first."),
        "export": Entry("holdtrip.commands.export",
                        "Write the library to a file: the long or wide table, or everything for another"
                        " library."),
        "verify": Entry("holdtrip.commands.verify",
                        "Check the library's database, and the kept copies of datasheets against their"
                        " hashes."),
        "backup": Entry("holdtrip.commands.backup",
                        "Write the library with its whole history, and the copies of its datasheets, into one"
                         " file."),
        "restore": Entry("holdtrip.commands.restore",
                         "Make a library from a backup, where there is none yet."),
    },
    "Look at parts": {
        "list": Entry("holdtrip.commands.list_parts",
                      "List parts, of a library with how far they are reviewed, of datasheets with their main"
                      " ratings."),
        "show": Entry("holdtrip.commands.show",
                      "Show every number of one part with its page, its place on it and the printed text."),
    },
    "Check a typed table": {
        "check": Entry("holdtrip.commands.check",
                       "Find what is wrong in a parts table that people typed (CSV or XLSX)."),
        "explain": Entry("holdtrip.commands.explain",
                         "Explain a finding's code: what it says, why it matters, an example, how to silence"
                         " it."),
    },
    "Work in a browser": {
        "serve": Entry("holdtrip.commands.serve",
                       "Open the review page: datasheet pages beside what was read, corrections, comparisons,"
                       " checks."),
    },
    "Compare parts": {
        "compare": Entry("holdtrip.commands.compare",
                         "Compare parts with a requirement and rank them by verdict and smallest margin."),
        "bench": Entry("holdtrip.commands.bench",
                       "Compare bench measurements of a part with its datasheet: fits, outside or not"
                       " comparable."),
        "identify": Entry("holdtrip.commands.identify",
                          "Rank known parts by how likely an unmarked or unknown part is each of them."),
    },
}
"""Heading in the help → command name → entry, in the order a newcomer needs them."""

COMMANDS = {name: entry for commands in JOBS.values() for name, entry in commands.items()}


class CommandsOnDemand(click.Group):
    """A group that imports the file of a command when that command is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Names of all commands, in the order of the help."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command of that name, or None."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(COMMANDS[cmd_name].module).command
        return command

    def resolve_command(  # the signatures are click's
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command of the first word; one that there is not is named with those near to it."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            near = get_close_matches(args[0], COMMANDS, n=2, cutoff=0.6)
            hint = f". Did you mean {' or '.join(near)}?" if near else ""
            ctx.fail(f"No such command '{args[0]}'{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(  # the signatures are click's
        self, ctx: click.Context, formatter: click.HelpFormatter  # noqa: ARG002
    ) -> None:
        """Write the table of commands without importing any of them."""
        for job, commands in JOBS.items():
            with formatter.section(job):
                formatter.write_dl([(name, entry.summary) for name, entry in commands.items()])


EPILOG = """\b
Start here:
  holdtrip read sheet.pdf               what does this datasheet say, and is it sure?
  holdtrip import datasheets/           keep it in the team's library
  holdtrip check parts.csv              what is wrong in the table we typed?
  holdtrip compare requirement.toml --parts datasheets/ --xlsx out.xlsx

\b
holdtrip calculates from the tables you give it. It approves nothing: check the page it cites,
and test the assembled product at its temperature extremes. A PTC fuse limits current, it does
not open the circuit, and it may reset by itself. Batteries and mains need the applicable
standard and a qualified person.

\b
Exit codes: 0 all well; 1 something was found (an error in a table, a sheet of a batch that
cannot be read, no part that fits); 2 bad input or usage; 3 an error of holdtrip's own.
"""


@click.command(cls=CommandsOnDemand, epilog=EPILOG,
               context_settings={"max_content_width": 110, "help_option_names": ["-h", "--help"]})
@click.version_option(package_name="holdtrip", message="holdtrip %(version)s")
@click.option("--quiet", is_flag=True, help="Say nothing but errors; files and exit codes stay.")
@click.option("--verbose", is_flag=True, help="Say on stderr what is done and how long it took.")
def holdtrip(quiet: bool, verbose: bool) -> None:
    """Self-resetting polymer PTC fuses: datasheets into checked tables, tables into decisions.

    For every number holdtrip shows the place on the page, and whether two readings of that cell
    agree. On layouts it has not met it can still put right values under a wrong part number, or
    miss a table: compare part numbers and table with the page before you accept.
    """
    if quiet and verbose:
        raise click.UsageError("--quiet or --verbose, not both")
    if quiet or verbose or "holdtrip.screen" in sys.modules:
        from holdtrip.screen import Loudness, set_loudness

        set_loudness(Loudness.QUIET if quiet else Loudness.VERBOSE if verbose else Loudness.USUAL)


def main() -> None:
    """Run the command line and leave with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal with an old code page must not turn an ohm sign into a crash.
        stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    if "HOLDTRIP_TRACEBACK" not in os.environ:
        # What a half-written workbook complains of while it is thrown away was told in one line already.
        sys.unraisablehook = lambda _: None
    gc.set_threshold(400_000, 20, 100)  # taking a page apart makes much and frees little: look less often
    code = run(holdtrip, sys.argv[1:])
    if "sqlalchemy" not in sys.modules:
        # No library is open: taking every module down again would be a tenth of a short command.
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)
    sys.exit(code)
