"""A heading that stands at the foot of a page while all of its rows stand on the next.

Comes in: the first Region of a page, its Columns, the Inks of this page and the one before. Goes out: what
stands above it there, as if it stood right above the rows. Understands no word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.cells.continued import without_digits
from extract.cells.headings import Above, heading_to_heads, lines_to_above
from extract.cells.ink import Ink, Line
from extract.cells.regions import Region, ink_to_regions
from extract.cells.tables import Column

HEADED = 0.6
"""A heading stands over so many of the columns."""
GAP_PT = 3.0


def page_before_to_above(region: Region, columns: Sequence[Column], ink: Ink, before: Ink) -> Above | None:
    """The heading and captions at the foot of the page before; None if no heading of these columns ends
    it."""
    lines = _foot_of_page(before, ink)
    if not lines:
        return None
    down = region.top - GAP_PT - max(line.bottom for line in lines)
    shifted = [_shifted(line, down) for line in reversed(lines)]
    above = lines_to_above(region, columns, shifted, ink)
    headed = {n for head in heading_to_heads(above, columns, ink) for n in range(head.first, head.last + 1)}
    return above if len(headed) >= HEADED * len(columns) else None


def _foot_of_page(before: Ink, ink: Ink) -> list[Line]:
    """The lines below the last table of a page, without those that stand on the next page as well."""
    furniture = {without_digits(line.text) for line in ink.lines}
    end = max((region.bottom for region in ink_to_regions(before)), default=0.0)
    lines = [line for line in before.lines if line.mid_y > end]
    return [line for line in lines if without_digits(line.text) not in furniture]


def _shifted(line: Line, down: float) -> Line:
    return Line(
        tuple(replace(a, top=a.top + down, bottom=a.bottom + down, mid_y=a.mid_y + down) for a in line.atoms)
    )
