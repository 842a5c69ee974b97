"""Two columns that could name the parts: the one headed "part number" wins over one headed "order number".

Comes in: a sheet's readings and the runs of text of its pages, with their places. Goes out: the readings
under the names of the right column, the other number kept as a note. Works on places alone, so that it serves
any reader.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from extract.lines import Run
from extract.schema import WHOLE_SERIES, Reading, SheetReading
from extract.vocabulary import fold, vocabulary

ROW_PT = 4.0  # middles of one row lie no farther apart
HEADING_PT = 60.0  # a heading stands no higher above its column
LEAST_ROWS = 3


@dataclass(frozen=True, slots=True)
class _Named:
    """A part name with the run that prints it."""

    name: str
    run: Run


def sheet_to_headed_names(sheet: SheetReading, runs: Mapping[int, Sequence[Run]]) -> SheetReading:
    """The sheet with order numbers replaced by the part numbers of the same rows, if both are headed so."""
    renamed: dict[str, str] = {}
    for page, own in runs.items():
        renamed |= _page_to_renamed([r for r in sheet.readings if r.place.page == page], own)
    if not renamed:
        return sheet
    readings = tuple(_rename(reading, renamed) for reading in sheet.readings)
    texts = tuple(replace(t, part_number=renamed.get(t.part_number, t.part_number)) for t in sheet.texts)
    return replace(sheet, readings=readings, texts=texts)


def heading_is_order(text: str) -> bool:
    """Whether a heading names an order number, and not a part number too."""
    return _says("order", text) and not heading_is_part(text)


def heading_is_part(text: str) -> bool:
    """Whether a heading plainly names the maker's part number."""
    return _says("sure", text)


def _says(group: str, text: str) -> bool:
    plain = re.sub(r"[\s.\-_]+", " ", fold(text))
    return any(
        re.search(rf"(?<![a-z]){re.escape(word)}(?![a-z])", plain)
        for word in vocabulary()["part_number"][group]
    )


def _rename(reading: Reading, renamed: Mapping[str, str]) -> Reading:
    name = renamed.get(reading.part_number)
    if name is None:
        return reading
    note = f"order number {reading.part_number}"
    return replace(reading, part_number=name, notes=(*reading.notes, note))


def _page_to_renamed(readings: Sequence[Reading], runs: Sequence[Run]) -> dict[str, str]:
    """Order number -> part number for the rows of one page; empty unless each row has exactly one."""
    named = _readings_to_named(readings, runs)
    if len(named) < LEAST_ROWS or not heading_is_order(_heading_over([n.run for n in named], runs)):
        return {}
    columns = _other_columns(named, runs)
    headed = [
        column
        for column in columns
        if len(column) == len(named) and heading_is_part(_heading_over(list(column.values()), runs))
    ]
    if len(headed) != 1:
        return {}
    found = {name: run.text for name, run in headed[0].items()}
    return found if len(set(found.values())) == len(found) else {}


def _readings_to_named(readings: Sequence[Reading], runs: Sequence[Run]) -> list[_Named]:
    """The runs that print the names of readings, in the rows of these readings."""
    rows: dict[str, float] = {}
    for reading in readings:
        if reading.part_number != WHOLE_SERIES:
            rows.setdefault(reading.part_number, reading.place.mid_y)
    found = []
    for name, middle in rows.items():
        own = [run for run in runs if run.text == name and abs(run.mid_y - middle) <= ROW_PT]
        found += [_Named(name, run) for run in own[:1]]
    return found


def _other_columns(named: Sequence[_Named], runs: Sequence[Run]) -> list[dict[str, Run]]:
    """Codes in the rows of the names, by the place they begin at: name -> run."""
    columns: list[tuple[float, dict[str, Run]]] = []
    for item in named:
        for run in runs:
            if run is item.run or abs(run.mid_y - item.run.mid_y) > ROW_PT or not _is_code(run.text):
                continue
            home = next((own for x0, own in columns if abs(x0 - run.x0) <= ROW_PT), None)
            if home is None:
                home = {}
                columns.append((run.x0, home))
            home.setdefault(item.name, run)
    return [own for _, own in columns]


def _is_code(text: str) -> bool:
    return re.fullmatch(r"(?=.*\d)(?=.*[A-Za-z])[A-Za-z0-9][A-Za-z0-9./_+\- ]{3,30}", text) is not None


def _heading_over(column: Sequence[Run], runs: Iterable[Run]) -> str:
    """The words above a column of runs, within its width."""
    top, size = min(run.top for run in column), median(run.size for run in column)
    x0, x1 = min(run.x0 for run in column) - size, max(run.x1 for run in column) + size
    above = [run for run in runs if top - HEADING_PT <= run.bottom <= top and x0 <= run.mid_x <= x1]
    return " ".join(run.text for run in sorted(above, key=lambda run: (round(run.top), run.x0)))
