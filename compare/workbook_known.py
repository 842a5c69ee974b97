"""Values beside the formulas, for readers that do not calculate: previews, protected view, scripts.

Comes in: a saved workbook and what its formulas are known to give. Goes out: the same file with those values
written beside the formulas, as a spreadsheet program would have. A program that calculates does so anew
when it opens the file. Changes no formula.
"""

from __future__ import annotations

import re
import zipfile
from io import BytesIO
from xml.sax.saxutils import escape

from compare.workbook_look import NOT_AVAILABLE, LiveBook

_FORMULA_CELL = re.compile(r'<c r="([A-Z]+[0-9]+)"([^>]*)><f>([^<]*)</f><v\s*(?:/>|></v>)</c>')


def with_known_values(saved: bytes, book: LiveBook) -> bytes:
    """A saved workbook, with the values its formulas are known to give."""
    known = {f"xl/worksheets/sheet{number}.xml": book.known.get(title, {})
             for number, title in enumerate(book.sheetnames, 1)}
    filled = BytesIO()
    with zipfile.ZipFile(BytesIO(saved)) as before, \
            zipfile.ZipFile(filled, "w", zipfile.ZIP_DEFLATED) as after:
        for entry in before.infolist():
            data = before.read(entry)
            values = known.get(entry.filename)
            after.writestr(entry.filename, _with_values(data, values) if values else data)
    return filled.getvalue()


def _with_values(sheet: bytes, values: dict[str, str | float]) -> bytes:
    def fill(found: re.Match[str]) -> str:
        cell, attributes, formula = found.groups()
        value = values.get(cell)
        if value is None:
            return found.group(0)
        if isinstance(value, bool):
            kind, written = ' t="b"', str(int(value))
        elif value == NOT_AVAILABLE:
            kind, written = ' t="e"', value
        elif isinstance(value, str):
            kind, written = ' t="str"', escape(value)
        else:
            kind, written = "", repr(float(value))
        return f'<c r="{cell}"{attributes}{kind}><f>{formula}</f><v>{written}</v></c>'

    return _FORMULA_CELL.sub(fill, sheet.decode("utf-8")).encode("utf-8")
