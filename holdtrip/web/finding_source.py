"""Where the sheet prints what a typed cell contradicts: the cell's picture, its row's name, its column's
heading.

Comes in: a finding that names a document, the library's numbers of it, their boxes. Goes out: the place to
show, or None where no number fits what the finding is about. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from extract.parts_table import TableFinding
from extract.schema import AT_AMBIENT, Reading
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import StoredNumber
from holdtrip.numbers import number_to_text
from holdtrip.web.sheet_boxes import NumberBoxes


@dataclass(frozen=True, slots=True)
class FindingSource:
    """A printed number: its sheet, page, what it was read from, and where it stands."""

    sha256: str
    document: str
    page: int
    width: float
    height: float
    raw: str
    number_id: int
    boxes: NumberBoxes


def finding_to_number(finding: TableFinding, numbers: Sequence[StoredNumber]) -> StoredNumber | None:
    """The number of a sheet that a finding is about: same part, quantity, kind and ambient, on its page."""
    fitting = [one for one in numbers
               if one.reading.quantity is finding.quantity
               and fold(one.reading.part_number) == fold(finding.part_number)
               and finding.page in (None, one.reading.place.page) and _says(finding.what, one.reading)]
    printed = [one for one in fitting if _same(one.reading.raw, finding.proposed)]
    chosen = printed or fitting
    return chosen[0] if chosen else None


def _says(what: str, reading: Reading) -> bool:
    """Whether the words of a finding name this number's ambient, where they name one."""
    if "°C" not in what or reading.quantity not in AT_AMBIENT or reading.ambient_c is None:
        return True
    return f" {number_to_text(reading.ambient_c)} °C" in f" {what}"


def _same(raw: str, proposed: str) -> bool:
    try:
        return float(raw.replace(",", ".")) == float(proposed.replace(",", "."))
    except ValueError:
        return raw == proposed
