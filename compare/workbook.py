"""A ranking becomes the workbook that a design review reads.

Comes in: a `Ranking`, and what reading and checking found. Goes out: an XLSX file without macros. Does not
judge: the ranking has.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from openpyxl import Workbook

from compare.derating import Derating
from compare.part_numbers import part_to_numbers
from compare.ranking import Ranking
from compare.sheet_margins import add_margins, add_summary
from compare.sheet_sources import add_cautions, add_findings, add_sources
from compare.sheet_tables import add_derating, add_trip_times
from extract.schema import Finding

MAX_CANDIDATES = 500
"""More than these rank lower than anyone reads; the JSON has them all."""


def ranking_to_workbook(ranking: Ranking, path: Path, findings: Sequence[Finding] = ()) -> None:
    """Write the workbook of a ranking; raises OSError where the file cannot be written."""
    candidates = ranking.candidates[:MAX_CANDIDATES]
    requirement = ranking.requirement
    numbers = [part_to_numbers(candidate.part) for candidate in candidates]
    parts = [(one, Derating(one, requirement.assume_reference_ambient_c)) for one in numbers]
    book = Workbook()
    book.remove(book.worksheets[0])
    add_summary(book, ranking, 20)
    add_margins(book, candidates)
    add_derating(book, parts)
    add_trip_times(book, parts)
    add_sources(book, candidates)
    add_findings(book, findings)
    add_cautions(book, requirement)
    book.save(path)
