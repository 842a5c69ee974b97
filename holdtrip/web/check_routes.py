"""Checking a typed parts table: findings at its cells, silencing one of them, the marked copy.

Comes in: the bytes of a CSV or XLSX file, what its columns mean. Goes out: JSON, CSV, XLSX.
Checks and silences as `holdtrip check` does.
"""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request, Response
from fastapi import Path as InPath
from pydantic import BaseModel, Field

from extract.errors import InputError
from extract.parts_table import CheckOptions, TableFinding, TableOptions, understood
from extract.parts_table.checking import finding_to_mark
from extract.parts_table.findings_file import write_table_findings
from holdtrip.check_worker import TableJob
from holdtrip.column_meanings import texts_to_pairs
from holdtrip.library.records import Signature
from holdtrip.library.silences import Silence
from holdtrip.silenced import library_to_keys, silence, silence_to_mark
from holdtrip.web.checked_tables import ENDINGS, CheckedTable
from holdtrip.web.desk import Desk
from holdtrip.web.finding_source import FindingSource, finding_to_number
from holdtrip.web.sheets_routes import DocumentName, body_to_file, file_body
from holdtrip.web.typed_fields import NO_NUL, IdentifierInPath, LongText, Who, Words

SHOWN_ROWS, SHOWN_COLUMNS = 400, 80
CheckId = Annotated[str, InPath(pattern=r"^[0-9a-f]{32}$")]
Repairs = Annotated[list[int], Query(min_length=1, max_length=10_000)]
Meaning = Annotated[str, Field(min_length=3, max_length=500, pattern=NO_NUL)]
Meanings = Annotated[list[Meaning], Query(
    alias="map", max_length=SHOWN_COLUMNS,
    description="what a column means, as `holdtrip check --map` takes it: HEADING=MEANING")]


@dataclass(frozen=True, slots=True)
class ShownSheet:
    """A sheet of the table: its texts, rows and columns counted from 1, the first of them only if it is long;
    `columns` tell heading, meaning, unit and why."""

    name: str
    rows: tuple[tuple[str, ...], ...]
    row_count: int
    columns: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class TableCheck:
    """What checking gave; `marks` names each finding as `holdtrip check` does. It never says a table is
    clean: `unchecked` says what no check reached."""

    check_id: str
    name: str
    sheets: tuple[ShownSheet, ...]
    findings: tuple[TableFinding, ...]
    marks: tuple[str, ...]
    checked: tuple[str, ...]
    unchecked: tuple[str, ...]
    silenced: int


class SilenceSent(BaseModel):
    """The source really says what a finding finds: `finding` is its place in the list, from 1, and `code` its
    code, so that nothing else is silenced; `reason` is needed."""

    finding: Annotated[int, Field(ge=1, le=10_000_000)]
    code: Annotated[str, Field(min_length=1, max_length=100, pattern=NO_NUL)]
    reason: Words = ""
    who: Who = None


@dataclass(frozen=True, slots=True)
class KeptSilence:
    """A finding that is not raised again: its number and mark, what it says, who said so, when and why."""

    number: int
    mark: str
    code: str
    part_number: str
    quantity: str
    value: str
    who: str
    at: datetime
    reason: str


class TakeBackSent(BaseModel):
    """A silence to take back: its number in the list and its value, so that no other is meant."""

    number: Annotated[int, Field(ge=1, le=10_000_000)]
    value: LongText
    reason: Words = ""
    who: Who = None


def check_router(desk: Desk) -> APIRouter:
    """The routes of checking."""
    router = APIRouter(prefix="/api/checks", tags=["check"])
    _add_checking(router, desk)
    _add_silencing(router, desk)
    _add_copies(router, desk)
    return router


def _add_checking(router: APIRouter, desk: Desk) -> None:
    @router.post("", openapi_extra=file_body("application/octet-stream"))
    async def check(
        request: Request, name: DocumentName,
        against_library: Annotated[bool, Query(description="hold it against the library's numbers")] = False,
        meanings: Meanings = [],  # noqa: B006 - FastAPI gives each request a list of its own
    ) -> TableCheck:
        """Check a table; its file is sent as the body."""
        ending = next((one for one in ENDINGS if name.lower().endswith(one)), None)
        if ending is None:
            raise HTTPException(415, f"{name}: not a CSV or XLSX file; save the table as one of them")
        options = TableOptions(mapping=texts_to_pairs(meanings))
        path, _ = await body_to_file(request, desk.tables.folder, ending)
        return await asyncio.to_thread(_check, desk, TableJob(path, options), name, against_library)

    @router.get("/{check_id}/findings/{number}/source")
    def finding_source(check_id: CheckId, number: IdentifierInPath) -> FindingSource:
        """Where the library's copy of the sheet prints what a finding's cell contradicts."""
        found = _finding_to_source(desk, _kept(desk, check_id), number)
        if found is None:
            raise HTTPException(404, "no picture of what this finding is about")
        return found


def _add_silencing(router: APIRouter, desk: Desk) -> None:
    @router.post("/{check_id}/silences")
    def silence_finding(check_id: CheckId, sent: SilenceSent) -> TableCheck:
        """Remember in the library that the source really says this, and check the table again."""
        return _checked_to_answer(_silence(desk, _kept(desk, check_id), sent))

    @router.get("/silences/all")
    def list_silences() -> tuple[KeptSilence, ...]:
        """The findings that are not raised again, newest first, numbered as `holdtrip silences` does."""
        return _kept_silences(desk)

    @router.post("/silences/take-back")
    def take_back(sent: TakeBackSent) -> tuple[KeptSilence, ...]:
        """Let a finding be raised again; a reason is needed. Returns those left."""
        known = desk.library.silenced()
        found = next((one for number, one in enumerate(known, 1)
                      if number == sent.number and one.key.value == sent.value), None)
        if found is None:
            raise InputError("silences", f"no. {sent.number} is another one by now", "one as it was shown",
                             "Look at the list again")
        if not sent.reason.strip():
            raise InputError("silences", "no reason", "a reason others can follow")
        desk.library.unsilence(found.key, Signature(desk.signer(sent.who), sent.reason))
        return _kept_silences(desk)


def _add_copies(router: APIRouter, desk: Desk) -> None:
    @router.get("/{check_id}/marked.xlsx", response_class=Response)
    def marked_copy(check_id: CheckId) -> Response:
        """A copy of the table with every finding at its cell."""
        from extract.parts_table.marked_copy import write_marked_copy

        kept = _kept(desk, check_id)
        return _file("marked.xlsx", lambda path: write_marked_copy(kept.report, path))

    @router.get("/{check_id}/corrected", response_class=Response)
    def corrected_copy(check_id: CheckId, repair: Repairs) -> Response:
        """A copy of the table in which the repairs of the findings named are done; their numbers count from
        1."""
        from extract.parts_table.corrected_copy import write_corrected_copy

        kept = _kept(desk, check_id)
        findings = kept.report.findings
        if max(repair) > len(findings) or min(repair) < 1:
            raise InputError(kept.name, f"finding {max(repair)}", f"1 to {len(findings)}")
        accepted = [findings[number - 1] for number in dict.fromkeys(repair)]
        ending = ".csv" if kept.name.lower().endswith(".csv") else ".xlsx"
        return _file(f"corrected{ending}",
                     lambda path: write_corrected_copy(kept.report, accepted, path, ending))

    @router.get("/{check_id}/findings.csv", response_class=Response)
    def findings(check_id: CheckId) -> Response:
        """The findings as `holdtrip check --findings` writes them."""
        kept = _kept(desk, check_id)
        return _file("findings.csv", lambda path: write_table_findings(kept.report.findings, path))


def _check(desk: Desk, job: TableJob, name: str, against_library: bool) -> TableCheck:
    job = replace(job, sources=desk.library.readings() if against_library else (),
                  check=CheckOptions(library_to_keys(desk.library)))
    return _checked_to_answer(desk.tables.check(job, name))


def _silence(desk: Desk, kept: CheckedTable, sent: SilenceSent) -> CheckedTable:
    findings = kept.report.findings
    if sent.finding > len(findings) or findings[sent.finding - 1].code != sent.code:
        raise InputError(kept.name, f"finding {sent.finding} is not {sent.code}", "a finding as it was shown",
                         "Check the table again")
    silence(desk.library, findings[sent.finding - 1], Signature(desk.signer(sent.who), sent.reason))
    return desk.tables.check_again(kept, library_to_keys(desk.library))


def _kept_silences(desk: Desk) -> tuple[KeptSilence, ...]:
    kept = enumerate(desk.library.silenced(), 1)
    return tuple(_to_kept(number, one) for number, one in reversed(list(kept)))


def _to_kept(number: int, one: Silence) -> KeptSilence:
    key = one.key
    quantity = key.quantity.value if key.quantity is not None else ""
    return KeptSilence(number, silence_to_mark(one), key.code, key.part_number, quantity, key.value, one.who,
                       one.at, one.reason)


def _finding_to_source(desk: Desk, kept: CheckedTable, number: int) -> FindingSource | None:
    if number > len(kept.report.findings):
        return None
    finding = kept.report.findings[number - 1]
    sheets = [one for one in desk.library.sheets() if one.document == finding.document]
    for sheet in reversed(sheets):
        found = finding_to_number(finding, desk.library.sheet_numbers(sheet.sha256))
        boxes = {one.number_id: one for one in desk.boxes(sheet.sha256)}
        path = desk.files.path_of(sheet.sha256)
        if found is None or found.number_id not in boxes or path is None:
            continue
        reading = found.reading
        for page, width, height in desk.pictures.sizes(path, sheet.sha256, sheet.pages_read):
            if page == reading.place.page:
                return FindingSource(sheet.sha256, sheet.document, page, width, height, reading.raw,
                                     found.number_id, boxes[found.number_id])
    return None


def _checked_to_answer(kept: CheckedTable) -> TableCheck:
    meanings = {sheet.name: understood(sheet) for sheet in kept.report.table.sheets}
    sheets = tuple(
        ShownSheet(sheet.name, tuple(row[:SHOWN_COLUMNS] for row in sheet.rows[:SHOWN_ROWS]), len(sheet.rows),
                   meanings.get(sheet.name, ()))
        for sheet in kept.sheets)
    unchecked = tuple(f"{gap.counted}: {gap.why}" for gap in kept.report.unchecked)
    marks = tuple(map(finding_to_mark, kept.report.findings))
    return TableCheck(kept.check_id, kept.name, sheets, kept.report.findings, marks, kept.report.checked,
                      unchecked, kept.report.silenced)


def _kept(desk: Desk, check_id: str) -> CheckedTable:
    kept = desk.tables.checked(check_id)
    if kept is None:
        raise HTTPException(404, "this table is kept no longer; check it again")
    return kept


def _file(name: str, write: Callable[[Path], object]) -> Response:
    with tempfile.TemporaryDirectory(prefix="holdtrip-") as folder:
        path = Path(folder) / name
        write(path)
        return Response(path.read_bytes(), media_type="application/octet-stream",
                        headers={"Content-Disposition": f'attachment; filename="{name}"'})
