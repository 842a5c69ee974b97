"""A sheet's reading with the curves of its charts.

Comes in: the reading of a sheet's tables and its document. Goes out: the same reading with curves. Changes no
number.
"""

from __future__ import annotations

from dataclasses import replace

from extract.charts.derating_findings import derating_to_findings
from extract.charts.findings import curves_to_findings
from extract.charts.naming import readings_to_facts
from extract.charts.picture_charts import document_to_picture_curves
from extract.charts.reading import ChartOptions, document_to_drawn_curves
from extract.document import Document
from extract.schema import SheetReading

OTHER_KIND = "other-kind-of-part"  # a sheet of other parts has no curves of ours


def sheet_with_curves(
    sheet: SheetReading, document: Document, options: ChartOptions | None = None
) -> SheetReading:
    """The reading with its curves; none where the sheet is about another kind of part."""
    if not sheet.readings and any(finding.code == OTHER_KIND for finding in sheet.findings):
        return sheet
    drawn, given_up = document_to_drawn_curves(document, sheet.readings, options or ChartOptions())
    painted, pictures = document_to_picture_curves(document, readings_to_facts(sheet.readings))
    curves = (*drawn, *painted)
    noticed = (
        *curves_to_findings(curves, sheet.readings),
        *derating_to_findings(curves, sheet.readings),
        *pictures,
        *given_up,
    )
    return replace(sheet, curves=curves, findings=(*sheet.findings, *noticed))
