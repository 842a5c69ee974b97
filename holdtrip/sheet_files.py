"""Copies of imported datasheets, so that the review page can show the page a number stands on.

Comes in: the address of a library and PDF files. Goes out: files named by their SHA-256 in one folder:
beside a library that is a file (`team.sqlite` → `team.sheets/`; of a link: beside what it leads to), among
the user's own data for a server; or where the team has settled: a folder that all share, or the database.
Reads no PDF. A name typed or sent by anybody never becomes a path: only a checked SHA-256 does.
"""

from __future__ import annotations

import hashlib
import re
import tempfile
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import IO, TYPE_CHECKING

from extract.errors import InputError
from holdtrip.library.settings import IN_DATABASE

if TYPE_CHECKING:
    from holdtrip.library.store import Library

_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """The folder of a library's datasheets; it is made when the first one is kept."""

    folder: Path

    def path_of(self, sha256: str) -> Path | None:
        """The copy of a datasheet, verified; None if there is none, it was changed, or the name is no
        SHA-256."""
        path = self._path(sha256)
        if path is None or not path.is_file():
            return None
        stat = path.stat()
        return path if _hash_of(path, stat.st_mtime_ns, stat.st_size) == sha256 else None

    def holds(self, sha256: str) -> bool:
        """Whether there is a copy; does not open it."""
        path = self._path(sha256)
        return path is not None and path.is_file()

    def keep(self, path: Path, sha256: str) -> None:
        """Store a copy, whole or not at all; one that is there and sound stays as it is.

        Raises InputError where the file no longer is the one that was read.
        """
        kept = self._path(sha256)
        if kept is None or SheetFiles.path_of(self, sha256) is not None:
            return
        self.folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=self.folder, suffix=".part", delete=False) as half:
            unfinished = Path(half.name)
            try:
                copied = _copy_to_hash(path, half)
                if copied != sha256:
                    raise InputError(path.name, "the file was changed while it was read", "",
                                     "Import it again")
                half.close()
                unfinished.replace(kept)
            finally:
                unfinished.unlink(missing_ok=True)

    def keep_bytes(self, data: bytes, sha256: str) -> None:
        """Store a copy whose bytes are at hand, whole or not at all; InputError where they are others."""
        with tempfile.TemporaryDirectory() as scratch:
            path = Path(scratch) / "copy.pdf"
            path.write_bytes(data)
            SheetFiles.keep(self, path, sha256)

    def unnamed(self, stored: frozenset[str]) -> tuple[Path, ...]:
        """Copies of no stored sheet, and left-over halves of copies."""
        if not self.folder.is_dir():
            return ()
        return tuple(sorted(path for path in self.folder.iterdir()
                            if path.is_file() and path.name.removesuffix(".pdf") not in stored))

    def _path(self, sha256: str) -> Path | None:
        return self.folder / f"{sha256}.pdf" if _SHA256.fullmatch(sha256) else None


@dataclass(frozen=True, slots=True)
class SharedFiles(SheetFiles):
    """Copies that a team keeps in its database; those that were needed here are in the folder too."""

    library: Library

    def path_of(self, sha256: str) -> Path | None:
        """As of a folder; a copy that is not here, or no longer sound, is fetched."""
        path = SheetFiles.path_of(self, sha256)
        if path is not None or self._path(sha256) is None:
            return path
        data = self.library.copy_of(sha256)
        if data is not None:
            SheetFiles.keep_bytes(self, data, sha256)
        return SheetFiles.path_of(self, sha256)

    def holds(self, sha256: str) -> bool:
        """Whether there is a copy, here or in the database."""
        return SheetFiles.holds(self, sha256) or self.library.has_copy(sha256)

    def keep(self, path: Path, sha256: str) -> None:
        """As in a folder, and in the database."""
        SheetFiles.keep(self, path, sha256)
        kept = SheetFiles.path_of(self, sha256)
        if kept is not None and not self.library.has_copy(sha256):
            self.library.keep_copy(sha256, kept.read_bytes())

    def keep_bytes(self, data: bytes, sha256: str) -> None:
        """As in a folder, and in the database."""
        SheetFiles.keep_bytes(self, data, sha256)
        self.library.keep_copy(sha256, data)


def _copy_to_hash(path: Path, out: IO[bytes]) -> str:
    """Copy a file and tell the SHA-256 of just the bytes copied."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(1 << 20):
            digest.update(block)
            out.write(block)
    return digest.hexdigest()


@lru_cache(maxsize=4096)
def _hash_of(path: Path, _changed_ns: int, _size: int) -> str:
    """The SHA-256 of a file, counted again only when the file has changed."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def library_to_files(address: str, opened: Library | None = None) -> SheetFiles:
    """Where the datasheets of a library are kept: as its team has settled, where it is open; else beside a
    file, or among the user's own data."""
    settled = opened.settings().copies if opened is not None else ""
    if settled and settled != IN_DATABASE:
        return SheetFiles(Path(settled).expanduser())
    if "://" not in address:
        typed = Path(address).expanduser()
        usual = (typed.resolve() if typed.is_symlink() else typed).with_suffix(".sheets")
    else:
        from platformdirs import user_data_path

        usual = user_data_path("holdtrip", appauthor=False) / "sheets"
    return SharedFiles(usual, opened) if settled and opened is not None else SheetFiles(usual)
