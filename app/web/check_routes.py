"""Checking a typed parts table: findings at its cells, the marked copy.

Comes in: the bytes of a CSV or XLSX file. Goes out: JSON, CSV, XLSX. Checks as `holdtrip check` does.
"""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request, Response
from fastapi import Path as InPath

from app.silenced import SilenceOptions, silenced_keys
from app.web.checked_tables import ENDINGS, CheckedTable
from app.web.desk import Desk
from app.web.sheets_routes import DocumentName, body_to_file, file_body
from extract.parts_table import CheckOptions, TableFinding, understood
from extract.parts_table.findings_file import write_table_findings

SHOWN_ROWS, SHOWN_COLUMNS = 400, 80
CheckId = Annotated[str, InPath(pattern=r"^[0-9a-f]{32}$")]


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
    """What checking gave. It never says a table is clean: `unchecked` says what no check reached."""

    check_id: str
    name: str
    sheets: tuple[ShownSheet, ...]
    findings: tuple[TableFinding, ...]
    checked: tuple[str, ...]
    unchecked: tuple[str, ...]
    silenced: int


def check_router(desk: Desk) -> APIRouter:
    """The routes of checking."""
    router = APIRouter(prefix="/api/checks", tags=["check"])

    @router.post("", openapi_extra=file_body("application/octet-stream"))
    async def check(
        request: Request, name: DocumentName,
        against_library: Annotated[bool, Query(description="hold it against the library's numbers")] = False,
    ) -> TableCheck:
        """Check a table; its file is sent as the body."""
        ending = next((one for one in ENDINGS if name.lower().endswith(one)), None)
        if ending is None:
            raise HTTPException(415, f"{name}: not a CSV or XLSX file; save the table as one of them")
        path, _ = await body_to_file(request, desk.tables.folder, ending)
        return await asyncio.to_thread(_check, desk, path, name, against_library)

    @router.get("/{check_id}/marked.xlsx", response_class=Response)
    def marked_copy(check_id: CheckId) -> Response:
        """A copy of the table with every finding at its cell."""
        from extract.parts_table.marked_copy import write_marked_copy

        kept = _kept(desk, check_id)
        return _file("marked.xlsx", lambda path: write_marked_copy(kept.report, path))

    @router.get("/{check_id}/findings.csv", response_class=Response)
    def findings(check_id: CheckId) -> Response:
        """The findings as `holdtrip check --findings` writes them."""
        kept = _kept(desk, check_id)
        return _file("findings.csv", lambda path: write_table_findings(kept.report.findings, path))

    return router


def _check(desk: Desk, path: Path, name: str, against_library: bool) -> TableCheck:
    sources = desk.library.readings() if against_library else ()
    silenced = silenced_keys(SilenceOptions(None, "", desk.options.who, desk.options.library))
    return _checked_to_answer(desk.tables.check(path, name, sources, CheckOptions(silenced)))


def _checked_to_answer(kept: CheckedTable) -> TableCheck:
    meanings = {sheet.name: understood(sheet) for sheet in kept.report.table.sheets}
    sheets = tuple(
        ShownSheet(sheet.name, tuple(row[:SHOWN_COLUMNS] for row in sheet.rows[:SHOWN_ROWS]), len(sheet.rows),
                   meanings.get(sheet.name, ()))
        for sheet in kept.sheets)
    unchecked = tuple(f"{gap.count} {gap.what}: {gap.why}" for gap in kept.report.unchecked)
    return TableCheck(kept.check_id, kept.name, sheets, kept.report.findings, kept.report.checked, unchecked,
                      kept.report.silenced)


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
