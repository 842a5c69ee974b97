"""The report on a typed table, on the screen: what was understood, what was found, what was not checked.

Comes in: a TableReport. Goes out: tables and lines on stdout. Checks nothing.
"""

from __future__ import annotations

from collections import Counter

from extract.parts_table import TableFinding, TableReport, understood
from extract.parts_table.checking import finding_to_mark
from extract.schema import Severity
from holdtrip.counted import counted
from holdtrip.screen import console, say, show_table

HEADINGS = ("Number", "Mark", "Row", "Column", "Part", "Severity", "Code", "Found", "Expected", "Message",
            "Source")

SHOWN = 60
"""Findings on the screen; `--findings` writes all."""

TABLE_WIDTH = 140
"""Columns of a window from which on findings are shown as a table."""

_SEVERITY_RANK = {Severity.ERROR: 0, Severity.DOUBT: 1, Severity.NOTE: 2}
_STYLES = {Severity.ERROR: "bold red", Severity.DOUBT: "yellow", Severity.NOTE: ""}


def show_report(report: TableReport) -> None:
    """Columns as understood first, so that a misread heading is seen before its findings."""
    for sheet in report.table.sheets:
        show_table(["Heading", "Understood as", "Unit", "Because"], understood(sheet),
                   title=f"{report.table.path.name} {sheet.name}".strip())
    _show_findings(report.findings)
    _show_reach(report)


def _show_findings(findings: tuple[TableFinding, ...]) -> None:
    numbered = list(enumerate(findings, 1))
    numbered.sort(key=lambda pair: _SEVERITY_RANK[pair[1].severity])
    shown = numbered[:SHOWN]
    if shown and console().width < TABLE_WIDTH:
        for number, finding in shown:
            _say_finding(number, finding)
    elif shown:
        show_table(HEADINGS, [[str(number), finding_to_mark(finding), *_finding_to_cells(finding)]
                              for number, finding in shown],
                   numbers=[0, 2], whole=[1, 6], styles=[_STYLES[finding.severity] for _, finding in shown])
    if len(numbered) > SHOWN:
        say(f"... and {len(numbered) - SHOWN} more; --findings FILE.csv writes them all")


def _say_finding(number: int, finding: TableFinding) -> None:
    """A finding as lines of their own, for a window in which its table would be folded to bits."""
    row, column, part_number, severity, code, found, expected, message, source = _finding_to_cells(finding)
    where = ", ".join(text for text in (f"row {row}", column, part_number) if text)
    mark = finding_to_mark(finding)
    say(f"{number}. {severity}, {where}: {code} ({mark})", style=_STYLES[finding.severity])
    told = (f"found {found}" if found else "", f"expected {expected}" if expected else "", message, source)
    say("; ".join(text for text in told if text))


def _finding_to_cells(finding: TableFinding) -> list[str]:
    message = finding.message + (f"; likely cause: {finding.cause}" if finding.cause else "")
    if finding.evidence and finding.evidence not in message:
        message += f"; {finding.evidence}"
    page = f"{finding.document} page {finding.page}" if finding.page is not None else finding.document
    place = f"{finding.sheet} {finding.row}" if finding.sheet else str(finding.row)
    return [place, finding.column, finding.part_number, finding.severity.value, finding.code,
            finding.found, finding.expected, message, page]


def _show_reach(report: TableReport) -> None:
    for text in report.checked:
        say(f"checked: {text}")
    for gap in report.unchecked:
        say(f"not checked: {gap.counted}: {gap.why}")
    count = Counter(finding.severity for finding in report.findings)
    counts = ", ".join(counted(count[severity], severity.value) for severity in _SEVERITY_RANK)
    silenced = f", {report.silenced} silenced before" if report.silenced else ""
    if report.disputed:
        stand = "stands" if report.disputed == 1 else "stand"
        say(f"{counted(report.disputed, 'number')} {stand} against disputed readings only: not confirmed."
            " --strict makes that exit code 1", style="yellow")
    say(f"{counts}{silenced}. `holdtrip explain CODE` tells what a code means")
