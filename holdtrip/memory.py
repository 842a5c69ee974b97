"""What people answered before, from a file or from the library, put to use on sheets just read.

Comes in: a file of answers, the address of a library, sheets. Goes out: the sheets as answered, and each use
in a sentence. Changes no library.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from extract.asked import Remembered
from extract.schema import SheetReading
from holdtrip.sheets import Batch

if TYPE_CHECKING:
    from holdtrip.library.store import Library


def known_answers(path: Path | None, address: str | None) -> tuple[Remembered, ...]:
    """The answers of a file, then those of a library; raises InputError if one of them is not there."""
    known: tuple[Remembered, ...] = ()
    if path is not None:
        from extract.answers import read_answers

        known = read_answers(path)
    if address is not None:
        from holdtrip.library.store import open_library

        with open_library(address, create=False) as opened:
            known += library_to_known(opened)
    return known


def library_to_known(library: Library) -> tuple[Remembered, ...]:
    """The answers in force of an open library."""
    return tuple(one.remembered for one in library.answers())


def sheet_with_memory(
    sheet: SheetReading, known: Sequence[Remembered]
) -> tuple[SheetReading, tuple[str, ...]]:
    """A sheet with what is remembered, and each use in a sentence; as it is where nothing is known."""
    if not known:
        return sheet, ()
    from extract.remembered import sheet_to_remembered, uses_to_lines

    answered, uses = sheet_to_remembered(sheet, known)
    return answered, tuple(f"{sheet.document}: {line}" for line in uses_to_lines(uses))


def batch_with_memory(batch: Batch, known: Sequence[Remembered]) -> tuple[Batch, tuple[str, ...]]:
    """A batch with what is remembered, and each use in a sentence."""
    pairs = [sheet_with_memory(sheet, known) for sheet in batch.sheets]
    return Batch(tuple(sheet for sheet, _ in pairs), batch.failures), tuple(
        line for _, lines in pairs for line in lines)
