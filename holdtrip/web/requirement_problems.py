"""Everything that is wrong with a requirement typed into a form, each at its field and in its label's words.

Comes in: pairs of field name and text. Goes out: problems, all at once; nothing where the requirement is
whole. Judges no value by itself: the requirement's own reader does, one field at a time, then all together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from compare.field_file import FieldFile, file_to_values
from compare.requirement_file import field_rules, text_to_requirement
from extract.errors import HoldtripError, InputError
from holdtrip.web.form_sections import name_to_label
from holdtrip.web.requirement_form import CURVE, form_to_toml


@dataclass(frozen=True, slots=True)
class FieldProblem:
    """`field` is its name in the form, empty for what is no single field's; `missing`: nothing stands there
    yet; `message` is a sentence."""

    field: str
    message: str
    missing: bool = False


def form_to_problems(pairs: Iterable[tuple[str, str]]) -> tuple[FieldProblem, ...]:
    """Every problem of a form: of single fields, of needed ones that are empty, else of all together."""
    listed = [(name, text) for name, text in pairs if text.strip()]
    rules = field_rules()
    known = [(name, text) for name, text in listed if name in rules or name == CURVE]
    wrong = [problem for pair in known if (problem := _single(pair)) is not None]
    given = {name for name, _ in known}
    missing = [FieldProblem(name, f"Needed: {rule.meaning}.", missing=True) for name, rule in rules.items()
               if rule.required and "." not in name and name not in given]
    try:
        text_to_requirement(form_to_toml(known), "form")
        return ()
    except HoldtripError as error:
        whole = _error_to_problem(error)
    if wrong:
        return (*wrong, *missing)
    # A preset may fill what is needed: only then is "missing" what the whole of it says.
    return tuple(missing) if whole.missing and missing else (whole,)


def _single(pair: tuple[str, str]) -> FieldProblem | None:
    """What is wrong with one field, whatever the others say."""
    name, text = pair
    if "." in name:  # a table is judged whole
        return None
    try:
        file_to_values(FieldFile("form", form_to_toml([pair]), field_rules(), lists=(CURVE,)))
    except InputError as error:
        found = error.found.strip('"')
        expected = f": {error.expected} is expected" if error.expected else ""
        return FieldProblem(name, _in_labels(f"“{found or text}” will not do{expected}."))
    return None


def _error_to_problem(error: HoldtripError) -> FieldProblem:
    if not isinstance(error, InputError):
        return FieldProblem("", str(error))
    where = error.where.rpartition(", ")[2]
    field = where if where in field_rules() or where == CURVE else ""
    expected = f"; expected {error.expected}" if error.expected else ""
    advice = f". {error.advice}" if error.advice else ""
    said = _in_labels(f"{error.found}{expected}{advice}.")
    return FieldProblem(field, said[:1].upper() + said[1:], error.found == "missing")


def _in_labels(text: str) -> str:
    """A message with the names of fields as the form calls them."""
    names = "|".join(sorted(map(re.escape, field_rules()), key=len, reverse=True))
    return re.sub(rf"(?<![\w.])(?:{names})(?!\w|\.\w)", lambda match: f"“{name_to_label(match[0])}”"
                  if "_" in match[0] else match[0], text)
