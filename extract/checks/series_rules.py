"""What a team says its part numbers say: digits that give hold current and voltage.

Comes in: parts and rules. Goes out: suspicions where a number differs from its rule. A rule that is stated
needs no rows to prove it: one part is judged alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from extract.checks import codes
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_text, value_to_text
from extract.schema import Kind, Quantity, Severity


@dataclass(frozen=True, slots=True)
class SeriesRule:
    """A pattern that part numbers of a series fit whole, with groups `hold` and `voltage`; what one unit of
    their digits is worth, in A and V."""

    pattern: re.Pattern[str]
    hold_a: float | None
    voltage_v: float | None


def parts_to_rule_suspicions(
    parts: Iterable[PartNumbers], rules: Sequence[SeriesRule]
) -> Iterator[Suspicion]:
    """Hold current and voltage against the first rule whose pattern the part number fits."""
    for part in parts:
        found = next(
            ((rule, match) for rule in rules if (match := rule.pattern.fullmatch(part.part_number))), None
        )
        if found is None:
            continue
        rule, match = found
        voltage = part.get(Quantity.MAX_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC)
        asked = (
            (rule.hold_a, "hold", part.hold, codes.CODE_CURRENT_DIFFERS),
            (rule.voltage_v, "voltage", voltage, codes.CODE_VOLTAGE_DIFFERS),
        )
        for scale, group, number, code in asked:
            if scale is not None and number is not None and match[group] and match[group].isdecimal():
                yield from _judge(part, number, int(match[group]) * scale, code)


def _judge(part: PartNumbers, number: Number, said: float, code: codes.Code) -> Iterator[Suspicion]:
    if abs(said - number.value) > 0.004 * max(abs(said), abs(number.value)):
        yield Suspicion(
            code,
            Severity.DOUBT,
            part,
            (number,),
            value_to_text(said, number.quantity),
            f"'{part.part_number}' says {value_to_text(said, number.quantity)} by your rule; found"
            f" {number_to_text(number)}",
        )
