"""What reading brought: one line for each sheet, and what a person must look at.

Comes in: a batch of sheets read. Goes out: tables on the screen. Reads and judges nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from extract.causes import causes_to_line
from extract.checks.codes import SECOND_READING_LOST
from extract.schema import WHOLE_SERIES, Finding, Severity, SheetReading, Status
from holdtrip.question_words import cause_to_about, cause_to_answers
from holdtrip.screen import say, show_table
from holdtrip.sheets import Failure

HEADINGS = ("Datasheet", "Pages", "Read", "Parts", "Numbers", "Agreed", "Single", "Disputed", "Findings")

SHOWN_QUESTIONS = 12
"""Questions on the screen; the long table has the number of each."""

SHOWN_FINDINGS = 20
"""Findings on the screen; `holdtrip read --findings` writes all."""

_SEVERITY_RANK = {Severity.ERROR: 0, Severity.DOUBT: 1, Severity.NOTE: 2}
_STYLES = {Severity.ERROR: "bold red", Severity.DOUBT: "yellow", Severity.NOTE: ""}


def show_sheets(sheets: Iterable[SheetReading], failures: Iterable[Failure] = ()) -> None:
    """One row for each sheet; failed ones at the end with the reason."""
    sheets = tuple(sheets)
    rows = [sheet_to_row(sheet) for sheet in sheets]
    show_table(HEADINGS, rows, numbers=range(1, len(HEADINGS)))
    for sheet in sheets:
        for finding in sheet.findings:
            if finding.code == SECOND_READING_LOST.name:
                say(f"{sheet.document}: {finding.message}", style="bold red")
    for failure in failures:
        say(f"not read: {failure.reason}", style="bold red")


def sheet_to_row(sheet: SheetReading) -> list[str]:
    """The cells of a sheet under `HEADINGS`."""
    count = Counter(reading.status for reading in sheet.readings)
    figures = (sheet.page_count, len(sheet.pages_read), len(part_numbers(sheet)), len(sheet.readings),
               count[Status.AGREED], count[Status.SINGLE], count[Status.DISPUTED], len(sheet.findings))
    return [sheet.document, *map(str, figures)]


def part_numbers(sheet: SheetReading) -> list[str]:
    """The parts of a sheet in the order read, without the whole-series mark."""
    numbers = dict.fromkeys(reading.part_number for reading in sheet.readings)
    return [number for number in numbers if number != WHOLE_SERIES]


def show_findings(findings: Iterable[Finding], limit: int = SHOWN_FINDINGS) -> None:
    """The worst findings first, and how many more there are."""
    worst = sorted(findings, key=lambda finding: _SEVERITY_RANK[finding.severity])
    if not worst:
        return
    shown = worst[:limit]
    show_table(["Severity", "Code", "Datasheet", "Page", "Part", "Message"],
               [_finding_to_row(finding) for finding in shown],
               title="What to look at", styles=[_STYLES[finding.severity] for finding in shown], whole=[1])
    if len(worst) > limit:
        say(f"... and {len(worst) - limit} more: `holdtrip read ... --findings FILE.csv` writes them all")


def _finding_to_row(finding: Finding) -> list[str]:
    page = str(finding.place.page) if finding.place else ""
    return [finding.severity.value, finding.code, finding.document, page, finding.part_number,
            finding.message]


def show_questions(sheets: Iterable[SheetReading], limit: int = SHOWN_QUESTIONS) -> None:
    """What disputed numbers wait for: one line for each question, the one about most numbers first."""
    asked = [(sheet, cause) for sheet in sheets for cause in sheet.causes]
    if not asked:
        return
    say(causes_to_line([cause for _, cause in asked]))
    shown = sorted(asked, key=lambda pair: -pair[1].count)[:limit]
    rows = [[sheet.document, str(cause.number), str(cause.count), str(cause.place.page), cause.question,
             cause_to_about(sheet, cause), cause_to_answers(sheet, cause)] for sheet, cause in shown]
    headings = ("Datasheet", "Cause", "Numbers", "Page", "Question", "Read as", "Answers")
    show_table(headings, rows, numbers=(1, 2, 3), title="What to answer")
    if len(asked) > limit:
        say(f"... and {len(asked) - limit} more: column `cause` of `holdtrip read ... --long FILE.csv`")


def has_error(findings: Iterable[Finding]) -> bool:
    """Whether any finding is an error, which makes the exit code 1."""
    return any(finding.severity is Severity.ERROR for finding in findings)
