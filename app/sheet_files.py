"""Copies of imported datasheets, so that the review page can show the page a number stands on.

Comes in: the address of a library and PDF files. Goes out: files named by their SHA-256 in one folder:
beside a library that is a file (`team.sqlite` → `team.sheets/`), among the user's own data for a server.
Reads no PDF. A name typed or sent by anybody never becomes a path: only a checked SHA-256 does.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """The folder of a library's datasheets; it is made when the first one is kept."""

    folder: Path

    def path_of(self, sha256: str) -> Path | None:
        """The copy of a datasheet, or None if there is none or the name is no SHA-256."""
        path = self._path(sha256)
        return path if path is not None and path.is_file() else None

    def keep(self, path: Path, sha256: str) -> None:
        """Store a copy, whole or not at all; one that is there already stays as it is."""
        kept = self._path(sha256)
        if kept is None or kept.is_file():
            return
        self.folder.mkdir(parents=True, exist_ok=True)
        half = kept.with_suffix(".part")
        shutil.copyfile(path, half)
        half.replace(kept)

    def _path(self, sha256: str) -> Path | None:
        return self.folder / f"{sha256}.pdf" if _SHA256.fullmatch(sha256) else None


def library_to_files(address: str) -> SheetFiles:
    """Where the datasheets of a library are kept."""
    if "://" not in address:
        return SheetFiles(Path(address).expanduser().with_suffix(".sheets"))
    from platformdirs import user_data_path

    return SheetFiles(user_data_path("holdtrip", appauthor=False) / "sheets")
