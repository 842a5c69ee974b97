"""Typed parts tables: read in any sensible layout, checked alone and against the sheets they came from.

Comes in: a CSV or XLSX file, and readings to compare with. Goes out: a TableReport of findings at rows
and columns. The walk: files, heading_rows, understanding, cells, reading (a file becomes numbers);
alone, shifts (the table by itself); matching, sources, differences, against (the sheets); checking
(all of it); findings_file, marked_copy (what a person takes away).
"""

from extract.parts_table.checking import CheckOptions, check_table, finding_to_key, understood
from extract.parts_table.reading import read_parts_table
from extract.parts_table.records import PartsTable, TableFinding, TableOptions, TableReport

__all__ = [
    "CheckOptions",
    "PartsTable",
    "TableFinding",
    "TableOptions",
    "TableReport",
    "check_table",
    "finding_to_key",
    "read_parts_table",
    "understood",
]
