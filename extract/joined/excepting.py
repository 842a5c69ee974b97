"""Limits that one sentence shares out among parts: a value for all, another for those that it names.

Comes in: the sheet's sentences, Named tables, all parts. Goes out: Drafts of both, and the sheet's text
without these sentences, so that no other rule takes one of the values for all. A sentence of two limits in
the same unit shares out nothing here.

    Vmax 60 V for all types but TQ60-375 and TQ60-500, which are rated 30 V
    100 A, except TQ30-090 and TQ30-135: 40 A          the caption of one table: of its parts
    1.0 W maximum for TQ-020 through TQ-090 and 2.2 W for the larger types
    All types 6 V DC, except those marked * : 15 V DC
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.cells.tables import Cell
from extract.joined.conditions import text_says_all
from extract.joined.drafts import Draft, Named, Sentence, SheetText
from extract.joined.part_names import label_to_parts, letters_of
from extract.joined.plainly_said import EXPLAINED
from extract.joined.sentence_parts import Names, Scope, names_in, place_of, scope_of
from extract.meanings.left_over import text_to_left_over, text_to_quantities
from extract.meanings.words import hits_to_kinds, priors, text_to_hits
from extract.note_exceptions import DATE
from extract.schema import Kind, Quantity
from extract.vocabulary import Hit, fold, unit_of_quantity

LIMITS = (
    Quantity.MAX_VOLTAGE,
    Quantity.MAX_CURRENT,
    Quantity.MAX_INTERRUPT_VOLTAGE,
    Quantity.TRIPPED_POWER,
)
TWICE = "printed_twice_and_different"
MOST_WORDS = 45
SHORTEST_PIECE = 12
"""A line that holds so many letters of a sentence's beginning or end holds that piece of it."""
_SUPPLY = re.compile(r"\W{0,2}([ad])\.?\s?c\b|(?<=\dv)([ad])c\b|(?<=\d v)([ad])c\b")
_SUPPLY_FIRST = re.compile(r"(?<![a-z])[ad]\.?\s?c\.?[:\s]+\d")
_STOP = re.compile(r"(?<=[^.]\.)\s+(?=[A-ZÀ-ÝА-Я])|\s+(?=[•■◆●▪]\s?)")
_UNFINISHED = re.compile(r"[,;:]$|(?<=\s)(?:and|und|et|y|e|i|en|och|og|а|и)$")
_HYPHENS = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2212\uff0d"), "-")


@dataclass(frozen=True, slots=True)
class Shared:
    """A limit shared out: the value of each part; whether every word of the sentence is understood."""

    quantity: Quantity
    kind: Kind
    unit: str
    values: dict[str, float]
    sure: bool


def sheet_to_excepting(
    named: Sequence[Named], parts: Sequence[str], sheet: SheetText
) -> tuple[list[Draft], SheetText]:
    """Drafts of all sentences that share out a limit, and the sheet's text without these sentences."""
    drafts: dict[tuple[str, Quantity], Draft] = {}
    for entry in [entry for entry in named if not entry.further]:
        own = tuple(dict.fromkeys(part for item in entry.items for part in item))
        scope = Scope(own, _labels(entry), True)
        for sentence, piece, shared in _shared_of(_captions(entry, sheet), scope):
            _add(drafts, _shared_to_drafts(shared, piece, sentence, entry, own))
    used = {draft.cell.text for draft in drafts.values()}
    rest = _without(sheet, used)
    for page in sorted({sentence.content.number for sentence in sheet.sentences}) if named else ():
        scope, entry = _page_to_scope(page, named, parts)
        here = [s for s in (*rest.sentences, *rest.paragraphs) if s.content.number == page]
        for sentence, piece, shared in _shared_of(here, scope):
            _add(drafts, _shared_to_drafts(shared, piece, sentence, entry, scope.parts))
            used.add(piece)
    return list(drafts.values()), _without(sheet, used)


def _page_to_scope(page: int, named: Sequence[Named], parts: Sequence[str]) -> tuple[Scope, Named]:
    """The parts that the tables of a page rate, all of the sheet where it has none; with the first table."""
    here = [entry for entry in named if entry.table.grid.page == page and not entry.further]
    own = {part for entry in here for item in entry.items for part in item}
    listed = tuple(part for part in parts if not own or part in own)
    labels = {part: text for entry in here or named for part, text in _labels(entry).items()}
    return Scope(listed, labels, len({_stem(part) for part in listed}) == 1), (here or named)[0]


def _add(drafts: dict[tuple[str, Quantity], Draft], found: Iterable[Draft]) -> None:
    """Add drafts; what was given first stays, doubted if another sentence gives another value."""
    for draft in found:
        key = (draft.part, draft.quantity)
        first = drafts.setdefault(key, draft)
        if first.value != draft.value and TWICE not in first.doubts:
            drafts[key] = replace(first, doubts=(*first.doubts, TWICE))


def _stem(part: str) -> str:
    stem = re.match(r"[^-–/. ]+(?=[-–/. ])", part)
    return stem[0] if stem else letters_of(part)


def _labels(entry: Named) -> dict[str, str]:
    """The texts of the labels of each part of a table, as printed."""
    found: dict[str, str] = {}
    for item, own in enumerate(entry.items):
        cells = (series.entries[item].cell for series in entry.table.labels)
        text = " ".join(cell.text for cell in cells if cell is not None)
        found |= dict.fromkeys(own, text)
    return found


def _captions(entry: Named, sheet: SheetText) -> list[Sentence]:
    """The sentences that stand over a table, a heading or a line of its captions among them."""
    grid = entry.table.grid
    captions = [text for text in grid.captions[:2] if len(text) >= SHORTEST_PIECE]
    return [
        sentence
        for sentence in (*sheet.sentences, *sheet.paragraphs)
        if sentence.content is grid.content
        and sentence.box[1] < grid.box[1]
        and any(text in sentence.text or sentence.text in text for text in captions)
    ]


def _shared_of(sentences: Sequence[Sentence], scope: Scope) -> Iterator[tuple[Sentence, str, Shared]]:
    """The shared limits of sentences; of a piece that another line goes on, only as the longer one has it."""
    pieces = [(s, piece.strip()) for s in sentences for piece in _text_to_pieces(s.text)]
    found = [
        (s, piece, _text_to_shared(piece, scope)) for s, piece in pieces if not _UNFINISHED.search(piece)
    ]
    for sentence, piece, shared in found:
        longer = [o for s, text, o in found if text != piece and text.startswith(piece)]
        for one in shared:
            agreed = all(_find(one, other) for other in longer)
            if agreed:
                yield sentence, piece, one


def _text_to_pieces(text: str) -> Iterator[str]:
    """The sentences of a text; behind a semicolon, or a full stop of Han and kana, one goes on that names no
    limit of its own."""
    for piece in _STOP.split(text):
        whole = ""
        for part in re.split(r"(?<=[。；;])", piece):
            own = any(hit.sense == "quantity" for hit in text_to_hits(part))
            if whole and own:
                yield whole
                whole = ""
            whole += part
        yield whole


def _find(shared: Shared, others: Sequence[Shared]) -> bool:
    return any(o.quantity is shared.quantity and o.values == shared.values for o in others)


def _text_to_shared(text: str, scope: Scope) -> list[Shared]:
    """The limits that one sentence shares out."""
    folded = fold(text.translate(_HYPHENS))
    amounts = text_to_quantities(folded)
    if len(amounts) < 2 or len(text.split()) > MOST_WORDS or DATE.search(text):
        return []
    hits = [hit for hit in text_to_hits(folded) if hit.sense == "quantity"]
    shared = []
    for quantity in LIMITS:
        values = _values_of(quantity, hits, amounts)
        if values:
            shared += _values_to_shared(quantity, values, text, folded, scope)
    return shared


Amount = tuple[int, int, float, str, str]
_THAN = re.compile(rf"(?<![^\W\d_])(?:{'|'.join(map(re.escape, priors()['scope']['than']))})(?![^\W\d_])")
_ONLY = re.compile(rf"(?<![^\W\d_])(?:{'|'.join(map(re.escape, priors()['scope']['only']))})(?![^\W\d_])")
_BETWEEN = re.compile(rf"\s*(?:[-–—/~…]|{'|'.join(map(re.escape, priors()['scope']['either']))})\s*")


def _are_alternatives(folded: str, values: Sequence[Amount]) -> bool:
    """Whether nothing but a sign or a word of a range or a choice stands between two values: "30 V to 60
    V"."""
    return any(_BETWEEN.fullmatch(folded[a[1] : b[0]]) is not None for a, b in pairwise(values))


def _values_of(quantity: Quantity, hits: Sequence[Hit], amounts: Sequence[Amount]) -> list[Amount]:
    """The values of a limit that a text names before the second of them; none where it names another limit of
    the same unit."""
    base = unit_of_quantity(quantity)
    values = [amount for amount in amounts if amount[3] == base]
    named = {Quantity(hit.name): hit.start for hit in reversed(hits)}
    rivals = [one for one in named if one in LIMITS and unit_of_quantity(one) == base]
    if len(values) < 2 or rivals != [quantity]:
        return []
    return values if named[quantity] < values[1][0] else []


def _values_to_shared(
    quantity: Quantity, values: Sequence[Amount], text: str, folded: str, scope: Scope
) -> list[Shared]:
    """Who gets which of the values of a limit."""
    names = names_in(folded, scope)
    everyone = scope_of(text, folded, names, scope)
    tell = _names_to_given if place_of(folded, "rest") is None else _others_to_given
    given = tell(folded, values, names, everyone)
    if not given or len(set(given.values())) < 2:
        return []
    if _THAN.search(folded) or _are_alternatives(folded, values):
        return []
    supplies = {_supply(folded, end) for _, end, *_ in values}
    limits = hits_to_kinds(text_to_hits(folded)) & {Kind.MAX, Kind.TYP}
    mixed = quantity is Quantity.TRIPPED_POWER and len(limits) > 1
    own = scope.whole or set(given) != set(scope.parts)
    sure = len(supplies) == 1 and not mixed and own and _is_understood(text, names, scope, len(values))
    return [Shared(quantity, _kind_of(quantity, folded, supplies), values[0][4], given, sure)]


def _others_to_given(
    folded: str, values: Sequence[Amount], names: Names, everyone: Sequence[str]
) -> dict[str, float]:
    """One value for the parts named, one for those that the text calls the others."""
    rest = place_of(folded, "rest")
    if rest is None or len(values) != 2 or not names:
        return {}
    listed = {part for _, part in names}
    sides = [[at < values[1][0] for at, _ in names], [at > rest for at, _ in names]]
    if any(0 < sum(side) < len(side) for side in sides):
        return {}
    mine, theirs = (values[0][2], values[1][2])[:: 1 if rest > names[0][0] else -1]
    return {part: mine if part in listed else theirs for part in everyone}


def _names_to_given(
    folded: str, values: Sequence[Amount], names: Names, everyone: Sequence[str]
) -> dict[str, float]:
    """The first value for all but those named, who get the value behind their names, or before them where
    there are two values; or every value for the parts that stand before it, or behind it."""
    starts = [start for start, *_ in values]
    groups = _names_by_value(names, starts)
    but = place_of(folded, "but")
    if but is not None and but < starts[0]:
        return {}
    excepts = not groups[0] and ((but is not None and but > starts[0]) or text_says_all(folded))
    told = _exceptions_to_given(groups, values, everyone) if excepts else {}
    if told or (excepts and but is not None):
        return told if groups[1] or (but is not None and but < starts[1]) else {}
    own, rest = (groups[:-1], groups[-1]) if groups[0] else (groups[1:], [])
    listed = [part for group in own for part in group]
    if rest or not all(own) or len(set(listed)) < len(listed):
        return {}
    return {part: value[2] for group, value in zip(own, values, strict=True) for part in group}


def _names_by_value(names: Names, starts: Sequence[int]) -> list[list[str]]:
    """The names before the first value, and behind each."""
    groups: list[list[str]] = [[] for _ in range(len(starts) + 1)]
    for at, part in names:
        groups[sum(start <= at for start in starts)].append(part)
    return groups


def _exceptions_to_given(
    groups: Sequence[Sequence[str]], values: Sequence[Amount], everyone: Sequence[str]
) -> dict[str, float]:
    between, after = groups[1:-1], groups[-1]
    if len(values) == 2 and after and not between[0]:
        between, after = [after], ()
    listed = [part for group in between for part in dict.fromkeys(group)]
    if not all(between) or set(after) - set(listed) or len(set(listed)) < len(listed):
        return {}
    told = {part: v[2] for group, v in zip(between, values[1:], strict=True) for part in group}
    return {part: told.get(part, values[0][2]) for part in everyone}


def _supply(folded: str, end: int) -> str:
    if re.search(r"(?<![a-z])(?:rms|eff)(?![a-z])", folded) or _SUPPLY_FIRST.search(folded):
        return f"unsure {end}"
    match = _SUPPLY.match(folded, end)
    return next((letter for letter in match.groups() if letter), "") if match is not None else ""


def _kind_of(quantity: Quantity, folded: str, supplies: set[str]) -> Kind:
    """The kind that a sentence gives to its limit: alternating or direct; typical or largest for a power."""
    if quantity is Quantity.TRIPPED_POWER:
        kinds = hits_to_kinds(text_to_hits(folded)) & {Kind.MAX, Kind.TYP}
        return kinds.pop() if len(kinds) == 1 else Kind.NONE
    return {"a": Kind.AC, "d": Kind.DC}.get("".join(sorted(supplies)), Kind.NONE)


def _is_understood(text: str, names: Names, scope: Scope, count: int) -> bool:
    """Whether nothing is left of a sentence but words of exception, the parts it speaks of and so many
    values: one in another unit is a condition."""
    codes = re.findall(r"[A-Z]{1,5}\d{2,4}", text)
    codes = [code for code in codes if label_to_parts(code, scope.parts).names]
    listed = [*{part for _, part in names}, *codes]
    explained = {*EXPLAINED, *(limit.value for limit in LIMITS)}
    if len(text_to_quantities(fold(text))) > count or _ONLY.search(fold(text)):
        return False
    left = text_to_left_over(text.translate(_HYPHENS), explained, count, listed)
    words = (*priors()["scope"]["but"], *priors()["scope"]["of_such"], *priors()["scope"]["rest"])
    known = {piece for word in words for piece in fold(word).split()}
    ranges = (word for words in priors()["ranges"].values() for word in words)
    known |= {piece for word in ranges for piece in fold(word).split()}
    return all(not _rest_of(token, known) for token in left.split())


def _rest_of(token: str, known: set[str]) -> str:
    """What is left of a word, of a script without blanks without the known words in it."""
    for word in sorted(known, key=len, reverse=True) if token not in known and not token.isascii() else ():
        token = token if re.match(r"[a-zà-ɏа-я]", word) else token.replace(word, "")
    return "" if token in known else token


def _shared_to_drafts(
    shared: Shared, piece: str, sentence: Sentence, entry: Named, parts: Sequence[str]
) -> Iterator[Draft]:
    doubts = () if shared.sure else ("said_in_text",)
    for part in parts:
        if part in shared.values:
            yield Draft(
                entry.table, part, shared.quantity, shared.kind, shared.values[part], Cell(piece, ()),
                shared.unit, doubts=doubts, notes=("said in a caption",), at=sentence,
            )  # fmt: skip


def _without(sheet: SheetText, used: set[str]) -> SheetText:
    """The sheet's text without some sentences, or the pieces of them that its lines hold."""
    if not used:
        return sheet
    sentences = tuple(replace(s, text=_cut_all(s.text, used)) for s in sheet.sentences)
    paragraphs = tuple(replace(s, text=_cut_all(s.text, used)) for s in sheet.paragraphs)
    return replace(sheet, sentences=sentences, paragraphs=paragraphs)


def _cut_all(text: str, pieces: Iterable[str]) -> str:
    for piece in pieces:
        text = _cut(text, piece)
    return text


def _cut(text: str, piece: str) -> str:
    """A text without a sentence, or without the beginning or end of it that it ends or begins with."""
    if piece in text:
        return text.replace(piece, " ").strip()
    for length in range(min(len(text), len(piece)), SHORTEST_PIECE - 1, -1):
        if text.endswith(piece[:length]):
            return text[:-length].strip()
        if text.startswith(piece[-length:]):
            return text[length:].strip()
    return text
