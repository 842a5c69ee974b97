"""How well the outlines on the page sit on the ink of their numbers.

Run: python bench/box_ink.py [FOLDER ...]   (default sample_tables)

Comes in: folders of PDFs. Goes out, for each sheet: numbers, how many of the places as read and of the boxes
as the page draws them lie within 0.5 pt of the ink on every edge, how many cut it, and the largest distance.
The ink is that of the picture: the page is drawn without lines and images, and the dark spots that lie under
a box count.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
from pypdfium2 import raw as pdfium
from scipy import ndimage

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from extract.batch import read_sheets
from extract.schema import Reading
from holdtrip.web.page_ink import Box, page_to_ink, place_to_box

SCALE = 6.0
ALLOWED_PT = 0.5
SHARE_UNDER = 0.3  # of a spot's dots that lie under a box for the spot to be its ink


@dataclass(frozen=True, slots=True)
class Spots:
    """The dark spots of a page: a label for each dot, and the box of each label in points."""

    labels: Any
    sizes: Any
    boxes: tuple[Box, ...]


def page_to_spots(page: Any) -> Spots:
    """Draw the texts of a page alone and find what hangs together."""
    for item in list(page.get_objects(max_depth=1)):
        if item.type in (pdfium.FPDF_PAGEOBJ_PATH, pdfium.FPDF_PAGEOBJ_IMAGE, pdfium.FPDF_PAGEOBJ_SHADING):
            page.remove_obj(item)
    page.gen_content()
    picture = np.asarray(page.render(scale=SCALE, grayscale=True).to_pil())
    labels, count = ndimage.label(picture < 150, structure=np.ones((3, 3)))
    boxes = tuple(Box(across.start / SCALE, down.start / SCALE, across.stop / SCALE, down.stop / SCALE)
                  for down, across in ndimage.find_objects(labels))
    return Spots(labels, np.bincount(labels.ravel(), minlength=count + 1), boxes)


def box_to_distance(spots: Spots, box: Box) -> tuple[float, bool] | None:
    """(largest distance of an edge from the ink under the box, whether an edge cuts it); None without ink."""
    rows = slice(max(0, round(box.top * SCALE)), max(0, round(box.bottom * SCALE)) + 1)
    columns = slice(max(0, round(box.x0 * SCALE)), max(0, round(box.x1 * SCALE)) + 1)
    under = np.bincount(spots.labels[rows, columns].ravel())
    own = [label for label in np.nonzero(under)[0]
           if label and under[label] >= SHARE_UNDER * spots.sizes[label]]
    if not own:
        return None
    ink = [spots.boxes[label - 1] for label in own]
    edges = (min(one.x0 for one in ink) - box.x0, min(one.top for one in ink) - box.top,
             box.x1 - max(one.x1 for one in ink), box.bottom - max(one.bottom for one in ink))
    return max(map(abs, edges)), min(edges) < -ALLOWED_PT


@dataclass(slots=True)
class Count:
    """What was measured of one kind of box."""

    within: int = 0
    cut: int = 0
    no_ink: int = 0
    worst: float = 0.0

    def add(self, found: tuple[float, bool] | None) -> None:
        """Count one box."""
        if found is None:
            self.no_ink += 1
            return
        self.within += found[0] <= ALLOWED_PT
        self.cut += found[1]
        self.worst = max(self.worst, found[0])

    def __str__(self) -> str:
        return (f"within {self.within:5d}  cut {self.cut:5d}  no ink {self.no_ink:4d}  "
                f"worst {self.worst:6.2f} pt")


def sheet_to_counts(path: Path, readings: tuple[Reading, ...]) -> tuple[Count, Count, int]:
    """(places as read, boxes as drawn, numbers whose ink was not found) of one sheet."""
    as_read, as_drawn, unfound = Count(), Count(), 0
    pdf = pypdfium2.PdfDocument(path)
    for page in sorted({one.place.page for one in readings}):
        ink, spots = page_to_ink(pdf[page - 1]), page_to_spots(pdf[page - 1])
        for one in readings:
            if one.place.page == page:
                place = one.place
                as_read.add(box_to_distance(spots, Box(place.x0, place.top, place.x1, place.bottom)))
                box = place_to_box(ink, place, one.raw)
                unfound += box is None
                as_drawn.add(box_to_distance(spots, box or Box(place.x0, place.top, place.x1, place.bottom)))
    pdf.close()
    return as_read, as_drawn, unfound


def main(folders: list[Path]) -> None:
    """One line for each sheet."""
    for outcome in read_sheets(sorted(path for folder in folders for path in folder.glob("*.pdf"))):
        if outcome.reading is None:
            print(f"{outcome.path.name:32} not read: {outcome.error}")
            continue
        as_read, as_drawn, unfound = sheet_to_counts(outcome.path, outcome.reading.readings)
        count = len(outcome.reading.readings)
        print(f"{outcome.path.name:32} {count:5d} numbers, ink not found {unfound:4d}\n"
              f"    as read  {as_read}\n    as drawn {as_drawn}")


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]] or [Path("sample_tables")])
