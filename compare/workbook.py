"""A ranking becomes the workbook that a design review reads.

Comes in: a `Ranking`, and what reading and checking found. Goes out: an XLSX file without macros whose
verdicts follow the requirement's inputs, in functions that every spreadsheet program knows. Does not
judge: the ranking has, and the formulas repeat it.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path

from openpyxl.workbook.properties import CalcProperties

from compare.corners import Case, numbers_to_case
from compare.part_numbers import part_to_numbers
from compare.ports import RankedArrangement
from compare.provenance import UNKNOWN, Provenance
from compare.ranking import Ranking
from compare.records import Candidate
from compare.sheet_candidates import add_candidates
from compare.sheet_charts import add_charts
from compare.sheet_corners import add_corners
from compare.sheet_lines import add_lines
from compare.sheet_margins import add_margins
from compare.sheet_ports import add_ports
from compare.sheet_sources import add_cautions, add_findings, add_sources
from compare.sheet_summary import add_summary
from compare.sheet_tables import add_derating, add_trip_times
from compare.sheet_trip_curves import add_trip_curves
from compare.sheet_trip_model import add_trip_model
from compare.workbook_corners import questions_to_corners
from compare.workbook_known import with_known_values
from compare.workbook_look import LiveBook
from compare.workbook_questions import requirement_to_questions
from extract.errors import InputError
from extract.schema import Finding

WRITER = "holdtrip: comparison"
"""Who saved the file last: a workbook that a person saved since names another."""
MAX_CANDIDATES = 500
"""Lower ranks than anyone reads would make the workbook slow; the JSON has them all."""
SHEETS = ("Summary", "Ports", "Candidates", "Margins", "Charts", "Trip curves", "Derating", "Trip times",
          "Sources", "Findings", "Cautions", "Corners", "Lines", "Trip model")
"""What a reviewer reads first; the sheets that calculate come last. Ports is there for a hub only,
Trip curves where one of the best parts has a drawn curve that may be used."""


def ranking_to_workbook(ranking: Ranking, path: Path, findings: Sequence[Finding] = (),
                        provenance: Provenance = UNKNOWN, ports: Sequence[RankedArrangement] = ()) -> None:
    """Write the workbook of a ranking; of a hub with both arrangements of its ports.

    Raises InputError where there are no candidates, OSError where the file cannot be written.
    """
    if not ranking.candidates:
        raise InputError("workbook", "no parts to compare", "at least one part")
    candidates = ranking.candidates[:MAX_CANDIDATES]
    requirement = ranking.requirement
    cases = [numbers_to_case(part_to_numbers(candidate.part), requirement) for candidate in candidates]
    book = LiveBook()
    _add_verdicts(book, ranking, candidates, cases, provenance)
    parts = [(case.numbers, case.derating) for case in cases]
    add_derating(book, parts)
    add_trip_times(book, parts)
    add_sources(book, candidates)
    add_findings(book, findings)
    add_cautions(book, ranking)
    if ports:
        add_ports(book, ports)
    for wanted, title in enumerate(title for title in SHEETS if title in book.sheetnames):
        book.move_sheet(title, wanted - book.sheetnames.index(title))
    book.active = 0
    book.calculation = CalcProperties(fullCalcOnLoad=True)
    book.properties.lastModifiedBy = WRITER
    saved = BytesIO()
    book.save(saved)
    path.write_bytes(with_known_values(saved.getvalue(), book))


def _add_verdicts(book: LiveBook, ranking: Ranking, candidates: Sequence[Candidate],
                  cases: Sequence[Case], provenance: Provenance) -> None:
    """The sheets that calculate."""
    corners = questions_to_corners(requirement_to_questions(ranking.requirement))
    lines = add_lines(book, [(case.numbers, case.derating) for case in cases])
    models = add_trip_model(book, cases, corners)
    add_corners(book, cases, lines, models, corners)
    add_margins(book, candidates, cases, corners)
    add_candidates(book, candidates, cases)
    add_summary(book, ranking, candidates, cases[0], provenance)
    add_charts(book, candidates, cases[0], lines, corners)
    add_trip_curves(book, candidates, cases, corners)
