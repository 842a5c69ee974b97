"""Parts tables dropped on the page and checked, kept while somebody looks at them.

Comes in: a CSV or XLSX file already on disk and the name it was sent under. Goes out: what checking found,
and the same checked again. check_worker checks. Keeps the last few tables.
"""

from __future__ import annotations

import shutil
import tempfile
import uuid
import weakref
import zipfile
from collections import OrderedDict
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Lock

from extract.errors import HoldtripError, InputError
from extract.parts_table import TableReport
from extract.parts_table.checking import Key
from extract.parts_table.records import RawSheet
from extract.workers import Limits
from holdtrip.check_worker import TableJob, job_to_report

ENDINGS = (".csv", ".xlsx", ".xlsm")
MAX_KEPT = 20
MAX_BYTES, MAX_UNPACKED = 20_000_000, 300_000_000
"""Of a table's file, and of what a workbook unpacks to: far above any parts table, far below this machine."""


@dataclass(frozen=True, slots=True)
class CheckedTable:
    """A table as its file holds it, how it was checked, and the report on it."""

    check_id: str
    name: str
    job: TableJob
    sheets: tuple[RawSheet, ...]
    report: TableReport


class CheckedTables:
    """The last tables checked, by identifiers that cannot be guessed."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._lock, self._kept = Lock(), OrderedDict[str, CheckedTable]()
        self._folder = tempfile.mkdtemp(prefix="holdtrip-")
        self._forget = weakref.finalize(self, shutil.rmtree, self._folder, ignore_errors=True)

    def close(self) -> None:
        """Forget them all."""
        self._forget()

    @property
    def folder(self) -> Path:
        """Where a file may be put while it comes in."""
        return Path(self._folder)

    def check(self, job: TableJob, name: str) -> CheckedTable:
        """Check a file that lies in the folder. Raises InputError in the words of the name it was sent as."""
        try:
            _refuse_too_large(job.path)
            sheets, report = self._report(job, name)
        except HoldtripError as error:
            job.path.unlink(missing_ok=True)
            raise _in_words_of(error, job.path, name) from error
        return self._keep(CheckedTable(uuid.uuid4().hex, name, job, sheets, report))

    def check_again(self, kept: CheckedTable, silenced: frozenset[Key]) -> CheckedTable:
        """Check a kept table again when findings have been silenced; it keeps its identifier."""
        job = replace(kept.job, check=replace(kept.job.check, silenced=silenced))
        sheets, report = self._report(job, kept.name)
        return self._keep(replace(kept, job=job, sheets=sheets, report=report))

    def _report(self, job: TableJob, name: str) -> tuple[tuple[RawSheet, ...], TableReport]:
        try:
            return job_to_report(job, self._limits)
        except HoldtripError as error:
            raise _in_words_of(error, job.path, name) from error

    def _keep(self, kept: CheckedTable) -> CheckedTable:
        with self._lock:
            self._kept[kept.check_id] = kept
            while len(self._kept) > MAX_KEPT:
                _, old = self._kept.popitem(last=False)
                old.job.path.unlink(missing_ok=True)
        return kept

    def checked(self, check_id: str) -> CheckedTable | None:
        """A table checked before, or None if it is kept no longer."""
        with self._lock:
            return self._kept.get(check_id)


def _in_words_of(error: HoldtripError, path: Path, name: str) -> InputError:
    said = str(error).replace(str(path), name).replace(path.name, name)
    return InputError(*said.split(": ", 1))


def _refuse_too_large(path: Path) -> None:
    if path.stat().st_size > MAX_BYTES:
        raise InputError(str(path), f"{path.stat().st_size} bytes", f"at most {MAX_BYTES}", "Split the table")
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as packed:
            unpacked = sum(member.file_size for member in packed.infolist())
        if unpacked > MAX_UNPACKED:
            raise InputError(str(path), f"{unpacked} bytes when unpacked", f"at most {MAX_UNPACKED}",
                             "Copy the table into a new workbook")
