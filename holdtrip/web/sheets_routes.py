"""Datasheets: the list, importing, one sheet for review, pictures of its pages.

Comes in: queries and PDF bytes. Goes out: JSON and PNG. Reads nothing itself: import_queue does.
"""

from __future__ import annotations

import asyncio
import hashlib
import re
import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request, Response

from extract.checks.codes import CHART_PICTURE
from extract.schema import WHOLE_SERIES, Fate, Finding, Place
from holdtrip.library.later import LaterChange
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Failure, PartRow, SheetRow
from holdtrip.web.causes import ReviewCause, numbers_to_causes
from holdtrip.web.desk import Desk
from holdtrip.web.import_queue import ImportJob
from holdtrip.web.number_rows import NumberRow, numbers_to_rows
from holdtrip.web.page_pictures import MOST_DOTS
from holdtrip.web.sheet_boxes import NumberBoxes
from holdtrip.web.typed_fields import (
    NO_NUL,
    IdentifierInPath,
    PageInPath,
    Sha256InPath,
    WhoInQuery,
    WordsInQuery,
)

NO_SHEET = "no such datasheet in the library"
MOST_BY_HAND = 40  # pages of a file that was not read by itself
REVISION_WORD = re.compile(r"^\s*rev(?:ision|ised|\.)?(?:\s+letter)?\s*[.:]?\s*", re.IGNORECASE)
DotsInQuery = Annotated[int, Query(ge=1, le=MOST_DOTS)]
DocumentName = Annotated[str, Query(min_length=1, max_length=200, pattern=NO_NUL)]


@dataclass(frozen=True, slots=True)
class SheetSummary:
    """A stored sheet and how far its review is; `series` is what its part numbers begin with, `revision` the
    printed one unless it is a series code; `has_copy` tells whether its pages can be shown."""

    sheet: SheetRow
    series: str
    revision: str
    undecided: int
    decided: int
    disputed: int
    has_copy: bool


@dataclass(frozen=True, slots=True)
class SheetList:
    """Stored sheets, newest first, and files that could not be read."""

    sheets: tuple[SheetSummary, ...]
    failures: tuple[Failure, ...]


@dataclass(frozen=True, slots=True)
class PageSize:
    """A page that was read, its size in points, whether its picture can be shown."""

    page: int
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class NotRead:
    """A printed number that was not read, and why."""

    place: Place
    raw: str
    reason: str


REASONS = {
    "condition": "a condition of other numbers", "repeated": "printed and read elsewhere too",
    "dimensions": "a dimension", "packaging": "of the packing", "tests": "of a test",
    "other_column": "of a column that gives no rating", "chart": "in a chart", "prose": "in a sentence",
    "heading": "in a heading", "page_furniture": "beside the text of the page",
    "part_number": "in a part number", "other_part_kind": "of another kind of part",
    "not_understood": "not understood",
    "left_out": "left out by an answer",
}
"""Reasons of the account in words."""


@dataclass(frozen=True, slots=True)
class SheetReview:
    """All a reviewer of one sheet needs. `parts` carry the versions that go with decisions; `causes` group
    the disputed numbers, each with one question; `later` are the answers and framed tables that hold."""

    sheet: SheetRow
    pages: tuple[PageSize, ...]
    parts: tuple[PartRow, ...]
    numbers: tuple[NumberRow, ...]
    causes: tuple[ReviewCause, ...]
    later: tuple[LaterChange, ...]


def sheets_router(desk: Desk) -> APIRouter:
    """The routes of datasheets."""
    router = APIRouter(prefix="/api", tags=["datasheets"])
    _add_looking(router, desk)
    _add_importing(router, desk)
    return router


def _add_looking(router: APIRouter, desk: Desk) -> None:
    @router.get("/sheets")
    def list_sheets(part: WordsInQuery = "") -> SheetList:
        """Every stored datasheet, or those with a part whose number has a text, and every file that could not
        be read."""
        rows: dict[str, list[PartRow]] = {}
        for row in desk.library.sheet_rows(""):
            rows.setdefault(row.sha256, []).append(row)
        wanted = fold(part)
        sheets = (sheet for sheet in reversed(desk.library.sheets()) if not wanted or any(
            wanted in fold(row.part_number) for row in rows.get(sheet.sha256, ())))
        return SheetList(tuple(_summary(desk, sheet, rows.get(sheet.sha256, [])) for sheet in sheets),
                         desk.library.failures())

    @router.get("/sheets/{sha256}")
    def review_sheet(sha256: Sha256InPath) -> SheetReview:
        """One datasheet with every number, disputed ones first."""
        return sheet_to_review(desk, sha256)

    @router.get("/sheets/{sha256}/boxes")
    def sheet_boxes(sha256: Sha256InPath) -> tuple[NumberBoxes, ...]:
        """Where the ink of each number stands, with its row's name and its column's heading; empty where no
        copy of the file is kept."""
        return desk.boxes(sha256)

    @router.get("/sheets/{sha256}/not-read")
    def not_read(sha256: Sha256InPath) -> tuple[NotRead, ...]:
        """Every number printed on the sheet's pages that was not read, with its place and the reason; empty
        where no copy is kept. The copy is read again for it, which takes some seconds the first time."""
        return tuple(NotRead(row.place, row.raw, REASONS.get(row.reason, row.reason.replace("_", " ")))
                     for row in desk.account(sha256) if row.fate is Fate.NOT_READ)

    @router.get("/sheets/{sha256}/findings")
    def sheet_findings(sha256: Sha256InPath) -> tuple[Finding, ...]:
        """What reading and checking noticed about one datasheet."""
        stored = desk.library.sheet(sha256)
        if stored is None:
            raise HTTPException(404, NO_SHEET)
        return stored.findings

    @router.get("/sheets/{sha256}/pages/{page}.png", response_class=Response,
                responses={200: {"content": {"image/png": {}}}})
    def page_picture(sha256: Sha256InPath, page: PageInPath, dots: DotsInQuery = 2) -> Response:
        """The picture of one page, counted from 1, with so many dots for each point."""
        path = desk.files.path_of(sha256)
        if path is None:
            raise HTTPException(404, "no copy of this datasheet is kept; import the file again")
        picture = desk.pictures.picture(path, sha256, page, dots)
        kept = "no-store" if picture.why_not else "private, max-age=31536000, immutable"
        return Response(picture.png, media_type="image/png", headers={"Cache-Control": kept})


def _add_importing(router: APIRouter, desk: Desk) -> None:
    @router.post("/sheets", status_code=202, openapi_extra=file_body("application/pdf"))
    async def import_sheet(request: Request, name: DocumentName, who: WhoInQuery = None) -> ImportJob:
        """Take one PDF; it is read in the background, see /api/imports."""
        path, sha256 = await body_to_file(request, desk.imports.folder)
        with path.open("rb") as file:
            is_pdf = b"%PDF-" in file.read(1024)
        if not is_pdf:
            path.unlink()
            raise HTTPException(415, f"{name}: not a PDF (no %PDF- at its start)")
        return await asyncio.to_thread(desk.imports.add, path, name, sha256, desk.signer(who))

    @router.get("/imports")
    def list_imports() -> tuple[ImportJob, ...]:
        """Every import since the server started and those left by the one before, oldest first."""
        return desk.imports.jobs()

    @router.post("/imports/{job_id}/retry")
    def retry_import(job_id: IdentifierInPath) -> ImportJob:
        """Read a file again that could not be read."""
        return desk.imports.retry(job_id)

    @router.post("/imports/{job_id}/by-hand")
    def import_by_hand(job_id: IdentifierInPath, who: WhoInQuery = None) -> ImportJob:
        """Store a file that could not be read, without a number: its tables can then be framed."""
        def shown(path: Path, sha256: str) -> tuple[int, ...]:
            return tuple(page for page, _, _ in desk.pictures.sizes(path, sha256, range(1, MOST_BY_HAND + 1)))

        return desk.imports.by_hand(job_id, shown, desk.signer(who))

    @router.delete("/imports/{job_id}", status_code=204)
    def remove_import(job_id: IdentifierInPath) -> None:
        """Forget a file that could not be read."""
        desk.imports.remove(job_id)


def sheet_to_review(desk: Desk, sha256: str) -> SheetReview:
    """All a reviewer of one sheet needs, as it stands now. Raises HTTPException for a sheet not stored."""
    sheet = next((one for one in desk.library.sheets() if one.sha256 == sha256), None)
    if sheet is None:
        raise HTTPException(404, NO_SHEET)
    numbers = desk.library.sheet_numbers(sha256)
    return SheetReview(sheet, _page_sizes(desk, sheet), desk.library.sheet_rows(sha256),
                       numbers_to_rows(numbers), numbers_to_causes(numbers), desk.library.later(sha256))


def file_body(media_type: str) -> dict[str, object]:
    """What the OpenAPI says of a request whose body is a file."""
    schema = {"type": "string", "format": "binary"}
    return {"requestBody": {"required": True, "content": {media_type: {"schema": schema}}}}


async def body_to_file(request: Request, folder: Path, ending: str = ".pdf") -> tuple[Path, str]:
    """The body in a new file of a name of our own, and its SHA-256; nothing is left of a broken one."""
    path, digest = folder / f"{uuid.uuid4().hex}{ending}", hashlib.sha256()
    try:
        with path.open("wb") as file:
            async for chunk in request.stream():
                digest.update(chunk)
                file.write(chunk)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return path, digest.hexdigest()


def _summary(desk: Desk, sheet: SheetRow, own: list[PartRow]) -> SheetSummary:
    names = [row.part_number for row in own if row.part_number != WHOLE_SERIES]
    series = part_numbers_to_series(names)
    revision = "" if _names_parts(sheet.revision, names) else sheet.revision
    undecided = sum(row.undecided for row in own)
    return SheetSummary(sheet, series, revision, undecided, sheet.readings - undecided,
                        sum(row.disputed for row in own), desk.files.holds(sheet.sha256))


def part_numbers_to_series(names: Sequence[str]) -> str:
    """What most part numbers of a sheet begin with: letters, perhaps with digits, up to the first
    difference."""
    if not names:
        return ""
    alike = takewhile(lambda signs: len(set(signs)) == 1, zip(*names, strict=False))
    start = "".join(signs[0] for signs in alike).rstrip("-_/ .")
    if len(start) >= 2:
        return start
    first = Counter(match[0] for name in names if (match := re.match(r"[A-Za-z]+", name)))
    return ", ".join(sorted(first)[:3]) if first else ""


def _names_parts(revision: str, names: Sequence[str]) -> bool:
    """Whether a text taken for a revision is a series code: part numbers begin with it."""
    code = fold(REVISION_WORD.sub("", revision))
    return len(code) > 1 and sum(fold(name).startswith(code) for name in names) > len(names) // 2


def _page_sizes(desk: Desk, sheet: SheetRow) -> tuple[PageSize, ...]:
    path = desk.files.path_of(sheet.sha256)
    if path is None:
        return ()
    with_charts = {one.curve.place.page for one in desk.library.curves(sha256=sheet.sha256)}
    stored = desk.library.sheet(sheet.sha256)
    told = stored.findings if stored is not None else ()
    pictures = {one.place.page for one in told if one.code == CHART_PICTURE.name and one.place is not None}
    pages = tuple(sorted({*sheet.pages_read, *with_charts, *pictures}))
    return tuple(PageSize(*size) for size in desk.pictures.sizes(path, sheet.sha256, pages))
