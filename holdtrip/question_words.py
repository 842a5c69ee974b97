"""What a question of a sheet is about, and what its answers would read, for the screen.

Comes in: a sheet, one of its causes; or the words over the columns of a remembered answer. Goes out: short
texts. Settles nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from extract.answers import sheet_to_answered
from extract.asked import Answer
from extract.causes import sheet_to_causes
from extract.schema import Cause, Kind, Quantity, Reading, SheetReading
from holdtrip.counted import counted
from holdtrip.numbers import KINDS, NAMES, value_to_text

MOST_COLUMNS = 4
MOST_WORDS = 5


def cause_to_about(sheet: SheetReading, cause: Cause) -> str:
    """Each column that a question is about: as what it is read, its first number, the words over it."""
    own = [reading for reading in sheet.readings if reading.cause == cause.number]
    firsts = {(one.quantity, one.kind): one for one in reversed(own)}
    over = dict(_words_to_columns(cause.words))
    told = [
        f"{_column(quantity, kind)} {value_to_text(quantity, one.value)}{_under(over.get((quantity, kind)))}"
        for (quantity, kind), one in reversed(firsts.items())
    ]
    rest = len(told) - MOST_COLUMNS
    return "; ".join([*told[:MOST_COLUMNS], *([f"and {counted(rest, 'column')} more"] if rest > 0 else [])])


def cause_to_answers(sheet: SheetReading, cause: Cause) -> str:
    """What may be answered; where that makes another value of the first number, with it."""
    first = next(reading for reading in sheet.readings if reading.cause == cause.number)
    return ", ".join(f"{answer}{_effect(sheet, cause, first, answer)}" for answer in cause.answers)


def words_to_about(words: Iterable[str]) -> str:
    """The columns that an answer was given about, with the words over them."""
    return "; ".join(f"{_column(*column)}{_under(text)}" for column, text in _words_to_columns(words))


def _effect(sheet: SheetReading, cause: Cause, first: Reading, answer: str) -> str:
    alone = sheet_to_causes(replace(sheet, readings=(first,), findings=(), account=()))
    said = Answer(sheet.sha256, sheet.document, cause.code, cause.reach, answer, "", "")
    made = sheet_to_answered(alone, (said,)).readings
    changed = bool(made) and made[0].value != first.value
    return f" ({value_to_text(made[0].quantity, made[0].value)})" if changed else ""


def _words_to_columns(words: Iterable[str]) -> Iterator[tuple[tuple[Quantity, Kind], str]]:
    """(quantity, kind) and text of words as a cause keeps them: "resistance max: r1"."""
    for one in words:
        column, _, text = one.partition(": ")
        quantity, _, kind = column.rstrip(":").partition(" ")
        yield (Quantity(quantity), Kind(kind)), text


def _column(quantity: Quantity, kind: Kind) -> str:
    return f"{NAMES[quantity]} {KINDS[kind]}".strip()


def _under(text: str | None) -> str:
    """The last words over a column: those that stand next to it."""
    words = (text or "").split()
    cut = "… " if len(words) > MOST_WORDS else ""
    return f" under “{cut}{' '.join(words[-MOST_WORDS:])}”" if words else ""
