"""What the words of a heading say of each meaning: one witness of three, never the door.

Comes in: a heading's text. Goes out: a log-likelihood for each Meaning. The words are vocabulary.toml; their
weights priors.toml.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from enum import StrEnum
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from extract.schema import Kind, Quantity
from extract.vocabulary import Hit, fold, scan, spelling_to_unit


class Meaning(StrEnum):
    """What a series of ratings may hold."""

    HOLD = "hold"
    TRIP = "trip"
    MAX_VOLTAGE = "max_voltage"
    AC_VOLTAGE = "ac_voltage"
    DC_VOLTAGE = "dc_voltage"
    INTERRUPT_VOLTAGE = "interrupt_voltage"
    MAX_CURRENT = "max_current"
    AC_CURRENT = "ac_current"
    DC_CURRENT = "dc_current"
    POWER = "power"
    POWER_MAX = "power_max"
    TIME = "time"
    TIME_TYP = "time_typ"
    TEST_CURRENT = "test_current"
    R_MIN = "r_min"
    R_TYP = "r_typ"
    R_MAX = "r_max"
    R_POST = "r_post"
    OTHER = "other"


QUANTITY_OF: dict[Meaning, tuple[Quantity, Kind]] = {
    Meaning.HOLD: (Quantity.HOLD_CURRENT, Kind.NONE),
    Meaning.TRIP: (Quantity.TRIP_CURRENT, Kind.NONE),
    Meaning.MAX_VOLTAGE: (Quantity.MAX_VOLTAGE, Kind.NONE),
    Meaning.AC_VOLTAGE: (Quantity.MAX_VOLTAGE, Kind.AC),
    Meaning.DC_VOLTAGE: (Quantity.MAX_VOLTAGE, Kind.DC),
    Meaning.INTERRUPT_VOLTAGE: (Quantity.MAX_INTERRUPT_VOLTAGE, Kind.NONE),
    Meaning.MAX_CURRENT: (Quantity.MAX_CURRENT, Kind.NONE),
    Meaning.AC_CURRENT: (Quantity.MAX_CURRENT, Kind.AC),
    Meaning.DC_CURRENT: (Quantity.MAX_CURRENT, Kind.DC),
    Meaning.POWER: (Quantity.TRIPPED_POWER, Kind.NONE),
    Meaning.POWER_MAX: (Quantity.TRIPPED_POWER, Kind.MAX),
    Meaning.TIME: (Quantity.TIME_TO_TRIP, Kind.NONE),
    Meaning.TIME_TYP: (Quantity.TIME_TO_TRIP, Kind.TYP),
    Meaning.R_MIN: (Quantity.RESISTANCE, Kind.MIN),
    Meaning.R_TYP: (Quantity.RESISTANCE, Kind.TYP),
    Meaning.R_MAX: (Quantity.RESISTANCE, Kind.MAX),
    Meaning.R_POST: (Quantity.RESISTANCE, Kind.POST_TRIP_MAX),
}
BASE_OF = {
    Meaning.HOLD: "A",
    Meaning.TRIP: "A",
    Meaning.MAX_CURRENT: "A",
    Meaning.AC_CURRENT: "A",
    Meaning.DC_CURRENT: "A",
    Meaning.TEST_CURRENT: "A",
    Meaning.MAX_VOLTAGE: "V",
    Meaning.AC_VOLTAGE: "V",
    Meaning.DC_VOLTAGE: "V",
    Meaning.INTERRUPT_VOLTAGE: "V",
    Meaning.POWER: "W",
    Meaning.POWER_MAX: "W",
    Meaning.TIME: "s",
    Meaning.TIME_TYP: "s",
    Meaning.R_MIN: "ohm",
    Meaning.R_TYP: "ohm",
    Meaning.R_MAX: "ohm",
    Meaning.R_POST: "ohm",
}
RATED: tuple[Meaning, ...] = tuple(meaning for meaning in Meaning if meaning is not Meaning.OTHER)


@cache
def priors() -> dict[str, Any]:
    """priors.toml as read."""
    return tomllib.loads((files("extract.meanings") / "priors.toml").read_text(encoding="utf-8"))


def weight(name: str) -> float:
    """A weight of priors.toml."""
    return float(priors()["weights"][name])


_MULTIPLE = re.compile(
    r"multiples? of (?:the )?(?:hold(?:ing)? current|rated current|i\w*)|"
    r"\d+(?:[.,]\d+)?\s*[x×*·⋅]\s*(?:the\s+)?(?:i[\s_]?h(?:old)?\b|hold(?: current)?|ih\b|in\b)"
)
"""A multiple of the hold current is a condition, no column of it ("time to trip at 5 x Ihold")."""


@lru_cache(maxsize=2048)
def text_to_hits(text: str) -> tuple[Hit, ...]:
    """The known wordings of a heading; accents of Latin letters may be missing in the vocabulary ("máx")."""
    folded = _MULTIPLE.sub(" ", fold(text))
    plain = "".join(c for c in unicodedata.normalize("NFD", folded) if not "\u0300" <= c <= "\u036f")
    hits = _without_bare_voltage(_without_units(scan(folded), folded), folded)
    if plain == folded:
        return hits
    others = _without_bare_voltage(_without_units(scan(plain), plain), plain)
    return max((hits, others), key=lambda found: sum(hit.end - hit.start for hit in found))


def _without_units(hits: tuple[Hit, ...], text: str) -> tuple[Hit, ...]:
    """Hits without quantities that are only named by a unit ("Vac"), where a word names one."""
    quantities = [hit for hit in hits if hit.sense == "quantity"]
    units = [hit for hit in quantities if spelling_to_unit(text[hit.start : hit.end]) is not None]
    return tuple(hit for hit in hits if hit not in units) if len(units) < len(quantities) else hits


def _without_bare_voltage(hits: tuple[Hit, ...], text: str) -> tuple[Hit, ...]:
    """Hits without an operating voltage that a bare word names beside one of interrupting: "Max. interrupt
    ratings ‖ Voltage"; "operating voltage" stays, and what stands in brackets interrupts nothing."""
    outside = re.sub(r"\([^)]*\)", lambda match: " " * len(match[0]), text)
    interrupt = Quantity.MAX_INTERRUPT_VOLTAGE.value
    told = any(hit.name == interrupt and outside[hit.start : hit.end].strip() for hit in hits)
    if not told or re.search(r"(?:see|siehe|voir|ver|on request)\b", text):
        return hits
    bare = priors()["naming"]["bare_voltage"]
    return tuple(h for h in hits if h.name != "max_voltage" or text[h.start : h.end].strip() not in bare)


@lru_cache(maxsize=2048)
def words_to_scores(text: str) -> dict[Meaning, float]:
    """What a heading's words say of each meaning (0: nothing)."""
    hits = text_to_hits(text)
    named = _named_quantities(hits)
    scores: dict[Meaning, float] = {meaning: _score(meaning, hits, named) for meaning in RATED}
    foreign = any(hit.sense in ("other", "text") for hit in hits) and not named
    scores[Meaning.OTHER] = weight("other_word") if foreign else 0.0
    for meaning in _bare_limit_to_meanings(fold(text), hits):
        scores[meaning] += weight("bare_limit")
    return scores


_BARE = re.compile(r"[\W\d_]*(?:[uvri]|volts?|amps?)?[\W\d_]*")


def _bare_limit_to_meanings(folded: str, hits: tuple[Hit, ...]) -> tuple[Meaning, ...]:
    """What a heading means that says no more than a limit and a unit or its symbol: "V maks (V)", "AMPS
    MAX."; the largest resistance may be one of two."""
    return {
        Kind.MAX.value: (Meaning.MAX_VOLTAGE, Meaning.MAX_CURRENT),
        Kind.TYP.value: (Meaning.R_TYP,),
    }.get(_bare_limit(folded, hits), ())


def _bare_limit(folded: str, hits: tuple[Hit, ...]) -> str:
    """The limit of a heading that says no more than it and a unit or its symbol; empty if it says more."""
    kinds = {hit.name for hit in hits if hit.sense == "kind"}
    if len(kinds) != 1 or any(hit.sense not in ("kind", "test_current") for hit in hits):
        return ""
    rest = re.sub(r"[(\[][^)\]]*[)\]]$", "", folded)
    for hit in sorted(hits, key=lambda hit: -hit.start):
        rest = rest[: hit.start] + " " + rest[hit.end :]
    bare = _BARE.fullmatch(" ".join(word for word in rest.split() if spelling_to_unit(word) is None))
    return kinds.pop() if bare is not None else ""


def _is_bare_ohms(folded: str, hits: tuple[Hit, ...]) -> bool:
    """Whether a heading says a limit and ohms, no more: "Milliohms Max.*" can be nothing but a resistance."""
    units = [spelling_to_unit(word.strip("*†‡,;")) for word in folded.split()]
    return any(unit is not None and unit.base == "ohm" for unit in units) and bool(_bare_limit(folded, hits))


def is_named(meaning: Meaning, head: str) -> bool:
    """Whether a heading's words name the quantity of a meaning."""
    hits = text_to_hits(head)
    if meaning is Meaning.TEST_CURRENT:
        return any(hit.sense in ("test_current", "time") or hit.name == "time_to_trip" for hit in hits)
    if meaning is Meaning.OTHER:
        return False
    quantity = QUANTITY_OF[meaning][0]
    if quantity is Quantity.RESISTANCE and _is_bare_ohms(fold(head), hits):
        return True
    timed = quantity is Quantity.TIME_TO_TRIP and any(hit.sense == "time" for hit in hits)
    return quantity in _named_quantities(hits) or timed


def is_time_to_trip(head: str) -> bool:
    """Whether a heading's words say that a time is one to trip, not a time alone."""
    return Quantity.TIME_TO_TRIP in _named_quantities(text_to_hits(head))


def _named_quantities(hits: tuple[Hit, ...]) -> dict[Quantity, float]:
    """Every quantity that a wording names, with the weight of its clearest wording."""
    named: dict[Quantity, float] = {}
    for hit in hits:
        if hit.sense != "quantity":
            continue
        rivals = {h.name for h in hits if h.start == hit.start and h.sense == "quantity"}
        value = weight("word") if len(rivals) == 1 else weight("ambiguous")
        quantity = Quantity(hit.name)
        named[quantity] = max(named.get(quantity, 0.0), value)
    if Quantity.TRIP_CURRENT in named and _is_time_of_trip(hits):
        del named[Quantity.TRIP_CURRENT]
        named[Quantity.TIME_TO_TRIP] = weight("word")
    return named


NEAR_WORD = 6


def _is_time_of_trip(hits: tuple[Hit, ...]) -> bool:
    """Whether every word of tripping stands beside a word of time: "durée maximale de déclenchement"."""
    times = [hit for hit in hits if hit.sense == "time"]
    limits = [hit for hit in hits if hit.sense == "kind"]

    def near(trip: Hit) -> bool:
        for time in times:
            first, last = sorted((time, trip), key=lambda hit: hit.start)
            between = sum(k.end - k.start for k in limits if first.end <= k.start and k.end <= last.start)
            if 0 <= last.start - first.end - between <= NEAR_WORD:
                return True
        return False

    trips = [hit for hit in hits if hit.name == Quantity.TRIP_CURRENT.value]
    return all(map(near, trips))


def _score(meaning: Meaning, hits: tuple[Hit, ...], named: dict[Quantity, float]) -> float:
    if meaning is Meaning.TEST_CURRENT:
        return _test_current_score(hits, named)
    quantity, _ = QUANTITY_OF[meaning]
    others = {q for q in named if q is not quantity}
    if quantity in named:
        return (
            named[quantity]
            + _kind_score(meaning, hits)
            + 0.5 * weight("contradiction") * (_clearest(others, named) > named[quantity])
        )
    if others:
        return weight("contradiction")
    time = meaning in (Meaning.TIME, Meaning.TIME_TYP) and any(hit.sense == "time" for hit in hits)
    return (0.6 * weight("word") if time else 0.0) + 0.5 * _kind_score(meaning, hits)


def _clearest(quantities: set[Quantity], named: dict[Quantity, float]) -> float:
    return max((named[quantity] for quantity in quantities), default=0.0)


def _test_current_score(hits: tuple[Hit, ...], named: dict[Quantity, float]) -> float:
    """A test current is named as such, or "current" beside the time to trip."""
    said = any(hit.sense == "test_current" for hit in hits)
    timed = Quantity.TIME_TO_TRIP in named or any(hit.sense == "time" for hit in hits)
    if said and (timed or not named):
        return weight("word") if timed else weight("ambiguous")
    if timed:
        return 1.0
    return weight("contradiction") if named and not said else 0.0


_KINDS = {
    Meaning.R_MIN: Kind.MIN,
    Meaning.R_TYP: Kind.TYP,
    Meaning.R_MAX: Kind.MAX,
    Meaning.R_POST: Kind.POST_TRIP_MAX,
    Meaning.AC_VOLTAGE: Kind.AC,
    Meaning.DC_VOLTAGE: Kind.DC,
    Meaning.AC_CURRENT: Kind.AC,
    Meaning.DC_CURRENT: Kind.DC,
    Meaning.POWER_MAX: Kind.MAX,
    Meaning.TIME_TYP: Kind.TYP,
}


_UNLIKE = {
    (Meaning.TIME, Kind.MIN): weight("wrong_kind"),
    (Meaning.TIME, Kind.TYP): -1.5,
    (Meaning.POWER, Kind.MAX): -1.5,
}
"""Kinds that a meaning without a kind of its own does not have."""


def hits_to_kinds(hits: tuple[Hit, ...]) -> set[Kind]:
    """The kinds that wordings name, alone or within a symbol."""
    kinds = {Kind(hit.name) for hit in hits if hit.sense == "kind"}
    return kinds | {hit.kind for hit in hits if hit.sense == "quantity" and hit.kind is not Kind.NONE}


def _kind_score(meaning: Meaning, hits: tuple[Hit, ...]) -> float:
    """How well the kinds a heading names agree with a meaning."""
    kinds = hits_to_kinds(hits)
    if Kind.POST_TRIP_MAX in kinds:
        kinds = kinds - {Kind.MAX}
    wanted = _KINDS.get(meaning)
    supply, limits = kinds & {Kind.AC, Kind.DC}, kinds - {Kind.AC, Kind.DC}
    if wanted in (Kind.AC, Kind.DC):
        return weight("kind") if supply == {wanted} else -1.5
    if meaning in (Meaning.MAX_VOLTAGE, Meaning.MAX_CURRENT):
        return -0.5 if len(supply) == 1 else 0.0
    if wanted is None:
        return sum(_UNLIKE.get((meaning, kind), 0.0) for kind in limits) if len(limits) == 1 else 0.0
    if limits == {wanted}:
        return weight("kind")
    return weight("wrong_kind") if limits else -0.5
