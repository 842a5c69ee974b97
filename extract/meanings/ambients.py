"""Which rows or columns hold values at an ambient of their own.

Comes in: Series, or a Grid with its columns of texts. Goes out: a temperature for each field, or None. Does
not say what is measured.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from extract.cells.tables import Grid
from extract.cells.temperatures import MINUS, is_ambient_row, text_to_bare_ambient
from extract.meanings.series import Series
from extract.meanings.words import text_to_hits
from extract.reference import is_room_of_a_column
from extract.vocabulary import any_of, fold

_SAID = re.compile(r"(?<![\d.,+-])([+-]?\d{1,3})\s*(?:°\s*c?|℃|c)(?![a-z])")
_NO_AMBIENT = re.compile(
    rf"(?:[+-]?\d{{1,3}}\s*(?:°\s*c?|℃)?\s*(?:{any_of('range')}|\.{{2,3}}|[…~÷-])"
    rf"|(?:{any_of('beyond')}|derat\w*))\s*[+-]?\d{{1,3}}\s*(?:°\s*c?|℃|c\b)"
)
"""A range, or a limit of temperature, not the ambient of a column; common practice, no source."""
ROOM_C = (20.0, 23.0, 25.0)
CURRENTS = ("hold_current", "trip_current")


def fields_to_ambients(fields: Sequence[Series]) -> tuple[float | None, ...]:
    """The temperature that a line of each heading consists of, if they rise; else what headings say in
    words."""
    ambients: list[float | None] = []
    for series in fields:
        bare = [text_to_bare_ambient(level) for level in series.levels]
        value = next((value for value in bare if value is not None), None)
        below = any(fold(level).strip() in MINUS for level in series.levels)  # above its number
        ambients.append(-value if value is not None and below else value)
    known = [value for value in ambients if value is not None]
    texts = [level for s in fields for level in s.levels if text_to_bare_ambient(level) is not None]
    signed = sum(bool(re.search("[°℃cC]", text)) for text in texts) > 0.5 * len(texts)
    return tuple(ambients) if is_ambient_row(known, signed) else heads_to_ambients(fields)


def is_in_fahrenheit(series: Sequence[Series]) -> bool:
    """Whether the headings of a table say °F and nowhere °C."""
    heads = fold(" ".join(s.head for s in series))
    return bool(re.search(r"°\s?f\b|℉|fahrenheit", heads)) and not re.search(r"°\s?c\b|℃|celsius", heads)


def heads_to_ambients(fields: Sequence[Series]) -> tuple[float | None, ...]:
    """The temperature of each field whose heading names hold or trip current and says it, where several
    name the same current: "Ihold @ -20 °C", "Ihold @ 60 °C". The one at room temperature stays a rating if
    the table has no other.

    Hold current at 20 °C | 0.50 A        a rating
    Trip current at 20 °C | 1.00 A        a rating
    Hold current at 60 °C | 0.33 A        at its own ambient
    """
    said = [_head_to_said(field) for field in fields]
    ambients = {n: value for current in CURRENTS for n, value in _current_to_ambients(current, said).items()}
    return tuple(ambients.get(n) for n in range(len(fields)))


def _current_to_ambients(current: str, said: Sequence[tuple[str, float | None]]) -> dict[int, float]:
    """Field -> its temperature, of the fields of one current, if each says another; without that at room
    temperature where no other field gives the rating. A field alone that says one far from any room's is
    at that: "Ihold @ 60 °C" is no rating, whatever stands beside it."""
    mine = [(n, value) for n, (name, value) in enumerate(said) if name == current]
    found = {n: value for n, value in mine if value is not None}
    distinct = set(found.values())
    if len(distinct) < 2 or len(distinct) < len(found):
        return {n: value for n, value in found.items() if not is_room_of_a_column(value)}
    if len(found) == len(mine) and any(name not in ("", current) for name, _ in said):
        found.pop(next((n for n, value in found.items() if value in ROOM_C), -1), None)
    return found


def _head_to_said(field: Series) -> tuple[str, float | None]:
    """The only current that a heading names, hold or trip, and the only temperature it says."""
    names = {hit.name for hit in text_to_hits(field.head) if hit.sense == "quantity"}
    current = next((name for name in CURRENTS if names == {name}), "")
    temperatures = {float(match[1]) for match in _SAID.finditer(_NO_AMBIENT.sub(" ", fold(field.head)))}
    return current, temperatures.pop() if current and len(temperatures) == 1 else None


def rows_to_ambients(grid: Grid, labels: Sequence[Series]) -> tuple[float | None, ...] | None:
    """The temperature of each row, if a label column holds temperatures that rise within each group."""
    for series in labels:
        values = [text_to_bare_ambient(text) for text in series.texts]
        groups = _values_by_group(grid, values)
        signed = sum(bool(re.search("[°℃cC]", text)) for text in series.texts) > 0.5 * len(values)
        # positions 10, 20, 30 beside what each row holds are no temperatures
        counted = not signed and any(_names_quantities(other) for other in labels if other is not series)
        if not groups or counted or sum(map(len, groups.values())) < 0.8 * len(values):
            continue
        if all(is_ambient_row(group, signed) or (signed and len(group) < 3) for group in groups.values()):
            return tuple(values)
    return None


def _values_by_group(grid: Grid, values: Sequence[float | None]) -> dict[tuple[str, ...], list[float]]:
    groups: dict[tuple[str, ...], list[float]] = {}
    for row, value in zip(grid.rows, values, strict=True):
        if value is not None:
            groups.setdefault(row.groups, []).append(value)
    return groups


def _names_quantities(series: Series) -> bool:
    """Whether most texts of a series name a quantity."""
    texts = series.filled
    named = sum(any(hit.sense == "quantity" for hit in text_to_hits(text)) for text in texts)
    return bool(texts) and 2 * named > len(texts)
