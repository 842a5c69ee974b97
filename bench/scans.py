"""How well sheets are read once they are scanned: right, agreed, silently wrong, seconds and memory a page.

    python bench/scans.py FOLDER TRUTH [--dpi 300] [--turn 0.4] [--noise 6] [--quality 70] [--only d06 ...]

Makes a scan of every PDF of FOLDER as a scanner would: each page a JPEG picture, slightly turned, blurred
and grainy, without text. Reads it in a process of its own, compares with the truth as accuracy.py
does. Right counts agreed, single and disputed numbers whose value is true. Processor seconds and the most
memory are those of reading one page alone. Ends with 1 if any number is silently wrong.
"""

from __future__ import annotations

import argparse
import io
import sys
import tempfile
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy
import pypdfium2
from PIL import Image, ImageFilter

from bench.accuracy import all_truth, read_one
from bench.scoring import (
    SILENTLY_WRONG,
    TITLES,
    Verdict,
    counts_line,
    judge,
    reading_value,
    sum_line,
    versions_line,
)


@dataclass(frozen=True, slots=True)
class Scanner:
    """Resolution in dots per inch, the largest turn in degrees, grain in grey steps, JPEG quality."""

    dpi: int
    turn_deg: float
    grain: float
    quality: int


def pdf_to_scan(path: Path, scanner: Scanner) -> bytes:
    """The sheet as a scanner gives it; the same at each call."""
    chance = numpy.random.default_rng(1)
    with pypdfium2.PdfDocument(path) as pdf:
        pages = [_page_to_picture(page, scanner, chance) for page in pdf]
    target = io.BytesIO()
    pages[0].save(target, "PDF", save_all=True, append_images=pages[1:], resolution=scanner.dpi,
                  quality=scanner.quality)
    return target.getvalue()


def _page_to_picture(
    page: pypdfium2.PdfPage, scanner: Scanner, chance: numpy.random.Generator
) -> Image.Image:
    picture = page.render(scale=scanner.dpi / 72, grayscale=True).to_pil()
    turn_deg = chance.uniform(-scanner.turn_deg, scanner.turn_deg)
    picture = picture.rotate(turn_deg, resample=Image.Resampling.BICUBIC, fillcolor=255)
    picture = picture.filter(ImageFilter.GaussianBlur(scanner.dpi / 600))
    dots = numpy.asarray(picture, dtype=float)
    return Image.fromarray((dots + chance.normal(0, scanner.grain, dots.shape)).clip(0, 255).astype("uint8"))


def page_to_cost(path: Path) -> tuple[float, float]:
    """Processor seconds and the most memory, GB, of recognising the first page of a scan alone."""
    import resource
    import time

    from extract.scans.recognised import page_to_scanned

    with pypdfium2.PdfDocument(path) as pdf:
        begun = time.process_time()
        page_to_scanned(pdf[0], 1, path.name)
    return time.process_time() - begun, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def _measure(scans: Sequence[Path], truth_folder: Path, show: bool) -> list[Verdict]:
    truth = all_truth(truth_folder)
    verdicts: list[Verdict] = []
    print(f"{'document':24}{TITLES}")
    for path in scans:
        with ProcessPoolExecutor(max_workers=1) as alone:
            _, readings, error = alone.submit(read_one, path).result()
        found = judge(truth[path.name], map(reading_value, readings), complete=True)
        verdicts += found
        print(f"{path.name:24}{counts_line(found)}{f'  {error}' if error else ''}", flush=True)
        for verdict in found if show else ():
            if verdict.outcome != "right":
                print(f"    {verdict}")
    return verdicts


def main() -> int:
    """Scan, read, compare, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("folder", type=Path)
    parser.add_argument("truth", type=Path)
    parser.add_argument("--dpi", type=int, default=300)
    parser.add_argument("--turn", type=float, default=0.4, help="degrees at most, either way")
    parser.add_argument("--noise", type=float, default=6.0, help="grey steps of 255")
    parser.add_argument("--quality", type=int, default=70, help="of the JPEG pictures")
    parser.add_argument("--only", nargs="*", default=[], help="names of sheets, without .pdf")
    parser.add_argument("--list", action="store_true", help="print every entry that is not right")
    options = parser.parse_args()
    scanner = Scanner(options.dpi, options.turn, options.noise, options.quality)
    known = all_truth(options.truth)
    sheets = [path for path in sorted(options.folder.glob("*.pdf"))
              if path.name in known and (not options.only or path.stem in options.only)]
    if not sheets:
        print("no sheet of the folder has a truth")
        return 2
    print(f"{versions_line()}; {scanner}")
    with tempfile.TemporaryDirectory() as folder:
        scans = [Path(folder) / path.name for path in sheets]
        for path, scan in zip(sheets, scans, strict=True):
            scan.write_bytes(pdf_to_scan(path, scanner))
        with ProcessPoolExecutor(max_workers=1) as alone:
            seconds, memory_gb = alone.submit(page_to_cost, scans[0]).result()
        print(f"one page alone: {seconds:.1f} s of processor time, {memory_gb:.2f} GB at most")
        verdicts = _measure(scans, options.truth, options.list)
    print(f"{'all':24}{counts_line(verdicts)}\n{sum_line(verdicts)}")
    return int(any(verdict.outcome in SILENTLY_WRONG for verdict in verdicts))


if __name__ == "__main__":
    raise SystemExit(main())
