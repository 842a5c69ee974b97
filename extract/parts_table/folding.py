"""One finding for one mistake: echoes are folded under the finding they are echoes of.

Comes in: findings of the rules, and what the comparison with sheets told and confirmed. Goes out: fewer
findings; nothing that stands alone is lost. Finds nothing itself.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from extract.checks import codes
from extract.parts_table.against import Address, Comparison
from extract.parts_table.records import PartsTable, TableFinding
from extract.schema import Severity

SEVERITY_RANK = {Severity.ERROR: 0, Severity.DOUBT: 1, Severity.NOTE: 2}
_RULES = frozenset(code.name for code in codes.RULE_CODES)
_WEIGHT = {Severity.ERROR: 3, Severity.DOUBT: 1, Severity.NOTE: 0}


def findings_to_folded(findings: Iterable[TableFinding]) -> list[TableFinding]:
    """Of each row's findings that share a cell, the worst stays and names the rules that say the same. The
    cell that explains most is taken first."""
    rows: dict[tuple[str, int], list[TableFinding]] = defaultdict(list)
    kept = []
    for finding in dict.fromkeys(findings):
        if finding.cells and finding.cell in finding.cells and not finding.evidence:
            rows[finding.sheet, finding.row].append(finding)
        else:
            kept.append(finding)
    for group in rows.values():
        kept += _fold_row(group)
    return kept


_FEWEST_EXCHANGED = 3


def exchanges_to_headings(findings: Sequence[TableFinding], table: PartsTable) -> list[TableFinding]:
    """Two columns exchanged in at least half of the rows that have both are one finding at their headings."""
    groups: dict[tuple[str, frozenset[str]], list[TableFinding]] = defaultdict(list)
    for finding in findings:
        if finding.code == codes.CELLS_SWAPPED.name and finding.evidence:
            groups[finding.sheet, frozenset(map(_letters_of, finding.cells))].append(finding)
    sheets = {sheet.name: sheet for sheet in table.sheets}
    told: list[TableFinding] = list(findings)
    for (name, _), group in groups.items():
        rows = {finding.row for finding in group}
        if len(rows) >= max(_FEWEST_EXCHANGED, 0.5 * len(sheets[name].rows)):
            told = [f for f in told if f not in group]
            told.append(_to_headings(group, sheets[name].heading_rows[-1], len(sheets[name].rows)))
    return told


def _to_headings(group: Sequence[TableFinding], heading_row: int, rows: int) -> TableFinding:
    first, code = group[0], codes.HEADINGS_SWAPPED
    evidence = f"{len(group)} of {rows} rows fit the rules then"
    return replace(
        first,
        row=heading_row,
        code=code.name,
        severity=code.severity,
        found=first.column,
        expected="the two headings exchanged",
        part_number="",
        cell=f"{_letters_of(first.cell)}{heading_row}",
        message=f"{first.cause} in {len(group)} of {rows} rows: the headings, or the cells below them, are"
        " exchanged",
        cause=code.cause,
        evidence=evidence,
        cells=tuple(dict.fromkeys(cell for finding in group for cell in finding.cells)),
    )


def _letters_of(address: str) -> str:
    return address.rstrip("0123456789")


def _fold_row(group: Sequence[TableFinding]) -> list[TableFinding]:
    left = list(group)
    told: list[TableFinding] = []
    while left:
        votes: Counter[str] = Counter()
        for finding in left:
            for cell in finding.cells:
                votes[cell] += _WEIGHT[finding.severity] * (3 if cell == finding.cell else 2)
        best = max(votes, key=lambda cell: votes[cell])
        mine = [f for f in left if best in f.cells and (f.severity is not Severity.NOTE or f.cell == best)]
        if not mine:
            return told + left
        left = [f for f in left if f not in mine]
        first = min(mine, key=lambda f: (f.cell != best, SEVERITY_RANK[f.severity]))
        worst = min((f.severity for f in mine), key=lambda severity: SEVERITY_RANK[severity])
        told.append(_with_echoes(replace(first, severity=worst), [f for f in mine if f is not first]))
    return told


def _with_echoes(finding: TableFinding, echoes: Sequence[TableFinding]) -> TableFinding:
    others = sorted({echo.code for echo in echoes} - {finding.code})
    if not others:
        return finding
    return replace(finding, evidence=f"{len(echoes) + 1} rules say so: {', '.join([finding.code, *others])}")


def findings_beside(findings: Iterable[TableFinding], comparison: Comparison) -> list[TableFinding]:
    """What the rules still have to say when the sheets have spoken: nothing of a cell that the sheets call
    wrong, or of a row whose wrong cell explains it; a note of numbers the sheets print exactly so."""
    wrong_rows = {(sheet, _row_of(address)) for sheet, address in comparison.told}
    return [kept for finding in findings if (kept := _beside(finding, comparison, wrong_rows)) is not None]


def _beside(
    finding: TableFinding, comparison: Comparison, wrong_rows: set[tuple[str, int]]
) -> TableFinding | None:
    places: list[Address] = [(finding.sheet, cell) for cell in finding.cells or (finding.cell,)]
    if not comparison.told.isdisjoint(places) or _is_echo_of_heading(finding, comparison):
        return None
    if finding.code == codes.CELL_EMPTY.name and comparison.absent.issuperset(places):
        return _as_note(finding, "the sheet gives none")
    if finding.severity is Severity.NOTE or not (finding.cells or finding.code in _RULES):
        return finding
    if comparison.confirmed.issuperset(places):
        is_echo = bool(finding.cells) and (finding.sheet, finding.row) in wrong_rows
        return None if is_echo else _as_note(finding, "the sheet prints it so")
    seen = comparison.confirmed | comparison.alike
    if finding.severity is Severity.DOUBT and seen.issuperset(places):
        return _as_note(finding, "the sheet was read so too, and that reading is disputed: look at the page")
    return finding


def _as_note(finding: TableFinding, why: str) -> TableFinding:
    return replace(finding, severity=Severity.NOTE, message=f"{finding.message}; {why}")


def _is_echo_of_heading(finding: TableFinding, comparison: Comparison) -> bool:
    """Temperatures out of order where a heading is known to say a wrong one."""
    return finding.code == codes.AMBIENTS_DISORDERED.name and any(
        (told.sheet, told.code) == (finding.sheet, codes.HEADING_AMBIENT.name) for told in comparison.findings
    )


def _row_of(address: str) -> int:
    digits = address.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return int(digits) if digits.isdigit() else 0
