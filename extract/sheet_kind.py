"""What kind of part a sheet is about: a polymer PTC fuse, or something whose sheet only looks like one.

Comes in: the texts of the pages and what was read. Goes out: a KindVerdict for each page with readings, and
the sheet without the readings of another kind of part; where it cannot be told, all of them disputed with one
reason. Evidence adds up: words (sheet_kinds.toml), and the physics of what was read. Reads no PDF.
"""

from __future__ import annotations

import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

from extract.reference import is_room
from extract.schema import Finding, Kind, Quantity, Reading, Severity, SheetReading, Status
from extract.vocabulary import fold

OWN = "polymer"
OTHER_KIND = "other-kind-of-part"
KIND_UNSURE = "kind-unsure"
UNSURE_REASON = "it is not certain that this sheet is about polymer PTC fuses"
_NOT_KINDS = {"score", "decide", "ranges", "negated"}
_OHMS = (Kind.MIN, Kind.TYP, Kind.MAX, Kind.POST_TRIP_MAX)
_MOST = 0.8  # of the parts must bear a relation out


@dataclass(frozen=True, slots=True)
class KindVerdict:
    """`kind` is "polymer", another kind of sheet_kinds.toml, or "" where it cannot be told; `evidence` are
    the words and facts that count most, for it or for its strongest rival."""

    kind: str
    evidence: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Weight:
    score: float
    reasons: tuple[str, ...]


def sheet_to_own_kind(sheet: SheetReading, page_texts: Sequence[str]) -> SheetReading:
    """The sheet without what it says of another kind of part; one finding tells which kind and why."""
    pages = _sheet_to_verdicts(sheet, page_texts)
    foreign = _verdicts_to_foreign(pages, sheet)
    unsure = {page for page, verdict in pages.items() if verdict.kind == "" and sheet.readings}
    if not foreign and not unsure:
        return sheet
    own = (r for r in sheet.readings if r.place.page not in foreign)
    readings = tuple(_doubt_kind(r) if r.place.page in unsure else r for r in own)
    kept = {r.part_number for r in readings}
    texts = tuple(text for text in sheet.texts if text.part_number in kept)
    findings = _verdicts_to_findings(sheet, pages, foreign, unsure)
    return replace(sheet, readings=readings, texts=texts, findings=findings)


def _verdicts_to_findings(
    sheet: SheetReading, pages: Mapping[int, KindVerdict], foreign: set[int], unsure: set[int]
) -> tuple[Finding, ...]:
    """The findings of our own pages, and one for each foreign page, or for the whole sheet, and for the first
    unsure one."""
    whole = foreign >= set(pages)
    told = sorted(pages)[:1] if whole else sorted(foreign)
    findings = [] if whole else [f for f in sheet.findings if f.place is None or f.place.page not in foreign]
    findings += [_page_to_finding(sheet.document, page, pages[page], whole) for page in told]
    findings += [_unsure_to_finding(sheet.document, pages[page]) for page in sorted(unsure)[:1]]
    return tuple(findings)


def sheet_to_foreign_pages(sheet: SheetReading, page_texts: Sequence[str]) -> set[int]:
    """The pages that are about another kind of part: all pages of a sheet that is."""
    return _verdicts_to_foreign(_sheet_to_verdicts(sheet, page_texts), sheet)


def _verdicts_to_foreign(pages: Mapping[int, KindVerdict], sheet: SheetReading) -> set[int]:
    foreign = {page for page, verdict in pages.items() if verdict.kind not in (OWN, "")}
    return {*foreign, *sheet.pages_read} if pages and foreign == set(pages) else foreign


def _sheet_to_verdicts(sheet: SheetReading, page_texts: Sequence[str]) -> dict[int, KindVerdict]:
    """The verdicts of the pages with readings; where nothing was read, that of the sheet for one page."""
    verdicts = readings_to_kinds(sheet.readings, page_texts)
    return verdicts or {page: texts_to_kind(page_texts, ()) for page in sheet.pages_read[:1]}


def readings_to_kinds(readings: Iterable[Reading], page_texts: Sequence[str]) -> dict[int, KindVerdict]:
    """Page number -> what the parts on it are, for every page with readings: a page of a mixed catalogue by
    its own words, any other by those of the sheet."""
    by_page: dict[int, list[Reading]] = defaultdict(list)
    for reading in readings:
        by_page[reading.place.page].append(reading)
    if not by_page:
        return {}
    everything = [reading for own in by_page.values() for reading in own]
    shown = sorted({1, *by_page})
    sheet = texts_to_kind([page_texts[page - 1] for page in shown if page <= len(page_texts)], everything)
    return {page: _page_to_kind(page_texts[page - 1], own, sheet) for page, own in sorted(by_page.items())}


def texts_to_kind(texts: Sequence[str], readings: Sequence[Reading]) -> KindVerdict:
    """What the parts of some pages are, by their words and by the physics of what was read from them."""
    decide = _table()["decide"]
    own, name, other = _weigh(texts, readings)
    if other.score >= decide["other_least"] and other.score >= own.score + decide["other_lead"]:
        return KindVerdict(name, other.reasons)
    if own.score >= decide["own_least"] and own.score >= other.score + decide["own_lead"]:
        return KindVerdict(OWN, own.reasons)
    return KindVerdict("", (*other.reasons, *own.reasons))


def _page_to_kind(text: str, readings: Sequence[Reading], sheet: KindVerdict) -> KindVerdict:
    """A page whose own words plainly say another kind, or ours, is that; else it is what the sheet is. In a
    sheet of ours the title of the page must say it: "related products" stand at the foot of many pages."""
    decide = _table()["decide"]
    own, name, other = _weigh([text], readings)
    leads = other.score >= decide["page_least"] and other.score >= own.score + decide["page_lead"]
    if leads and (sheet.kind != OWN or _is_titled(name, text)):
        return KindVerdict(name, other.reasons)
    if own.score >= decide["page_least"] and own.score >= other.score + decide["page_lead"]:
        return KindVerdict(OWN, own.reasons)
    return sheet


def _weigh(texts: Sequence[str], readings: Sequence[Reading]) -> tuple[_Weight, str, _Weight]:
    """The evidence for our kind, and the strongest other kind with its own. What both say of themselves
    ("resettable") counts for ours only where no other kind speaks."""
    plain = [_to_plain(text) for text in texts]
    words = {name: _words_to_weight(name, plain) for name in _kinds()}
    physics = _readings_to_weight(readings)
    name = max((kind for kind in words if kind != OWN), key=lambda kind: words[kind].score)
    is_alone = words[name].score < _table()["score"]["strong"]
    own = [physics, words[OWN], *([_shared_to_weight(plain)] if is_alone else [])]
    reasons = tuple(reason for weight in own for reason in weight.reasons)
    return _Weight(sum(weight.score for weight in own), reasons), name, words[name]


# Words.


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((files("extract") / "sheet_kinds.toml").read_text(encoding="utf-8"))


@cache
def _kinds() -> tuple[str, ...]:
    return tuple(name for name in _table() if name not in _NOT_KINDS)


_MANY = "(?:s|es|e|n|en|er)?"
_LONG_WORD = 5  # a shorter one with an ending is another word
_EAST = r"[\u3040-\u30ff\u4e00-\u9fff]"


def _to_plain(text: str) -> str:
    """A page's text, folded, lines kept, without blanks between Han and without what a part is not."""
    folded = re.sub(r"[^\S\n]+", " ", fold(text))
    folded = re.sub(rf"(?<={_EAST})\s+(?={_EAST})", "", folded)
    return _negated().sub(" ", folded)


@cache
def _negated() -> re.Pattern[str]:
    """What a part is not: the patterns of the file, and our own words after a word that denies them."""
    negated = _table()["negated"]
    denied = rf"(?<!\w)(?:{'|'.join(negated['before'])})[ -](?:\w+ )?(?:{_own_words()})"
    return re.compile("|".join([*map(fold, negated["patterns"]), denied]))


def _own_words() -> str:
    own = _table()[OWN]
    return "|".join(re.escape(fold(word)) for word in (*own["strong"], *own["shared"]))


@cache
def _patterns(kind: str, strength: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    words = sorted(_table()[kind].get(strength, ()), key=len, reverse=True)
    return tuple((word, _word_to_pattern(fold(word))) for word in words)


def _word_to_pattern(word: str) -> re.Pattern[str]:
    """Words of letters stand alone, many or one, blanks may be line ends, hyphens or none; words of Han stand
    anywhere."""
    body = re.sub(r"(?:\\ |\\-)+", r"[\\s-]*", re.escape(word))
    is_han = re.search(r"[\u1100-\u11ff\u3040-\u30ff\u4e00-\u9fff\uac00-\ud7af]", word) is not None
    many = _MANY if len(word) >= _LONG_WORD and word[-1].isalpha() else ""
    return re.compile(body if is_han else rf"(?<![^\W\d_]){body}{many}(?![^\W\d_])")


def _words_to_weight(kind: str, texts: Sequence[str]) -> _Weight:
    """The words of a kind among texts, longest first; a place counts once ("one-time fuse" is no "one-time"
    as well)."""
    score = _table()["score"]
    titles = "\n".join(map(_text_to_title, texts))
    left = "\n\n".join(texts)
    total, reasons = 0.0, []
    titled = [pair for pair in _patterns(kind, "titled") if pair[1].search(titles)]
    for word, pattern in (*_patterns(kind, "strong"), *titled):
        if pattern.search(left):
            total += score["strong_in_title"] if pattern.search(titles) else score["strong"]
            left, titles = pattern.sub("|", left), pattern.sub("|", titles)
            reasons.append(word)
    weak = [word for word, pattern in _patterns(kind, "weak") if pattern.search(left)]
    total += min(len(weak) * score["weak"], score["most_weak"])
    return _Weight(total, tuple(f"'{word}'" for word in (*reasons, *weak)))


def _shared_to_weight(texts: Sequence[str]) -> _Weight:
    """What our kind says of itself, as others do too."""
    score, titles = _table()["score"], "\n".join(map(_text_to_title, texts))
    found = [
        (word, pattern) for word, pattern in _patterns(OWN, "shared") if pattern.search("\n\n".join(texts))
    ]
    weights = [score["strong_in_title" if pattern.search(titles) else "strong"] for _, pattern in found]
    return _Weight(sum(weights), tuple(f"'{word}'" for word, _ in found))


def _text_to_title(plain: str) -> str:
    lines = [line for line in plain.splitlines() if line.strip()]
    return "\n".join(lines[: _table()["score"]["title_lines"]])


def _is_titled(kind: str, text: str) -> bool:
    title = _text_to_title(_to_plain(text))
    return any(pattern.search(title) for _, pattern in _patterns(kind, "strong"))


# Physics of what was read.


def _readings_to_weight(readings: Sequence[Reading]) -> _Weight:
    if not readings:
        return _Weight(0.0, ())
    score, ranges = _table()["score"], _table()["ranges"]
    if not any(r.quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT) for r in readings):
        shares = any(r.quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO) for r in readings)
        return _Weight(0.0 if shares else score["no_currents"], ("no hold and no trip current",))
    parts = readings_to_lookup(readings)
    found = {
        "pairs": ("trip over hold current", _shares(map(_trip_over_hold, parts), ranges["trip_over_hold"])),
        "after_trip": (
            "R1max over Rmin",
            _shares(map(_after_trip_over_least, parts), ranges["after_trip_over_least"]),
        ),
        "heat": ("heat at hold current over tripped power", _shares(map(_heat, parts), ranges["heat"])),
        "falls": ("hold current falls with the ambient", _shares(map(_fall, parts), (0.05, 0.999))),
    }
    held = {name: text for name, (text, share) in found.items() if share is not None and share >= _MOST}
    cold = [is_cold for part in parts if (is_cold := _is_never_heated(part)) is not None]
    if cold and sum(cold) >= _MOST * len(cold):
        held["no_heating"] = "no heat at hold current that would trip a polymer part"
    return _Weight(sum(score[name] for name in held), tuple(held.values()))


Lookup = Mapping[tuple[Quantity, Kind], Mapping[float | None, float]]
"""The numbers of one part: (quantity, kind) -> ambient -> value."""


def readings_to_lookup(readings: Sequence[Reading]) -> list[Lookup]:
    """For each part its numbers, as `Lookup`."""
    parts: dict[str, dict[tuple[Quantity, Kind], dict[float | None, float]]] = {}
    for r in readings:
        own = parts.setdefault(r.part_number, {}).setdefault((r.quantity, r.kind), {})
        own.setdefault(r.ambient_c, r.value)
    return list(parts.values())


def _shares(values: Iterable[float | None], bounds: Sequence[float]) -> float | None:
    """The share of the known values within bounds; None where none is known."""
    known = [value for value in values if value is not None]
    return sum(bounds[0] <= value <= bounds[1] for value in known) / len(known) if known else None


def _trip_over_hold(part: Lookup) -> float | None:
    hold = part.get((Quantity.HOLD_CURRENT, Kind.NONE), {})
    trip = part.get((Quantity.TRIP_CURRENT, Kind.NONE), {})
    ratios = [trip[c] / hold[c] for c in hold.keys() & trip.keys() if hold[c]]
    return ratios[0] if ratios else None


def _first(part: Lookup, quantity: Quantity, *kinds: Kind) -> float | None:
    for kind in kinds:
        for value in part.get((quantity, kind), {}).values():
            return value
    return None


def _after_trip_over_least(part: Lookup) -> float | None:
    least = _first(part, Quantity.RESISTANCE, Kind.MIN)
    after = _first(part, Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    return after / least if least and after else None


def _heat(part: Lookup) -> float | None:
    power = _first(part, Quantity.TRIPPED_POWER, Kind.NONE, Kind.TYP, Kind.MAX)
    after = _first(part, Quantity.RESISTANCE, Kind.POST_TRIP_MAX, Kind.MAX)
    hold = _hold_in_room(part)
    return hold**2 * after / power if hold and after and power else None


def _hold_in_room(part: Lookup) -> float | None:
    holds = part.get((Quantity.HOLD_CURRENT, Kind.NONE), {})
    return next((value for c, value in holds.items() if c is None or is_room(c)), None)


def _is_never_heated(part: Lookup) -> bool | None:
    """Whether a part drops too little at its hold current to be heated by it (a bimetal), or so much that it
    is a ceramic; None where nothing is known of that."""
    hold = _hold_in_room(part)
    ohms = [r for kind in _OHMS if (r := _first(part, Quantity.RESISTANCE, kind))]
    least, most = _table()["ranges"]["heating_v"]
    return hold * max(ohms) < least or hold * min(ohms) > most if hold and ohms else None


def _fall(part: Lookup) -> float | None:
    """Hold current at the hottest ambient over that at the coldest; None for fewer than three ambients."""
    holds = {c: v for c, v in part.get((Quantity.HOLD_CURRENT, Kind.NONE), {}).items() if c is not None}
    return holds[max(holds)] / holds[min(holds)] if len(holds) > 2 and holds[min(holds)] else None


# What is told.


def _doubt_kind(reading: Reading) -> Reading:
    return replace(reading, status=Status.DISPUTED, notes=(*reading.notes, UNSURE_REASON))


def kind_to_title(kind: str) -> str:
    """The name of a kind in words ("one-time fuse")."""
    return str(_table()[kind]["title"])


def _page_to_finding(document: str, page: int, verdict: KindVerdict, whole: bool) -> Finding:
    what = "this sheet" if whole else f"page {page}"
    return Finding(
        OTHER_KIND,
        Severity.ERROR,
        f"{what} is about another kind of part ({kind_to_title(verdict.kind)}); nothing was read from it",
        found=", ".join(verdict.evidence[:6]),
        expected="polymer PTC fuses",
        document=document,
    )


def _unsure_to_finding(document: str, verdict: KindVerdict) -> Finding:
    return Finding(
        KIND_UNSURE,
        Severity.DOUBT,
        f"{UNSURE_REASON}; all its numbers are disputed",
        found=", ".join(verdict.evidence[:6]),
        expected="words or numbers of polymer PTC fuses",
        document=document,
    )
