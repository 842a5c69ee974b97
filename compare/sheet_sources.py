"""The sheets that say where everything comes from: sources, findings, cautions.

Comes in: candidates, findings, a requirement. Goes out: three sheets of plain values. Calculates nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from openpyxl import Workbook

from compare.cautions import ranking_to_cautions
from compare.ranking import Ranking
from compare.records import Candidate
from compare.workbook_look import Column, Value, finish, print_rows, put_table, put_title
from extract.schema import UNIT_OF, Curve, Finding, Reading

SOURCE_COLUMNS = (
    Column("Part", 20), Column("Document", 26), Column("Page", 7), Column("Quantity", 20),
    Column("Kind", 14), Column("Ambient, °C", 10, "General"), Column("Test current, A", 10, "General"),
    Column("Value", 11, "General"), Column("Unit", 7), Column("Printed text", 16), Column("Status", 11),
    Column("Left, pt", 8, "0.0"), Column("Top, pt", 8, "0.0"), Column("Right, pt", 8, "0.0"),
    Column("Bottom, pt", 8, "0.0"), Column("Notes", 40, wrap=True), Column("SHA-256 of the document", 68),
)
FINDING_COLUMNS = (
    Column("Severity", 10), Column("Code", 22), Column("Document", 26), Column("Page", 7), Column("Part", 20),
    Column("Quantity", 18), Column("Message", 60, wrap=True), Column("Found", 24, wrap=True),
    Column("Expected", 24, wrap=True),
)
CAUTION_COLUMNS = (Column("Caution", 24), Column("Applies because", 28), Column("Text", 100, wrap=True))
FINDINGS_PRINTED = 30
BECAUSE = {"always": "every use", "battery": "a battery supplies", "mains": "hazardous voltage",
           "ac": "AC supply", "limited_power": "limited power source",
           "models": "models may say fits", "time": "something must survive",
           "limiting": "the supply limits its current", "transient": "a transient is asked for",
           "neighbours": "neighbours heat the part", "drawn": "a margin rests on a curve"}


def add_sources(book: Workbook, candidates: Sequence[Candidate]) -> None:
    """Every number of every candidate with its place on the page, once."""
    sheet = book.create_sheet("Sources")
    row = put_title(sheet, "Sources", "Every number the comparison could use, with the place it was read. "
                    "Boxes are in points from the top left of the page. agreed: two readings say the same; "
                    "single: one reading only; disputed: never used; accepted, corrected: by a person.")
    rows = list(_source_rows(candidates))
    put_table(sheet, row, SOURCE_COLUMNS, rows)
    finish(sheet, row, len(SOURCE_COLUMNS))
    print_rows(sheet, len(SOURCE_COLUMNS), row + max(1, sum(1 for _ in _source_rows(candidates[:1]))))


def _source_rows(candidates: Sequence[Candidate]) -> Iterator[list[Value]]:
    seen: set[int] = set()
    for candidate in candidates:
        own: tuple[Reading | Curve, ...] = (*candidate.part.readings, *candidate.part.curves)
        for reading in own:
            if id(reading) not in seen:  # a row of a whole series belongs to many parts
                seen.add(id(reading))
                yield _source_row(reading)


def _source_row(reading: Reading | Curve) -> list[Value]:
    place = reading.place
    if isinstance(reading, Curve):
        what = f"curve: {reading.chart.value.replace('_', ' ')}"
        return [reading.part_number, reading.document, place.page, what, reading.kind.value,
                reading.ambient_c, None, None, "", reading.label, reading.status.value, place.x0, place.top,
                place.x1, place.bottom, "; ".join(reading.notes), reading.sha256]
    whole_series = reading.part_number == "*"
    return ["whole series" if whole_series else reading.part_number, reading.document, place.page or None,
            reading.quantity.value.replace("_", " "), reading.kind.value.replace("_", " "), reading.ambient_c,
            reading.test_current_a, reading.value, UNIT_OF[reading.quantity], reading.raw,
            reading.status.value, place.x0, place.top, place.x1, place.bottom, "; ".join(reading.notes),
            reading.sha256]


def add_findings(book: Workbook, findings: Sequence[Finding]) -> None:
    """What the readers and checks noticed; a finding never changed a number."""
    sheet = book.create_sheet("Findings")
    row = put_title(sheet, "Findings", "What reading and checking noticed. A finding never changes a number; "
                    "small errors and shifted rows need the source page." if findings else
                    "None were handed over with these parts: that says nothing of the numbers.")
    put_table(sheet, row, FINDING_COLUMNS, map(_finding_row, findings))
    finish(sheet, row, len(FINDING_COLUMNS))
    print_rows(sheet, len(FINDING_COLUMNS), min(sheet.max_row, row + FINDINGS_PRINTED))


def _finding_row(finding: Finding) -> list[Value]:
    quantity = "" if finding.quantity is None else finding.quantity.value.replace("_", " ")
    return [finding.severity.value, finding.code, finding.document,
            None if finding.place is None else finding.place.page, finding.part_number, quantity,
            finding.message, finding.found, finding.expected]


def add_cautions(book: Workbook, ranking: Ranking) -> None:
    """The cautions that apply to this requirement and its candidates."""
    sheet = book.create_sheet("Cautions")
    row = put_title(sheet, "Cautions", "Read them before you decide. Local codes and licensed practice go "
                    "before anything said here.")
    put_table(sheet, row, CAUTION_COLUMNS,
              ([caution.name.replace("_", " "), BECAUSE[caution.when], caution.text]
               for caution in ranking_to_cautions(ranking)))
    finish(sheet, row, len(CAUTION_COLUMNS), filtered=False)
    print_rows(sheet, len(CAUTION_COLUMNS), sheet.max_row)
