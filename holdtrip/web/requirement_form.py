"""A requirement typed into a form becomes the TOML text of a requirement file, and back.

Comes in: pairs of field name and text, as a query holds them; or the text of a file. Goes out: the other.
Checks no value: the requirement's own reader does, so that a form and a file are refused alike.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Iterable
from typing import Any

from compare.field_file import FieldRule
from compare.requirement_file import field_rules, text_to_requirement
from extract.errors import InputError

CURVE = "damage_curve"
"""The one table that repeats: in a form each row is `current:time`, in A and s."""
_DECIMAL_COMMA = re.compile(r"[-+]?(?:0,\d+|\d+,(?:\d{1,2}|\d{4,}))")
"""One comma, and not three digits behind it, or a 0 alone before it: 1,500 may be fifteen hundred."""


def form_to_toml(pairs: Iterable[tuple[str, str]]) -> str:
    """The requirement file that says what a form says; unknown and empty fields are left out.

    Raises InputError for a column of the damage curve by itself: a row of it is one field of the form.
    """
    rules = field_rules()
    plain: list[str] = []
    tables: dict[str, list[str]] = {}
    curve: list[str] = []
    for name, text in pairs:
        if not text.strip():
            continue
        if name == CURVE:
            current, _, time = text.partition(":")
            curve += ["", f"[[{CURVE}]]", f"current_a = {_number(current)}", f"time_s = {_number(time)}"]
        elif name.startswith(f"{CURVE}."):
            raise InputError(name, "no field of the form", f"{CURVE} as current:time in A and s, as 5:20")
        elif name in rules:
            table, _, field = name.rpartition(".")
            into = tables.setdefault(table, []) if table else plain
            into.append(f"{field} = {_text_to_toml(rules[name], text.strip())}")
    lines = [*plain]
    for table, fields in tables.items():
        lines += ["", f"[{table}]", *fields]
    return "\n".join([*lines, *curve]) + "\n"


def toml_to_form(text: str, name: str) -> list[tuple[str, str]]:
    """The fields of a requirement file as pairs for a form. Raises InputError if it is no requirement."""
    text_to_requirement(text, name)
    pairs: list[tuple[str, str]] = []
    for key, value in tomllib.loads(text).items():
        if key == CURVE:
            pairs += [(CURVE, f"{row['current_a']}:{row['time_s']}") for row in value]
        elif isinstance(value, dict):
            pairs += [(f"{key}.{field}", _value_to_text(inner)) for field, inner in value.items()]
        else:
            pairs.append((key, _value_to_text(value)))
    return pairs


def _text_to_toml(rule: FieldRule, text: str) -> str:
    if rule.kind in ("number", "whole"):
        return _number(text)
    if rule.kind == "flag" and text in ("true", "false", "on"):
        return "false" if text == "false" else "true"
    if rule.kind == "texts":
        return "[" + ", ".join(_quoted(part.strip()) for part in text.split(",")) + "]"
    return _quoted(text)


def _number(text: str) -> str:
    """A number as TOML writes it; any other text in quotes, for the requirement's reader to refuse. A dash
    may be any that a keyboard or a document gives, and a comma a point where it cannot part thousands."""
    plain = text.strip().replace("\u2212", "-").replace("\u2013", "-")
    if _DECIMAL_COMMA.fullmatch(plain):
        plain = plain.replace(",", ".")
    try:
        number = float(plain)
    except ValueError:
        return _quoted(text)
    if not math.isfinite(number):
        return _quoted(text)
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


def _quoted(text: str) -> str:
    # TOML's basic strings are JSON's, but for DEL; both escape every other control character.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value_to_text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return ", ".join(value) if isinstance(value, list) else str(value)
