"""A team's own rules for part numbers: which digits say the current, which the voltage.

Comes in: `[[series]]` of the nearest holdtrip.toml. Goes out: rules for the checks. Learns nothing: what most
rows of a table prove is learnt without any of this.

    [[series]]
    part_number = "QLM-(?P<hold>[0-9]{4})-(?P<voltage>[0-9]+)"   # a regular expression
    hold_a = 0.01          # what one of these digits' units is worth
    voltage_v = 1
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from extract.checks.series_rules import SeriesRule
from extract.errors import InputError
from holdtrip.library_options import PROJECT_FILE

_KEYS = {"part_number", "hold_a", "voltage_v"}


def project_to_series_rules() -> tuple[SeriesRule, ...]:
    """The rules of the nearest holdtrip.toml; raises InputError for one that cannot be understood."""
    folder = Path.cwd()
    path = next((place / PROJECT_FILE for place in (folder, *folder.parents)
                 if (place / PROJECT_FILE).is_file()), None)
    if path is None:
        return ()
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8")).get("series", [])
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(str(path), str(error), "a TOML file") from error
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise InputError(f"{path}, series", "no list of tables",
                         "[[series]] with part_number, hold_a, voltage_v")
    return tuple(_table_to_rule(f"{path}, series {n}", table) for n, table in enumerate(tables, 1))


def _table_to_rule(where: str, table: Mapping[str, Any]) -> SeriesRule:
    unknown = sorted(table.keys() - _KEYS)
    if unknown or not isinstance(table.get("part_number"), str):
        raise InputError(where, f"'{unknown[0]}'" if unknown else "no part_number", ", ".join(sorted(_KEYS)))
    try:
        pattern = re.compile(table["part_number"], re.IGNORECASE)
    except re.error as error:
        raise InputError(f"{where}, part_number", str(error), "a regular expression") from error
    scales = {}
    for key, group in (("hold_a", "hold"), ("voltage_v", "voltage")):
        scale = table.get(key)
        if (group in pattern.groupindex) != (scale is not None):
            raise InputError(where, f"{key} and (?P<{group}>...) do not stand together", "both or neither")
        if scale is not None:
            if isinstance(scale, bool) or not isinstance(scale, int | float) or scale <= 0:
                raise InputError(f"{where}, {key}", f"{scale!r}", "a number above zero")
            scales[group] = float(scale)
    return SeriesRule(pattern, scales.get("hold"), scales.get("voltage"))
