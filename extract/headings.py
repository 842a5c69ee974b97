"""A heading's text becomes its possible meanings: quantity, kind, unit, ambient, test current.

Comes in: the levels of one column's heading, top to bottom. Goes out: a HeadingMeaning with its
rivals and reasons. Does not look at values or at neighbouring columns: columns.py does.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache

from extract.heading_meaning import HeadingMeaning, Role
from extract.heading_units import (
    BRACKETED,
    level_to_bases,
    level_to_bracketed,
    text_to_bases,
    text_to_unit,
)
from extract.schema import Kind, Quantity
from extract.temperatures import BARE_TEMPERATURE, TEMPERATURE, text_to_ambient, text_to_temperature
from extract.vocabulary import (
    Hit,
    Unit,
    fold,
    foreign_words,
    scan,
    spelling_to_unit,
    unit_of_quantity,
)

__all__ = ["HeadingMeaning", "Role", "heading_to_meaning"]

_AT_CURRENT = re.compile(r"(?<![\d.])(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>ma|amps?|a)(?![a-zω])")
_MULTIPLE = re.compile(
    r"(?P<value>\d+(?:\.\d+)?)\s*[x×*·]\s*(?:i\s*_?\s*h(?:old)?|i\s*hold|hold|in\b)"
    r"|(?P<value2>\d+(?:\.\d+)?)\s*i\s*_?\s*h(?:old)?(?![a-z])"
)
SYMBOL_LETTERS = 7
# "Rmin ~ R1max", "min. to max.": two limits a cell
_FROM_TO = re.compile(
    r"((?:r\s*)?min\.?|最小(?:值)?)\s*(?:~|〜|to|bis|-|…|\.\.\.)\s*((?:r\s*1?\s*)?max\.?|最大(?:值)?)"
)
_HAN = "[\u3040-\u30ff\u3400-\u9fff]"


@lru_cache(maxsize=4096)
def _cached_meaning(levels: tuple[str, ...]) -> HeadingMeaning:
    plain = [" ".join(level.split()) for level in levels if level.strip()]
    text = _levels_to_text(plain)
    if not text:
        return HeadingMeaning(Role.UNKNOWN, reasons=("no heading",))
    if BARE_TEMPERATURE.fullmatch(text):
        reasons = (f"'{text}' is a temperature",)
        return HeadingMeaning(Role.VALUE, ambient_c=text_to_temperature(text), reasons=reasons)
    if any(len(bases := level_to_bases(level)) > 1 for level in plain):
        named = ", ".join(sorted(bases))
        return HeadingMeaning(Role.UNKNOWN, reasons=(f"two units in one heading: {named}",))
    meaning = _text_to_pair(_FROM_TO.sub(r"\1 / \2", text)) or _folded_to_meaning(text)
    if meaning.quantity is None and _BROKEN_WORD.search(text):
        meaning = _folded_to_meaning(_BROKEN_WORD.sub("", text))  # "Verlust-leistung"
    return _with_broken_symbol(meaning, text) if len(plain) > 1 else meaning


def _levels_to_text(plain: Sequence[str]) -> str:
    """The levels as one folded text without marks of notes and breaks of words."""
    text = fold(" ".join(level_to_bracketed(plain, number) for number in range(len(plain))))
    text = re.sub(r"(?<=[^\d\s])\*+|[†‡§]", "", text).strip()
    text = re.sub(rf"(?<={_HAN})\s+(?={_HAN})", "", text)  # words of Han and kana are broken anywhere
    return _UNITS_AT.sub(r"(\1/\2)", _BROKEN_LINE.sub("", text))


def _with_broken_symbol(meaning: HeadingMeaning, text: str) -> HeadingMeaning:
    """A narrow column breaks "Rmin" after "Rmi"; only a symbol is short enough to be put together."""
    unsaid = meaning.quantity is None or (
        meaning.quantity is Quantity.RESISTANCE and meaning.kind is Kind.NONE
    )
    if not unsaid or meaning.unit is None:
        return meaning
    joined = re.sub(r"(?<=[a-z\d])\s+(?=[a-z\d])", "", text)
    symbol = BRACKETED.sub("", joined).strip()
    mended = _folded_to_meaning(joined) if len(symbol) <= SYMBOL_LETTERS else meaning
    return mended if mended.quantity is not None and mended.unit == meaning.unit else meaning


_BROKEN_LINE = re.compile(r"(?<=[a-zäöü]{3})-\s+(?=[a-zäöü]{3})")  # "Auslöse- strom"
_BROKEN_WORD = re.compile(r"(?<=[a-zäöü]{3})-\s*(?=[a-zäöü]{3})")
_UNITS_AT = re.compile(r"\(*\b(s|sec)\.?\s*@\s*(ma|a)\b\)*")


def heading_to_meaning(levels: Sequence[str]) -> HeadingMeaning:
    """What the levels of one heading say, top to bottom, e.g. ("Resistance", "Rmin", "(Ω)")."""
    return _cached_meaning(tuple(levels))


def _text_to_pair(text: str) -> HeadingMeaning | None:
    """The meaning of a heading over two numbers a cell, told by "/" between its words or its units."""
    halves = _text_to_halves(text)
    if halves is None:
        return None
    first, second = map(_folded_to_meaning, halves)
    first, second = _with_shared_name(first, second), _with_shared_name(second, first)
    if first.quantity is None or second.quantity is None:
        return None
    alike = first.quantity is second.quantity and first.is_test_current is second.is_test_current
    if alike and not _are_two_limits(first, second):
        return None
    main = second if first.is_test_current else first
    return replace(main, role=Role.VALUE, pair=(first, second), reasons=("two numbers a cell",))


def _text_to_halves(text: str) -> tuple[str, str] | None:
    """The two headings in one: words and units parted by a stroke, or one of the two shared."""
    two = _text_to_two_units(text)
    words = BRACKETED.sub(" ", text).split("/")
    if len(words) > 2 or (len(words) == 1 and not two):
        return None
    printed = two or [m[1] for m in BRACKETED.finditer(text)][:1] * 2 or ["", ""]
    first, second = (
        f"{half} ({unit})" if unit else half for half, unit in zip((words * 2)[:2], printed, strict=True)
    )
    return first, second


def _text_to_two_units(text: str) -> list[str]:
    """The units in the first brackets that hold two, if they are no one unit."""
    units = next((m[1] for m in BRACKETED.finditer(text) if "/" in m[1]), "")
    halves = units.split("/")
    two = len(halves) == 2 and spelling_to_unit(units) is None
    return halves if two and all(spelling_to_unit(half) is not None for half in halves) else []


def _with_shared_name(half: HeadingMeaning, other: HeadingMeaning) -> HeadingMeaning:
    """A half that names only its limit is of the other half's quantity."""
    if half.quantity is None and half.kind is not Kind.NONE and other.quantity is not None:
        return replace(other, kind=half.kind)
    return half


def _are_two_limits(first: HeadingMeaning, second: HeadingMeaning) -> bool:
    """Whether two meanings of one quantity are two limits; AC/DC says that one number is both."""
    limits = {Kind.MIN, Kind.TYP, Kind.MAX, Kind.POST_TRIP_MAX}
    return first.kind is not second.kind and first.kind in limits and second.kind in limits


def _folded_to_meaning(text: str) -> HeadingMeaning:
    ambient_c = text_to_ambient(text) if TEMPERATURE.search(text) else None
    if ambient_c is None and TEMPERATURE.search(text):
        return HeadingMeaning(Role.UNKNOWN, reasons=("several temperatures in one heading",))
    bare = TEMPERATURE.sub(" ", text)
    multiple = _MULTIPLE.search(bare)
    test_multiple = float(multiple["value"] or multiple["value2"]) if multiple else None
    bare = _MULTIPLE.sub(" ", bare)
    test_current_a = _match_to_current(_AT_CURRENT.search(bare))
    meaning = _bare_to_meaning(_AT_CURRENT.sub(" ", bare), ambient_c)
    is_timed = test_multiple is not None or test_current_a is not None
    if is_timed and meaning.quantity is None and meaning.unit is not None and meaning.unit.base == "s":
        meaning = HeadingMeaning(
            Role.VALUE,
            Quantity.TIME_TO_TRIP,
            meaning.kind,
            meaning.both_kinds,
            meaning.unit,
            meaning.printed_unit,
            ambient_c,
            reasons=("seconds at a test current",),
        )
    if meaning.quantity is Quantity.TIME_TO_TRIP and not meaning.is_test_current:
        return replace(meaning, test_current_a=test_current_a, test_multiple=test_multiple)
    return meaning


def _bare_to_meaning(bare: str, ambient_c: float | None) -> HeadingMeaning:
    """The meaning of a heading from which temperature and test current are taken away."""
    if len(bases := text_to_bases(bare)) > 1:
        return HeadingMeaning(
            Role.UNKNOWN, reasons=(f"two units in one heading: {', '.join(sorted(bases))}",)
        )
    unit, printed_unit, words = text_to_unit(bare)
    if foreign := foreign_words("headings").search(words):
        return HeadingMeaning(Role.UNKNOWN, reasons=(f"speaks of '{foreign[0]}', not of a rating",))
    if words.strip() in ("at", "@", "bei") and unit is not None and unit.base == "A":
        words = "at current"
    hits = [hit for hit in scan(words) if hit.end - hit.start > 1 or _is_measured_by(hit, unit)]
    kind, both = _hits_to_kind(hits, printed_unit)
    shared = {
        "kind": kind,
        "both_kinds": both,
        "unit": unit,
        "printed_unit": printed_unit,
        "ambient_c": ambient_c,
    }
    return _hits_to_meaning(hits, unit, shared)


def _is_measured_by(hit: Hit, unit: Unit | None) -> bool:
    """A single letter names a quantity only beside its unit: R (Ω), but not the dimension R."""
    return hit.sense != "quantity" or (unit is not None and unit.base == unit_of_quantity(Quantity(hit.name)))


def _match_to_current(match: re.Match[str] | None) -> float | None:
    if match is None:
        return None
    value = Decimal(match["value"].replace(",", "."))
    return float(value / 1000 if match["unit"] == "ma" else value)


def _hits_to_kind(hits: Sequence[Hit], printed_unit: str) -> tuple[Kind, bool]:
    """The kind the words name; AC and DC both named is no kind, and said."""
    named = {hit.kind for hit in hits if hit.sense == "kind"}
    has_ac, has_dc = _has_ac_dc(hits, printed_unit)
    carried = {hit.kind for hit in hits if hit.sense == "quantity" and hit.kind is not Kind.NONE}
    if Kind.POST_TRIP_MAX in carried | named:
        return Kind.POST_TRIP_MAX, False
    limits = _limits_in(hits)
    if len(limits) == 1:
        return next(iter(limits)), False
    if has_ac and has_dc:
        return Kind.NONE, True
    if has_ac or has_dc:
        return (Kind.AC if has_ac else Kind.DC), False
    return Kind.NONE, False


def _has_ac_dc(hits: Sequence[Hit], printed_unit: str) -> tuple[bool, bool]:
    named, folded = {hit.kind for hit in hits if hit.sense in ("kind", "limit")}, fold(printed_unit)
    return Kind.AC in named or re.search(r"ac|rms", folded) is not None, Kind.DC in named or "dc" in folded


def _hits_to_supply(hits: Sequence[Hit], printed_unit: str) -> Kind | None:
    """AC or DC, where only one of them is named."""
    has_ac, has_dc = _has_ac_dc(hits, printed_unit)
    if has_ac == has_dc:
        return None
    return Kind.AC if has_ac else Kind.DC


def _limits_in(hits: Sequence[Hit]) -> set[Kind]:
    """The limits a heading names, in words or in a symbol."""
    return {hit.kind for hit in hits} & {Kind.MIN, Kind.TYP, Kind.MAX}


def _hits_to_meaning(hits: Sequence[Hit], unit: Unit | None, shared: dict[str, object]) -> HeadingMeaning:
    quantities = _distinct(hit.name for hit in hits if hit.sense == "quantity")
    senses = {hit.sense for hit in hits}
    if quantities and unit is None and any(hit.name == "marking" for hit in hits):
        return HeadingMeaning(Role.TEXT, reasons=("names a code for a quantity",))
    limited = {Quantity.RESISTANCE.value, Quantity.TRIPPED_POWER.value}
    if limited & set(quantities) and len(_limits_in(hits)) > 1 and shared["kind"] is not Kind.POST_TRIP_MAX:
        return HeadingMeaning(Role.UNKNOWN, reasons=("two limits in one heading",))
    if quantities:
        return _quantities_to_meaning(quantities, senses, unit, shared)
    return (
        _no_unit_to_meaning(hits, senses) if unit is None else _unit_to_meaning(senses, unit, shared)
    ) or _rest_to_meaning(hits, unit, shared)


def _no_unit_to_meaning(hits: Sequence[Hit], senses: set[str]) -> HeadingMeaning | None:
    """A heading without quantity and unit names parts, or words."""
    if "part_number" in senses:
        return HeadingMeaning(Role.PART_NUMBER, reasons=("names a part number",))
    if "text" in senses:
        name = next(hit.name for hit in hits if hit.sense == "text")
        return HeadingMeaning(Role.TEXT, reasons=(f"names a {name}",))
    return None


def _unit_to_meaning(senses: set[str], unit: Unit, shared: dict[str, object]) -> HeadingMeaning | None:
    """A unit beside a word for a test current or a time."""
    if "test_current" in senses and unit.base == "A":
        return _value(
            shared,
            Quantity.TIME_TO_TRIP,
            is_test_current=True,
            rivals=(Quantity.MAX_CURRENT,),
            reasons=("a current without a name: the test current if a time stands beside it",),
        )
    if "time" in senses and unit.base == "s":
        return _value(shared, Quantity.TIME_TO_TRIP, reasons=("a time",))
    return None


def _rest_to_meaning(hits: Sequence[Hit], unit: Unit | None, shared: dict[str, object]) -> HeadingMeaning:
    """What little a heading says that names no quantity: something else, a unit, an ambient, a kind."""
    senses = {hit.sense for hit in hits}
    if "other" in senses:
        return HeadingMeaning(Role.OTHER, reasons=("names something else",))
    if unit is not None and (limit := _unit_to_limit(unit, shared, senses)) is not None:
        reasons = (f"{unit.name}, {shared['kind']}, and no other word",)
        supply = _hits_to_supply(hits, str(shared["printed_unit"]))
        return _value({**shared, "kind": supply or shared["kind"]}, limit, reasons=reasons)
    if unit is not None:
        return _value(shared, None, reasons=(f"only a unit, {unit.name}",))
    if "derating" in senses or shared["ambient_c"] is not None:
        return _value(shared, None, reasons=("names an ambient only",))
    if shared["kind"] is not Kind.NONE:
        return _value(shared, None, reasons=(f"only a kind, {shared['kind']}",))
    return HeadingMeaning(Role.UNKNOWN, reasons=("no known word",))


def _unit_to_limit(unit: Unit, shared: dict[str, object], senses: set[str]) -> Quantity | None:
    """What a heading of a unit and a limit means: "Volts max.", "Amps max.", "Watts typ."; a lone A or W
    may be a dimension, unless it stands under "Maximum ratings"."""
    if "limit" in senses:
        return {"V": Quantity.MAX_VOLTAGE, "A": Quantity.MAX_CURRENT}.get(unit.name)
    kind, spelt_out = shared["kind"], len(str(shared["printed_unit"])) > 2
    if unit.name == "V" and kind is Kind.MAX:
        return Quantity.MAX_VOLTAGE
    if unit.name == "A" and kind is Kind.MAX and spelt_out:
        return Quantity.MAX_CURRENT
    if unit.name == "W" and kind in (Kind.TYP, Kind.MAX) and spelt_out:
        return Quantity.TRIPPED_POWER
    return None


def _value(shared: dict[str, object], quantity: Quantity | None, **more: object) -> HeadingMeaning:
    return HeadingMeaning(Role.VALUE, quantity, **{**shared, **more})  # type: ignore[arg-type]


def _distinct(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))


def _quantities_to_meaning(
    names: list[str], senses: set[str], unit: Unit | None, shared: dict[str, object]
) -> HeadingMeaning:
    """One or several quantities are named: the unit strikes out those it cannot measure."""
    quantities = [Quantity(name) for name in names]
    if Quantity.TIME_TO_TRIP in quantities and unit is not None and unit.base == "A":
        return _value(
            shared, Quantity.TIME_TO_TRIP, is_test_current=True, reasons=("the current of the time to trip",)
        )
    if Quantity.RESISTANCE in quantities and shared["kind"] is Kind.POST_TRIP_MAX:
        quantities = [Quantity.RESISTANCE]
    fitting = _narrowed([q for q in quantities if _may_measure(unit, q)])
    if not fitting:
        return _unfitting_to_meaning(quantities, unit, shared)
    is_bare_test = unit is None and "test_current" in senses and "time" not in senses
    return _fitting_to_meaning(fitting, is_bare_test, shared)


def _fitting_to_meaning(
    fitting: list[Quantity], is_bare_test: bool, shared: dict[str, object]
) -> HeadingMeaning:
    """The quantities that the unit measures: hold and trip are a pair, two leave a rival, more mean nothing;
    `is_bare_test`: no unit, and words of a test current but none of a time."""
    if set(fitting) == {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT}:
        both = tuple(_value(shared, quantity) for quantity in fitting)
        return _value(shared, fitting[0], pair=both, reasons=("names hold and trip together",))
    if len(fitting) > 2:
        named = ", ".join(quantity.value for quantity in fitting)
        return HeadingMeaning(Role.UNKNOWN, rivals=tuple(fitting), reasons=(f"names {named} at once",))
    chosen = fitting[0]
    return _value(
        shared,
        chosen,
        is_test_current=is_bare_test and chosen is Quantity.TIME_TO_TRIP,
        rivals=tuple(fitting[1:]),
        reasons=(f"names {chosen.value}",),
    )


def _may_measure(unit: Unit | None, quantity: Quantity) -> bool:
    """A unit measures its own quantities; percent and no unit at all speak against none."""
    return unit is None or unit.base in ("1", unit_of_quantity(quantity))


def _unfitting_to_meaning(
    quantities: Sequence[Quantity], unit: Unit | None, shared: dict[str, object]
) -> HeadingMeaning:
    """The unit measures none of the quantities named."""
    if quantities == [Quantity.RESISTANCE] and unit is not None and unit.base == "W":
        ohms = spelling_to_unit("ohm" if unit.name == "W" else "mohm")
        return _value(
            {**shared, "unit": ohms},
            Quantity.RESISTANCE,
            reasons=("names resistance; its W is an Ω of the Symbol font",),
        )
    return _value(
        shared,
        None,
        rivals=tuple(quantities),
        reasons=(f"names {', '.join(quantities)} but the unit is {unit.name if unit else '?'}",),
    )


def _narrowed(fitting: list[Quantity]) -> list[Quantity]:
    """Any largest voltage beside the symbol of an interrupt voltage is that one; a time counts alone."""
    if set(fitting) == {Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE}:
        return [Quantity.MAX_INTERRUPT_VOLTAGE]
    return [Quantity.TIME_TO_TRIP] if Quantity.TIME_TO_TRIP in fitting else fitting
