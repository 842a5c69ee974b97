"""What a sheet truly says beside its ratings, from the same blocks that print it.

Comes in: a sheet. Goes out: its true particulars, names and kinds as in the reader's table of particulars.
Does not draw.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from sample_tables.generate.blocks import Grid, Heading, SaidTruly, Sheet

PARTICULAR_FIELDS = ("document", "part_number", "name", "label", "kind", "value", "text")


def sheet_to_particulars(sheet: Sheet) -> list[SaidTruly]:
    """Those written with the sheet, and the sizes of the plain tables of words.py."""
    return [*sheet.said, *(_plain_sizes(sheet) if not sheet.said else ())]


def _plain_sizes(sheet: Sheet) -> Iterator[SaidTruly]:
    """Sizes of `words.dimensions`: A, B, C, each with min and max, in mm."""
    for before, block in pairwise(sheet.blocks):
        if isinstance(before, Heading) and before.text == "Dimensions (mm)" and isinstance(block, Grid):
            parts = {entry.part_number for entry in sheet.truth}
            for part, *sizes in block.body:
                if len(sizes) != 6:
                    continue
                for (letter, kind), cell in zip(
                    [(a, k) for a in "ABC" for k in ("min", "max")], sizes, strict=True
                ):
                    yield SaidTruly(
                        part.text if part.text in parts else min(parts),
                        "dimension",
                        letter,
                        kind,
                        f"{float(cell.text):g}",
                    )


def write_particulars(sheet: Sheet, path: Path) -> int:
    """What the sheet truly says beside its ratings, as CSV; returns the number of rows."""
    rows = sheet_to_particulars(sheet)
    with path.open("w", encoding="utf-8", newline="") as target:
        writer = csv.writer(target, lineterminator="\n")
        writer.writerow(PARTICULAR_FIELDS)
        for one in rows:
            writer.writerow(
                (
                    sheet.document,
                    one.part_number,
                    one.name,
                    one.label,
                    one.kind,
                    one.value,
                    re.sub(r"\s+", " ", one.text),
                )
            )
    return len(rows)
