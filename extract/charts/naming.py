"""Which parts of a sheet a label of a chart names.

Comes in: a label's text and what the sheet's tables say of its parts. Goes out: the parts it names, or those
it could name. A rating in amps alone proves no part where several have it: a variant without a curve of its
own gets none. Looks at no page.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.schema import WHOLE_SERIES, Quantity, Reading

_AMPS = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(m?)a(?:mps?|mp[eè]res?)?", re.IGNORECASE)
_VOLTS = re.compile(r"/?\s*(\d+(?:[.,]\d+)?)\s*v?(?:dc|ac)?", re.IGNORECASE)
_PIECES = re.compile(r"\s*[,;&、，＆+]\s*|\s+(?:and|und|et|y|e|i|/)\s+|\s+/\s*|\s*/\s+")
_RANGE = re.compile(
    r"\s*(?:\.\.\.|…|~|〜|～|–|—|\bthru\b|\bthrough\b|\bto\b|\bbis\b|\bà\b|\s-\s|至)\s*", re.IGNORECASE
)
_MOST_CANDIDATES = 6
_CODED_SHARE = 0.7  # of the parts carry their hold current in their name, if a name may prove a rating
_BARE = 3  # digits that a table may name a part by
_LEAST_SUFFIX = 2  # a name's end of fewer characters names nothing


@dataclass(frozen=True, slots=True)
class PartFacts:
    """What the tables say of a part: its hold currents and largest voltages, and the places (current in A,
    time in s) of its tabulated maximum times to trip."""

    part_number: str
    holds_a: tuple[float, ...]
    volts: tuple[float, ...]
    trip_points: tuple[tuple[float, float], ...] = ()

    @property
    def hold_a(self) -> float | None:
        """Its hold current, if the tables agree on it."""
        return self.holds_a[0] if self.holds_a else None


@dataclass(frozen=True, slots=True)
class Naming:
    """The parts a label names; `candidates` where it could be one of several and nothing tells which."""

    parts: tuple[str, ...] = ()
    candidates: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.parts or self.candidates)


def readings_to_facts(readings: Iterable[Reading]) -> tuple[PartFacts, ...]:
    """The parts of a sheet in the order of its tables. Derated hold currents are left out."""
    facts: dict[str, dict[str, list[float]]] = {}
    points: dict[str, list[tuple[float, float]]] = {}
    for reading in readings:
        if reading.part_number == WHOLE_SERIES:
            continue
        own = facts.setdefault(reading.part_number, {"hold": [], "volts": []})
        if reading.quantity is Quantity.HOLD_CURRENT and _is_room(reading.ambient_c):
            own["hold"].append(reading.value)
        elif reading.quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE):
            own["volts"].append(reading.value)
        elif reading.quantity is Quantity.TIME_TO_TRIP and reading.test_current_a:
            points.setdefault(reading.part_number, []).append((reading.test_current_a, reading.value))
    return tuple(
        PartFacts(
            part,
            tuple(dict.fromkeys(own["hold"])),
            tuple(dict.fromkeys(own["volts"])),
            tuple(points.get(part, ())),
        )
        for part, own in facts.items()
    )


def _is_room(ambient_c: float | None) -> bool:
    return ambient_c is None or 15 <= ambient_c <= 30


def squeeze(text: str) -> str:
    """Letters and digits only, large."""
    return "".join(c for c in unicodedata.normalize("NFKC", text).upper() if c.isalnum())


def label_to_naming(text: str, facts: Sequence[PartFacts], context: str = "") -> Naming:
    """The parts a label names. `context` (a chart's title) may tell the series."""
    pool = _series_of(context, facts)
    whole = _piece_to_naming(text, pool)
    if whole.parts:
        return whole
    ranged = _range_to_parts(text, pool)
    if ranged:
        return Naming(ranged)
    parts: list[str] = []
    candidates: list[str] = []
    stem = ""
    for piece in _PIECES.split(text.strip()):
        if not piece:
            continue
        found = _piece_to_naming(piece, pool) or (_piece_to_naming(stem + piece, pool) if stem else Naming())
        if not found:
            return whole
        parts += found.parts
        candidates += found.candidates
        stem = _stem_of(piece)
    return Naming(tuple(dict.fromkeys(parts)), tuple(dict.fromkeys(candidates)))


def _stem_of(piece: str) -> str:
    """What a second name of a label leaves out: "MF-SM075" of "MF-SM075, /60"; the letters before digits."""
    match = re.match(r"(.*?[^\W\d_][-./]?)(?=\d)", piece)
    return match[1] if match else ""


def _series_of(context: str, facts: Sequence[PartFacts]) -> Sequence[PartFacts]:
    """The parts whose series a title names, if it names one that some parts lack."""
    numbers = {squeeze(fact.part_number) for fact in facts}
    words = {squeeze(word) for word in re.findall(r"[A-Za-z0-9][A-Za-z0-9./\-]{2,}", context)} - numbers
    for word in sorted(words, key=len, reverse=True):
        named = [fact for fact in facts if len(word) >= 3 and squeeze(fact.part_number).startswith(word)]
        if 2 <= len(named) < len(facts):
            return named
    return facts


def _piece_to_naming(text: str, facts: Sequence[PartFacts]) -> Naming:
    """The parts one name means: the same name, its end, its beginning, or a rating."""
    name = squeeze(text)
    if not name:
        return Naming()
    same = [fact.part_number for fact in facts if squeeze(fact.part_number) == name]
    if same:
        return Naming(tuple(same))
    rated = _rating_to_naming(text, facts)
    if rated:
        return rated
    if _tokens(text)[-1:] in [[fact.part_number] for fact in facts if len(fact.part_number) >= _BARE]:
        return Naming((text,))  # the table names its parts by their last digits only
    if not any(c.isdigit() for c in name) or len(name) < _LEAST_SUFFIX:
        return Naming()
    return _likeness_to_naming(text, facts)


def _likeness_to_naming(text: str, facts: Sequence[PartFacts]) -> Naming:
    """The parts whose name ends, begins or holds a text: one, or several with one hold current; else those it
    could mean."""
    for ways in (_ends_with, _begins_with, _holds_token):
        found = [fact for fact in facts if ways(fact.part_number, text)]
        names = tuple(fact.part_number for fact in found)
        alike = len({fact.holds_a for fact in found}) == 1
        if len(found) == 1 or (alike and found[0].holds_a):
            return Naming(names)
        if 1 < len(found) <= _MOST_CANDIDATES:
            return Naming((), names)
    return Naming()


def _tokens(text: str) -> list[str]:
    """Runs of letters and runs of digits."""
    return re.findall(r"[A-Z]+|\d+", unicodedata.normalize("NFKC", text).upper())


def _ends_with(part: str, label: str) -> bool:
    """Whether a label is the end of a part number, from a whole run of digits or letters on; a label without
    the letters after the last digits counts too only if those are few."""
    tokens, own = _tokens(part), _tokens(label)
    return 0 < len(own) < len(tokens) and tokens[-len(own) :] == own


def _begins_with(part: str, label: str) -> bool:
    """Whether a part number goes on where a label ends, with letters (a code of packing or build)."""
    tokens, own = _tokens(part), _tokens(label)
    if not 1 < len(own) < len(tokens) or tokens[: len(own)] != own:
        return False
    return not tokens[len(own)].isdigit() and "/" not in part[len(label) : len(label) + 1]


def _holds_token(part: str, label: str) -> bool:
    """Whether a label is a run within a part number, such as the digits of its rating."""
    tokens, own = _tokens(part), _tokens(label)
    whole = [tokens[i : i + len(own)] for i in range(1, len(tokens) - len(own) + 1)]
    return sum(c.isdigit() for c in label) >= _LEAST_SUFFIX and own in whole


def _rating_to_naming(text: str, facts: Sequence[PartFacts]) -> Naming:
    """The parts of a rating such as 0.75A/24V."""
    match = _AMPS.match(text.strip())
    if match is None:
        return Naming()
    rest = text.strip()[match.end() :].strip()
    amps = float(match[1].replace(",", ".")) * (0.001 if match[2] else 1.0)
    found = [fact for fact in facts if _holds(fact, amps)] or _coded(amps, facts)
    if rest:
        volts = _VOLTS.fullmatch(rest)
        if volts is None:
            return Naming()
        found = _with_volts(found, float(volts[1].replace(",", ".")))
    elif len(found) > 1:
        plain = [fact for fact in found if not any(_is_variant_of(fact, other) for other in found)]
        found = plain if len(plain) == 1 else found
    names = tuple(fact.part_number for fact in found)
    return Naming(names) if len(names) == 1 else Naming((), names)


def _holds(fact: PartFacts, amps: float) -> bool:
    return any(abs(hold - amps) < 1e-6 + 1e-4 * amps for hold in fact.holds_a)


def _coded(amps: float, facts: Sequence[PartFacts]) -> list[PartFacts]:
    """The parts that carry a rating in their name (100 for 1.00 A), where the names of the sheet do so."""
    rated = [fact for fact in facts if fact.hold_a]
    coded = [fact for fact in rated if any(_has_code(fact, hold) for hold in fact.holds_a)]
    if not rated or len(coded) < _CODED_SHARE * len(rated):
        return []
    return [fact for fact in facts if _has_code(fact, amps)]


def _has_code(fact: PartFacts, amps: float) -> bool:
    return f"{round(amps * 100):03d}" in _tokens(fact.part_number)


def _with_volts(facts: Sequence[PartFacts], volts: float) -> list[PartFacts]:
    """The parts whose name or whose voltage says so many volts."""
    by_name = [fact for fact in facts if re.search(rf"[/-]0*{volts:g}\w{{0,3}}$", fact.part_number)]
    by_table = [fact for fact in facts if volts in fact.volts]
    both = [fact for fact in by_name if fact in by_table]
    return both or by_name or by_table


def _is_variant_of(fact: PartFacts, other: PartFacts) -> bool:
    """Whether a part's name is another's with something behind it."""
    return fact is not other and fact.part_number.startswith(other.part_number)


def _range_to_parts(text: str, facts: Sequence[PartFacts]) -> tuple[str, ...]:
    """The parts of a range such as "0020 thru 0110", in the order of the tables."""
    ends = [end for end in _RANGE.split(text.strip()) if end]
    if len(ends) != 2:
        return ()
    numbers = [fact.part_number for fact in facts]
    first, last = (_piece_to_naming(end, facts) for end in ends)
    firsts, lasts = first.parts or first.candidates, last.parts or last.candidates
    if not firsts or not lasts:
        return ()
    low, high = min(map(numbers.index, firsts)), max(map(numbers.index, lasts))
    return tuple(numbers[low : high + 1])
