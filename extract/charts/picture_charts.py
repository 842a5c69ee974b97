"""Charts that are pictures: read from their pixels where that can be done, told with their place always.

Comes in: a document, what its tables say of parts. Goes out: Curves, never better than single, and a finding
for each chart of trip times or derating that is made of pixels. A picture of 600 dots is worth no more than a
few percent in current and several in time.
"""

from __future__ import annotations

import ctypes
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from extract.charts.chart import Chart, ink_to_charts
from extract.charts.ink import page_to_drawing, with_letters
from extract.charts.kinds import ChartKind
from extract.charts.labels import Label, words_to_labels
from extract.charts.naming import PartFacts
from extract.charts.numbers import words_to_ticks
from extract.charts.pixels import can_read_pixels
from extract.charts.reading import KnownSheet, chart_to_curves, chart_to_source, to_known_sheet
from extract.charts.regions import PICTURE_HIGH, PICTURE_WIDE, ChartRegion, page_to_chart_regions
from extract.document import Document, open_pdfium
from extract.schema import Curve, Finding, Place, Severity, Status

if TYPE_CHECKING:  # the recognisers are an extra, loaded where a sheet has such a chart
    from extract.charts.pixels.picture_ink import PictureInk

CHART_PICTURE = "chart-is-picture"
NOT_READ = "a chart is a picture, and its curves are not read: look at it, or ask the maker for values; page"
READ = "a chart is a picture; its curves were read from its pixels, once: look before using them; page"
FROM_PIXELS = "read from the pixels of a picture"
MOST_PICTURES = 12  # of a sheet are read: each takes seconds, and a sheet has two minutes
LEAST_NUMBERS = 3  # along an axis: a scale through fewer is not proven


def document_to_picture_curves(
    document: Document, facts: tuple[PartFacts, ...]
) -> tuple[tuple[Curve, ...], tuple[Finding, ...]]:
    """The curves of the charts that are pictures, and one finding for each such chart."""
    curves: list[Curve] = []
    findings = []
    with open_pdfium(document.source, document.name) as pdf:
        for at, (number, region) in enumerate(_pdf_to_regions(pdf)):
            may_read = can_read_pixels() and at < MOST_PICTURES
            found = _region_to_curves(pdf, region, document, facts) if may_read else []
            place = Place(number, *(round(edge, 1) for edge in region.frame))
            told = f"{READ if found else NOT_READ} {number}"
            findings.append(
                Finding(CHART_PICTURE, Severity.NOTE, told, "a picture", "lines drawn as lines",
                        document.name, place=place)
            )  # fmt: skip
            curves += found
    return tuple(curves), tuple(findings)


def _pdf_to_regions(pdf: Any) -> list[tuple[int, ChartRegion]]:
    """The charts that are pictures, with their pages."""
    found = []
    for number in range(1, len(pdf) + 1):
        page = pdf[number - 1]
        if paints_large_picture(page):
            regions = page_to_chart_regions(page, number)
            found += [(number, region) for region in regions if region.kind is ChartKind.PICTURE]
    return found


def _region_to_curves(
    pdf: Any, region: ChartRegion, document: Document, facts: tuple[PartFacts, ...]
) -> list[Curve]:
    """The curves of one picture; none where it has no axes that can be read."""
    from extract.charts.pixels.picture_ink import picture_to_ink

    page = pdf[region.page - 1]
    ink = with_letters(page_to_drawing(page, region.page), page)
    pictured = picture_to_ink(page, ink, region.frame, [fact.part_number for fact in facts])
    if pictured is None:
        return []
    sheet = to_known_sheet(pdf, document, facts, [pictured.ink])
    curves: list[Curve] = []
    for chart in ink_to_charts(pictured.ink, pictured.tell_lines):
        curves += _chart_to_single_curves(chart, pictured, sheet)
    return curves


def _chart_to_single_curves(chart: Chart, pictured: PictureInk, sheet: KnownSheet) -> list[Curve]:
    """The curves of a painted chart: single at best, disputed where anything of it is in doubt."""
    found = chart_to_curves(chart, pictured.ink, sheet, None)
    shared = _chart_to_doubts(chart, found) + _labels_to_doubts(chart, pictured, sheet, found)
    curves = []
    for curve in found:
        doubts = [*curve.notes, *shared]
        if curve.label in pictured.unsure:
            doubts.append(f"label '{curve.label}' was read by one recogniser only")
        status = Status.DISPUTED if doubts else Status.SINGLE
        curves.append(replace(curve, status=status, notes=(*doubts, FROM_PIXELS)))
    return curves


def _chart_to_doubts(chart: Chart, found: Sequence[Curve]) -> list[str]:
    """What puts every curve of a painted chart in doubt: a line without a label may be that of another's."""
    doubts = []
    named = len({curve.on_page for curve in found})
    if named < len(chart.lines.curves):
        doubts.append(f"only {named} of the {len(chart.lines.curves)} lines of this picture have a label")
    if any(len(numbers) < LEAST_NUMBERS for numbers in words_to_ticks(chart.words, chart.frame.box)):
        doubts.append(f"fewer than {LEAST_NUMBERS} numbers along an axis could be read")
    return doubts


def _labels_to_doubts(
    chart: Chart, pictured: PictureInk, sheet: KnownSheet, found: Sequence[Curve]
) -> list[str]:
    """A label whose line was not seen may be given that of a neighbour."""
    source = chart_to_source(chart, pictured.ink, sheet)
    labels = words_to_labels(chart.words, chart.frame.box, chart.box, source)
    lacking = {label.naming for label in labels} - {label.naming for label in labels if _is_in(label, found)}
    return [f"{len(lacking)} labels of this picture have no line"] if lacking else []


def _is_in(label: Label, found: Sequence[Curve]) -> bool:
    parts = {*label.naming.parts, *label.naming.candidates}
    return any(curve.part_number in parts for curve in found)


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
