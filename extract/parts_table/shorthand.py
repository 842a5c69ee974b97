"""Shorthand headings of typed tables: "V", "P", "Tt", "t@5xIh", "DCR".

Comes in: a heading that the vocabulary of datasheets does not know. Goes out: its column, or nothing. The
wordings are data: headings.toml.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from extract.parts_table.mapping import text_to_column
from extract.parts_table.records import Column
from extract.schema import UNIT_OF
from extract.vocabulary import Unit, fold, spelling_to_unit

_UNIT_AT_END = re.compile(r"(?P<name>.*?)\s*(?:[\[(](?P<bracketed>[^\])]*)[\])]|/\s*(?P<slashed>\S+))\s*")


@dataclass(frozen=True, slots=True)
class _Shorthand:
    exact: dict[str, str]
    patterns: tuple[tuple[re.Pattern[str], str], ...]


@cache
def _shorthand() -> _Shorthand:
    data = tomllib.loads((files("extract.parts_table") / "headings.toml").read_text(encoding="utf-8"))
    patterns = tuple((re.compile(entry["text"]), entry["meaning"]) for entry in data["pattern"])
    return _Shorthand(data["exact"], patterns)


def heading_to_shorthand(index: int, heading: str) -> Column | None:
    """The column that a shorthand heading means, with the unit it names; None if it is none."""
    name, unit = _heading_to_parts(heading)
    squeezed = re.sub(r"[\s._\-]", "", fold(name)).replace("×", "x")
    meaning = _shorthand().exact.get(squeezed)
    column = None
    if meaning is not None:
        column = text_to_column(index, heading, meaning)
    else:
        column = _pattern_to_column(index, heading, re.sub(r"[\s._]", "", fold(name)).replace("×", "x"))
    if column is None or column.quantity is None:
        return None
    if unit is not None and unit.base != UNIT_OF[column.quantity]:
        return None
    return replace(column, unit=unit, is_mapped=False, how="shorthand of parts tables")


def _pattern_to_column(index: int, heading: str, text: str) -> Column | None:
    for pattern, meaning in _shorthand().patterns:
        found = pattern.fullmatch(text)
        if found is None:
            continue
        said = {name: float(value.replace(",", ".")) for name, value in found.groupdict().items() if value}
        return replace(
            text_to_column(index, heading, meaning),
            test_multiple=said.get("multiple"),
            test_current_a=said.get("current"),
            ambient_c=said.get("ambient"),
        )
    return None


def _heading_to_parts(heading: str) -> tuple[str, Unit | None]:
    """The name and the unit in brackets or behind a stroke, if it is one."""
    found = _UNIT_AT_END.fullmatch(heading)
    if found is not None:
        unit = spelling_to_unit(found["bracketed"] or found["slashed"] or "")
        if unit is not None:
            return found["name"], unit
    return heading, None
