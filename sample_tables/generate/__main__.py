"""Draw the invented datasheets: `python -m sample_tables.generate --out sample_tables [--only NAME ...]`.

Comes in: the sheets of sheets/. Goes out: NAME.pdf and NAME.csv (its truth) in the folder, and README.md.
Needs reportlab and typst, and for some sheets Chromium, LibreOffice and Noto CJK fonts.
"""

from __future__ import annotations

import argparse
import csv
import importlib
from collections.abc import Callable, Iterator
from pathlib import Path

from sample_tables.generate.blocks import Chart, Sheet
from sample_tables.generate.columns import TRUTH_FIELDS
from sample_tables.generate.particulars import sheet_to_particulars, write_particulars

DRAWERS = {"reportlab": "to_reportlab", "typst": "to_typst", "chromium": "to_html", "libreoffice": "to_html"}
GROUPS = (
    "headings",
    "rules",
    "units",
    "derating",
    "pages",
    "marks",
    "cells",
    "languages",
    "invented_words",
    "single",
    "found",
    "found_later",
    "found_unruled",
    "found_foreign",
    "found_upright",
    "found_merged",
    "found_tight",
    "found_long",
    "charted",
    "whole_part",
)
CURVE_FIELDS = ("document", "chart", "part_number", "label", "x", "y")
MADE = {
    "reportlab": "reportlab",
    "typst": "typst",
    "chromium": "HTML, Chromium's print to PDF",
    "libreoffice": "HTML, LibreOffice Writer's PDF export",
}


def all_sheets() -> Iterator[Sheet]:
    """Every invented sheet."""
    for group in GROUPS:
        makers: tuple[Callable[[], Sheet], ...] = importlib.import_module(
            f"sample_tables.generate.sheets.{group}"
        ).SHEETS
        yield from (maker() for maker in makers)


def draw(sheet: Sheet) -> bytes:
    """The PDF of a sheet, by its producer."""
    drawer = importlib.import_module(f"sample_tables.generate.{DRAWERS[sheet.producer]}")
    return bytes(drawer.draw(sheet))


def write_truth(sheet: Sheet, path: Path) -> None:
    """What the sheet truly says, as CSV."""
    with path.open("w", encoding="utf-8", newline="") as target:
        writer = csv.writer(target, lineterminator="\n")
        writer.writerow(TRUTH_FIELDS)
        for entry in sheet.truth:
            writer.writerow(
                (
                    sheet.document,
                    entry.part_number,
                    entry.quantity,
                    entry.kind,
                    entry.ambient_c,
                    entry.test_current_a,
                    entry.value,
                )
            )


def write_curve_truth(sheet: Sheet, folder: Path) -> None:
    """What the curves of a sheet's charts truly say, as CSV in a folder of its own."""
    plans = [block.plan for block in sheet.blocks if isinstance(block, Chart)]
    if not plans:
        return
    folder.mkdir(exist_ok=True)
    with (folder / f"{sheet.name}.csv").open("w", encoding="utf-8", newline="") as target:
        writer = csv.writer(target, lineterminator="\n")
        writer.writerow(CURVE_FIELDS)
        for plan in plans:
            for curve in plan.curves:
                for part in curve.parts:
                    for x, y in plan.curve_to_truth(curve):
                        row = (sheet.document, "time_to_trip", part, curve.label, f"{x:.5g}", f"{y:.5g}")
                        writer.writerow(row)


def readme_text(sheets: list[Sheet]) -> str:
    """The table of sheets, one line each."""
    opening = (Path(__file__).with_name("readme_head.md")).read_text(encoding="utf-8")
    lines = [
        f"| `{sheet.document}` | {MADE[sheet.producer]} | {sheet.difficulty} | {len(sheet.truth)} |"
        for sheet in sorted(sheets, key=lambda sheet: sheet.name)
    ]
    return opening + "\n".join(lines) + "\n"


def main() -> None:
    """Draw all sheets, or only those named."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--out", type=Path, required=True, help="folder for PDFs, truth and README.md")
    parser.add_argument("--only", nargs="*", default=[], help="names of sheets to draw; all if none is given")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    sheets = list(all_sheets())
    for sheet in sheets:
        if not options.only or sheet.name in options.only:
            (options.out / sheet.document).write_bytes(draw(sheet))
            write_truth(sheet, options.out / f"{sheet.name}.csv")
            write_curve_truth(sheet, options.out / "curves")
            if sheet_to_particulars(sheet):
                (options.out / "particulars").mkdir(exist_ok=True)
                write_particulars(sheet, options.out / "particulars" / f"{sheet.name}.csv")
            print(f"{sheet.document}: {len(sheet.truth)} entries, {sheet.producer}")
    (options.out / "README.md").write_text(readme_text(sheets), encoding="utf-8")


if __name__ == "__main__":
    main()
