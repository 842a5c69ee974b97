"""Draw a sheet as HTML, printed to PDF by Chromium or by LibreOffice Writer.

Comes in: a `Sheet`. Goes out: the bytes of a PDF; the date inside is set to a fixed one.
Does not decide what a sheet says. Needs `chromium` or `soffice` on the path, and Noto CJK fonts.
"""

from __future__ import annotations

import html
import re
import subprocess
import tempfile
from pathlib import Path

from sample_tables.generate import blocks
from sample_tables.generate.curves import curves_to_svg
from sample_tables.generate.words import FICTITIOUS

TAGS = {"plain": "{}", "low": "<sub>{}</sub>", "high": "<sup>{}</sup>", "line": "<br>"}
FONTS = {
    "": "DejaVu Sans",
    "times": "DejaVu Serif",
    "dejavu": "DejaVu Sans Condensed",
    "noto": "Noto Sans",
    "zh": "Noto Sans CJK SC",
    "zh-hant": "Noto Sans CJK TC",
    "ja": "Noto Sans CJK JP",
    "micro": "WenQuanYi Micro Hei",
}
CSS = """
@page {{ size: {page}; margin: 15mm 15mm 14mm 15mm }}
body {{ font-family: '{font}'; font-size: 9pt }}
h1 {{ font-size: 15pt; color: {colour} }} h2 {{ font-size: 11pt; color: {colour}; margin: 10pt 0 4pt }}
.small {{ font-size: 7pt }} .foot {{ font-size: 6.5pt; margin-top: 12pt }}
.vendor {{ color: {colour}; font-weight: bold; border-bottom: 2pt solid {colour} }}
table {{ border-collapse: collapse; margin: 4pt 0 }} td, th {{ padding: 1.5pt 4pt; text-align: center }}
sub, sup {{ font-size: 62%; line-height: 0 }}
.full td, .full th {{ border: .6pt solid black }} .full th {{ background: #eceff4 }}
.horizontal tr {{ border-bottom: .4pt solid #777 }}
.horizontal thead {{ border-top: 1pt solid; border-bottom: 1pt solid }}
.zebra tbody tr:nth-child(odd) {{ background: #e3ebe3 }}
td {{ white-space: nowrap }} td[align=left] {{ text-align: left }}
.turned {{ writing-mode: vertical-rl; transform: rotate(180deg); white-space: nowrap }}
.break {{ page-break-before: always }}
"""
BROWSER = re.compile(rb"/Creator \(Mozilla[^\n]*\)(?=\n)")
DATE = re.compile(rb"\(D:\d{14}([^)]*)\)")
CHECKSUM = re.compile(rb"/DocChecksum /[0-9A-F]{32}")
IDENTITY = re.compile(rb"/ID\s*\[\s*<[0-9A-Fa-f]+>\s*<[0-9A-Fa-f]+>\s*\]")


def markup(text: str) -> str:
    """The text in HTML."""
    return "".join(TAGS[style].format(html.escape(piece)) for style, piece in blocks.markup_pieces(text))


def row_html(row: tuple[blocks.Cell, ...], tag: str, printer: str) -> str:
    """One table row."""
    out = ""
    for cell in row:
        spans = (f' colspan="{cell.across}"' if cell.across > 1 else "") + (
            f' rowspan="{cell.down}"' if cell.down > 1 else ""
        )
        text = f"<b>{markup(cell.text)}</b>" if cell.bold else markup(cell.text)
        if cell.turned:
            text = f'<span class="turned">{text}</span>'
        if printer == "libreoffice":
            text = f'<font size="1" style="font-size: 8pt">{text}</font>'
        out += f'<{tag}{spans} align="{cell.align}">{text}</{tag}>'
    return f"<tr>{out}</tr>"


def grid_html(grid: blocks.Grid, printer: str) -> str:
    """A table."""
    names = grid.rules + (" zebra" if grid.zebra else "")
    border = (
        ' border="1" cellspacing="0" cellpadding="2"'
        if printer == "libreoffice" and grid.rules == "full"
        else ""
    )
    head = "".join(row_html(row, "th", printer) for row in grid.head)
    body = "".join(row_html(row, "td", printer) for row in grid.body)
    return (
        f'<table class="{names}"{border} style="font-size:{grid.size}pt">'
        f"<thead>{head}</thead><tbody>{body}</tbody></table>"
    )


def block_html(block: blocks.Block, printer: str) -> str:
    """One block of a sheet in HTML."""
    if isinstance(block, blocks.Heading):
        return f"<h2>{markup(block.text)}</h2>"
    if isinstance(block, blocks.Text):
        return f'<p class="{"small" if block.small else ""}">{markup(block.text)}</p>'
    if isinstance(block, blocks.Bullets):
        return "<ul>" + "".join(f"<li>{markup(line)}</li>" for line in block.lines) + "</ul>"
    if isinstance(block, blocks.Grid):
        return grid_html(block, printer)
    if isinstance(block, blocks.Curves):
        return f"<div>{curves_to_svg(block)}</div>"
    return '<p class="break" style="page-break-before: always"></p>'


def sheet_html(sheet: blocks.Sheet) -> str:
    """The whole sheet in HTML."""
    look = sheet.look
    css = CSS.format(
        page="letter" if look.page == "letter" else "A4", font=FONTS[look.font], colour=look.colour
    )
    body = "".join(block_html(block, sheet.producer) for block in sheet.blocks)
    return (
        f'<!doctype html><html lang="{look.lang}"><meta charset="utf-8">'
        f"<title>{html.escape(sheet.title)}</title>"
        f"<style>{css}</style><p "
        f"class=vendor>{html.escape(sheet.vendor)}</p><h1>{html.escape(sheet.title)}</h1>"
        f"{body}<p class=foot>{FICTITIOUS[look.lang]}</p></html>"
    )


def print_command(producer: str, page: Path, folder: Path) -> list[str]:
    """The command that prints an HTML file to a PDF beside it."""
    if producer == "chromium":
        return [
            "chromium",
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-pdf-header-footer",
            f"--user-data-dir={folder / 'profile'}",
            f"--print-to-pdf={page.with_suffix('.pdf')}",
            page.as_uri(),
        ]
    return [
        "soffice",
        f"-env:UserInstallation={(folder / 'profile').as_uri()}",
        "--headless",
        "--infilter=HTML (StarWriter)",
        "--convert-to",
        "pdf:writer_pdf_Export",
        "--outdir",
        str(folder),
        str(page),
    ]


def fixed_dates(content: bytes) -> bytes:
    """The PDF with its dates, its identity and the name of the browser replaced by text of the same
    length."""
    content = BROWSER.sub(lambda found: b"/Creator (web page" + b" " * (len(found[0]) - 19) + b")", content)
    content = DATE.sub(lambda found: b"(D:20250101000000" + found[1] + b")", content)
    content = CHECKSUM.sub(b"/DocChecksum /" + b"0" * 32, content)
    return IDENTITY.sub(
        lambda found: re.sub(rb"<[0-9A-Fa-f]+>", lambda i: b"<" + b"0" * (len(i[0]) - 2) + b">", found[0]),
        content,
    )


def draw(sheet: blocks.Sheet) -> bytes:
    """The PDF of a sheet."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        page = folder / f"{sheet.name}.html"
        page.write_text(sheet_html(sheet), encoding="utf-8")
        subprocess.run(
            print_command(sheet.producer, page, folder), check=True, capture_output=True, timeout=180
        )
        return fixed_dates(page.with_suffix(".pdf").read_bytes())
