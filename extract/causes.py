"""One doubt, one question: disputed readings gathered by what they are disputed for.

Comes in: the readings of a checked sheet. Goes out: numbered Causes with their code, facts, reach and
possible answers; each disputed reading belongs to exactly one. The sentences of doubts are known by
causes.toml, and here only. Decides nothing.
"""

from __future__ import annotations

import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from extract.schema import Cause, ColumnWords, Kind, Place, Quantity, Reading, SheetReading, Status

MEANING = "meaning"
COLUMN_BY_COLUMN = "column-by-column"
"""The answer that makes one question about several columns a question about each."""
_LAST = "check"
_REMARKS = re.compile(
    r"^(?:joined by|footnote \S|found by one of|said in a caption|said_in_text|as above|[\d.]+ x hold"
    r"|the sheet proves|named by|order number|shares without a name|test current .* x hold|printed once"
    r"|a line of text|read once only|a sentence, read once"
    r"|the second reading (?:does|cannot|sees no )|.*proven by"
    r"|unit not printed; (?:only|read as)|by your answer|recognised from a picture)"
)


def sheet_to_causes(sheet: SheetReading) -> SheetReading:
    """The sheet with its causes numbered from 1 in the order of its readings, and each reading's number."""
    keys = [reading_to_key(r) if r.status is Status.DISPUTED else None for r in sheet.readings]
    order = {key: number for number, key in enumerate(dict.fromkeys(k for k in keys if k is not None), 1)}
    readings = tuple(
        replace(r, cause=order[key] if key is not None else 0)
        for r, key in zip(sheet.readings, keys, strict=True)
    )
    words = _headings_to_words(sheet.headings)
    causes = tuple(_key_to_cause(number, key, readings, words) for key, number in order.items())
    waiting: dict[tuple[Place, str, Quantity | None], int] = {
        (r.place, r.part_number, r.quantity): r.cause for r in readings if r.cause
    }
    findings = tuple(
        replace(f, cause=waiting.get((f.place, f.part_number, f.quantity), 0)) if f.place is not None else f
        for f in sheet.findings
    )
    return replace(sheet, readings=readings, findings=findings, causes=causes)


def reading_to_key(reading: Reading) -> tuple[str, str]:
    """(code, reach) of the cause of a disputed reading: the worst of its doubts, and how far it goes."""
    codes = {doubt_to_code(doubt) for doubt in reading_to_doubts(reading)} or {_LAST}
    code = next(name for name in _table() if name in codes)
    reaches = {
        "sheet": "",
        "page": f"page {reading.place.page}",
        "quantity": reading.quantity.value,
        "column": f"page {reading.place.page}, {reading.quantity.value} {reading.kind.value}".strip(),
        "part": reading.part_number,
    }
    return code, reaches[_table()[code]["reach"]]


def reading_to_doubts(reading: Reading) -> tuple[str, ...]:
    """The notes of a disputed reading that say why; remarks are left out."""
    return tuple(note for note in reading.notes if not _REMARKS.match(note) or "A or mA" in note)


def doubt_to_code(doubt: str) -> str:
    """The code of the cause that a sentence of doubt belongs to."""
    return next((code for code, pattern in _patterns() if pattern.search(doubt)), _LAST)


def causes_to_line(causes: Sequence[Cause]) -> str:
    """How many questions about how many numbers: "3 questions about 342 numbers"; empty if there are none."""
    if not causes:
        return ""
    count = sum(cause.count for cause in causes)
    questions = f"{len(causes)} question{'s' if len(causes) > 1 else ''}"
    return f"{questions} about {count:,} number{'s' if count > 1 else ''}"


_Words = Mapping[tuple[int, Quantity, Kind], tuple[str, ...]]
"""What stands over the columns of a page."""


def _headings_to_words(headings: Iterable[ColumnWords]) -> _Words:
    words: dict[tuple[int, Quantity, Kind], list[str]] = defaultdict(list)
    for one in headings:
        words[one.page, one.quantity, one.kind].append(one.words)
    return {key: tuple(own) for key, own in words.items()}


def _key_to_cause(number: int, key: tuple[str, str], readings: Iterable[Reading], words: _Words) -> Cause:
    code, reach = key
    own = [reading for reading in readings if reading.cause == number]
    entry = _table()[code]
    doubts = dict.fromkeys(d for r in own for d in reading_to_doubts(r) if doubt_to_code(d) == code)
    facts = tuple(list(doubts)[:3])
    columns = dict.fromkeys((r.place.page, r.quantity, r.kind) for r in own)
    over = sorted(
        {
            f"{q.value} {k.value}".strip() + f": {text}"
            for page, q, k in columns
            for text in words.get((page, q, k), ("",))
        }
    )
    question, answers = str(entry["question"]), _numbers_to_answers(code, own)
    return Cause(number, code, reach, question, facts, answers, len(own), own[0].place, tuple(over))


def _numbers_to_answers(code: str, own: Sequence[Reading]) -> tuple[str, ...]:
    """What may be answered to a question about these numbers; nothing that is read so already."""
    *first, last = tuple(_table()[code]["answers"])
    columns = dict.fromkeys((r.quantity, r.kind) for r in own)
    if len(columns) > 1 and code == MEANING:
        return (*first, COLUMN_BY_COLUMN, last)
    group = _further_answers(code)
    further = dict.fromkeys(one for quantity, _ in columns for one in group.get(quantity.value, ()))
    as_read = {f"kind:{kind.value or 'none'}" for _, kind in columns}
    return (*first, *(answer for answer in further if answer not in as_read), last)


def code_to_answers(code: str, words: Iterable[str] = ()) -> tuple[str, ...]:
    """What may be answered to a question; with the words over its columns, as a cause has them, only what
    these columns take."""
    columns = {one.partition(":")[0].split()[0] for one in words}
    further = (one for quantity, own in _further_answers(code).items() if not columns or quantity in columns
               for one in own)
    split = (COLUMN_BY_COLUMN,) if code == MEANING else ()
    return tuple(dict.fromkeys((*_table()[code]["answers"], *further, *split)))


def code_is_known(code: str) -> bool:
    """Whether there are questions of such a code."""
    return code in _table()


def code_is_remembered(code: str) -> bool:
    """Whether an answer to such a question holds for later sheets of the same house too."""
    return bool(_table()[code].get("remembered", False))


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((files("extract") / "causes.toml").read_text(encoding="utf-8"))


def _further_answers(code: str) -> dict[str, list[str]]:
    return _further().get(str(_table()[code].get("of_quantity", "")), {})


@cache
def _further() -> dict[str, dict[str, list[str]]]:
    return tomllib.loads((files("extract") / "cause_answers.toml").read_text(encoding="utf-8"))


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((code, re.compile(entry["pattern"])) for code, entry in _table().items() if entry["pattern"])
