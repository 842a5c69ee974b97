"""A correction judged before it is kept: what was typed, in SI, and what is odd about it.

Comes in: the readings of a sheet, the one to be corrected, the text a person typed, perhaps with a unit.
Goes out: the value and the reasons to ask again, or why the text is no value. Keeps nothing and refuses
nothing: whoever has seen the reasons may still say that it is so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.checks.findings import readings_to_part_numbers
from extract.checks.rules import parts_to_suspicions
from extract.checks.suspicions import Suspicion
from extract.checks.writing import value_to_text
from extract.quantities import CellNumber, CellSort, NumberStyle, cell_to_numbers
from extract.schema import UNIT_OF, Quantity, Reading, Severity
from extract.vocabulary import Unit, spelling_to_unit, unit_spellings

FAR = 5.0
"""Common practice, no source: a misread digit or a lost point changes a number by more than this; printed
revisions of one part do not."""


@dataclass(frozen=True, slots=True)
class Judged:
    """`value` in SI, or None where the text is no single value; `odd`: short reasons, each a sentence."""

    value: float | None
    odd: tuple[str, ...] = ()


def quantity_to_units(quantity: Quantity) -> tuple[str, ...]:
    """The units a value of a quantity may be typed in, the SI unit first: A, mA; a ratio is a fraction
    (1) or in percent."""
    base = UNIT_OF[quantity]
    named = {unit.name for unit in unit_spellings().values() if unit.base == base}
    return (base, *sorted(name for name in named if name != base))


def typed_to_judged(readings: Sequence[Reading], about: Reading, text: str, unit: str = "") -> Judged:
    """Read a typed correction and hold it against the rest of its sheet.

    `readings` are those of the sheet, `about` among them; `unit` is what the text is in where it names no
    unit itself, SI where both are silent. A decimal comma is understood.
    """
    value = _text_to_value(about.quantity, text, unit)
    if isinstance(value, str):
        return Judged(None, (value,))
    odd = [*_beside_the_printed(about, value), *_against_the_rules(readings, about, value)]
    return Judged(value, tuple(dict.fromkeys(odd)))


def _text_to_value(quantity: Quantity, text: str, unit: str) -> float | str:
    parsed = cell_to_numbers(text.strip(), NumberStyle(decimal_comma=True if "." not in text else None))
    if parsed.sort is not CellSort.NUMBERS or len(parsed.numbers) != 1:
        why = parsed.reason or f"'{text.strip()}' is not one number"
        return f"{why}: type one number, such as 1.85 or 1,85"
    number = parsed.numbers[0]
    meant = number.unit or spelling_to_unit(unit)
    wrong = _unit_to_objection(number, meant, quantity, unit)
    if wrong:
        return wrong
    value = float(number.value * meant.factor) if meant is not None else float(number.value)
    if not (math.isfinite(value) and value > 0):
        return f"{value_to_text(value, quantity)} is not above zero"
    return value


def _unit_to_objection(number: CellNumber, meant: Unit | None, quantity: Quantity, unit: str) -> str:
    """What is wrong with the unit of a typed value; nothing if it measures the quantity."""
    base = UNIT_OF[quantity]
    if (number.printed_unit and number.unit is None) or (unit not in ("", base) and meant is None):
        return f"'{number.printed_unit or unit}' is no unit known here: use {_units(quantity)}"
    if meant is not None and meant.base != base:
        return f"a value in {meant.name} is none of {_units(quantity)}"
    return ""


def _units(quantity: Quantity) -> str:
    return " or ".join(quantity_to_units(quantity))


def _beside_the_printed(about: Reading, value: float) -> list[str]:
    if value == about.value:
        return [f"{value_to_text(value, about.quantity)} is what was read already: accept it instead"]
    ratio = max(value / about.value, about.value / value) if about.value > 0 else 1.0
    if ratio < FAR:
        return []
    new, old = value_to_text(value, about.quantity), value_to_text(about.value, about.quantity)
    larger = "larger" if value > about.value else "smaller"
    return [f"{new} is {_times(ratio)} times {larger} than the {old} that is printed"]


def _times(ratio: float) -> str:
    return f"{ratio:.3g}" if ratio < 1000 else f"{ratio:,.0f}"


def _against_the_rules(readings: Sequence[Reading], about: Reading, value: float) -> list[str]:
    """What the checks of a sheet say of the number once it has the new value and its rivals are gone."""
    corrected = replace(about, value=value, raw=f"{value:.10g}")
    kept = [
        corrected if one is about else one for one in readings if one is about or _slot(one) != _slot(about)
    ]
    place = next(index for index, one in enumerate(kept) if one is corrected)
    return [
        suspicion.message
        for suspicion in parts_to_suspicions(readings_to_part_numbers(kept))
        if suspicion.severity is not Severity.NOTE and place in _accused(suspicion)
    ]


def _accused(suspicion: Suspicion) -> set[int]:
    """An error is about all the numbers it names, a doubt about the first."""
    numbers = suspicion.numbers if suspicion.severity is Severity.ERROR else suspicion.numbers[:1]
    return {number.origin for number in numbers}


def _slot(reading: Reading) -> object:
    return reading.part_number, reading.quantity, reading.kind, reading.ambient_c, reading.test_current_a
