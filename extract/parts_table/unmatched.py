"""Parts that the sheets do not have, or write otherwise: one question where one answers many.

Comes in: matches of part numbers, the table, the sheets' parts. Goes out: findings, how many parts were not
compared, and matches that hold until somebody answers: an ending whose numbers agree with the sheets.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from extract.checks import codes
from extract.parts_table.comparing import SETTLED, Verdict, cell_to_compared
from extract.parts_table.matching import Matches, PartMatch
from extract.parts_table.records import (
    ColumnRole,
    PartsTable,
    TableFinding,
    TypedRow,
    TypedSheet,
)
from extract.parts_table.sources import SourcePart
from extract.parts_table.suffixes import EndingRule
from extract.schema import Severity

_AGREE = 0.7
"""Share of an ending's numbers that must equal the sheets' for the ending to hold until answered."""
_FEWEST_NUMBERS = 6
_FEWEST_LOST = 3
_FEWEST_OF_ROW = 4
_AGREE_OF_ROW = 0.9
NOT_COMPARED = "no part of the sheets matches"

Sources = Mapping[str, Sequence[SourcePart]]


@dataclass(frozen=True, slots=True)
class Asked:
    """Matches to compare by, findings on parts, and counts of what was not compared."""

    matches: Mapping[str, PartMatch]
    findings: tuple[TableFinding, ...]
    missing: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class _Where:
    sheet: TypedSheet
    row: TypedRow


def matches_to_asked(table: PartsTable, matches: Matches, sources: Sources) -> Asked:
    """Ask once for each ending, once for many parts of a sort, else for each part."""
    places = [_Where(sheet, row) for sheet in table.sheets for row in sheet.rows]
    settled = dict(matches.of)
    findings: list[TableFinding] = []
    asked: set[str] = set()
    for rule in matches.endings:
        right, compared = _rule_to_agreement(rule, places, sources)
        holds = compared >= _FEWEST_NUMBERS and right >= _AGREE * compared
        if holds:
            settled |= {typed: PartMatch(typed, printed) for typed, printed in rule.pairs.items()}
        if holds or not compared:
            findings.append(_ending_to_finding(rule, places, right, compared))
            asked |= rule.pairs.keys()
    left = [
        place
        for place in places
        if not settled[place.row.part_number].matched and place.row.part_number not in asked
    ]
    findings += _lost_parts(left, settled, sources)
    count = sum(not settled[place.row.part_number].matched for place in places)
    return Asked(settled, tuple(findings), Counter({NOT_COMPARED: count}) if count else {})


def _rule_to_agreement(rule: EndingRule, places: Sequence[_Where], sources: Sources) -> tuple[int, int]:
    """How many numbers equal the sheets' if the ending means nothing, of how many compared."""
    counts = [
        _row_to_agreement(place.row, sources[printed])
        for place in places
        if (printed := rule.pairs.get(place.row.part_number)) is not None
    ]
    return sum(right for right, _ in counts), sum(compared for _, compared in counts)


def _row_to_agreement(row: TypedRow, parts: Sequence[SourcePart]) -> tuple[int, int]:
    """How many numbers of a row are those the sheets give for a part, of how many compared."""
    verdicts = [cell_to_compared(cell, parts).verdict for cell in row.cells]
    right = sum(verdict in SETTLED for verdict in verdicts)
    return right, right + verdicts.count(Verdict.WRONG)


def _ending_to_finding(rule: EndingRule, places: Sequence[_Where], right: int, compared: int) -> TableFinding:
    found = [place for place in places if place.row.part_number in rule.pairs]
    typed, printed = next(iter(rule.pairs.items()))
    whose = f"end in '{rule.typed}'" if rule.typed else f"lack the ending '{rule.printed}'"
    evidence = f"{right} of {compared} numbers agree" if compared else ""
    done = f"; compared so: {evidence}" if compared else "; not compared"
    message = (
        f"{len(found)} parts {whose}, the sheets' do not: is '{typed}' the part '{printed}'?{done}."
        f' Answer with --same "{rule.pattern}"'
    )
    return _at_parts(found, codes.PART_MATCH_DOUBTFUL, rule.pattern, message, evidence)


def _lost_parts(
    left: Sequence[_Where], settled: Mapping[str, PartMatch], sources: Sources
) -> list[TableFinding]:
    """Parts without a match: each told, or one question for many of a sort."""
    findings: list[TableFinding] = []
    claimed = {match.matched for match in settled.values()}
    free = tuple(name for name in sources if name not in claimed) if left else ()
    for sheet in dict.fromkeys(place.sheet.name for place in left):
        for is_near in (True, False):
            group = [
                place
                for place in left
                if place.sheet.name == sheet and bool(settled[place.row.part_number].candidates) is is_near
            ]
            if len(group) >= _FEWEST_LOST:
                findings.append(_near_parts(group, settled) if is_near else _strange_parts(group))
            else:
                findings += [
                    _one_part(place, _with_unclaimed(settled[place.row.part_number], free), sources)
                    for place in group
                ]
    return findings


_MOST_UNCLAIMED = 40


def _with_unclaimed(match: PartMatch, free: Sequence[str]) -> tuple[PartMatch, tuple[str, ...]]:
    """A match, and the parts of the sheets that no row names: its numbers may prove it to be one of them."""
    return match, () if match.candidates or len(free) > _MOST_UNCLAIMED else tuple(free)


def _near_parts(group: Sequence[_Where], settled: Mapping[str, PartMatch]) -> TableFinding:
    pairs = [(place.row.part_number, settled[place.row.part_number].candidates[0]) for place in group]
    shown = ", ".join(f"'{typed}' and '{printed}'" for typed, printed in pairs[:3])
    message = (
        f"{len(group)} parts are nearly parts of the sheets, such as {shown}; their cells were not"
        " compared. Are they the same? Answer with --same and a file of such pairs"
    )
    expected = "; ".join("=".join(pair) for pair in pairs[:3])
    return _at_parts(group, codes.PART_MATCH_DOUBTFUL, expected, message)


def _strange_parts(group: Sequence[_Where]) -> TableFinding:
    shown = ", ".join(f"'{place.row.part_number}'" for place in group[:3])
    message = (
        f"{len(group)} parts, such as {shown}, stand in none of the sheets: is a datasheet missing?"
        " Their cells were not compared"
    )
    finding = _at_parts(group, codes.PART_NOT_IN_SHEETS, "parts of the sheets", message)
    return replace(finding, severity=Severity.DOUBT)


def _one_part(place: _Where, matched: tuple[PartMatch, tuple[str, ...]], sources: Sources) -> TableFinding:
    number, (match, free) = place.row.part_number, matched
    proven = _proven_candidate(place.row, match.candidates or free, sources)
    if not match.candidates and proven is None:
        message = f"'{number}' stands in none of the sheets; its cells were not compared"
        return _at_parts([place], codes.PART_NOT_IN_SHEETS, "a part of the sheets", message)
    if proven is not None:
        name, right, compared = proven
        message = (
            f"'{number}' is in none of the sheets; {right} of {compared} numbers of its row are those"
            f" of '{name}': was the part number mistyped? Correct it, or answer with --same"
            f' "{number}={name}"'
        )
        finding = _at_parts(
            [place], codes.PART_MATCH_DOUBTFUL, f"'{name}'", message, f"{right} of {compared} numbers agree"
        )
        return replace(finding, cause="part number mistyped", proposed=name, changes=((finding.cell, name),))
    expected = " or ".join(f"'{c}'" for c in match.candidates)
    message = (
        f"'{number}' is nearly {expected} of the sheets; its cells were not compared."
        f' Answer with --same "{number}={match.candidates[0]}"'
    )
    return _at_parts([place], codes.PART_MATCH_DOUBTFUL, expected, message)


def _proven_candidate(
    row: TypedRow, candidates: Sequence[str], sources: Sources
) -> tuple[str, int, int] | None:
    """The one candidate whose numbers the row has, with how many of how many."""
    counts = {name: _row_to_agreement(row, sources[name]) for name in candidates}
    holding = [
        name
        for name, (right, compared) in counts.items()
        if right >= _FEWEST_OF_ROW and right >= _AGREE_OF_ROW * compared
    ]
    return (holding[0], *counts[holding[0]]) if len(holding) == 1 else None


def _at_parts(
    group: Sequence[_Where], code: codes.Code, expected: str, message: str, evidence: str = ""
) -> TableFinding:
    """A finding at the first part's number that names them all."""
    first = group[0]
    column = next(c for c in first.sheet.columns if c.role is ColumnRole.PART_NUMBER)
    return TableFinding(
        first.sheet.name,
        first.row.row,
        column.heading,
        code.name,
        code.severity,
        first.row.part_number,
        expected,
        message,
        part_number=first.row.part_number,
        cell=column.at(first.row.row),
        cells=tuple(column.at(place.row.row) for place in group),
        evidence=evidence,
    )
