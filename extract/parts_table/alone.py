"""A typed table checked by itself: its rows as parts, every rule over them, slips that explain what they say.

Comes in: a PartsTable. Goes out: findings at cells. Uses no datasheet: against.py does. Largest slips first:
rows that slid, headings, columns, then one slip for each part; what none explains is told as it is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from extract.checks import codes
from extract.checks.limits import limits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.rules import series_to_suspicions
from extract.checks.series_rules import SeriesRule, parts_to_rule_suspicions
from extract.checks.suspicions import Suspicion
from extract.parts_table.ambient_order import sheet_to_told, without_odd_ambients
from extract.parts_table.block_findings import slide_to_finding
from extract.parts_table.duplicates import (
    parts_to_contradictions,
    sheet_to_duplicates,
    sheet_to_odd_digits,
)
from extract.parts_table.explaining import series_to_column_explanation, series_to_explanations
from extract.parts_table.folding import exchanges_to_headings
from extract.parts_table.grid import View, sheet_to_grid
from extract.parts_table.records import (
    PartsTable,
    TableFinding,
    TypedSheet,
)
from extract.parts_table.shifts import Slip, series_to_slips
from extract.parts_table.sliding import view_to_exchanges, view_to_slides
from extract.parts_table.telling import (
    column_to_finding,
    explanation_to_finding,
    slip_to_finding,
    suspicion_to_finding,
)
from extract.parts_table.typed_parts import TypedParts, table_to_parts

_MOST_SLIDES = 3
_MOST_HEADINGS = 3


def table_to_findings(table: PartsTable, rules: Sequence[SeriesRule] = ()) -> tuple[TableFinding, ...]:
    """What the table alone shows to be wrong or doubtful; `rules` are the team's own."""
    findings = [finding for sheet in table.sheets for finding in sheet_to_told(sheet)]
    views = {sheet.name: _slid_back(sheet, findings) for sheet in table.sheets}
    viewed = (_as_viewed(sheet, views[sheet.name]) for sheet in table.sheets)
    repaired = replace(
        table,
        sheets=tuple(
            without_odd_ambients(sheet, [f for f in findings if f.sheet == sheet.name]) for sheet in viewed
        ),
    )
    typed = table_to_parts(repaired)
    told = _parts_to_findings(typed, table, rules)
    findings += [_at_home(finding, views[finding.sheet]) for finding in told]
    for sheet in table.sheets:
        findings += sheet_to_duplicates(sheet)
        findings += sheet_to_odd_digits(sheet)
    return tuple(_headings_joined(exchanges_to_headings(_without_what_slid(findings), table)))


def _parts_to_findings(
    typed: TypedParts, table: PartsTable, rules: Sequence[SeriesRule]
) -> Iterator[TableFinding]:
    """What the numbers of the parts show: series by series, by the team's rules, from sheet to sheet."""
    sheets = {sheet.name: sheet for sheet in table.sheets}
    series: dict[str, list[PartNumbers]] = defaultdict(list)
    for part in typed.parts:
        series[part.series].append(part)
    for members in series.values():
        yield from _series_to_findings(members, typed, sheets)
    yield from (suspicion_to_finding(s, typed) for s in parts_to_rule_suspicions(typed.parts, rules))
    if len(table.sheets) > 1:
        yield from parts_to_contradictions(typed)


def _without_what_slid(findings: Sequence[TableFinding]) -> list[TableFinding]:
    """Empty cells that rows which slid have left are no findings of their own."""
    slid = {(f.sheet, cell) for f in findings if f.code == codes.ROWS_SLID.name for cell in f.cells}
    return [f for f in findings if f.code != codes.CELL_EMPTY.name or (f.sheet, f.cell) not in slid]


def _slid_back(sheet: TypedSheet, findings: list[TableFinding]) -> View:
    """The sheet with rows that slid moved back; each slide is a finding."""
    view = View(sheet_to_grid(sheet))
    for _ in range(_MOST_SLIDES):
        trial = next(view_to_slides(view), None) or next(view_to_exchanges(view), None)
        if trial is None:
            break
        findings.append(slide_to_finding(trial, view.grid))
        view = view.under(trial.repair)
    return view


def _as_viewed(sheet: TypedSheet, view: View) -> TypedSheet:
    return replace(sheet, rows=view.typed_rows(view.rows())) if view.repairs else sheet


def _at_home(finding: TableFinding, view: View) -> TableFinding:
    """A finding on a cell that was moved, at the place where the cell stands in the file."""
    if not view.repairs or not finding.cell:
        return finding
    homes = {
        view.grid.address((row, index)): view.grid.address(entry.home)
        for row in view.rows()
        for index in view.grid.columns
        if (entry := view.entry((row, index))) is not None
    }
    cell = homes.get(finding.cell, finding.cell)
    digits = cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return replace(
        finding,
        cell=cell,
        row=int(digits) if digits else finding.row,
        cells=tuple(homes.get(one, one) for one in finding.cells),
    )


def _series_to_findings(
    members: Sequence[PartNumbers], typed: TypedParts, sheets: dict[str, TypedSheet]
) -> Iterator[TableFinding]:
    found = series_to_suspicions(members, limits())
    for _ in range(_MOST_HEADINGS):
        heading = series_to_column_explanation(members, found, limits())
        if heading is None:
            break
        yield column_to_finding(heading, typed, sheets[typed.sheets[heading.numbers[0].origin]])
        members = heading.members
        found = series_to_suspicions(members, limits())
    slips = series_to_slips(members, found, limits())
    if slips:
        yield from (slip_to_finding(slip, typed) for slip in slips)
        found = _beside_slips(found, slips, typed)
    explained = series_to_explanations(members, found, limits())
    yield from (explanation_to_finding(one, typed) for one in explained)
    silenced = {id(suspicion) for one in explained for suspicion in one.echoes}
    yield from (suspicion_to_finding(s, typed) for s in found if id(s) not in silenced)


def _beside_slips(found: Sequence[Suspicion], slips: Sequence[Slip], typed: TypedParts) -> list[Suspicion]:
    """What has nothing to do with a column or row that slipped."""
    slipped = {
        (_column(n, typed), id(slip.part) if slip.is_row else 0)
        for slip in slips
        if not slip.is_test_current
        for n in slip.numbers
    }
    return [
        s
        for s in found
        if not any(
            (_column(n, typed), 0) in slipped or (_column(n, typed), id(s.part)) in slipped for n in s.numbers
        )
    ]


def _column(number: Number, typed: TypedParts) -> tuple[str, int]:
    return typed.sheets[number.origin], typed.cells[number.origin].column.index


def _headings_joined(findings: Sequence[TableFinding]) -> Iterator[TableFinding]:
    """A heading at fault is told once, however many series show it."""
    seen: set[tuple[str, str, str, str]] = set()
    for finding in findings:
        key = (finding.sheet, finding.cell, finding.code, finding.expected)
        if finding.code.startswith("heading") and key in seen:
            continue
        seen.add(key)
        yield finding
