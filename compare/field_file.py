"""A TOML file of plain numbers becomes checked values.

Comes in: a file or a text, and the fields it may hold (`FieldRule`, kept as TOML beside this module). Goes
out: checked values by field name. Raises InputError saying file, line, field, what was found and what was
expected: an unknown field (with the nearest known one), a wrong type, a number out of range, a missing
field. Does not know what the fields mean together.
"""

from __future__ import annotations

import difflib
import json
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from compare.mistakes import Mistakes
from extract.errors import InputError

MAX_BYTES = 1_000_000
SMALLEST, LARGEST = 1e-15, 1e15
"""No quantity of a circuit lies beyond these sizes in its unit; their squares and quotients stay finite."""
THOUSANDTHS = frozenset({"A", "V", "ohm", "s"})
"""Units whose thousandths are as usual in the trade."""
Values = dict[str, Any]
"""Checked values by field name: an edge where a file comes in, not a record."""


@dataclass(frozen=True, slots=True)
class FieldRule:
    """What a field may hold; `unit` is empty for texts and flags, bounds are None where there are none."""

    name: str
    kind: str
    meaning: str
    unit: str = ""
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    choices: tuple[str, ...] = ()
    required: bool = False


Rules = Mapping[str, FieldRule]
"""Field rules by name; a field of a table is named "table.field"."""


@dataclass(frozen=True, slots=True)
class FieldFile:
    """Name and text of a file, its rules, and which tables repeat ([[table]])."""

    name: str
    text: str
    rules: Rules
    lists: tuple[str, ...] = ()

    def where(self, field: str) -> str:
        """File, line and field; the line is left out where the field is not in the file."""
        line = line_of(self.text, field)
        return f"{self.name}, line {line}, {field}" if line else f"{self.name}, {field}"

    @property
    def tables(self) -> tuple[str, ...]:
        """Names of the tables the file may hold."""
        return tuple(dict.fromkeys(name.split(".")[0] for name in self.rules if "." in name))


@cache
def load_rules(resource: str) -> Rules:
    """Field rules kept in a TOML file beside this module, in the order of the documentation."""
    text = files("compare").joinpath(resource).read_text(encoding="utf-8")
    return {name: FieldRule(name=name, **{**rule, "choices": tuple(rule.get("choices", ()))})
            for name, rule in tomllib.loads(text).items()}


def read_text(path: str | Path, what: str) -> str:
    """The text of a small UTF-8 file; `what` names it in messages. Raises InputError."""
    name = Path(path).name
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise InputError(str(path), f"cannot be opened ({error.strerror})", f"{what} (TOML)") from None
    if len(data) > MAX_BYTES:
        raise InputError(name, f"{len(data)} bytes", f"{what} of a few kilobytes")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(name, f"byte {error.start} is not UTF-8", "a text file in UTF-8") from None


def file_to_values(file: FieldFile) -> tuple[Values, Values]:
    """Checked values of the file, and of its tables (a list of them for a table that repeats).

    Missing fields of tables are refused here; those of the file itself by `require`, since presets may fill
    them.
    """
    try:
        content = tomllib.loads(file.text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(file.name, f"not TOML: {error}", "lines such as current_a = 0.5") from None
    values: Values = {}
    nested: Values = {}
    mistakes = Mistakes(file.name)
    for key, value in content.items():
        with mistakes.gathered():
            if key in file.tables:
                nested[key] = _checked_table(key, value, file)
            else:
                values[key] = _checked(key, value, file)
    mistakes.tell()
    return values, nested


def require(values: Values, file: FieldFile, table: str = "") -> None:
    """Raise InputError where a required field is missing."""
    prefix, mistakes = f"{table}." if table else "", Mistakes(file.name)
    for name, rule in file.rules.items():
        field = name.removeprefix(prefix)
        if rule.required and name.startswith(prefix) and "." not in field and field not in values:
            unit = f" in {rule.unit}" if rule.unit else ""
            expected = f"one of {', '.join(rule.choices)}" if rule.choices else f"a {rule.kind}{unit}"
            with mistakes.gathered():
                raise InputError(f"{file.name}, {name}", "missing", f"{expected}: {rule.meaning}")
    mistakes.tell()


def _checked_table(table: str, content: object, file: FieldFile) -> Any:
    if table not in file.lists:
        return _checked_row(table, content, f"[{table}]", file)
    if not isinstance(content, list):
        raise InputError(file.where(table), _shown(content), f"tables headed [[{table}]]")
    return [_checked_row(table, row, f"[[{table}]]", file) for row in content]


def _checked_row(table: str, row: object, heading: str, file: FieldFile) -> Values:
    if not isinstance(row, dict):
        raise InputError(file.where(table), _shown(row), f"a table headed {heading}")
    mistakes, values = Mistakes(file.name), {}
    for key, value in row.items():
        with mistakes.gathered():
            values[key] = _checked(f"{table}.{key}", value, file)
    mistakes.tell()
    require(values, file, table)
    return values


def _checked(name: str, value: object, file: FieldFile) -> Any:
    """The value of a field if it is of the right kind and in its range."""
    rule = file.rules.get(name)
    if rule is None:
        raise _unknown(name, file)
    if rule.kind in ("number", "whole"):
        return _checked_number(rule, value, file)
    good = {
        "flag": isinstance(value, bool),
        "text": isinstance(value, str),
        "texts": isinstance(value, list) and all(isinstance(item, str) and item.strip() for item in value),
    }[rule.kind]
    if not good:
        expected = {"flag": "true or false", "text": "a text in quotes", "texts": 'a list such as ["1812"]'}
        raise InputError(file.where(name), _shown(value), expected[rule.kind])
    unknown = [one for one in (value if isinstance(value, list) else [value]) if one not in rule.choices]
    if rule.choices and unknown:
        raise InputError(file.where(name), _shown(unknown[0]), "one of " + ", ".join(rule.choices))
    return tuple(value) if isinstance(value, list) else value


def _checked_number(rule: FieldRule, value: object, file: FieldFile) -> float:
    allowed = int if rule.kind == "whole" else (int, float)
    if isinstance(value, bool) or not isinstance(value, allowed):
        advice = "Write the plain number; the field's name says the unit" if isinstance(value, str) else ""
        raise InputError(file.where(rule.name), _shown(value), _expected_number(rule), advice)
    number = float(value)
    low = (rule.above is not None and number <= rule.above) or (
        rule.at_least is not None and number < rule.at_least)
    high = rule.at_most is not None and number > rule.at_most
    if not math.isfinite(number) or low or high:
        raise InputError(file.where(rule.name), _shown(value), _expected_number(rule),
                         _slipped_unit(rule, number))
    if number and not SMALLEST <= abs(number) <= LARGEST:
        raise InputError(file.where(rule.name), _shown(value), f"{_expected_number(rule)}, of a size between"
                         f" {SMALLEST:g} and {LARGEST:g}")
    return int(number) if rule.kind == "whole" else number


def _slipped_unit(rule: FieldRule, number: float) -> str:
    """What to write if a number is too large for the trade because it was meant in thousandths of the
    unit."""
    most = rule.at_most
    if rule.unit not in THOUSANDTHS or most is None or not most < number <= 1000.0 * most:
        return ""
    return f"If it is meant in m{rule.unit}, write {number / 1000.0:g}"


def _expected_number(rule: FieldRule) -> str:
    noun = "a whole number" if rule.kind == "whole" else "a number"
    unit = "" if rule.unit in ("", "1") else f" in {rule.unit}"
    bounded = (("above", rule.above), ("at least", rule.at_least), ("at most", rule.at_most))
    bounds = [f"{word} {bound:g}" for word, bound in bounded if bound is not None]
    return " ".join(filter(None, (noun + unit, " and ".join(bounds))))


def _unknown(name: str, file: FieldFile) -> InputError:
    near = difflib.get_close_matches(name, file.rules, n=1, cutoff=0.5)
    if near:
        return InputError(file.where(name), "no such field", f"{near[0]} ({file.rules[near[0]].meaning})")
    tables = ", ".join(f"[{table}]" for table in file.tables)
    expected = f"a field of docs/comparing.md or one of the tables {tables}"
    return InputError(file.where(name), "no such field", expected)


def _shown(value: object) -> str:
    """A value as the file writes it."""
    return json.dumps(value, ensure_ascii=False, default=str)


def line_of(text: str, field: str) -> int | None:
    """Line where a field of a TOML text is set, counted from 1, or None; for messages only."""
    table, _, key = field.rpartition(".")
    inside = ""
    for number, line in enumerate(text.splitlines(), start=1):
        heading = re.match(r"\s*\[\[?\s*([^\]]+?)\s*\]", line)
        if heading:
            inside = heading[1]
            if field == inside:
                return number
        elif inside == table and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*[=.]", line):
            return number
    return None
