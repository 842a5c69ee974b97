"""A typed parts table checked: by itself, against sheets if given, without what was accepted before.

Comes in: a PartsTable, readings of sheets or of the library, keys of silenced findings. Goes out: a
TableReport, which says what was checked and what no check reaches, and never that a table is clean.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from extract.checks.codes import CODES, RULE_CODES
from extract.checks.series_rules import SeriesRule
from extract.parts_table.against import table_against_readings
from extract.parts_table.alone import table_to_findings
from extract.parts_table.cells import fold_part_number
from extract.parts_table.folding import SEVERITY_RANK, findings_beside, findings_to_folded
from extract.parts_table.layouts import findings_to_file
from extract.parts_table.records import (
    ColumnRole,
    PartsTable,
    TableFinding,
    TableReport,
    TypedSheet,
    Unchecked,
)
from extract.schema import Finding, Quantity, Reading

Key = tuple[str, str, str, str]
"""Who says it ("rules", "sheets" or a code of the layout), folded part number, quantity or "", and the
statement: what makes a finding the same one again."""

_BLIND = {
    Quantity.MAX_VOLTAGE: "only lists, codes in part numbers and the leakage ratio reach it",
    Quantity.MAX_CURRENT: "only its order over the trip current and lists reach it",
    Quantity.MAX_INTERRUPT_VOLTAGE: "only its order over the rated voltage reaches it",
    Quantity.TIME_TO_TRIP: "no rule reaches a single time: a wrong one looks like a right one",
}


@dataclass(frozen=True, slots=True)
class CheckOptions:
    """`silenced`: keys of findings a person has accepted; `matches`: typed part number or pattern → part
    number of the sheets, as a person has confirmed; `remembered`: the same from earlier checks;
    `series_rules`: what part numbers say, as the team states it."""

    silenced: frozenset[Key] = frozenset()
    matches: Mapping[str, str] = field(default_factory=dict)
    remembered: Mapping[str, str] = field(default_factory=dict)
    series_rules: tuple[SeriesRule, ...] = ()


def check_table(
    table: PartsTable, sources: Sequence[Reading] = (), options: CheckOptions | None = None
) -> TableReport:
    """Check a typed table; `sources` are readings of the sheets or of the library it is compared with."""
    options = options or CheckOptions()
    alone = list(dict.fromkeys(table_to_findings(table, options.series_rules)))
    kept = _unsilenced(alone, options.silenced)
    silenced = {finding_to_key(finding) for finding in alone} & options.silenced
    parts = sum(len(sheet.rows) for sheet in table.sheets)
    cells = sum(len(row.cells) for sheet in table.sheets for row in sheet.rows)
    checked = [f"read: {_rows_read(sheet)}" for sheet in table.sheets]
    checked.append(f"{cells} numbers of {parts} rows by the rules for a table alone")
    unchecked = [*_not_understood(table)]
    if not sources:
        no_sheet = Unchecked("parts", parts, "no sheet given: small errors need the page")
        unchecked += [*_blind_spots(table), no_sheet]
        found = _in_order(findings_to_file(findings_to_folded(kept), table))
        return TableReport(table, found, tuple(checked), tuple(unchecked), len(silenced))
    comparison = table_against_readings(table, sources, options.matches, options.remembered)
    told = _unsilenced(comparison.findings, options.silenced)
    silenced |= {finding_to_key(finding) for finding in comparison.findings} & options.silenced
    checked.append(f"{comparison.compared} numbers against the sheets")
    unchecked += comparison.unchecked
    rest = findings_to_folded(findings_beside(kept, comparison))
    found = _in_order(findings_to_file([*told, *rest], table))
    return TableReport(table, found, tuple(checked), tuple(unchecked), len(silenced), comparison.disputed)


def _unsilenced(findings: Iterable[TableFinding], silenced: frozenset[Key]) -> list[TableFinding]:
    return [finding for finding in findings if finding_to_key(finding) not in silenced]


def _in_order(findings: Iterable[TableFinding]) -> tuple[TableFinding, ...]:
    return tuple(
        sorted(dict.fromkeys(findings), key=lambda f: (f.sheet, f.row, SEVERITY_RANK[f.severity], f.cell))
    )


def finding_to_statement(finding: TableFinding) -> str:
    """What exactly a finding is about: the text found, which number it is, under which heading."""
    return "; ".join(filter(None, (finding.found, finding.what, f"under '{finding.column}'")))


def finding_to_key(finding: TableFinding) -> Key:
    """The key under which a finding is remembered as accepted: one cell's statement and no other's."""
    quantity = finding.quantity.value if finding.quantity is not None else ""
    return (
        code_to_family(finding.code),
        fold_part_number(finding.part_number),
        quantity,
        finding_to_statement(finding),
    )


_MARK_LETTERS = "bcdfghjkmnpqrstvwxz"
"""No vowels, so that no mark is a word; no digits, so that none is the number of a finding."""


def key_to_mark(key: Key) -> str:
    """Six letters that name a finding in every run: made of what it says, not of its place in a list."""
    rest = int.from_bytes(hashlib.sha256("\x1f".join(key).encode("utf-8", "backslashreplace")).digest()[:8])
    letters = []
    for _ in range(6):
        rest, letter = divmod(rest, len(_MARK_LETTERS))
        letters.append(_MARK_LETTERS[letter])
    return "".join(letters)


def finding_to_mark(finding: TableFinding) -> str:
    """The mark of a finding; findings of one statement have one mark, and are silenced together."""
    return key_to_mark(finding_to_key(finding))


def code_to_family(code: str) -> str:
    """Who says it: whoever accepts a cell's statement accepts it before all rules, or before all sheets."""
    if code.startswith("source-"):
        return "sheets"
    return "rules" if code in _RULES else code


_RULES = frozenset(name for name, code in CODES.items() if code in RULE_CODES)


def table_finding_to_finding(finding: TableFinding) -> Finding:
    """The finding without its cell, as the library remembers findings: its statement stands as found."""
    return Finding(
        finding.code,
        CODES[finding.code].severity,
        finding.message,
        finding_to_statement(finding),
        finding.expected,
        finding.document,
        finding.part_number,
        finding.quantity,
    )


def _blind_spots(table: PartsTable) -> list[Unchecked]:
    counts: dict[Quantity, int] = {}
    for sheet in table.sheets:
        for row in sheet.rows:
            for cell in row.cells:
                if cell.column.quantity in _BLIND:
                    counts[cell.column.quantity] = counts.get(cell.column.quantity, 0) + 1
    return [
        Unchecked(f"{quantity.value} cells", count, _BLIND[quantity]) for quantity, count in counts.items()
    ]


def _not_understood(table: PartsTable) -> list[Unchecked]:
    found = [
        Unchecked("column", 1, f"'{column.heading}' was not understood")
        for sheet in table.sheets
        for column in sheet.columns
        if _is_lost(column.role, column.quantity)
    ]
    found += [Unchecked("sheet", 1, f"'{name}' {why}" if name else why) for name, why in table.skipped]
    for sheet in table.sheets:
        odd = [(row, why) for row, why in sheet.left_out if why != "is empty"]
        found += [Unchecked("row", 1, f"{_on(sheet)}row {row} {why}") for row, why in odd]
        if sheet.stray:
            shown = ", ".join(sheet.stray[:5])
            found.append(Unchecked("cells", len(sheet.stray), f"{_on(sheet)}far from the table: {shown}"))
    return found


def _on(sheet: TypedSheet) -> str:
    return f"on sheet '{sheet.name}', " if sheet.name else ""


def _rows_read(sheet: TypedSheet) -> str:
    """How many rows became parts, of how many there are: a swallowed row shows here."""
    last = max([row.row for row in sheet.rows] + [row for row, _ in sheet.left_out])
    below = last - sheet.heading_rows[-1]
    empty = sum(why == "is empty" for _, why in sheet.left_out)
    return f"{_on(sheet)}{len(sheet.rows)} parts in {below} rows below the heading" + (
        f", {empty} of them empty" if empty else ""
    )


def _is_lost(role: ColumnRole, quantity: Quantity | None) -> bool:
    return role is ColumnRole.UNKNOWN or (role is ColumnRole.VALUE and quantity is None)


def understood(sheet: TypedSheet) -> tuple[tuple[str, str, str, str], ...]:
    """For show: heading, what it was understood as, unit, why; one for each column with a heading."""
    rows = []
    for column in sheet.columns:
        if not column.heading:
            continue
        what = column.role.value
        if column.role is ColumnRole.VALUE and column.quantity is not None:
            what = " ".join(filter(None, (column.quantity.value, column.kind.value)))
            what += f" at {column.ambient_c:g} °C" if column.ambient_c is not None else ""
            what += f" at {column.test_current_a:g} A" if column.test_current_a is not None else ""
            what += f" at {column.test_multiple:g} × hold" if column.test_multiple is not None else ""
        elif column.role is ColumnRole.VALUE:
            what = "not understood"
        unit = column.unit or column.assumed
        name = f"{unit.name}{' (assumed)' if column.unit is None else ''}" if unit is not None else ""
        rows.append((column.heading, what, name, column.how))
    return tuple(rows)
