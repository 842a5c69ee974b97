"""A sheet held against the trade's rules: findings added, numbers that cannot all be right disputed.

Comes in: a SheetReading. Goes out: the same with the findings of the checks, and every number that an
error names, and the one that a doubt is about, marked as disputed with the reason. Changes no value
and settles no dispute.
"""

from __future__ import annotations

from dataclasses import replace

from extract.checks.findings import readings_to_findings, readings_to_part_numbers
from extract.checks.rules import parts_to_suspicions
from extract.schema import Reading, Severity, SheetReading, Status


def sheet_to_checked(sheet: SheetReading) -> SheetReading:
    """The sheet with what the checks find; checking it again changes nothing."""
    findings = dict.fromkeys((*sheet.findings, *readings_to_findings(sheet.readings)))
    reasons = _reasons_to_dispute(sheet.readings)
    readings = tuple(
        _disputed(reading, reasons[index]) if index in reasons else reading
        for index, reading in enumerate(sheet.readings)
    )
    return replace(sheet, readings=readings, findings=tuple(findings))


def _reasons_to_dispute(readings: tuple[Reading, ...]) -> dict[int, list[str]]:
    """Index of a reading → why it, or another number of the same error, must be wrong."""
    reasons: dict[int, list[str]] = {}
    for suspicion in parts_to_suspicions(readings_to_part_numbers(readings)):
        named = suspicion.numbers if suspicion.severity is Severity.ERROR else suspicion.numbers[:1]
        if suspicion.severity is not Severity.NOTE:
            for number in named:
                reasons.setdefault(number.origin, []).append(suspicion.message)
    return reasons


def _disputed(reading: Reading, reasons: list[str]) -> Reading:
    return replace(reading, status=Status.DISPUTED, notes=tuple(dict.fromkeys((*reading.notes, *reasons))))
