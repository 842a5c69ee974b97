"""What a sheet says about itself outside its tables: reference ambient, its one part, its revision.

Comes in: page texts and titles. Goes out: facts with the text that proves them, or nothing. Two
different reference ambients in one sheet are reported, not chosen between.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence

from extract.vocabulary import fold, vocabulary

ROOM_C = (15.0, 30.0)  # at such an ambient ratings are stated
_TEMPERATURE = r"(?<![\d.])(\d{2})\s*(?:°|º|˚|o|\?)?\s*(?:c\b|℃)"
_REVISION = re.compile(
    r"(?:\brev(?:ision|ised)?\b\s*(?:letter|no|date)?\s*[.:]?\s*|\bissued?\b\s*[:.]\s*|\bausgabe\s*[:.]?\s*|版本\s*[:：]?\s*|改訂\s*[:：]?\s*)"
    r"(?P<text>[A-Z]{1,2}\d?\b|[\w.]*\d[\w./\-]*(?:\s?\d{2,4})?)",
    re.IGNORECASE,
)
_CODE = r"(?P<code>[A-Z0-9][A-Z0-9./_\-]{2,24})"

_LETTERS_AND_DIGITS = re.compile(r"(?=.*[A-Za-z])(?=.*\d)[A-Za-z0-9][A-Za-z0-9./_\-]{3,24}")


_CODE_BESIDE = r"(?P<code>(?=[A-Z0-9./_\-]*\d)(?=[A-Z0-9./_\-]*[A-Z])[A-Z0-9][A-Z0-9./_\-]{4,24})(?!\S)"
_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9./_\-]{3,24}")


def texts_to_reference_ambients(texts: Iterable[str]) -> tuple[float, ...]:
    """Ambients that notes name beside "still air", most frequent first; then those of general notes.

    A footnote that gives a second ambient for some parts only comes later in the list. "Unless otherwise
    stated" stands beside the limits of operation too: only a room temperature counts there.
    """
    folded = [fold(" ".join(text.split())) for text in texts]
    general = (c for c in _ambients_near("general", folded) if ROOM_C[0] <= c <= ROOM_C[1])
    return tuple(dict.fromkeys([*_ambients_near("words", folded), *general]))


def _ambients_near(group: str, folded: Sequence[str]) -> list[float]:
    words = "|".join(re.escape(word) for word in vocabulary()["reference_ambient"][group])
    near = re.compile(rf"{_TEMPERATURE}[^.\d]{{0,40}}(?:{words})|(?:{words})[^.\d]{{0,40}}?{_TEMPERATURE}")
    counts = Counter(float(match[1] or match[2]) for text in folded for match in near.finditer(text))
    return [value for value, _ in counts.most_common()]


def texts_to_test_multiple(texts: Iterable[str]) -> float | None:
    """The only multiple of the hold current that a sheet's notes name ("at 5 times hold current"); None if
    they name none or several."""
    plain = (fold(" ".join(text.split())) for text in texts)
    found = {_match_to_multiple(match) for text in plain for match in _TIMES_HOLD.finditer(text)}
    return found.pop() if len(found) == 1 else None


_TIMES = {"two": 2.0, "three": 3.0, "five": 5.0, "eight": 8.0, "ten": 10.0}
_TIMES_HOLD = re.compile(
    rf"(?<![\w.])(?P<value>\d+(?:\.\d+)?|{'|'.join(_TIMES)})\s*(?:x|×|\*|times|fold)\s*(?:the\s+)?(?:rated\s+)?"
    r"(?:i\s*_?\s*h(?:old)?\b|hold(?:ing)?\s+current)"
)


def _match_to_multiple(match: re.Match[str]) -> float:
    return _TIMES.get(match["value"]) or float(match["value"])


def texts_to_single_part(texts: Sequence[str]) -> str:
    """The part number of a sheet for one part, if it names exactly one after "Product:" or the like, or
    beside it in a table of few words, without a colon, where no other part of its family is named. What a
    sheet calls its maker's own number goes first; the customer's is left out."""
    for words in ("ours", "labels"):
        found = {code.rstrip("./-") for code in _codes_after(words, r"\s*[:：]\s*" + _CODE, texts)}
        found = {code for code in found if re.search(r"\d", code)}
        if found:
            return found.pop() if len(found) == 1 else ""
        pattern = r"[^\S\n]*(?:part no\.?|p/n|model|type)?\s+" + _CODE_BESIDE
        beside = {code.rstrip("./-") for code in _codes_after(words, pattern, texts)}
        if len(beside) == 1 and (words == "ours" or _is_alone(next(iter(beside)), texts)):
            return beside.pop()
    return ""


def _codes_after(group: str, code: str, texts: Sequence[str]) -> set[str]:
    """The codes that stand after a wording of the vocabulary's group, those of the customer left out."""
    words = vocabulary()["single_part"]
    theirs = re.compile(rf"(?:{_alternatives(words['theirs'])})[^\S\n]*[:：]?[^\S\n]*\S*", re.IGNORECASE)
    ours = re.compile(f"(?:{_alternatives(words[group])}){code}", re.IGNORECASE)
    own = (theirs.sub("", text) for text in texts)
    return {match["code"] for text in own for match in ours.finditer(text)}


def _alternatives(words: Sequence[str]) -> str:
    """A pattern of words: blanks may be missing or many, between Han too; words of letters are whole at their
    beginning."""
    patterns = (
        re.escape(word).replace(r"\ ", r"\s*")
        if word[0].isascii()
        else r"[^\S\n]*".join(map(re.escape, word))
        for word in words
    )
    return "|".join(rf"\b{p}" if word[0].isascii() else p for word, p in zip(words, patterns, strict=True))


def _is_alone(code: str, texts: Sequence[str]) -> bool:
    """Whether no other code begins like this one."""
    shape = _code_to_shape(code)
    words = (word.rstrip("./-") for text in texts for word in _WORD.findall(text))
    family = {word for word in words if word.startswith(code[:3])}
    return {w for w in family if _LETTERS_AND_DIGITS.fullmatch(w) and _code_to_shape(w) == shape} == {code}


def _code_to_shape(code: str) -> str:
    """The build of a code: AB30-185K and AB30-110K are of one family, AB-F-028 is a form."""
    return re.sub(r"\d+", "9", re.sub(r"[A-Za-z]+", "A", code))


def texts_to_revision(texts: Sequence[str]) -> str:
    """The printed revision or its date, from the first page that names one; empty if none does."""
    for text in texts:
        for match in _REVISION.finditer(text):
            if re.search(r"\d", match["text"]) or len(match["text"]) <= 2:
                return " ".join(match.group().split())
    return ""
