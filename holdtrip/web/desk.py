"""What is open while the page is served: library, kept datasheets, pictures, running imports, tables.

Comes in: options. Goes out: one Desk that every route shares. Decides nothing.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from dataclasses import replace
from threading import Lock

from compare.part_numbers import PartNumbers, part_to_numbers
from extract.batch import read_sheets
from extract.errors import InputError
from extract.schema import AccountRow
from extract.workers import Limits
from holdtrip.check_worker import TABLE_LIMITS
from holdtrip.library.signing import is_same_person
from holdtrip.library.store import Library, open_library
from holdtrip.sheet_files import SheetFiles, library_to_files
from holdtrip.web.checked_tables import CheckedTables
from holdtrip.web.import_queue import ImportQueue
from holdtrip.web.kept_columns import KeptColumns
from holdtrip.web.options import SiteOptions
from holdtrip.web.page_pictures import PagePictures
from holdtrip.web.part_list import PartLists
from holdtrip.web.sheet_boxes import NumberBoxes
from holdtrip.web.tokens import SIGNED_IN

MAX_BOXED = 8
"""Sheets whose boxes, or whose account, are remembered."""


class Desk:
    """Everything a request may need; close it when the server stops."""

    def __init__(self, options: SiteOptions) -> None:
        self.options = options
        self.form_token = secrets.token_urlsafe(24)
        self.library: Library = open_library(options.library)
        self.files: SheetFiles = library_to_files(options.library, self.library)
        self.pictures = PagePictures()
        self.imports = ImportQueue(self.library, self.files)
        self.tables = CheckedTables(_check_limits(options.check_seconds))
        self._boxes: OrderedDict[tuple[str, int], tuple[NumberBoxes, ...]] = OrderedDict()
        self.part_lists = PartLists(self.library)
        self._counted = (-1, 0)
        self.columns = KeptColumns(self.library, self.part_count)
        self._boxes_lock, self._parts_lock, self._accounts_lock = Lock(), Lock(), Lock()
        self._accounts: OrderedDict[str, tuple[AccountRow, ...]] = OrderedDict()
        self._parts: dict[bool, tuple[int, tuple[PartNumbers, ...]]] = {}

    def close(self) -> None:
        """Stop importing and let go of the library."""
        self.imports.close()
        self.pictures.close()
        self.tables.close()
        self.columns.close()
        self.library.close()

    def part_count(self) -> int:
        """How many parts the library has in force, counted again only when the library has changed."""
        version, count = self._counted
        if version != (now := self.library.version()):
            version, count = self._counted = now, self.library.part_count()
        return count

    def part_numbers(self, unreviewed: bool) -> tuple[PartNumbers, ...]:
        """The library's parts sorted for comparing, fetched again only when the library has changed."""
        with self._parts_lock:
            version = self.library.version()
            kept = self._parts.get(unreviewed)
            if kept is None or kept[0] != version:
                parts = self.library.parts(accepted_only=not unreviewed)
                kept = self._parts[unreviewed] = (version, tuple(map(part_to_numbers, parts)))
            return kept[1]

    def boxes(self, sha256: str) -> tuple[NumberBoxes, ...]:
        """Where the numbers of a stored sheet stand in its pictures; the last few sheets are remembered."""
        path = self.files.path_of(sha256)
        if path is None:
            return ()
        numbers = self.library.sheet_numbers(sha256)
        key = sha256, len(numbers)  # numbers are added, never taken away
        with self._boxes_lock:
            found = self._boxes.get(key)
        if found is None:
            found = self.pictures.boxes(path, numbers)
        with self._boxes_lock:
            self._boxes[key] = found
            self._boxes.move_to_end(key)
            while len(self._boxes) > MAX_BOXED:
                self._boxes.popitem(last=False)
        return found

    def account(self, sha256: str) -> tuple[AccountRow, ...]:
        """Every printed number of a stored sheet and its fate: its copy is read again, in a worker with
        limits; the last few sheets are remembered. Raises InputError where it cannot be read."""
        path = self.files.path_of(sha256)
        if path is None:
            return ()
        with self._accounts_lock:  # one sheet at a time: each costs what an import costs
            found = self._accounts.get(sha256)
            if found is None:
                outcome = next(iter(read_sheets([path])))
                if outcome.reading is None:
                    raise InputError("account", outcome.error or "the copy cannot be read")
                found = self._accounts[sha256] = outcome.reading.account
            while len(self._accounts) > MAX_BOXED:
                self._accounts.popitem(last=False)
        return found

    def signer(self, who: str | None) -> str:
        """The name that signs a change: that of the token shown; without tokens as sent, or that of the
        person who started the page where none is sent.

        Raises InputError for an empty one, since a change signed by nobody is signed by nobody else either,
        and for another name than the token's.
        """
        if name := SIGNED_IN.get():
            if who is not None and not is_same_person(who, name):
                raise InputError("signature", f"the name '{who.strip()}'", name,
                                 f"This page was opened with the token of {name}, who signs what is changed")
            return name
        if who is None:
            return self.options.who
        if not who.strip():
            raise InputError("signature", "nobody's name", "the name of whoever decides",
                             "Type it at the top of the page")
        return who.strip()


def _check_limits(seconds: float) -> Limits:
    """What checking one table may cost: so much processor time, and five times as long on the clock."""
    return replace(TABLE_LIMITS, cpu_s=seconds, deadline_s=5 * seconds)
