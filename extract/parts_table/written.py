"""A value as it is written in a cell of a typed table: in its unit, with its decimal sign, amid other text.

Comes in: a value in SI, the cell's column and text. Goes out: the text to put there. Decides on no repair.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import islice

from extract.parts_table.records import Column, TypedRow
from extract.quantities import CellSort, cell_to_numbers

NUMBER = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")
_LOOKED_AT = 40


def value_in_cell(value: float, column: Column, raw: str, *, has_commas: bool) -> tuple[str, str]:
    """The value to propose, and the cell's whole text with it: in the unit that the cell itself names, else
    in that of its column; what stands around the number is kept, if the cell holds one number."""
    parsed = cell_to_numbers(raw)
    is_one = parsed.sort is CellSort.NUMBERS and len(parsed.numbers) == len(NUMBER.findall(raw)) == 1
    own = parsed.numbers[0].unit if is_one else None
    unit = own or column.unit or column.assumed
    number = f"{value / float(unit.factor):.10g}" if unit is not None else f"{value:.10g}"
    if has_commas:
        number = number.replace(".", ",")
    text = NUMBER.sub(number, raw, count=1) if is_one else number
    return (text if own is not None else number), text


def rows_have_commas(rows: Sequence[TypedRow]) -> bool:
    """Whether the first rows of a table write decimals with a comma."""
    texts = [cell.raw for row in islice(rows, _LOOKED_AT) for cell in row.cells]
    return sum(re.search(r"\d,\d", text) is not None for text in texts) > sum(
        re.search(r"\d\.\d", text) is not None for text in texts
    )
