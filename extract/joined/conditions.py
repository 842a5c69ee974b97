"""What holds for a whole table or sheet: the reference ambient, ratings said in a caption.

Comes in: Tables, texts. Goes out: votes for a reference ambient, ratings with the text that says them.
A caption rates the table, half or group it stands over."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from extract.meanings.tables import Table
from extract.meanings.words import Meaning, hits_to_kinds, priors, text_to_hits
from extract.reference import is_room_of_a_column
from extract.schema import Kind, Quantity
from extract.vocabulary import Hit, any_of, fold, scan, spelling_to_unit

_TEMPERATURE = re.compile(r"(?<![\d.,~–-])(\d{2})\s*(?:°\s*){0,2}\s*[c℃](?![a-z])|(?<![\d.,])(\d{2})\s*℃")
_VALUE = (
    r"\s*(\d+(?:[.,]\d+)?)\s*(amp(?:ere)?s?|volts?|watts?|[km]?[av]|m?w|к?[ав]|вт)"
    r"(?=(?:dc|ac|cc|ca|rms|eff)?(?![a-zа-я]))\s*(\S*)"
)
_ASIDE = (
    rf"\s*(?:max\w*\.?\s*)?(?:\([^)]{{0,16}}\)\s*)?(?:(?:{any_of('of')})\s(?:\S+\s){{1,4}}?)?"
    rf"(?:(?:{any_of('at')})\s[^\W\d_]{{4,}}(?=\s*[=:：]))?"
)
_LIMITED = f"(?:is |ist |est |è )?(?:{any_of('limited_to')})"
_OTHER_SUPPLY = re.compile(
    r"\s*(?:ac|dc)\s*[/|,;]\s*(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>[km]?[av])\s*(?P<of>ac|dc)(?![a-z])"
)
"""The limit for the other supply behind the first: "240 V AC / 120 V DC"."""
_RATING = re.compile(_ASIDE + rf"(?:[=:：≤]|{_LIMITED}|{any_of('is')}|(?:\s[а-яіїєґ]+){{0,5}}\s-\s)" + _VALUE)
_SHORT_RATING = re.compile(_ASIDE + rf"(?:[=:：≤,]|{_LIMITED}|{any_of('is')})?" + _VALUE)
_OF_SOME = re.compile(rf"\b(?:{any_of('of_some')})\b|{any_of('of_some_unspaced')}")
"""Words of a text that rates some of the parts it stands over, and does not say well enough which."""
_EXCEPTS = re.compile(
    rf"\b(?:{any_of('excepts')})\b|{any_of('excepts_unspaced')}|(?:note|nota|anm|uwaga|pozn|注)\.?\s*\(?\d"
)
_AS_ALWAYS = re.compile(rf"(?:{any_of('as_always')})\s*(?:{any_of('as_always_goes_on')})")
"""Words that except something from what a text says of all, in the languages of the trade; and the phrase
"unless otherwise stated", which excepts nothing."""
SYMBOL = 5
SHORT_TEXT = 60
"""A text of so few letters says a rating without an equals sign: "Maximum voltage 60 V"."""


_MARK = re.compile(r"(\*+|[†‡§①-⑳]|[⁰-⁹¹²³ᵃᵇᶜ]|\(?[A-Za-z\d]\))[)⁾]?$")
_NOTES = re.compile(r"\s+(?=(?:[¹²³⁴-⁹]|\*+|[†‡§]|\(?\d\)|\(?[a-z]\))\s?[)⁾]?\s*[^\s\d])")
"""Where the next note begins in a line of several."""


_NOTE_WORD = r"(?:(?:注|註|note|nota|anm\.?|uwaga|pozn\.?|備考|비고|주)\s?)?"
_SPELLED = {"A": "amp(?:ere)?s?", "V": "volts?", "W": "watts?"}


def footnote_to_exception(text: str, part: str, notes: Sequence[str], bases: str) -> str:
    """The footnote that may give a marked text another value for a part: it begins with the text's mark and
    names a number in one of the units `bases`, for this part or for none by name; empty if there is none."""
    match = _MARK.search(text.strip())
    if match is None:
        return ""
    sign = unicodedata.normalize("NFKC", match[1]).strip("()")
    split = _lines_to_notes(notes)
    begun = {note: rest for note in split if (rest := _after_mark(note, sign)) is not None}
    told = begun or {note: note for note in split if len(_loose_marks(notes)) > 1}
    return next((note for note, rest in told.items() if _may_except(rest, part, bases)), "")


def _after_mark(note: str, sign: str) -> str | None:
    """What a note says behind a mark; None if it does not begin with it, or says nothing."""
    plain = unicodedata.normalize("NFKC", note)
    place = re.match(rf"\W{{0,3}}{_NOTE_WORD}{re.escape(sign)}(?![\w])", plain)
    loose = rf"{re.escape(sign)}\)" if sign.isalpha() else rf"{re.escape(sign)}(?![\w.,])"
    place = place or re.search(rf"(?<![\w.,]){loose}", plain[:60])
    rest = plain[place.end() :] if place is not None else ""
    return rest if re.search(r"\w{2}", rest) else None


def _may_except(said: str, part: str, bases: str) -> bool:
    """Whether a note names a number in one of the units, for this part or for none by name."""
    units = "|".join((*(_SPELLED[base] for base in bases if base in _SPELLED), *bases)).lower()
    number = re.search(rf"\d\s*(?:m|k)?(?:{units})(?![a-z])", fold(said))
    return number is not None and (part in said or not re.search(r"[A-Z]{2,}[-/]?\d", said))


def _loose_marks(notes: Sequence[str]) -> list[str]:
    """The marks of a line that holds several and nothing else: "(a) (b)", raised above the notes' line; which
    of them begins which note is not told."""
    lines = [line.split() for line in notes]
    marks = [words for words in lines if len(words) > 1 and all(len(word.strip("()")) == 1 for word in words)]
    return marks[0] if marks else []


def _lines_to_notes(lines: Sequence[str]) -> list[str]:
    """Notes one by one: some lines hold several, and a raised mark may stand on a line of its own."""
    notes: list[str] = []
    lone = ""
    for line in lines:
        if len(line.strip("() ")) <= 1:
            lone = line
            continue
        notes += _NOTES.split(f"{lone} {line}".strip())
        lone = ""
    return notes


@dataclass(frozen=True, slots=True)
class Said:
    """A rating that a text gives to everything below or beside it; `unit` as printed."""

    quantity: Quantity
    kind: Kind
    value: float
    unit: str
    text: str


def texts_to_ambients(texts: Iterable[str]) -> list[float]:
    """Room temperatures in texts, one for each time they stand there."""
    found = []
    for text in texts:
        for match in _TEMPERATURE.finditer(fold(text)):
            value = float(match[1] or match[2])
            if is_room_of_a_column(value):
                found.append(value)
    return found


def table_to_ambient_votes(table: Table) -> Counter[float]:
    """What a table of ratings says of its reference ambient: its headings most, its caption, its notes."""
    votes: Counter[float] = Counter()
    heads = [a.candidate.head for a in table.assigned if a.meaning in (Meaning.HOLD, Meaning.TRIP)]
    for weight, texts in ((6, heads), (4, table.grid.captions[:2]), (1, table.grid.notes)):
        for value in set(texts_to_ambients(texts)):
            votes[value] += weight
    return votes


def text_to_said(text: str) -> tuple[Said, ...]:
    """Ratings that a text states: the symbol or words of a voltage or current, an equals sign, a number, a
    unit."""
    folded = fold(text)
    if _OF_SOME.search(folded):
        return ()
    pieces = _PIECES.split(text)
    found = tuple(said for piece in pieces for said in _piece_to_said(piece, len(folded), text))
    return found or tuple(_values_first(folded, text))


def _values_first(folded: str, text: str) -> Iterator[Said]:
    """A voltage and a current before the words of a fault current, which show what both are: "Maximum 60
    volts d.c. — 40 amperes fault current"."""
    match = _FIRST.search(folded)
    if match is None:
        yield from _alone_with_words(folded, text)
        return
    volts, amps = spelling_to_unit(match["v"]), spelling_to_unit(match["a"])
    hits = text_to_hits(folded[match.end() :])
    named = {hit.name for hit in hits if hit.sense == "quantity" and hit.start < 2}
    if volts is None or amps is None or Quantity.MAX_CURRENT.value not in named:
        return
    supply = (match["of_v"] or "").replace(".", "").replace(" ", "")
    for quantity, value, unit, kind in (
        (Quantity.MAX_VOLTAGE, match["volts"], volts, Kind(supply) if supply else Kind.NONE),
        (Quantity.MAX_CURRENT, match["amps"], amps, Kind.NONE),
    ):
        printed = _as_printed(text, match, "v" if quantity is Quantity.MAX_VOLTAGE else "a")
        yield Said(quantity, kind, float(value.replace(",", ".")) * float(unit.factor), printed, text)


_FIRST = re.compile(
    r"(?<![\w.,])(?P<volts>\d+(?:[.,]\d+)?)\s*(?P<v>volts?|v)\s*(?P<of_v>[ad]\.?\s?c\.?)?\s*(?:max\w*\.?)?"
    r"\s*[-/,;·]\s*(?P<amps>\d+(?:[.,]\d+)?)\s*(?P<a>amp(?:ere)?s?|k?a)(?!\w)\s*"
)


def _alone_with_words(folded: str, text: str) -> Iterator[Said]:
    """A limit that is the whole text, its words behind it: "60 volts d.c. maximum"."""
    for pattern, quantity in ((_VOLTS_MAX, Quantity.MAX_VOLTAGE), (_AMPS_FAULT, Quantity.MAX_CURRENT)):
        match = pattern.fullmatch(folded.strip())
        unit = spelling_to_unit(match["unit"]) if match is not None else None
        if match is not None and unit is not None:
            supply = (match["of"] or "").replace(".", "").replace(" ", "")
            value = float(match["value"].replace(",", ".")) * float(unit.factor)
            yield Said(quantity, Kind(supply) if supply else Kind.NONE, value, match["unit"], text)


_VOLTS_MAX = re.compile(
    r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>volts?|v)\s*(?P<of>[ad]\.?\s?c\.?)?\s*max(?:\.|imum)?"
)
_AMPS_FAULT = re.compile(
    r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>amp(?:ere)?s?|k?a)\s*(?P<of>[ad]\.?\s?c\.?)?\s*"
    r"(?:max(?:\.|imum)?\s*)?fault(?:\s*current)?(?:\s*max(?:\.|imum)?)?"
)


def text_says_all(text: str) -> bool:
    """Whether a text says that it holds for all parts of the sheet: "All types: Vmax 30 V"."""
    folded = fold(text)
    return any(_holds_word(folded, fold(word)) for word in priors()["scope"]["all"])


def _holds_word(text: str, word: str) -> bool:
    begins = r"(?<![^\W\d_])" if word.isascii() else ""
    return re.search(begins + re.escape(word), text) is not None


def text_excepts(text: str) -> bool:
    """Whether a text says that something does not hold for all it speaks of."""
    return bool(_EXCEPTS.search(_AS_ALWAYS.sub(" ", fold(text))))


def _bare_volts(folded: str, piece: str, text: str) -> Iterator[Said]:
    """The voltage of a piece that names nothing else: "maximum 16 V DC"."""
    match = _BARE_VOLTS.search(folded)
    unit = spelling_to_unit(match["unit"]) if match is not None else None
    if match is not None and unit is not None and not any(h.sense == "quantity" for h in text_to_hits(piece)):
        kind = Kind(match["of"] + "c") if match["of"] else Kind.NONE
        value = float(match["value"].replace(",", ".")) * float(unit.factor)
        yield Said(Quantity.MAX_VOLTAGE, kind, value, _as_printed(piece, match, "unit"), text)


_RATES_BOTH = re.compile(r"\d\s*v[^\d]*[,;/].{0,40}\d\s*k?a(?!\w)")
"""A fault current stands behind the voltage: both limits of one band. Alone it rates only the part that a
note names before a colon."""
_SERIES = "|".join(map(re.escape, priors()["naming"]["series"]))
_BARE_VOLTS = re.compile(
    rf"(?:^[\W\d]*|(?:{_SERIES}|types?|typ)\s[\w-]{{1,12}}\s*[:—–-]\s*)(?:{any_of('at_most')})\s*"
    r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>volts?|v)\s*(?:(?P<of>[ad])\.?\s?c\.?)?\s*[.,;]?$"
)


def _piece_to_said(piece: str, length: int, text: str) -> Iterator[Said]:
    """The ratings in one piece of a text of some length that no comma parts: "Umax 16 V" of "Umax 16 V, Imax
    100 A"; a symbol needs no equals sign, words need one in a long text."""
    folded = fold(piece)
    if _RATES_BOTH.search(fold(text)) or re.match(rf"[\W{_RAISED_MARKS}]*[:：]\s*\w", piece):
        yield from _bare_volts(folded, piece, text)
    for hit in text_to_hits(piece):
        if hit.sense != "quantity" or Quantity(hit.name) not in _SAID:
            continue
        match = _hit_to_rating(hit, folded, hit.end - hit.start <= SYMBOL or length <= SHORT_TEXT)
        unit = spelling_to_unit(match[2]) if match is not None else None
        if match is None or unit is None or unit.base != _SAID[Quantity(hit.name)]:
            continue
        factor = float(unit.factor)
        power = Quantity(hit.name) is Quantity.TRIPPED_POWER
        words = piece if power else match[3].rstrip(_RAISED_MARKS)
        kinds = hits_to_kinds(text_to_hits(words)) & set(_POWERS if power else _SUPPLIES)
        kind = kinds.pop() if len(kinds) == 1 else Kind.NONE
        value = float(match[1].replace(",", ".")) * factor
        yield Said(Quantity(hit.name), kind, value, _as_printed(piece, match, 2), text)
        other = _OTHER_SUPPLY.match(folded, match.end(2))
        if other is not None and kind is not Kind.NONE and other["of"] != kind.value:
            value = float(other["value"].replace(",", ".")) * factor
            yield Said(Quantity(hit.name), Kind(other["of"]), value, _as_printed(piece, other, "unit"), text)


def _hit_to_rating(hit: Hit, folded: str, is_short: bool) -> re.Match[str] | None:
    """The value behind a wording: right behind it in a short text; in a long one behind an equals sign, or
    all the rest."""
    match = (_SHORT_RATING if is_short else _RATING).match(folded, hit.end)
    return _whole_rating(folded, hit) if match is None and not is_short else match


def _whole_rating(folded: str, hit: Hit) -> re.Match[str] | None:
    """The rating of a piece of a long text that is nothing else: "All types: operating voltage max. 60 V"."""
    match = _MAX_RATING.match(folded, hit.end)
    before = re.split(r"[:：—–]", folded[: hit.start])[-1].strip(" .")
    if match is None or (before and not all(h.sense in ("kind", "limit") for h in scan(before))):
        return None
    rest = folded[match.end() :].strip()
    return match if not rest or match[3].endswith((".", "。")) or rest[0] in ".(。（" else None


_MAX_RATING = re.compile(r"\s*(?:max\.?|maks\.?)?" + _VALUE)


def _as_printed(text: str, match: re.Match[str], group: int | str) -> str:
    """A group of a match in the folded text, as the text prints it."""
    same_length = len(text) == len(match.string)
    return (text if same_length else match.string)[match.start(group) : match.end(group)].strip()


_RAISED_MARKS = "⁰¹²³⁴⁵⁶⁷⁸⁹ᵃᵇᶜ*†‡"
_PIECES = re.compile(
    r"(?<=[VvAaCc]),\s+|;\s+"
    r"|(?:(?<=\d\s[VA])|(?<=\d\sV\s[AD]C))\s+(?=[^\s=]{1,8}\s*=|[IUV]\S{1,6}\s\d)"
)
_PAIR = re.compile(
    r"(?P<volts>\d+(?:[.,]\d+)?)\s*(?P<v>v\s*(?P<of_v>dc|ac)?)\s*[/,;]\s*"
    r"(?P<amps>\d+(?:[.,]\d+)?)\s*(?P<a>a\s*(?P<of_a>dc|ac|rms)?)(?![a-z])"
)


def lines_to_limits(lines: Sequence[str]) -> tuple[Said, ...]:
    """Limits as bare volts and amperes below a line that speaks of maximum ratings: "30 VDC / 100 A DC"."""
    found = []
    for number, line in enumerate(lines):
        text = line.strip().rstrip(".")
        match = _PAIR.fullmatch(fold(text))
        above = " ".join(lines[max(0, number - 3) : number])
        if match is None or not any(hit.sense == "limit" for hit in text_to_hits(above)):
            continue
        kinds = [
            Kind(word) if word in ("ac", "dc") else Kind.AC if word else Kind.NONE
            for word in (match["of_v"], match["of_a"])
        ]
        for quantity, value, kind, unit in (
            (Quantity.MAX_VOLTAGE, match["volts"], kinds[0], "v"),
            (Quantity.MAX_CURRENT, match["amps"], kinds[1], "a"),
        ):
            printed = _as_printed(text, match, unit)
            found.append(Said(quantity, kind, float(value.replace(",", ".")), printed, line))
    return tuple(found)


_SAID = {
    Quantity.MAX_VOLTAGE: "V",
    Quantity.MAX_CURRENT: "A",
    Quantity.MAX_INTERRUPT_VOLTAGE: "V",
    Quantity.TRIPPED_POWER: "W",
}
_SUPPLIES, _POWERS = (Kind.AC, Kind.DC), (Kind.TYP, Kind.MAX)
