"""What a long job says on its way: a worker tells, whoever started it hears.

Comes in: words of a job. Goes out: Words on the line that `workers` opened, nothing elsewhere. Each word
gives the rest of the job the time of a new one, so a job that says too many is stopped.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

MOST_WORDS = 100


@dataclass(frozen=True, slots=True)
class Word:
    """How far a long job has come."""

    text: str


_lines: list[Callable[[Word], None]] = []


def open_line(say: Callable[[Word], None]) -> None:
    """What a worker does first: its words go this way from now on."""
    _lines[:] = [say]


def tell(text: str) -> None:
    """Say how far the job has come. Outside a worker nobody waits, and nothing happens."""
    for say in _lines:
        say(Word(text))
