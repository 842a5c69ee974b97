"""Files that came in and are not stored yet, each with a note beside it, in a folder beside the library.

Comes in: a file in the folder, the name it was sent under, who sent it. Goes out: what waits and what failed,
also after a restart. Reads no PDF; a name sent by anybody stands in a note and is no path.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

TOLD = ".page"
"""The ending of the file in which a reader tells the page it is at."""
MAX_FAILED = 50
"""So many files that could not be read are kept to be tried again; the oldest go."""


@dataclass(frozen=True, slots=True)
class IncomingFile:
    """A file that waits; `failure` says why it could not be read, empty as long as nobody tried."""

    path: Path
    document: str
    sha256: str
    who: str
    failure: str = ""


class Incoming:
    """The folder; it is made when the first file comes and taken away when nothing is left in it."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @property
    def folder(self) -> Path:
        """Where a file may be put while it comes in."""
        self._folder.mkdir(parents=True, exist_ok=True)
        return self._folder

    def note(self, path: Path, document: str, sha256: str, who: str) -> IncomingFile:
        """Keep a file of the folder for reading."""
        return self._write(IncomingFile(path, document, sha256, who))

    def fail(self, kept: IncomingFile, reason: str) -> IncomingFile:
        """Note why a file could not be read."""
        noted = self._write(replace(kept, failure=reason))
        kept.path.with_suffix(TOLD).unlink(missing_ok=True)
        failed = [one for one in self.kept() if one.failure]
        for old in failed[:max(0, len(failed) - MAX_FAILED)]:
            self.remove(old)
        return noted

    def forget_failure(self, kept: IncomingFile) -> None:
        """Note that a file is to be read again."""
        self._write(replace(kept, failure=""))

    def remove(self, kept: IncomingFile) -> None:
        """Let go of a file."""
        kept.path.unlink(missing_ok=True)
        _note_of(kept.path).unlink(missing_ok=True)
        kept.path.with_suffix(TOLD).unlink(missing_ok=True)

    def page(self, kept: IncomingFile) -> tuple[int, int]:
        """The page that is being read of a file and how many it has; zeros while that is not told."""
        try:
            page, pages = kept.path.with_suffix(TOLD).read_text(encoding="ascii").split()
            return int(page), int(pages)
        except (OSError, ValueError):
            return 0, 0

    def kept(self) -> tuple[IncomingFile, ...]:
        """What is there, oldest first; a file that came in by half, without a note, is removed by `close`."""
        if not self._folder.is_dir():
            return ()
        notes = sorted(self._folder.glob("*.json"), key=lambda note: (note.stat().st_mtime_ns, note.name))
        found = (_note_to_file(note) for note in notes)
        return tuple(one for one in found if one is not None)

    def close(self) -> None:
        """Remove what came in by half, and the folder where nothing is left."""
        if not self._folder.is_dir():
            return
        for told in self._folder.glob(f"*{TOLD}"):
            told.unlink(missing_ok=True)
        for path in self._folder.glob("*.pdf"):
            if not _note_of(path).is_file():
                path.unlink(missing_ok=True)
        if not any(self._folder.iterdir()):
            self._folder.rmdir()

    def _write(self, kept: IncomingFile) -> IncomingFile:
        said = {"document": kept.document, "sha256": kept.sha256, "who": kept.who, "failure": kept.failure}
        half = _note_of(kept.path).with_suffix(".half")
        half.write_text(json.dumps(said, ensure_ascii=False), encoding="utf-8")
        half.replace(_note_of(kept.path))
        return kept


def _note_of(path: Path) -> Path:
    return path.with_suffix(".json")


def _note_to_file(note: Path) -> IncomingFile | None:
    """The file a note is about; None where either is broken."""
    path = note.with_suffix(".pdf")
    try:
        said = json.loads(note.read_text(encoding="utf-8"))
        return IncomingFile(path, str(said["document"]), str(said["sha256"]), str(said["who"]),
                            str(said["failure"])) if path.is_file() else None
    except (OSError, ValueError, KeyError, TypeError):
        return None
