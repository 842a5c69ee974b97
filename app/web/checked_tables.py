"""Parts tables dropped on the page and checked, kept while somebody looks at them.

Comes in: a CSV or XLSX file already on disk and the name it was sent under. Goes out: what checking found,
and a copy with every finding at its cell. Checks as `holdtrip check` does. Keeps the last few tables.
"""

from __future__ import annotations

import tempfile
import uuid
import zipfile
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from extract.errors import HoldtripError, InputError
from extract.parts_table import CheckOptions, TableOptions, TableReport, check_table, read_parts_table
from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import RawSheet
from extract.schema import Reading

ENDINGS = (".csv", ".xlsx", ".xlsm")
MAX_KEPT = 20
MAX_BYTES, MAX_UNPACKED = 20_000_000, 300_000_000
"""Of a table's file, and of what a workbook unpacks to: far above any parts table, far below this machine."""


@dataclass(frozen=True, slots=True)
class CheckedTable:
    """A table as its file holds it, and the report on it."""

    check_id: str
    name: str
    sheets: tuple[RawSheet, ...]
    report: TableReport


class CheckedTables:
    """The last tables checked, by identifiers that cannot be guessed."""

    def __init__(self) -> None:
        self._lock, self._kept = Lock(), OrderedDict[str, CheckedTable]()
        self._folder = tempfile.TemporaryDirectory(prefix="holdtrip-")

    def close(self) -> None:
        """Forget them all."""
        self._folder.cleanup()

    @property
    def folder(self) -> Path:
        """Where a file may be put while it comes in."""
        return Path(self._folder.name)

    def check(
        self, path: Path, name: str, sources: Sequence[Reading], options: CheckOptions
    ) -> CheckedTable:
        """Check a file that lies in the folder. Raises InputError in the words of the name it was sent as."""
        try:
            _refuse_too_large(path)
            sheets = path_to_sheets(path, TableOptions())
            report = check_table(read_parts_table(path), sources, options)
        except HoldtripError as error:
            path.unlink(missing_ok=True)
            said = str(error).replace(str(path), name).replace(path.name, name)
            raise InputError(*said.split(": ", 1)) from error
        kept = CheckedTable(uuid.uuid4().hex, name, sheets, report)
        with self._lock:
            self._kept[kept.check_id] = kept
            while len(self._kept) > MAX_KEPT:
                _, old = self._kept.popitem(last=False)
                old.report.table.path.unlink(missing_ok=True)
        return kept

    def checked(self, check_id: str) -> CheckedTable | None:
        """A table checked before, or None if it is kept no longer."""
        with self._lock:
            return self._kept.get(check_id)


def _refuse_too_large(path: Path) -> None:
    if path.stat().st_size > MAX_BYTES:
        raise InputError(str(path), f"{path.stat().st_size} bytes", f"at most {MAX_BYTES}", "Split the table")
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as packed:
            unpacked = sum(member.file_size for member in packed.infolist())
        if unpacked > MAX_UNPACKED:
            raise InputError(str(path), f"{unpacked} bytes when unpacked", f"at most {MAX_UNPACKED}",
                             "Copy the table into a new workbook")
