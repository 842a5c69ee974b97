"""Findings of datasheets as CSV: every one, with its place, and no text a spreadsheet would calculate."""

import csv
from pathlib import Path

from extract.schema import Finding, Place, Quantity, Severity
from holdtrip.findings_file import COLUMNS, write_findings


def test_every_finding_has_its_row(tmp_path: Path) -> None:
    """Place and quantity where there are any, texts guarded."""
    path = tmp_path / "findings.csv"
    findings = [
        Finding("hold-over-trip", Severity.ERROR, "hold above trip", "=1+1", "below 1 A", "a.pdf", "QX050",
                Quantity.HOLD_CURRENT, Place(2, 1.0, 2.0, 3.0, 4.0)),
        Finding("numbers-not-read", Severity.NOTE, "no column recognised", document="a.pdf"),
    ]
    assert write_findings(findings, path) == 2
    with path.open(encoding="utf-8", newline="") as file:
        first, second = csv.DictReader(file)
    assert tuple(first) == COLUMNS
    assert (first["severity"], first["quantity"]) == ("error", "hold_current")
    assert (first["page"], first["x0"]) == ("2", "1.0")
    assert first["found"] == "'=1+1"
    assert (second["part_number"], second["page"]) == ("", "")
