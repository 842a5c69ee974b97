"""What names the parts: a decision among all columns of texts, with its own lead and its own doubt.

Comes in: Tables. Goes out: for each the labels that name its items. A part number is never made of values:
what names a part has letters, or is a code under a heading that says part number.

    for      a heading that says part number, texts that differ, letters with digits, met again elsewhere,
             codes that rise with the hold current
    against  a heading of another role (order number, marking, size), digits only, contained in another
    candidate
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from extract.cells.tables import Cell
from extract.cells.temperatures import text_to_bare_ambient
from extract.joined.label_names import cell_to_label, table_to_joined, texts_to_codes
from extract.meanings.series import Series
from extract.meanings.tables import Table
from extract.meanings.words import priors, text_to_hits
from extract.vocabulary import fold

_MARKS = re.compile(r"[\s*†‡§#⁰-⁹¹²³ᵃᵇᶜ]+$|\s*\((?:\d|note \d|[a-c])\)$|[⁰-⁹¹²³ᵃᵇᶜᵈᵉᶠ]+[)⁾]$")
_UNOPENED = re.compile(r"(?<=\d)[a-z]\)$|\s[a-z\d]\)$")  # "AB-220a)": nothing opens the bracket
_HYPHENS = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2212\uff0d"), "-")


@dataclass(frozen=True, slots=True)
class Label:
    """The text that names an item: as printed without marks, its cell; empty where there is none."""

    text: str
    cell: Cell | None


@dataclass(frozen=True, slots=True)
class Naming:
    """The labels of a table's items, and the lead of the choice."""

    labels: tuple[Label, ...]
    lead: float
    worded: bool


def text_to_name(text: str) -> str:
    """A label without footnote marks, with one sort of hyphen."""
    text = unicodedata.normalize("NFC", text.translate(_HYPHENS)).strip()
    if "(" not in text:
        text = _UNOPENED.sub("", text)
    while (shorter := _MARKS.sub("", text)) != text:
        text = shorter
    return " ".join(text.split())


def name_to_key(name: str) -> str:
    """A part number as it is compared: letters and digits only, upper case."""
    return re.sub(r"[^A-Z0-9]", "", unicodedata.normalize("NFKC", name).upper())


def may_name_a_part(text: str) -> bool:
    """Whether a text can be a part number: it has a digit and no value or temperature is spelled by it."""
    name = text_to_name(text)
    if not name or not re.search(r"\d", name) or len(name) > 40:
        return False
    if text_to_bare_ambient(name) is not None:
        return False
    if re.fullmatch(r"[\d.,\s/~…–-]+", name):
        return bool(re.fullmatch(r"\d{4,}", name))
    return not re.fullmatch(r"[\d.,]+\s*[A-Za-zΩ%°]{1,4}", name)


def table_to_naming(table: Table, known: set[str], printed: dict[str, str]) -> Naming | None:
    """The labels that name the items of a table; `known` are keys of names met in other tables, `printed`
    the codes that the sheet prints, by key."""
    joined = table_to_joined(table, printed, name_to_key)
    if joined is not None:
        return Naming(tuple(Label(name, None) for name in joined.names), 3.0 if joined.printed else 0.5, True)
    scored = sorted(
        ((_naming_score(series, table, known), series) for series in table.labels),
        key=lambda item: -item[0],
    )
    scored = [item for item in scored if item[0] > 0.0]
    if not scored:
        return None
    best, series = scored[0]
    lead = best - scored[1][0] if len(scored) > 1 else best
    texts = _series_to_names(series)
    labels = tuple(Label(text_to_name(text), e.cell) for text, e in zip(texts, series.entries, strict=True))
    return Naming(labels, lead, says_part(series.head))


def _series_to_names(series: Series) -> list[str]:
    """The names of a series of labels, without what describes the parts; empty where nothing stands."""
    texts = [text_to_name(cell_to_label(e.cell)) if e.cell is not None else "" for e in series.entries]
    return list(texts_to_codes(texts))


def says_part(head: str) -> bool:
    return any(hit.sense == "part_number" for hit in text_to_hits(head))


def says_order(head: str) -> bool:
    return any(word in fold(head) for word in priors()["naming"]["order"])


def _naming_score(series: Series, table: Table, known: set[str]) -> float:
    """The evidence that a series of labels names the parts."""
    names = _series_to_names(series)
    texts = [name for name, e in zip(names, series.entries, strict=True) if e.cell is not None]
    named = [text for text in texts if may_name_a_part(text)]
    if not texts or len(named) < 0.5 * len(texts):
        return -9.0
    hits = text_to_hits(series.head)
    order = says_order(series.head)
    score = -1.0 if order else 4.0 if says_part(series.head) else 0.0
    score -= 4.0 if any(hit.sense == "text" and hit.name != "series" for hit in hits) else 0.0
    for evidence in _texts_to_evidence(texts, known):
        score += evidence
    score += 0.5 * (series is table.labels[0])
    contained = sum(_is_contained(series, other) for other in table.labels if other is not series)
    return score - 2.0 * contained


def _texts_to_evidence(texts: Sequence[str], known: set[str]) -> tuple[float, ...]:
    """What texts themselves say for being part numbers: they differ, have letters, are known elsewhere on the
    sheet, are long."""
    count = len(texts)
    mixed = sum(bool(re.search(r"[^\W\d_]", text)) for text in texts) / count
    return (
        3.0 * len(set(texts)) / count - (1.0 if count > 1 else 0.0),
        2.0 * mixed - 1.0,
        2.0 * sum(name_to_key(text) in known for text in texts) / count,
        0.1 * min(10, sum(map(len, texts)) / count),
    )


def _is_contained(one: Series, other: Series) -> bool:
    """Whether every text of one series stands within the other's text of the same item."""
    pairs = [
        (name_to_key(a.cell.text), name_to_key(b.cell.text))
        for a, b in zip(one.entries, other.entries, strict=True)
        if a.cell is not None and b.cell is not None
    ]
    return bool(pairs) and all(a != b and a in b for a, b in pairs)


def sheet_to_single_part(tables: Sequence[Table], texts: Sequence[str]) -> str:
    """The part number of a sheet of one part: named on its cover or in its frame beside words that say so,
    under a heading that says part number, or met again and again; empty if two are as likely."""
    votes: Counter[str] = Counter()
    names: dict[str, str] = {}
    for name, value in (*_labelled(texts), *_headed(tables), *_repeated(texts)):
        if may_name_a_part(name) and re.search(r"[A-Za-z]", name):
            votes[name_to_key(name)] += value
            names.setdefault(name_to_key(name), name)
    ranked = votes.most_common(2)
    if not ranked or ranked[0][1] < 3 or (len(ranked) > 1 and ranked[1][1] >= ranked[0][1]):
        return ""
    return names[ranked[0][0]]


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
    for distance, text in enumerate(texts):
        labelled = {name_to_key(name) for name, _ in _labelled([text])}
        for code in {*CODE.findall(text), *(name for name, _ in _labelled([text]))}:
            name = text_to_name(code)
            key = name_to_key(name)
            if may_name_a_part(name) and re.search(r"[A-Za-z]{2}", name):
                names.setdefault(key, name)
                said = 1 + 3 * (key in labelled) + 4 * (key in headed) - 0.01 * distance
                votes[key] = max(votes.get(key, 0.0), said)
    ranked = sorted(votes, key=lambda key: -votes[key])[:2]
    if not ranked or (len(ranked) > 1 and votes[ranked[0]] == votes[ranked[1]]):
        return ""
    return names[ranked[0]]


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
                yield from ((text_to_name(e.cell.text), 3) for e in series.entries if e.cell is not None)


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


_RANGE = re.compile(
    r"\s*(?:…|\.\.\.|~|〜|～|至|到|から|"
    + "|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in priors()["ranges"]["through"])
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
    for split, how in ((_RANGE, "range"), (_LIST, "list")):
        pieces = [piece for piece in split.split(name) if piece]
        if len(pieces) >= 2:
            joined = _pieces_to_parts(pieces, parts, how)
            if joined:
                return Joined(joined, how, True)
    within = _short_code_to_parts(key, parts)
    words = name.split()
    for word in words if not within and sum(bool(_CODED.search(word)) for word in words) < 2 else ():
        within = within or _short_code_to_parts(name_to_key(word), parts)
    return Joined(within, "code" if within else "none", bool(within))


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
    completed = tuple(part for part in parts if name_to_key(part) == full)
    return completed or _short_code_to_parts(key, parts)


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
    counts: dict[str, int] = {}
    for table in tables:
        keys = {
            name_to_key(entry.cell.text)
            for series in table.labels
            for entry in series.entries
            if entry.cell is not None
        }
        for key in keys:
            counts[key] = counts.get(key, 0) + 1
    return {key for key, count in counts.items() if count > 1 and key}
