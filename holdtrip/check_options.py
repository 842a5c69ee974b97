"""What `holdtrip check` is asked: its options, and what ends it with exit code 1.

Comes in: what was typed. Goes out: a record of it, and an exit code for a report. Reads and checks nothing.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from extract.checks import codes
from extract.errors import InputError
from extract.parts_table import TableFinding, TableReport
from extract.parts_table.checking import finding_to_mark
from extract.schema import Severity
from holdtrip.column_meanings import texts_to_pairs
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.json_output import STANDARD_OUTPUT
from holdtrip.option_groups import option_group
from holdtrip.outputs import OUTPUT, Output, force_option
from holdtrip.own_files import CORRECTED_COPY, MARKED_COPY, TABLE_FINDINGS, TABLE_REPORT

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What to read, what to hold it against, and how."""

    table: Path
    more: tuple[str, ...]
    against: tuple[str, ...]
    mapped: Pairs
    sheets: tuple[str, ...]
    same: Pairs
    strict: bool
    fail_on: str
    new_since: Path | None


@dataclass(frozen=True, slots=True)
class CheckFiles:
    """Where to write what; None is not asked for. `repair`: the findings whose repairs are accepted."""

    findings: Path | None
    marked: Path | None
    corrected: Path | None
    repair: str
    json: Path | None
    force: bool

    def outputs(self) -> list[Output]:
        """The files to write."""
        files = [("--findings", self.findings, TABLE_FINDINGS), ("--marked", self.marked, MARKED_COPY),
                 ("--corrected", self.corrected, CORRECTED_COPY), ("--json", self.json, TABLE_REPORT)]
        return [Output(option, path, kind) for option, path, kind in files
                if path is not None and (kind is not TABLE_REPORT or path != STANDARD_OUTPUT)]


def _pairs(_context: click.Context, _option: click.Parameter, typed: tuple[str, ...]) -> Pairs:
    """LEFT=RIGHT as pairs."""
    return texts_to_pairs(typed)


def _same(_context: click.Context, _option: click.Parameter, typed: tuple[str, ...]) -> Pairs:
    """TYPED=PRINTED as pairs; a text without = is a file of them."""
    pairs: list[tuple[str, str]] = []
    for text in typed:
        pairs += texts_to_pairs([text]) if "=" in text else _file_to_pairs(Path(text))
    return tuple(pairs)


def _file_to_pairs(path: Path) -> Pairs:
    """Two columns of a CSV, or lines of TYPED=PRINTED."""
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"--same {path}", "no file that can be read",
                         "TYPED=PRINTED, or a CSV file of two columns") from error
    texts = ["=".join(row) if len(row) == 2 else ",".join(row) for row in csv.reader(lines) if row]
    return texts_to_pairs(texts)


asked_options = option_group(
    "asked", Asked,
    click.argument("table", metavar="TABLE", type=click.Path(path_type=Path)),
    click.argument("more", metavar="", nargs=-1),
    click.option("--against", metavar="SOURCE...", multiple=True,
                 help="Datasheets, a folder of them, a library or a long table to compare the table with."),
    click.option("--map", "mapped", metavar='"HEADING=MEANING"', multiple=True, callback=_pairs,
                 help="What a column means, such as 'Stuff=hold_current mA', 'R=resistance min mOhm',"
                      " 'I60=hold_current at 60 C' or 'Notes=ignore'."),
    click.option("--sheet", "sheets", metavar="NAME", multiple=True,
                 help="Only this sheet of a workbook; may be repeated."),
    click.option("--same", metavar='"TYPED=PRINTED"', multiple=True, callback=_same,
                 help="A part number of the table that is this one of the datasheets; '*-2=*' for all that"
                      " end so; or a file of such lines. With --because the library remembers it."),
    click.option("--strict", is_flag=True,
                 help="Exit code 1 also where a number stands against disputed readings only, or a part was"
                      " not compared."),
    click.option("--fail-on", "fail_on", type=click.Choice(["error", "doubt"]), default="error",
                 show_default=True, help="The severity from which on the exit code is 1."),
    click.option("--new-since", "new_since", metavar="FINDINGS.csv", type=click.Path(path_type=Path),
                 help="Leave out what an earlier findings file holds already."),
)

file_options = option_group(
    "files", CheckFiles,
    click.option("--findings", metavar="OUT.csv", type=OUTPUT, help="Write the findings to this file."),
    click.option("--marked", metavar="OUT.xlsx", type=OUTPUT,
                 help="Write a copy of the table with every finding marked at its cell."),
    click.option("--corrected", metavar="OUT.xlsx", type=OUTPUT,
                 help="Write a copy of the table with the repairs of --repair done and marked (XLSX), or done"
                      " (CSV)."),
    click.option("--repair", metavar="NUMBERS", default="",
                 help="Findings whose repair you accept, by number or mark, such as 1,3-5; or 'all'"
                      " that a sheet proves."),
    click.option("--json", metavar="OUT.json", type=OUTPUT,
                 help="Write the whole report for scripts, `-` for standard output."),
    force_option,
)


OPEN_QUESTIONS = frozenset({codes.PART_MATCH_DOUBTFUL.name, codes.PART_NOT_IN_SHEETS.name})
"""Findings that leave parts uncompared until somebody answers."""


def report_to_exit(report: TableReport, asked: Asked) -> int:
    """1 for a finding grave enough, and for a question about part numbers that is open."""
    grave = {Severity.ERROR, Severity.DOUBT} if asked.fail_on == "doubt" else {Severity.ERROR}
    found = any(f.severity in grave or f.code in OPEN_QUESTIONS for f in report.findings)
    unsure = asked.strict and (report.disputed > 0 or any(gap.what == "parts" for gap in report.unchecked))
    return FOUND_SOMETHING if found or unsure else ALL_WELL


def texts_to_numbers(text: str) -> tuple[int, ...]:
    """"1,3-5" as 1, 3, 4, 5; raises InputError for anything else."""
    numbers: list[int] = []
    for piece in text.replace(" ", "").split(","):
        first, dash, last = piece.partition("-")
        if not first.isdecimal() or (dash and not last.isdecimal()):
            raise InputError(f"'{text}'", f"'{piece}' is no number of a finding", "numbers such as 1,3-5")
        numbers += range(int(first), int(last or first) + 1)
    return tuple(dict.fromkeys(numbers))


def named_findings(findings: Sequence[TableFinding], text: str, option: str) -> list[TableFinding]:
    """The findings that numbers or marks name ("1,3-5,kbdtwz"), each once; raises InputError for one that is
    not there. A number is that of this report, a mark stays the same in every report."""
    found: list[TableFinding] = []
    for piece in text.replace(" ", "").split(","):
        if piece.isalpha():
            marked = [finding for finding in findings if finding_to_mark(finding) == piece.lower()]
            if not marked:
                raise InputError(f"{option} {piece}", "no finding has this mark",
                                 "a mark or number of a finding as shown")
            found += marked
        else:
            found += numbered(findings, texts_to_numbers(piece), option)
    return list(dict.fromkeys(found))


def numbered(findings: Sequence[TableFinding], numbers: Sequence[int], option: str) -> list[TableFinding]:
    """The findings of these numbers as shown, from 1; raises InputError for one that is not there."""
    for number in numbers:
        if not 1 <= number <= len(findings):
            raise InputError(f"{option} {number}", f"there are {len(findings)} findings",
                             "the number of a finding as shown")
    return [findings[number - 1] for number in numbers]


def known_before(path: Path) -> frozenset[tuple[str, ...]]:
    """The findings of an earlier file, by what they say and not by their row: rows move."""
    try:
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"--new-since {path}", "no file that can be read", "a file of --findings") from error
    if rows and not {"column", "code", "found", "part_number"} <= rows[0].keys():
        raise InputError(f"--new-since {path}", "no findings of a table", "a file of --findings")
    return frozenset(_row_to_known(row) for row in rows)


def _row_to_known(row: Mapping[str, str]) -> tuple[str, ...]:
    from extract.spreadsheet_text import unguard

    return tuple(unguard(row.get(name) or "") for name in ("sheet", "column", "code", "found", "part_number"))


def finding_to_known(finding: TableFinding) -> tuple[str, ...]:
    """A finding as `known_before` has it."""
    return finding.sheet, finding.column, finding.code, finding.found, finding.part_number
