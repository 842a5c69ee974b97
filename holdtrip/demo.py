"""`make demo`: the whole job over a folder of datasheets, each step a command that is shown before it runs.

Comes in: the folder of datasheets with its demo_requirement.toml, and the folder for results. Goes out:
the files those commands write. Does nothing that the commands shown do not do.
"""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import click

from holdtrip.commands import holdtrip
from holdtrip.exits import FOUND_SOMETHING, run


def steps(sheets: Path, results: Path) -> list[list[str]]:
    """The commands, in order; none of them changes anything when all is done already."""
    library = ["--library", str(results / "library.sqlite")]
    return [
        ["import", str(sheets), *library],
        ["export", str(results / "long.csv"), "--long", *library],
        ["compare", str(sheets / "demo_requirement.toml"), "--parts", str(results / "library.sqlite"),
         "--unreviewed", "--top", "8",
         "--xlsx", str(results / "comparison.xlsx"), "--report", str(results / "report.html"),
         "--json", str(results / "comparison.json")],
    ]


def main(sheets: Path, results: Path) -> int:
    """Run the steps; what a step finds in a datasheet is part of the show, a failure ends it."""
    results.mkdir(parents=True, exist_ok=True)
    for number, arguments in enumerate(steps(sheets, results), 1):
        click.secho(f"\n{number}. holdtrip {shlex.join(arguments)}", bold=True)
        code = run(holdtrip, arguments)
        if code > FOUND_SOMETHING:
            return code
    click.secho(f"\nAll of it stands in {results}{'/' if results.name else ''}:", bold=True)
    for path in sorted(results.iterdir()):
        click.echo(f"  {path}")
    click.echo("The verdicts rest on numbers nobody has reviewed yet: the files mark them. Nothing here is a"
               " safety approval.")
    return 0


if __name__ == "__main__":
    sys.exit(main(*map(Path, sys.argv[1:3])))
