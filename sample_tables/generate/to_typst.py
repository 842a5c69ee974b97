"""Draw a sheet with typst.

Comes in: a `Sheet`. Goes out: the bytes of a PDF, the same every time.
Does not decide what a sheet says. Japanese needs Noto CJK fonts installed.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import typst

from sample_tables.generate import blocks
from sample_tables.generate.curves import curves_to_svg
from sample_tables.generate.words import FICTITIOUS

FONTS = {
    "": "Libertinus Serif",
    "times": "New Computer Modern",
    "dejavu": "Libertinus Serif",
    "mono": "DejaVu Sans Mono",
    "cm": "New Computer Modern",
    "ja": "Noto Sans CJK JP",
}
PREAMBLE = """#set document(title: {title}, date: none)
#set page(paper: "{page}", margin: 1.6cm, header: text(8pt, weight: "bold", fill: rgb("{colour}"), {vendor}),
  footer: text(6.5pt)[#{foot} #h(1fr) #context counter(page).display()])
#set text(font: "{font}", size: 9pt, lang: "{lang}")
#set sub(typographic: false, size: 0.62em)
#set super(typographic: false, size: 0.62em)
#show heading: set text(fill: rgb("{colour}"))
#heading({title})
"""


def literal(text: str) -> str:
    """A typst string literal."""
    return json.dumps(text, ensure_ascii=False)


def markup(text: str) -> str:
    """The text as a typst expression."""
    calls = {"plain": "text", "low": "sub", "high": "super"}
    pieces = [
        "linebreak()" if style == "line" else f"{calls[style]}({literal(piece)})"
        for style, piece in blocks.markup_pieces(text)
    ]
    return " + ".join(pieces) or "[]"


def cell_typst(cell: blocks.Cell, head: bool) -> str:
    """A table cell."""
    content = f"strong({markup(cell.text)})" if cell.bold or head else markup(cell.text)
    return (
        f"table.cell(colspan: {cell.across}, rowspan: {cell.down}, align: {cell.align} + horizon, {content})"
    )


def rule_lines(grid: blocks.Grid, count: int) -> list[str]:
    """The single rules of a table that is not ruled in full."""
    first, last = len(grid.head), len(grid.head + grid.body)
    if grid.rules == "horizontal":
        below = [f"table.hline(y: {y}, stroke: 0.5pt)" for y in range(first, last + 1)]
        return ["table.hline(y: 0, stroke: 1pt)", *below]
    if grid.rules == "outer":
        across = [f"table.hline(y: {y}, stroke: 0.7pt)" for y in (0, first, last)]
        return [*across, *(f"table.vline(x: {x}, stroke: 0.7pt)" for x in (0, count))]
    return []


def grid_typst(grid: blocks.Grid) -> str:
    """A table."""
    places = blocks.placed(grid.head + grid.body)
    count = max(column + cell.across for _, column, cell in places)
    columns = "(" + ", ".join(f"{w}pt" for w in grid.widths) + ",)" if grid.widths else str(count)
    head = ", ".join(cell_typst(cell, True) for row in grid.head for cell in row)
    body = ", ".join(cell_typst(cell, False) for row in grid.body for cell in row)
    body += "".join(f", {line}" for line in rule_lines(grid, count))
    stroke = "0.5pt" if grid.rules == "full" else "none"
    fill = f"(_, y) => if y >= {len(grid.head)} and calc.odd(y) {{ luma(232) }}" if grid.zebra else "none"
    header = f"table.header(repeat: {str(grid.repeat_head).lower()}, {head})"
    return (
        f"#text({grid.size}pt, table(columns: {columns}, inset: 3pt, stroke: {stroke}, fill: {fill}, "
        f"{header}, {body}))\n"
    )


def block_typst(block: blocks.Block) -> str:
    """One block of a sheet in typst."""
    if isinstance(block, blocks.Heading):
        return f"#heading(level: 2, {markup(block.text)})\n"
    if isinstance(block, blocks.Text):
        return f"#par(text({'7pt' if block.small else '9pt'}, {markup(block.text)}))\n"
    if isinstance(block, blocks.Bullets):
        return f"#list({', '.join(markup(line) for line in block.lines)})\n"
    if isinstance(block, blocks.Grid):
        return grid_typst(block)
    if isinstance(block, blocks.Curves):
        return f'#image(bytes({literal(curves_to_svg(block))}), format: "svg", width: 9cm)\n'
    return "#pagebreak()\n"


def sheet_typst(sheet: blocks.Sheet) -> str:
    """The whole sheet in typst."""
    look = sheet.look
    start = PREAMBLE.format(
        title=literal(sheet.title),
        vendor=literal(sheet.vendor),
        colour=look.colour,
        page="us-letter" if look.page == "letter" else "a4",
        font=FONTS[look.font],
        lang=look.lang,
        foot=literal(FICTITIOUS[look.lang]),
    )
    return start + "".join(block_typst(block) for block in sheet.blocks)


def draw(sheet: blocks.Sheet) -> bytes:
    """The PDF of a sheet."""
    with tempfile.TemporaryDirectory() as name:
        source = Path(name) / "sheet.typ"
        source.write_text(sheet_typst(sheet), encoding="utf-8")
        return bytes(typst.compile(str(source)))
