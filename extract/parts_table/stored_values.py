"""Values beside the formulas of a copied workbook, for viewers and scripts that do not calculate.

Comes in: a workbook as openpyxl saved it, which keeps formulas and forgets their values, and the file it was
made from. Goes out: the same workbook with the values that the file had stored. Calculates nothing: a
spreadsheet program does when it opens the copy.
"""

from __future__ import annotations

import re
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

_FORMULA_CELL = re.compile(r'<c r="([A-Z]+[0-9]+)"([^>]*)><f([^>]*)>([^<]*)</f><v\s*(?:/>|></v>)</c>')

Values = dict[str, dict[str, Any]]


def file_to_stored_values(path: Path) -> Values:
    """What a workbook stores beside its formulas: sheet → address → value."""
    import openpyxl

    formulas = openpyxl.load_workbook(path, read_only=True)
    stored = openpyxl.load_workbook(path, read_only=True, data_only=True)
    try:
        return {name: _sheet_to_values(formulas[name], stored[name]) for name in formulas.sheetnames}
    finally:
        formulas.close()
        stored.close()


def _sheet_to_values(formulas: Any, stored: Any) -> dict[str, Any]:
    formulas.reset_dimensions()
    stored.reset_dimensions()
    found = {
        cell.coordinate
        for row in formulas.iter_rows()
        for cell in row
        if getattr(cell, "data_type", "") == "f"
    }
    if not found:
        return {}
    return {
        cell.coordinate: cell.value
        for row in stored.iter_rows()
        for cell in row
        if cell.value is not None and cell.coordinate in found
    }


def with_stored_values(saved: bytes, sheet_names: list[str], values: Values) -> bytes:
    """The saved workbook with the values put beside its formulas."""
    by_file = {
        f"xl/worksheets/sheet{number}.xml": values.get(name, {}) for number, name in enumerate(sheet_names, 1)
    }
    filled = BytesIO()
    with (
        zipfile.ZipFile(BytesIO(saved)) as before,
        zipfile.ZipFile(filled, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for entry in before.infolist():
            data = before.read(entry)
            known = by_file.get(entry.filename)
            after.writestr(entry.filename, _fill(data, known) if known else data)
    return filled.getvalue()


def _fill(sheet: bytes, values: dict[str, Any]) -> bytes:
    def one(found: re.Match[str]) -> str:
        cell, attributes, about, formula = found.groups()
        value = values.get(cell)
        if value is None:
            return found.group(0)
        kind, text = "", ""
        if isinstance(value, bool):
            kind, text = ' t="b"', str(int(value))
        elif isinstance(value, int | float):
            text = repr(value)
        else:
            kind, text = ' t="str"', escape(str(value))
        plain = re.sub(r' t="[^"]*"', "", attributes)
        return f'<c r="{cell}"{plain}{kind}><f{about}>{formula}</f><v>{text}</v></c>'

    return _FORMULA_CELL.sub(one, sheet.decode("utf-8")).encode("utf-8")
