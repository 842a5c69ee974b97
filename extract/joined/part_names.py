"""Part numbers as texts: what can be one, which parts a label stands for, who is the sheet's only part.

Comes in: texts, Tables. Goes out: part numbers as printed, without marks. A part number is never made of
values: it has letters, or is a code under a heading that says part number. Chooses no column: item_names.py
does.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from extract.cells.temperatures import text_to_bare_ambient
from extract.joined.name_forms import is_number_in_groups
from extract.meanings.tables import Table
from extract.meanings.words import priors, text_to_hits
from extract.vocabulary import fold

_MARKS = re.compile(r"[\s*†‡§#⁰-⁹¹²³ᵃᵇᶜ]+$|\s*\((?:\d|note \d|[a-c])\)$|[⁰-⁹¹²³ᵃᵇᶜᵈᵉᶠ]+[)⁾]$")
_UNOPENED = re.compile(r"(?<=\d)[a-z]\)$|\s[a-z\d]\)$")  # "AB-220a)": nothing opens the bracket
_BROKEN = re.compile(r"(?<=[A-Za-z\d])-\s+(?=[A-Z\d])")  # "AB-2920-" and "030" on the line below
_HYPHENS = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2212\uff0d"), "-")


DITTOS = "\"'”“″〃"
"""A text that begins with one is no whole name."""


def text_to_name(text: str) -> str:
    """A label without footnote marks, with one sort of hyphen."""
    text = unicodedata.normalize("NFC", text.translate(_HYPHENS)).strip()
    text = _BROKEN.sub("-", text)
    if "(" not in text:
        text = _UNOPENED.sub("", text)
    while (shorter := _MARKS.sub("", text)) != text:
        text = shorter
    return " ".join(text.split())


def name_to_key(name: str) -> str:
    """A part number as it is compared: letters and digits only, upper case."""
    return re.sub(r"[^A-Z0-9]", "", unicodedata.normalize("NFKC", name).upper())


def may_name_a_part(text: str, headed: bool = False) -> bool:
    """Whether a text can be a part number: it has a digit and no value or temperature is spelled by it;
    `headed` if the heading says part number."""
    name = text_to_name(text)
    if headed and is_number_in_groups(name):
        return True
    if not name or name[0] in DITTOS or not re.search(r"\d", name) or len(name) > 40:
        return False
    if text_to_bare_ambient(name) is not None:
        return False
    if re.fullmatch(r"[\d.,\s/~…–-]+", name):
        return bool(re.fullmatch(r"\d{4,}", name))
    return not re.fullmatch(r"[\d.,]+\s*(?:[A-Za-zΩ%°]{1,4}|[\u2e80-\uffff]+)", name)


def says_part(head: str) -> bool:
    """Whether a heading says part number."""
    return any(hit.sense == "part_number" for hit in text_to_hits(head))


def says_order(head: str) -> bool:
    """Whether a heading says that the number is one to order by; "art no" does not stand in "part no"."""
    return bool(_order_spans(head))


def says_order_first(head: str) -> bool | None:
    """Whether a heading of two numbers names that to order by before the part number; None if it does not
    name both."""
    orders = _order_spans(head)
    hits = (hit for hit in text_to_hits(head) if hit.sense == "part_number")
    parts = [h.start for h in hits if not any(start < h.end and h.start < end for start, end in orders)]
    return min(orders)[0] < min(parts) if orders and parts else None


def _order_spans(head: str) -> list[tuple[int, int]]:
    words = (re.escape(word) for word in priors()["naming"]["order"])
    found = (re.search(rf"(?<![a-zà-ÿа-я]){word}", fold(head)) for word in words)
    return [match.span() for match in found if match is not None]


def sheet_to_single_part(tables: Sequence[Table], texts: Sequence[str]) -> str:
    """The part number of a sheet of one part: named on its cover or in its frame beside words that say so,
    under a heading that says part number, or met again and again; empty if two are as likely."""
    votes: Counter[str] = Counter()
    names: dict[str, str] = {}
    for name, value in (
        *_labelled(texts),
        *_headed(tables),
        *_repeated(texts),
        *_titled(texts),
    ):
        if may_name_a_part(name) and re.search(r"[A-Za-z]", name):
            votes[name_to_key(name)] += value
            names.setdefault(name_to_key(name), name)
    ranked = votes.most_common(2)
    if not ranked or ranked[0][1] < 3 or (len(ranked) > 1 and ranked[1][1] >= ranked[0][1]):
        return ""
    return names[ranked[0][0]]


def _titled(texts: Sequence[str]) -> Iterator[tuple[str, int]]:
    """Part numbers of two words that are a line of their own, as a title is: "TQ 1206-110/8"; no standard."""
    for text in dict.fromkeys(texts):
        match = _TITLE.fullmatch(text.strip())
        if match is not None and match[1].lower() not in priors()["naming"]["no_series"]:
            yield text.strip(), 3


_TITLE = re.compile(r"([A-Z]{2,6}) (?=\S*\d)(?=\S*[-/.])[A-Z\d][A-Z\d./-]{3,15}")


def is_title_alone(name: str, tables: Sequence[Table], texts: Sequence[str]) -> bool:
    """Whether nothing but a title says that a text is the sheet's only part."""
    said = (*_labelled(texts), *_headed(tables), *_repeated(texts))
    return not any(name_to_key(other) == name_to_key(name) for other, _ in said)


def headed_names(tables: Sequence[Table]) -> set[str]:
    """Keys of all names below a heading that says part number."""
    return {name_to_key(name) for name, _ in _headed(tables) if may_name_a_part(name)}


def captions_to_part(table: Table, headed: set[str]) -> str:
    """The part that the texts above a table without names are about: labelled as one, listed as one
    elsewhere, or the nearest code of letters and digits; empty if one text holds two."""
    grid = table.grid
    texts = [*dict.fromkeys(head.text for head in grid.heads), *grid.captions]
    votes: dict[str, float] = {}
    names: dict[str, str] = {}
    series = _series_keys(table)
    for distance, text in enumerate(texts):
        labelled = {name_to_key(name) for name, _ in _labelled([text])}
        codes = (match[0] for match in CODE.finditer(text) if not _is_of_a_document(text[: match.start()]))
        for code in {*codes, *(name for name, _ in _labelled([text]))}:
            name = text_to_name(code)
            key = name_to_key(name)
            if may_name_a_part(name) and re.search(r"[A-Za-z]{2}", name) and key not in series:
                names.setdefault(key, name)
                alone = name_to_key(text) == key
                said = 1 + 3 * (key in labelled) + 4 * (key in headed) + 2 * alone - 0.01 * distance
                votes[key] = max(votes.get(key, 0.0), said)
    ranked = sorted(votes, key=lambda key: -votes[key])[:2]
    if not ranked or (len(ranked) > 1 and votes[ranked[0]] == votes[ranked[1]]):
        return ""
    return names[ranked[0]]


def _series_keys(table: Table) -> set[str]:
    """Keys of what stands beside the word "series": no part."""
    return {
        name_to_key(text)
        for label in table.labels
        if any(hit.name == "series" for hit in text_to_hits(label.head))
        for text in label.filled
    }


def _is_of_a_document(before: str) -> bool:
    """Whether the words before a code say that it numbers a document: "Specification QRS-0093"."""
    words = re.findall(r"[^\W\d_]+", fold(before))
    while words and words[-1] in ("no", "nr", "number", "n", "num"):
        words.pop()
    return bool(words) and words[-1] in priors()["naming"]["document"]


def _labelled(texts: Sequence[str]) -> Iterator[tuple[str, int]]:
    """Names beside words that say part number."""
    for text in texts:
        for match in _LABELLED.finditer(fold(text)):
            yield text_to_name(text[match.start(1) : match.end(1)]).strip(".,;:"), 3


def texts_to_labelled(texts: Sequence[str]) -> str:
    """The one part number that texts name beside words that say so; empty if there is none or several."""
    names = {name_to_key(name): name for name, _ in _labelled(texts) if may_name_a_part(name)}
    names = {key: name for key, name in names.items() if re.search(r"[A-Z]", key)}
    return next(iter(names.values())) if len(names) == 1 else ""


def _headed(tables: Sequence[Table]) -> Iterator[tuple[str, int]]:
    """Names below a heading that says part number."""
    for table in tables:
        for series in table.labels:
            if says_part(series.head):
                yield from ((text_to_name(text), 3) for text in series.filled)


def _repeated(texts: Sequence[str]) -> Iterator[tuple[str, int]]:
    """Codes of letters and digits that stand several times on the sheet."""
    codes = Counter(code for text in texts for code in set(CODE.findall(text)))
    yield from ((code, min(count, 4) - 1) for code, count in codes.items() if count > 1)


CODE = re.compile(r"(?<![\w./-])[A-Z]{1,6}[A-Z0-9/.\-]*\d[A-Z0-9/.\-]*[A-Z0-9](?![\w])")


_LABELLED = re.compile(
    r"(?:"
    + "|".join(re.escape(fold(word)) for word in sorted(priors()["naming"]["cover"], key=len, reverse=True))
    + r")\s*[:：.]?\s*([a-z0-9][a-z0-9/.\-‐‑]{3,}[a-z0-9])"
)


_CODED = re.compile(r"[^\W\d_]+\d|\d{3}")
"""A word of a label that names something by itself: of two such words neither stands for the label alone
("AB1 080 60V" is no label of all AB1)."""


@dataclass(frozen=True, slots=True)
class Joined:
    """The parts a label stands for; `how` it was joined; `sure` if nothing else fits."""

    names: tuple[str, ...]
    how: str
    sure: bool


_THROUGH = "|".join(map(re.escape, sorted(priors()["ranges"]["through"], key=len, reverse=True)))
_RANGE = re.compile(
    r"\s*(?:…|\.\.\.|~|〜|～|至|到|から|"
    + rf"(?<!\w)(?:{_THROUGH})(?:\s*/\s*(?:{_THROUGH}))*(?!\w)"
    + r"|(?<=\s)[-–](?=\s)|–|—)\s*"
)
_LIST = re.compile(r"\s*[,;、+&]\s*|\s+(?:and|und|et|e|y|i)\s+")


def label_to_parts(label: str, parts: Sequence[str]) -> Joined:
    """The parts a label of another table names: one, several by a list or a range, by a common beginning, by
    a short code within the part number."""
    name = text_to_name(label)
    by_key = {name_to_key(part): part for part in parts}
    key = name_to_key(name)
    open_range = _open_range_to_parts(name, parts)
    if open_range:
        return Joined(open_range, "range", True)
    if key in by_key:
        return Joined((by_key[key],), "same", True)
    each = [by_key.get(name_to_key(word), "") for word in name.split()]
    if len(each) > 1 and all(each):
        return Joined(tuple(dict.fromkeys(each)), "list", True)
    for split, how in ((_RANGE, "range"), (_LIST, "list")):
        pieces = [piece for piece in split.split(name) if piece]
        if len(pieces) >= 2:
            joined = _pieces_to_parts(pieces, parts, how)
            if joined:
                return Joined(joined, how, True)
    within = _short_name_to_parts(name, parts)
    return Joined(within, "code" if within else "none", bool(within))


def _short_name_to_parts(name: str, parts: Sequence[str]) -> tuple[str, ...]:
    """The parts that a label stands for by a short code: all of it, or a word where no more than one has
    digits."""
    within = _short_code_to_parts(name_to_key(name), parts)
    words = name.split()
    for word in words if not within and sum(bool(_CODED.search(word)) for word in words) < 2 else ():
        within = within or _short_code_to_parts(name_to_key(word), parts)
    return within


def _open_range_to_parts(name: str, parts: Sequence[str]) -> tuple[str, ...]:
    """The parts from one on, or up to one, of those that begin with the same letters: "AB30-250 and up"."""
    folded = fold(name)
    for words, is_up in ((priors()["ranges"]["up"], True), (priors()["ranges"]["down"], False)):
        rest = next(
            (folded.replace(fold(word), " ", 1) for word in words if _holds(folded, fold(word))), None
        )
        own = [part for part in parts if rest is not None and name_to_key(rest) == name_to_key(part)]
        if own:
            letters = letters_of(own[0])
            place = parts.index(own[0])
            found = parts[place:] if is_up else parts[: place + 1]
            return tuple(part for part in found if letters_of(part) == letters)
    return ()


def _holds(text: str, word: str) -> bool:
    return re.search(rf"(?<![^\W\d_]){re.escape(word)}(?![^\W\d_])", text) is not None


def letters_of(name: str) -> str:
    match = re.match(r"[^\W\d_]*", name)
    return match[0] if match else ""


def _pieces_to_parts(pieces: Sequence[str], parts: Sequence[str], how: str) -> tuple[str, ...]:
    ends = [_piece_to_parts(piece, pieces[0], parts) for piece in pieces]
    if not all(ends):
        return ()
    if how == "list":
        return tuple(dict.fromkeys(part for end in ends for part in end))
    first, last = parts.index(ends[0][0]), parts.index(ends[-1][-1])
    return tuple(parts[first : last + 1]) if len(pieces) == 2 and first <= last else ()


def _piece_to_parts(piece: str, first: str, parts: Sequence[str]) -> tuple[str, ...]:
    """The parts an end of a range names: whole, or by its own end ("-050" beside "AB-010")."""
    key = name_to_key(piece)
    exact = tuple(part for part in parts if name_to_key(part) == key)
    if exact:
        return exact
    stem = name_to_key(first)
    full = stem[: max(0, len(stem) - len(key))] + key
    completed = tuple(part for part in parts if name_to_key(part) == full) or _begun_alike(key, stem, parts)
    return completed or _short_code_to_parts(key, parts)


def _begun_alike(key: str, stem: str, parts: Sequence[str]) -> tuple[str, ...]:
    """The only part that ends with a key of letters and digits and begins as another one does: "-P300/6"
    beside "TQ29-P200/24"."""
    keys = {part: name_to_key(part) for part in parts}
    found = tuple(p for p, k in keys.items() if k.endswith(key) and stem.startswith(k.removesuffix(key)))
    return found if len(found) == 1 and key[0].isalpha() and keys[found[0]] != key else ()


def _short_code_to_parts(key: str, parts: Sequence[str]) -> tuple[str, ...]:
    """Parts whose number begins with a code, ends with it, or holds it between other characters than
    digits."""
    if len(key) < 2:
        return ()
    begins = tuple(part for part in parts if name_to_key(part).startswith(key))
    if begins and re.search(r"[A-Z]", key):
        return begins
    pattern = re.compile(
        rf"(?<!\d){re.escape(key)}(?!\d)" if key[0].isdigit() else rf"{re.escape(key)}(?!\d)"
    )
    return tuple(part for part in parts if pattern.search(_parted(part)))


def _parted(part: str) -> str:
    """A part number with its joints kept as blanks, so that a code cannot run across them."""
    return re.sub(r"[^A-Z0-9]", " ", unicodedata.normalize("NFKC", part).upper())


def names_of(tables: Iterable[Table]) -> set[str]:
    """Keys of all texts that stand as labels anywhere on the sheet."""
    counts: Counter[str] = Counter()
    for table in tables:
        counts.update({name_to_key(text) for series in table.labels for text in series.filled})
    return {key for key, count in counts.items() if count > 1 and key}
