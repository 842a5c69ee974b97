"""A table framed by mouse: how the model would take it, and reading it as a person named its columns.

Comes in: a box on a page, then the columns with what they hold. Goes out: a proposal; the sheet as it stands
then, and what was not read. Reads and checks by extract.framed, as any other table is read and checked.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, HTTPException
from pydantic import BaseModel, Field

from extract.errors import InputError
from extract.framed.frames import Frame, FrameColumn, Role
from extract.schema import Kind, Quantity, Status
from holdtrip.library.records import Action, Signature
from holdtrip.web.desk import Desk
from holdtrip.web.framing import FrameJob, ask_framer, framed_to_settled
from holdtrip.web.number_rows import FRAMED
from holdtrip.web.sheets_routes import NO_SHEET, SheetReview, sheet_to_review
from holdtrip.web.typed_fields import NO_NUL, Sha256InPath, Who, Words

MOST_COLUMNS = 60
ROOM_C = (15, 35)
Points = Annotated[float, Field(ge=-1e4, le=1e5, allow_inf_nan=False)]
PageNumber = Annotated[int, Field(ge=1, le=100_000)]
Degrees = Annotated[float | None, Field(ge=-273, le=1000, allow_inf_nan=False)]
Amperes = Annotated[float | None, Field(gt=0, le=1e6, allow_inf_nan=False)]


class BoxSent(BaseModel):
    """A frame on a page, in points of the page as shown."""

    page: PageNumber
    x0: Points
    top: Points
    x1: Points
    bottom: Points


class LookSent(BoxSent):
    """A frame to look at; `turned` says whether its parts stand side by side, none that the model tells."""

    turned: bool | None = None


class ColumnSent(BaseModel):
    """A column, or a row of a turned frame (`x0` and `x1` are then its heights): where it stands and what it
    holds, one of the `meanings` of a proposal; the unit its numbers are printed in; the ambient (°C) or the
    test current (A) of them all."""

    x0: Points
    x1: Points
    meaning: Annotated[str, Field(max_length=60, pattern=NO_NUL)]
    unit: Annotated[str, Field(max_length=20, pattern=NO_NUL)] = ""
    ambient_c: Degrees = None
    test_current_a: Amperes = None
    heading: Words = ""


class FrameSent(BoxSent):
    """A frame with its columns; `heading_bottom` is where its heading ends, of a turned frame the right edge
    of its labels; `part` the only part of a table that names none."""

    heading_bottom: Points
    columns: Annotated[list[ColumnSent], Field(min_length=1, max_length=MOST_COLUMNS)]
    turned: bool = False
    part: Annotated[str, Field(max_length=80, pattern=NO_NUL)] = ""
    because: Words = ""
    who: Who = None


@dataclass(frozen=True, slots=True)
class ColumnMeaning:
    """What a column may hold: in words, the units it may be printed in, what else it needs: `at` is ambient,
    current or empty."""

    value: str
    words: str
    units: tuple[str, ...]
    at: str


@dataclass(frozen=True, slots=True)
class ProposedColumn:
    """A column as the model takes it."""

    x0: float
    x1: float
    heading: str
    meaning: str
    unit: str
    ambient_c: float | None
    test_current_a: float | None


@dataclass(frozen=True, slots=True)
class FrameProposal:
    """How the model would take a frame; `ambient_c` is the reference ambient of the sheet's ratings, if it is
    known; `names` what the page prints that may be a part number."""

    heading_bottom: float
    columns: tuple[ProposedColumn, ...]
    meanings: tuple[ColumnMeaning, ...]
    ambient_c: float | None
    turned: bool
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FramedAnswer:
    """What came of a frame: counts, a sentence for each number that was not read, the sheet as it stands."""

    came: int
    disputed: int
    went: int
    not_read: tuple[str, ...]
    review: SheetReview


def frame_router(desk: Desk) -> APIRouter:
    """The routes of framed tables."""
    router = APIRouter(prefix="/api/sheets", tags=["review"])

    @router.post("/{sha256}/frames/proposal")
    def propose(sha256: Sha256InPath, sent: LookSent) -> FrameProposal:
        """How the model would take a frame, for a person to correct. Changes nothing."""
        path, document = kept_copy(desk, sha256)
        box = (sent.x0, sent.top, sent.x1, sent.bottom)
        answer = ask_framer(FrameJob(path, sent.page, box, turned=sent.turned), document)
        found = answer.proposal
        assert found is not None, "a job without a frame is answered by a proposal"
        return FrameProposal(found.heading_bottom, tuple(map(_to_proposed, found.columns)), column_meanings(),
                             _reference_ambient(desk, sha256), found.turned, answer.names)

    @router.post("/{sha256}/frames")
    def read_frame(sha256: Sha256InPath, sent: FrameSent) -> FramedAnswer:
        """Read a framed table as its columns are named; its numbers count as read once, and are checked."""
        path, document = kept_copy(desk, sha256)
        box = (sent.x0, sent.top, sent.x1, sent.bottom)
        columns = tuple(map(_to_column, sent.columns))
        frame = Frame(sent.page, box, sent.heading_bottom, columns, sent.turned, sent.part.strip())
        day = f"{datetime.now(UTC):%Y-%m-%d}"
        table = ask_framer(FrameJob(path, sent.page, box, frame, day), document).table
        assert table is not None, "a job with a frame is answered by a table"
        readings = [replace(one, document=document) for one in table.readings]
        settled = framed_to_settled(readings, desk.library.sheet_numbers(sha256))
        if not settled.came and not settled.went:
            raise InputError("framed table", f"no new number in it; not read: {'; '.join(table.not_read[:3])}"
                             if table.not_read else "no number that is not read so already")
        of_part = f", of {frame.part}" if frame.part else ""
        because = f". {sent.because}" if sent.because else ""
        reason = f"{FRAMED}on page {sent.page}: {_columns_to_words(sent.columns)}{of_part}{because}"
        desk.library.add_later(sha256, settled.came, settled.went, Action.FRAME,
                               Signature(desk.signer(sent.who), reason))
        disputed = sum(reading.status is Status.DISPUTED for reading in settled.came)
        return FramedAnswer(len(settled.came), disputed, len(settled.went), table.not_read,
                            sheet_to_review(desk, sha256))

    return router


@cache
def column_meanings() -> tuple[ColumnMeaning, ...]:
    """What a column of a framed table may hold, in the order offered."""
    text = (files("holdtrip.web") / "frame_meanings.toml").read_text(encoding="utf-8")
    return tuple(ColumnMeaning(one["value"], one["words"], tuple(one["units"]), one["at"])
                 for one in tomllib.loads(text)["meanings"])


def kept_copy(desk: Desk, sha256: str) -> tuple[Path, str]:
    """The kept copy of a sheet and the name of its file."""
    sheet = next((one for one in desk.library.sheets() if one.sha256 == sha256), None)
    path = desk.files.path_of(sha256)
    if sheet is None or path is None:
        raise HTTPException(404, NO_SHEET if sheet is None else "no copy of this datasheet is kept")
    return path, sheet.document


def _to_proposed(column: FrameColumn) -> ProposedColumn:
    meaning = column.role.value
    if column.quantity is not None:
        meaning = f"{column.quantity.value} {column.kind.value}".strip()
    known = {one.value: one for one in column_meanings()}
    if meaning not in known:
        meaning = meaning.split()[0] if meaning.split()[0] in known else Role.LEFT_OUT.value
    unit = column.unit if column.unit in known[meaning].units else ""
    if column.unit == "percent" and "%" in known[meaning].units:
        unit = "%"
    return ProposedColumn(column.x0, column.x1, column.heading, meaning, unit, column.ambient_c,
                          column.test_current_a)


def _to_column(sent: ColumnSent) -> FrameColumn:
    """Raises InputError for a meaning or a unit that there is not."""
    known = next((one for one in column_meanings() if one.value == sent.meaning), None)
    if known is None:
        raise InputError("column", f"the meaning '{sent.meaning}'", "one of the meanings of a proposal")
    if sent.unit and sent.unit not in known.units:
        raise InputError(known.words, f"the unit '{sent.unit}'", ", ".join(known.units) or "none")
    if sent.meaning in (Role.PART, Role.LEFT_OUT, Role.TEST_CURRENT):
        return FrameColumn(sent.x0, sent.x1, Role(sent.meaning), unit=sent.unit, heading=sent.heading)
    quantity, _, kind = sent.meaning.partition(" ")
    return FrameColumn(sent.x0, sent.x1, Role.VALUE, Quantity(quantity), Kind(kind), sent.unit,
                       sent.ambient_c, sent.test_current_a, sent.heading)


def _columns_to_words(columns: list[ColumnSent]) -> str:
    words = {one.value: one.words[:1].lower() + one.words[1:] for one in column_meanings()}
    named = (f"{words[one.meaning]}{f' in {one.unit}' if one.unit else ''}" for one in columns
             if one.meaning not in (Role.PART, Role.LEFT_OUT))
    return ", ".join(named)


def _reference_ambient(desk: Desk, sha256: str) -> float | None:
    """The ambient at which the sheet's currents are rated most often, if that is one of a room."""
    found = Counter(one.reading.ambient_c for one in desk.library.sheet_numbers(sha256)
                    if one.reading.quantity in (Quantity.TRIP_CURRENT, Quantity.HOLD_CURRENT)
                    and one.reading.ambient_c is not None and ROOM_C[0] <= one.reading.ambient_c <= ROOM_C[1])
    return found.most_common(1)[0][0] if found else None
