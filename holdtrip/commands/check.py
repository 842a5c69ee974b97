"""`holdtrip check`: what is wrong in a parts table that people typed."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path

import click

from extract.errors import InputError
from extract.parts_table import CheckOptions, TableFinding, TableOptions, TableReport
from extract.parts_table.findings_file import write_table_findings
from extract.schema import Reading
from holdtrip.check_options import (
    Asked,
    CheckFiles,
    asked_options,
    file_options,
    finding_to_known,
    known_before,
    named_findings,
    report_to_exit,
)
from holdtrip.check_worker import TableJob, job_to_checked
from holdtrip.counted import counted
from holdtrip.json_output import STANDARD_OUTPUT
from holdtrip.outputs import check_outputs, naming_output, whole_file
from holdtrip.screen import on_standard_error, say
from holdtrip.series_rules import project_to_series_rules
from holdtrip.silenced import (
    SilenceOptions,
    remember_same,
    remembered_same,
    silence_findings,
    silence_options,
    silenced_keys,
)
from holdtrip.sources import open_source
from holdtrip.table_report import show_report

EXAMPLES = """\b
Examples:
  holdtrip check parts.csv                                  from the table alone
  holdtrip check parts.xlsx --against datasheets/           against the datasheets it came from
  holdtrip check parts.csv --against team.sqlite --findings found.csv
  holdtrip check parts.xlsx --marked marked.xlsx            a copy with every finding at its cell
  holdtrip check parts.xlsx --against sheets/ --corrected corrected.xlsx --repair 1,3
  holdtrip check parts.csv --map "Stuff=hold_current mA" --map "Notes=ignore"
  holdtrip check parts.csv --against sheets/ --same "*-2=*" --because "-2 is the reel"

\b
A table is never called clean: the report says what was checked and what no check reaches. A value a
few per cent wrong, or taken from the next row, shows against the datasheet only.
"""


@click.command("check", epilog=EXAMPLES)
@asked_options
@file_options
@silence_options
def command(asked: Asked, files: CheckFiles, silence: SilenceOptions) -> int:
    """Find what is wrong in a parts table that people typed (CSV or XLSX).

    The columns as understood are shown first. Exit code 1 if any finding is an error, or parts wait for an
    answer.
    """
    others: list[Path | str] = [one for one in (asked.new_since, silence.library) if one is not None]
    check_outputs(files.outputs(), [asked.table, *asked.against, *asked.more, *others], files.force)
    _check_words(files, silence)
    with on_standard_error() if files.json == STANDARD_OUTPUT else nullcontext():
        return _checked_to_exit(asked, files, silence)


def _checked_to_exit(asked: Asked, files: CheckFiles, silence: SilenceOptions) -> int:
    """Read, check, write and show; the exit code."""
    known = known_before(asked.new_since) if asked.new_since else frozenset()
    options = CheckOptions(silenced_keys(silence), dict(asked.same), remembered_same(silence),
                           project_to_series_rules())
    table = TableOptions(mapping=asked.mapped, sheets=asked.sheets)
    report = job_to_checked(TableJob(asked.table, table, _readings(asked), options))
    new = tuple(f for f in report.findings if finding_to_known(f) not in known)
    left_out, report = len(report.findings) - len(new), replace(report, findings=new)
    _write(report, files)
    show_report(report)
    if left_out:
        say(f"left out, for {asked.new_since} holds them already: {counted(left_out, 'finding')}")
    if silence.numbers:
        silence_findings(named_findings(report.findings, silence.numbers, "--silence"), silence)
    elif asked.same and silence.reason:
        remember_same(asked.same, silence)
    return report_to_exit(report, asked)


def _check_words(files: CheckFiles, silence: SilenceOptions) -> None:
    """Options that need each other, before any work."""
    if (files.corrected is None) != (not files.repair):
        raise click.UsageError("--corrected and --repair go together: which findings' repairs do you accept?")
    if silence.numbers and not silence.reason.strip():
        raise InputError(f"--silence {silence.numbers}", "no reason", "a reason others can follow",
                         "Add --because 'page 3 prints it so'")


def _readings(asked: Asked) -> tuple[Reading, ...]:
    """Readings of everything after --against, each once; several sources may follow one --against."""
    if asked.more and not asked.against:
        raise click.UsageError(f"one table at a time, not '{asked.more[0]}' too; sources follow --against")
    opened = [open_source(typed) for typed in (*asked.against, *asked.more)]
    for failure in (failure for source in opened for failure in source.failures):
        say(f"not read: {failure.reason}", style="bold red")
    readings = (reading for source in opened for part in source.parts for reading in part.readings)
    return tuple(dict.fromkeys(readings))


def _write(report: TableReport, files: CheckFiles) -> None:
    if files.findings is not None:
        with whole_file(files.findings) as path:
            count = write_table_findings(report.findings, path)
        say(f"wrote {files.findings}: {counted(count, 'finding')}")
    if files.marked is not None:
        from extract.parts_table.marked_copy import write_marked_copy

        with whole_file(files.marked) as path:
            count = write_marked_copy(report, path)
        say(f"wrote {files.marked}: {counted(count, 'cell')} marked")
    if files.corrected is not None:
        from extract.parts_table.corrected_copy import write_corrected_copy

        with whole_file(files.corrected) as path:
            ending = files.corrected.suffix.lower()
            count = write_corrected_copy(report, _accepted(report, files.repair), path, ending)
        say(f"wrote {files.corrected}: {counted(count, 'cell')} changed; check it, and compare it"
            " with the page")
    if files.json is not None:
        from extract.parts_table.report_json import report_to_json

        if files.json == STANDARD_OUTPUT:
            with naming_output():
                sys.stdout.write(report_to_json(report))
            return
        with whole_file(files.json) as path:
            path.write_text(report_to_json(report), encoding="utf-8", errors="backslashreplace")
        say(f"wrote {files.json}: the report")


def _accepted(report: TableReport, repair: str) -> list[TableFinding]:
    """The findings whose repairs were accepted."""
    if repair == "all":
        return [finding for finding in report.findings if finding.changes and finding.document]
    return named_findings(report.findings, repair, "--repair")
