"""Datasheets dropped on the page, read one batch after the other in the background.

Comes in: PDF files already on disk, each with the name it was sent under. Goes out: the state of each
import. Reads as `holdtrip import` does: in worker processes with limits of time and memory.
"""

from __future__ import annotations

import tempfile
from collections import OrderedDict
from dataclasses import dataclass, replace
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Lock, Thread

from app.sheet_files import SheetFiles
from extract.batch import SheetOutcome, read_sheets
from extract.errors import HoldtripError, InputError
from extract.schema import WHOLE_SERIES, SheetReading, Status
from library.store import Library

MAX_REMEMBERED, MAX_WAITING = 500, 500
FINISHED = frozenset({"stored", "known", "failed"})


@dataclass(frozen=True, slots=True)
class ImportJob:
    """One file: state is waiting, reading, stored, known or failed; counts are of its numbers."""

    job_id: int
    document: str
    sha256: str
    state: str
    parts: int = 0
    numbers: int = 0
    disputed: int = 0
    single: int = 0
    findings: int = 0
    message: str = ""


@dataclass(frozen=True, slots=True)
class _Sent:
    job_id: int
    path: Path
    who: str


class ImportQueue:
    """Imports in the order they came; one thread works on them."""

    def __init__(self, library: Library, files: SheetFiles) -> None:
        self._library, self._files = library, files
        self._lock, self._jobs, self._next = Lock(), OrderedDict[int, ImportJob](), 1
        self._todo: SimpleQueue[_Sent | None] = SimpleQueue()
        self._folder = tempfile.TemporaryDirectory(prefix="holdtrip-")
        self._thread = Thread(target=self._work, daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Take no more; a sheet being read is left out, none is stored by half."""
        self._todo.put(None)
        self._thread.join(timeout=5)
        self._folder.cleanup()

    @property
    def folder(self) -> Path:
        """Where a file may be put while it comes in."""
        return Path(self._folder.name)

    def add(self, path: Path, document: str, sha256: str, who: str) -> ImportJob:
        """Take a file that lies in the folder; it is removed when it has been read, or refused.

        Raises InputError where too many wait already.
        """
        with self._lock:
            if sum(job.state not in FINISHED for job in self._jobs.values()) >= MAX_WAITING:
                path.unlink(missing_ok=True)
                raise InputError(document, f"{MAX_WAITING} files wait to be read already", "",
                                 "Send it again when some of them are done")
            job = ImportJob(self._next, document, sha256, "waiting")
            self._next += 1
            self._jobs[job.job_id] = job
            done = [one.job_id for one in self._jobs.values() if one.state in FINISHED]
            for old in done[:max(0, len(self._jobs) - MAX_REMEMBERED)]:
                del self._jobs[old]
        self._todo.put(_Sent(job.job_id, path, who))
        return job

    def jobs(self) -> tuple[ImportJob, ...]:
        """Every import since the server started, oldest first."""
        with self._lock:
            return tuple(self._jobs.values())

    def _work(self) -> None:
        while (first := self._todo.get()) is not None:
            batch = [first, *self._waiting()]
            new = {sent.path: sent for sent in batch if not self._is_known(sent)}
            for outcome in read_sheets(list(new)):
                self._finish(new[outcome.path], outcome)
            for sent in batch:
                sent.path.unlink(missing_ok=True)

    def _waiting(self) -> list[_Sent]:
        """What has come in meanwhile; the sign to stop goes back to the queue."""
        found: list[_Sent] = []
        while True:
            try:
                sent = self._todo.get_nowait()
            except Empty:
                return found
            if sent is None:
                self._todo.put(None)
                return found
            found.append(sent)

    def _is_known(self, sent: _Sent) -> bool:
        """Settle a file whose bytes are stored already; its copy is kept all the same."""
        job = self._job(sent.job_id)
        self._set(replace(job, state="reading"))
        if job.sha256 not in self._library.stored_hashes():
            return False
        self._files.keep(sent.path, job.sha256)
        stored = self._library.sheet(job.sha256)
        known = replace(job, state="known", message="stored already")
        self._set(_with_counts(known, stored) if stored is not None else known)
        return True

    def _finish(self, sent: _Sent, outcome: SheetOutcome) -> None:
        job = self._job(sent.job_id)
        try:
            if outcome.reading is None:
                reason = (outcome.error or "no reason given").replace(sent.path.name, job.document)
                self._library.record_failure(job.document, job.sha256, reason, sent.who)
                self._set(replace(job, state="failed", message=reason))
                return
            reading = rename_sheet(outcome.reading, job.document)
            self._files.keep(sent.path, job.sha256)
            result = self._library.import_sheet(reading, sent.who)
            self._set(replace(_with_counts(job, reading), state="stored", message=result.state.value))
        except (HoldtripError, OSError) as error:
            self._set(replace(job, state="failed", message=str(error)))
        except Exception as error:  # noqa: BLE001 - one sheet must not stop those behind it
            self._set(replace(job, state="failed", message=f"an error of holdtrip's own: {error!r}"))

    def _job(self, job_id: int) -> ImportJob:
        with self._lock:
            return self._jobs[job_id]

    def _set(self, job: ImportJob) -> None:
        with self._lock:
            self._jobs[job.job_id] = job


def rename_sheet(sheet: SheetReading, document: str) -> SheetReading:
    """The same reading under the name its file was sent with."""
    return replace(
        sheet, document=document,
        readings=tuple(replace(one, document=document) for one in sheet.readings),
        texts=tuple(replace(one, document=document) for one in sheet.texts),
        findings=tuple(replace(one, document=document) for one in sheet.findings))


def _with_counts(job: ImportJob, sheet: SheetReading) -> ImportJob:
    states = [one.status for one in sheet.readings]
    parts = {one.part_number for one in sheet.readings if one.part_number != WHOLE_SERIES}
    return replace(job, parts=len(parts), numbers=len(states), disputed=states.count(Status.DISPUTED),
                   single=states.count(Status.SINGLE), findings=len(sheet.findings))
