"""The decision record as a PDF of one page, to sign and to file.

Comes in: a ranking. Goes out: a PDF. The same content and plots as `report`, laid out with reportlab: of the
libraries that pip alone installs on every system it is the one that breaks lines and tables by itself and
embeds fonts; a browser or an HTML renderer would need system libraries. The font is the one that
matplotlib brings, since it has the signs of the trade. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from xml.sax.saxutils import escape

import matplotlib
from reportlab.graphics.shapes import Circle, PolyLine, Rect, String
from reportlab.graphics.shapes import Drawing as PdfDrawing
from reportlab.lib.colors import HexColor, white
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Frame, KeepInFrame, Paragraph, Spacer, Table

from compare.clean_text import clean
from compare.plots_drawing import Box, Dot, Drawing, Label, Line
from compare.provenance import UNKNOWN, Provenance
from compare.ranking import Ranking
from compare.report_content import DecisionRecord, ranking_to_record
from extract.schema import Finding

INK, GREY, PALE = HexColor("#22384a"), HexColor("#aab6be"), HexColor("#edf1f3")
FONT, BOLD = "HoldtripSans", "HoldtripSans-Bold"
MARGIN = 11 * mm
WIDTH, HEIGHT = A4[0] - 2 * MARGIN, A4[1] - 2 * MARGIN
SCALES = (1.0, 0.94, 0.88, 0.82, 0.76, 0.7, 0.64)
"""Sizes of print that are tried; the smallest is still read with good eyes: 4.2 points."""
SIGNS = {"fits": "\u2713", "fails": "\u2715", "undetermined": "?"}
MARGIN_WIDTHS = (0.2, 0.065, 0.085, 0.125, 0.075, 0.125, 0.085, 0.24)


def ranking_to_pdf(ranking: Ranking, path: Path, findings: Sequence[Finding] = (),
                   provenance: Provenance = UNKNOWN) -> None:
    """Write the decision record of a ranking; long ones are made smaller to stay on one page.

    Raises OSError where the file cannot be written.
    """
    _register_fonts()
    record = ranking_to_record(ranking, findings, provenance)
    scale, story = _record_to_scale(record)
    page = Canvas(str(path), pagesize=A4, invariant=1)
    page.setTitle(clean(f"Decision record: {record.title}"))
    page.setAuthor("holdtrip")
    page.translate(MARGIN, MARGIN)
    page.scale(scale, scale)
    width, height = WIDTH / scale, HEIGHT / scale
    frame = Frame(0, 0, width, height, 0, 0, 0, 0)
    frame.addFromList([KeepInFrame(width, height, story, mode="shrink")], page)
    page.save()


def _record_to_scale(record: DecisionRecord) -> tuple[float, list[Flowable]]:
    """The largest print at which the record fits one page, and its story for that."""
    for scale in SCALES:
        width, height = WIDTH / scale, HEIGHT / scale
        needed = sum(flowable.wrap(width, height)[1] + flowable.getSpaceBefore() + flowable.getSpaceAfter()
                     for flowable in _record_to_story(record, width))
        if needed <= height:
            break
    return scale, _record_to_story(record, width)  # drawn afresh: a wrapped flowable keeps its breaks


@cache
def _register_fonts() -> None:
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont(FONT, str(folder / "DejaVuSans.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(folder / "DejaVuSans-Bold.ttf")))
    pdfmetrics.registerFontFamily(FONT, normal=FONT, bold=BOLD, italic=FONT, boldItalic=BOLD)


def _style(size: float, **more: object) -> ParagraphStyle:
    return ParagraphStyle(f"size {size}", fontName=FONT, fontSize=size, leading=size * 1.22, **more)


def _text(text: str, size: float = 6.6, *, bold: bool = False, **more: object) -> Paragraph:
    """A paragraph of plain text; nothing in it is markup."""
    words = escape(clean(text))
    return Paragraph(f"<b>{words}</b>" if bold else words, _style(size, **more))


def _record_to_story(record: DecisionRecord, width: float) -> list[Flowable]:
    """Everything on the page for a width in points, from top to bottom."""
    return [
        _text("Decision record: self-resetting polymer PTC fuse", 7.0, textColor=HexColor("#55636d")),
        _text(record.title, 13.0, bold=True, textColor=INK), Spacer(1, 3),
        _decision(record, width), Spacer(1, 4), *_plots(record, width), *_margins(record, width),
        *_requirement(record, width), _others_and_sources(record, width), *_findings(record),
        Spacer(1, 5), _cautions(record, width), Spacer(1, 16), _signatures(width),
        *([_text("; ".join(record.made_with), 5.6)] if record.made_with else []),
    ]


def _heading(text: str) -> Paragraph:
    return _text(text, 8.0, bold=True, textColor=INK, spaceBefore=4, spaceAfter=1)


def _decision(record: DecisionRecord, width: float) -> Table:
    sign = SIGNS.get(record.verdict, "")
    answer = f"{record.part_number}  {sign} {record.verdict.upper()}  {record.document}"
    lines = [_text(answer, 10.0, bold=True, textColor=INK)] if record.part_number else []
    lines += [_text(text, 8.0) for text in (record.sentence, record.gap) if text]
    lines += [_text(record.reviewed, 7.0, bold=True)] if record.reviewed else []
    lines.append(_text(f"{record.counted}."))
    return Table([[lines]], colWidths=[width], style=[("BOX", (0, 0), (-1, -1), 1.2, INK)])


def _plots(record: DecisionRecord, width: float) -> list[Flowable]:
    if not record.plots:
        return []
    share = width / max(2, len(record.plots)) - 6
    cells = [drawing_to_pdf(plot, share) for plot in record.plots]
    return [Table([cells], colWidths=[share + 6] * len(cells), style=[("VALIGN", (0, 0), (-1, -1), "TOP"),
                                                                     *_tight()])]


def drawing_to_pdf(drawing: Drawing, width: float) -> PdfDrawing:
    """The drawing at a width in points, its origin moved to the bottom left."""
    scale = width / drawing.width
    page = PdfDrawing(width, drawing.height * scale)
    page.transform = (scale, 0, 0, scale, 0, 0)
    for shape in drawing.shapes:
        page.add(_shape_to_pdf(shape, drawing.height))
    return page


def _shape_to_pdf(shape: Line | Box | Dot | Label, height: float) -> PolyLine | Rect | Circle | String:
    if isinstance(shape, Line):
        flat = [number for x, y in shape.points for number in (x, height - y)]
        return PolyLine(flat, strokeColor=HexColor(shape.colour), strokeWidth=shape.width,
                        strokeDashArray=list(shape.dashes) or None)
    if isinstance(shape, Box):
        outline = HexColor(shape.outline) if shape.outline else None
        return Rect(shape.x, height - shape.y - shape.height, shape.width, shape.height,
                    fillColor=HexColor(shape.fill), strokeColor=outline, strokeWidth=1)
    if isinstance(shape, Dot):
        return Circle(shape.x, height - shape.y, shape.radius, fillColor=HexColor(shape.fill),
                      strokeColor=HexColor(shape.outline), strokeWidth=1)
    return String(shape.x, height - shape.y, clean(shape.text), fontName=BOLD if shape.bold else FONT,
                  fontSize=shape.size, fillColor=HexColor(shape.colour), textAnchor=shape.anchor)


def _tight() -> list[tuple[object, ...]]:
    return [("TOPPADDING", (0, 0), (-1, -1), 0.8), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
            ("LEFTPADDING", (0, 0), (-1, -1), 2), ("RIGHTPADDING", (0, 0), (-1, -1), 2)]


def _ruled() -> list[tuple[object, ...]]:
    return [("LINEBELOW", (0, 0), (-1, -1), 0.3, GREY), ("VALIGN", (0, 0), (-1, -1), "TOP"), *_tight()]


def _margins(record: DecisionRecord, width: float) -> list[Flowable]:
    if not record.margins:
        return []
    head = ("Margin of", "At", "Value", "Limit", "Margin", "Verdict", "Basis", "Source")
    rows = [[_text(title, bold=True, textColor=white) for title in head]]
    for line in record.margins:
        title: list[Paragraph] = [_text(line.title)]
        title += [_text(text, 5.6) for text in (line.note, *(f"assumes: {one}" for one in line.assumed))
                  if text]
        verdict = f"{SIGNS.get(line.verdict, '')} {line.verdict}"
        rows.append([title, *(_text(text) for text in (line.at, line.value, line.limit, line.margin)),
                     _text(verdict, bold=True), _text(line.basis), _text(line.source, 5.6)])
    widths = [width * share for share in MARGIN_WIDTHS]
    style = [*_ruled(), ("BACKGROUND", (0, 0), (-1, 0), INK)]
    return [_heading("Margins: how many times each need is met"), Table(rows, colWidths=widths, style=style),
            _text("data: printed in the datasheet; curve: read from a drawn curve, typical; interpolated: "
                  "straight line between two printed ambients; "
                  "assumed: rests on what stands below the margin; model: a heat balance or another formula "
                  "of "
                  "physics. Thin: met by less than 1.05 times.", 5.8)]


def _requirement(record: DecisionRecord, width: float) -> list[Flowable]:
    """Name and value of every field, three pairs in a row."""
    cells = [[_text(field.words, 6.2), _text(field.value, 6.2, bold=True)] for field in record.asked]
    while len(cells) % 3:
        cells.append(["", ""])
    third = len(cells) // 3
    rows = [[*cells[row], *cells[row + third], *cells[row + 2 * third]] for row in range(third)]
    notes = [_text(f"\u2022 {note}", 5.8) for note in record.preset_notes]
    pair = [width * share for share in (0.2, 0.4 / 3)]
    return [_heading("Requirement"), Table(rows, colWidths=pair * 3, style=_ruled()), *notes]


def _others_and_sources(record: DecisionRecord, width: float) -> Table:
    others = [[_text(str(one.rank)), _text(one.part_number),
               _text(f"{SIGNS.get(one.verdict, '')} {one.verdict}"), _text(one.why, 5.6)]
              for one in record.others]
    half = width / 2
    left: list[Flowable] = [_heading("Other candidates")]
    left.append(Table(others, colWidths=[half * share for share in (0.06, 0.23, 0.2, 0.48)], style=_ruled())
                if others else _text("None."))
    right: list[Flowable] = [_heading("Fault currents and the tripped part")]
    right += [_text(f"\u2022 {text}", 5.8) for text in record.circuit]
    right.append(_heading("Sources by page"))
    for source in record.sources:
        revision = f", {source.revision}" if source.revision else ""
        right.append(_text(f"{source.document} (SHA-256 {source.sha256}\u2026{revision})", 5.8, bold=True))
        right += [_text(f"{f'page {page}' if page else 'no page'}: {printed}", 5.8)
                  for page, printed in source.pages]
    style = [("VALIGN", (0, 0), (-1, -1), "TOP"), *_tight()]
    return Table([[left, right]], colWidths=[half, half], style=style)


def _findings(record: DecisionRecord) -> list[Flowable]:
    if not record.findings:
        return []
    return [_heading("Findings on this part"), *(_text(f"\u2022 {text}", 5.8) for text in record.findings)]


def _cautions(record: DecisionRecord, width: float) -> Table:
    half = (len(record.cautions) + 1) // 2
    columns = [[_text(f"\u2022 {text}", 5.8) for text in part]
               for part in (record.cautions[:half], record.cautions[half:])]
    style = [("BOX", (0, 0), (-1, -1), 0.6, INK), ("BACKGROUND", (0, 0), (-1, -1), PALE),
             ("VALIGN", (0, 0), (-1, -1), "TOP"), ("SPAN", (0, 0), (-1, 0)), *_tight()]
    return Table([[_heading("Cautions"), ""], columns], colWidths=[width / 2] * 2, style=style)


def _signatures(width: float) -> Table:
    said = ("responsible engineer: pages checked, part tested on the assembled product", "reviewer", "date")
    return Table([[_text(text, 6.0) for text in said]],
                 colWidths=[width * share for share in (0.45, 0.35, 0.2)],
                 style=[("LINEABOVE", (0, 0), (-1, -1), 0.6, INK), *_tight()])
