"""Charts that are pictures: told as not read, with their place.

Comes in: a document. Goes out: a finding for each chart of trip times or derating that is made of pixels.
Reads no pixel: a picture of 600 dots is worth no more than a few percent in current and several in time, and
its ticks are no text.
"""

from __future__ import annotations

import ctypes
from typing import Any

from extract.charts.kinds import ChartKind
from extract.charts.regions import PICTURE_HIGH, PICTURE_WIDE, page_to_chart_regions
from extract.document import Document, open_pdfium
from extract.schema import Finding, Place, Severity

CHART_PICTURE = "chart-is-picture"
WHY = "a chart is a picture, and its curves are not read; look at it, or ask the maker for the values: page"


def document_to_picture_findings(document: Document) -> tuple[Finding, ...]:
    """One finding for each chart that is a picture, on the pages that paint a picture large enough."""
    findings = []
    with open_pdfium(document.source, document.name) as pdf:
        for number in range(1, len(pdf) + 1):
            page = pdf[number - 1]
            if not paints_large_picture(page):
                continue
            for region in page_to_chart_regions(page, number):
                if region.kind is ChartKind.PICTURE:
                    place = Place(number, *(round(edge, 1) for edge in region.frame))
                    findings.append(Finding(CHART_PICTURE, Severity.NOTE, f"{WHY} {number}", "a picture",
                                            "lines drawn as lines", document.name, place=place))
    return tuple(findings)


def paints_large_picture(page: Any) -> bool:
    """Whether a page paints a picture as large as a chart: a quick look."""
    import pypdfium2.raw as raw

    for index in range(raw.FPDFPage_CountObjects(page)):
        handle = raw.FPDFPage_GetObject(page, index)
        if raw.FPDFPageObj_GetType(handle) != raw.FPDF_PAGEOBJ_IMAGE:
            continue
        edges = [ctypes.c_float() for _ in range(4)]
        raw.FPDFPageObj_GetBounds(handle, *map(ctypes.byref, edges))
        left, foot, right, head = (edge.value for edge in edges)
        if right - left > PICTURE_WIDE and head - foot > PICTURE_HIGH:
            return True
    return False
