"""Scan some of the invented datasheets: `python -m sample_tables.generate.scanned --out
sample_tables/scanned`.

Comes in: sheets of sample_tables/. Goes out: NAME.pdf whose pages are pictures, as a scanner gives them, and
NAME.csv, the truth of the sheet it was made of. Needs pypdfium2, pillow, numpy, reportlab.
"""

from __future__ import annotations

import argparse
import csv
import io
from dataclasses import dataclass
from pathlib import Path

import numpy
import pypdfium2
from PIL import Image, ImageDraw, ImageFilter
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

SAMPLES = Path(__file__).parents[1]
PASTED_UNDER = (
    "Dunmorrel, DM-T leaded protectors: approval sheet",
    "Resettable polymer fuses for battery packs and ports. The ratings below were taken over from the",
    "sheet of the maker as a picture. The part limits a current, it does not break it.",
)


@dataclass(frozen=True, slots=True)
class Scan:
    """How a sheet is scanned: resolution, dots per inch; tilt, degrees; quarter turn, degrees; grain, grey
    steps; whether a stamp lies over its margin, and whether a text layer that lies was laid under it.
    `pasted`: the part of the page, from its top to its foot, that stands as a picture on a page of text; none
    where the whole page is scanned."""

    name: str
    source: str
    dpi: int = 300
    tilt_deg: float = 0.4
    turn: int = 0
    grain: float = 6.0
    stamp: bool = False
    false_text: bool = False
    pasted: tuple[float, float] | None = None


SCANS = (
    Scan("scan_plain", "quarrowick_qk"),
    Scan("scan_turned", "tarnhollow_th", turn=90, tilt_deg=-0.3),
    Scan("scan_stamped", "mirrelby_mr", stamp=True, tilt_deg=0.6, grain=9.0),
    Scan("scan_false_text", "dunmorrel_dm", false_text=True, tilt_deg=-0.2),
    Scan("scan_coarse", "quarrowick_qk", dpi=110),
    Scan("scan_pasted", "dunmorrel_dm", tilt_deg=0.0, grain=4.0, pasted=(0.2, 0.595)),
)


def page_to_picture(page: pypdfium2.PdfPage, scan: Scan, chance: numpy.random.Generator) -> Image.Image:
    """A page as a scanner sees it: tilted, blurred, grainy."""
    picture = page.render(scale=scan.dpi / 72, grayscale=True).to_pil()
    if scan.stamp:
        draw = ImageDraw.Draw(picture)
        size = scan.dpi
        corner = (picture.width - 2 * size, picture.height - int(1.4 * size))
        draw.ellipse((*corner, corner[0] + size, corner[1] + size), outline=90, width=6)
        draw.text((corner[0] + size // 4, corner[1] + size // 2), "RECEIVED", fill=90)
    picture = picture.rotate(scan.tilt_deg, resample=Image.Resampling.BICUBIC, fillcolor=255)
    picture = picture.filter(ImageFilter.GaussianBlur(scan.dpi / 600))
    grains = numpy.asarray(picture, dtype=float) + chance.normal(0, scan.grain, (picture.height,
    picture.width))
    picture = Image.fromarray(grains.clip(0, 255).astype("uint8"))
    return picture.rotate(scan.turn, expand=True)


def scan_to_pdf(scan: Scan) -> bytes:
    """The scanned PDF; the same bytes at each call."""
    chance = numpy.random.default_rng(len(scan.name))
    target = io.BytesIO()
    canvas = Canvas(target, invariant=True)
    for page in pypdfium2.PdfDocument(SAMPLES / f"{scan.source}.pdf"):
        picture = page_to_picture(page, scan, chance)
        if scan.pasted is not None:
            _paste(canvas, picture, scan)
            continue
        width, height = picture.width * 72 / scan.dpi, picture.height * 72 / scan.dpi
        jpeg = io.BytesIO()
        picture.save(jpeg, "JPEG", quality=60)
        canvas.setPageSize((width, height))
        if scan.false_text:
            _lay_false_text(canvas, height)
        canvas.drawImage(ImageReader(jpeg), 0, 0, width, height)
        canvas.showPage()
    canvas.save()
    return target.getvalue()


def _paste(canvas: Canvas, picture: Image.Image, scan: Scan) -> None:
    """A page of text on which a part of a picture stands."""
    first, last = (round(share * picture.height) for share in scan.pasted or (0, 1))
    width, height = picture.width * 72 / scan.dpi, picture.height * 72 / scan.dpi
    canvas.setPageSize((width, height))
    canvas.setFont("Helvetica", 11)
    for n, line in enumerate(PASTED_UNDER):
        canvas.drawString(60, height - 60 - 15 * n, line)
    jpeg = io.BytesIO()
    picture.crop((0, first, picture.width, last)).save(jpeg, "JPEG", quality=80)
    high = (last - first) * 72 / scan.dpi
    canvas.drawImage(ImageReader(jpeg), 0, height - 130 - high, width, high)
    canvas.showPage()


def _lay_false_text(canvas: Canvas, height: float) -> None:
    """Invisible text as a bad recognition leaves it under a scan: other parts and other numbers."""
    text = canvas.beginText(60, height - 100)
    text.setTextRenderMode(3)
    for line in ("Part number Ihold (A) Itrip (A)", *(f"ZZ{n}00 {n}.50 {n}.99 30 40 0.01" for n in range(1,
    9))):
        text.textLine(line)
    canvas.drawText(text)


def scan_to_truth(scan: Scan, target: Path) -> None:
    """The truth of the sheet, under the scan's name."""
    with (SAMPLES / f"{scan.source}.csv").open(encoding="utf-8", newline="") as source:
        rows = list(csv.DictReader(source))
    with target.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, rows[0], lineterminator="\n")
        writer.writeheader()
        writer.writerows({**row, "document": f"{scan.name}.pdf"} for row in rows)


def main() -> None:
    """Write all scans."""
    parser = argparse.ArgumentParser(description=__doc__,
    formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True)
    folder = parser.parse_args().out
    folder.mkdir(parents=True, exist_ok=True)
    for scan in SCANS:
        (folder / f"{scan.name}.pdf").write_bytes(scan_to_pdf(scan))
        scan_to_truth(scan, folder / f"{scan.name}.csv")


if __name__ == "__main__":
    main()
