"""Datasheets dropped on the page, read one batch after the other in the background.

Comes in: PDF files already on disk, each with the name it was sent under. Goes out: the state of each
import. Reads as `holdtrip import` does: in worker processes with limits of time and memory. What waits and
what failed stays in the folder with a note beside it, so that a server started again goes on where this one
ended.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Lock, Thread

from extract.account.build import NUMBERS_NOT_READ
from extract.batch import SheetOutcome, read_sheets
from extract.errors import HoldtripError, InputError
from extract.safe_text import name_to_text
from extract.schema import WHOLE_SERIES, Finding, Severity, SheetReading, Status
from holdtrip.library.store import Library
from holdtrip.memory import library_to_known, sheet_with_memory
from holdtrip.sheet_files import SheetFiles
from holdtrip.sheets import sheet_to_renamed
from holdtrip.web.incoming import TOLD, Incoming, IncomingFile

MAX_REMEMBERED, MAX_WAITING = 500, 500
FINISHED = frozenset({"stored", "known", "failed"})


@dataclass(frozen=True, slots=True)
class ImportJob:
    """One file: state is waiting, reading, stored, known or failed; counts are of its numbers; `seconds`
    since its reading began, or what it took; `page` of `pages` is the one that is read now, zeros while that
    is not told; a failed one `can_retry` as long as its file is kept."""

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
    seconds: float = 0.0
    can_retry: bool = False
    page: int = 0
    pages: int = 0


class ImportQueue:
    """Imports in the order they came; one thread works on them."""

    def __init__(self, library: Library, files: SheetFiles) -> None:
        self._library, self._files = library, files
        self._lock, self._jobs, self._next = Lock(), OrderedDict[int, ImportJob](), 1
        self._sent: dict[int, IncomingFile] = {}
        self._begun: dict[int, float] = {}
        self._todo: SimpleQueue[int | None] = SimpleQueue()
        self._incoming = Incoming(files.folder / "incoming")
        self._is_closed = False
        for kept in self._incoming.kept():
            self._take(kept)
        self._thread = Thread(target=self._work, daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Take no more; a sheet being read is left out and stays for the next start, none is stored by
        half."""
        self._is_closed = True
        self._todo.put(None)
        self._thread.join(timeout=5)
        self._incoming.close()

    @property
    def folder(self) -> Path:
        """Where a file may be put while it comes in."""
        return self._incoming.folder

    def add(self, path: Path, document: str, sha256: str, who: str) -> ImportJob:
        """Take a file that lies in the folder; it is removed when it has been stored.

        Raises InputError where too many wait already.
        """
        with self._lock:
            waiting = sum(job.state not in FINISHED for job in self._jobs.values())
        if waiting >= MAX_WAITING:
            path.unlink(missing_ok=True)
            raise InputError(document, f"{MAX_WAITING} files wait to be read already", "",
                             "Send it again when some of them are done")
        return self._take(self._incoming.note(path, name_to_text(document), sha256, who))

    def jobs(self) -> tuple[ImportJob, ...]:
        """Every import since the server started and those left by the one before, oldest first."""
        now = time.monotonic()
        with self._lock:
            return tuple(self._with_progress(job, now) for job in self._jobs.values())

    def _with_progress(self, job: ImportJob, now: float) -> ImportJob:
        sent = self._sent.get(job.job_id)  # gone for a moment while the file is being stored
        if job.state != "reading" or job.job_id not in self._begun or sent is None:
            return job
        page, pages = self._incoming.page(sent)
        return replace(job, seconds=now - self._begun[job.job_id], page=page, pages=pages)

    def retry(self, job_id: int) -> ImportJob:
        """Read a failed file again. Raises InputError where it did not fail or is kept no longer."""
        sent = self._failed(job_id)
        self._set(replace(self._job(job_id), state="waiting", message="", can_retry=False))
        self._incoming.forget_failure(sent)
        self._todo.put(job_id)
        return self._job(job_id)

    def by_hand(self, job_id: int, pages: Callable[[Path, str], Sequence[int]], who: str) -> ImportJob:
        """Store a failed file without a number, so that its tables can be framed; `pages` tells which of its
        pages can be shown. Raises InputError where none can, or it did not fail."""
        sent, job = self._failed(job_id), self._job(job_id)
        shown = tuple(pages(sent.path, sent.sha256))
        if not shown:
            raise InputError(job.document, "no page that can be shown", "a PDF that can be opened")
        said = f"not read by itself: {job.message}"
        why = Finding(NUMBERS_NOT_READ, Severity.DOUBT, said, document=job.document)
        reading = SheetReading(job.document, sent.sha256, len(shown), shown, "", (), (), (why,))
        self._files.keep(sent.path, sent.sha256)
        self._library.import_sheet(reading, who)
        self._settle(replace(job, state="stored", message="nothing read yet", can_retry=False, findings=1))
        return self._job(job_id)

    def remove(self, job_id: int) -> None:
        """Forget a failed file. Raises InputError where it did not fail or is kept no longer."""
        self._incoming.remove(self._failed(job_id))
        with self._lock:
            del self._jobs[job_id], self._sent[job_id]

    def _failed(self, job_id: int) -> IncomingFile:
        with self._lock:
            job, sent = self._jobs.get(job_id), self._sent.get(job_id)
        if job is None or sent is None or job.state != "failed":
            raise InputError(f"import {job_id}", "no file that failed", "one that failed and is kept",
                             "Send the file again")
        return sent

    def _take(self, sent: IncomingFile) -> ImportJob:
        with self._lock:
            state = "failed" if sent.failure else "waiting"
            job = ImportJob(self._next, sent.document, sent.sha256, state, message=sent.failure,
                            can_retry=bool(sent.failure))
            self._next += 1
            self._jobs[job.job_id], self._sent[job.job_id] = job, sent
            done = [one.job_id for one in self._jobs.values() if one.state in ("stored", "known")]
            for old in done[:max(0, len(self._jobs) - MAX_REMEMBERED)]:
                del self._jobs[old]
        if not sent.failure:
            self._todo.put(job.job_id)
        return job

    def _work(self) -> None:
        while (first := self._todo.get()) is not None:
            batch = [first, *self._waiting()]
            try:
                self._read(batch)
            except Exception as error:  # noqa: BLE001 - whatever happens, those who come later are read
                self._give_up(batch, error)
            if self._is_closed:
                return

    def _read(self, batch: list[int]) -> None:
        from extract.sheet import ReadOptions  # the packages that read PDFs are not needed before

        new = {self._sent[job_id].path: job_id for job_id in batch if not self._is_known(job_id)}
        options = ReadOptions(particulars=True, telling=TOLD)
        for outcome in read_sheets(list(new), options, begun=self._to_begin(new)):
            if self._is_closed:
                return
            self._finish(new[outcome.path], outcome)

    def _give_up(self, batch: list[int], error: Exception) -> None:
        """Name what a busy, full or lost library kept from being read or stored; each can be tried again."""
        own = "" if isinstance(error, HoldtripError | OSError) else "an error of holdtrip's own: "
        for job_id in batch:
            job = self._job(job_id)
            if job.state in FINISHED:
                continue
            reason = f"{own}{error}"
            try:
                self._fail(job, reason)
            except OSError:  # not even the note beside the file can be written
                self._set(replace(job, state="failed", message=reason, can_retry=True))

    def _to_begin(self, jobs: dict[Path, int]) -> Callable[[Path], None]:
        def begin(path: Path) -> None:
            self._begun[jobs[path]] = time.monotonic()
            self._set(replace(self._job(jobs[path]), state="reading"))

        return begin

    def _waiting(self) -> list[int]:
        """What has come in meanwhile; the sign to stop goes back to the queue."""
        found: list[int] = []
        while True:
            try:
                job_id = self._todo.get_nowait()
            except Empty:
                return found
            if job_id is None:
                self._todo.put(None)
                return found
            found.append(job_id)

    def _is_known(self, job_id: int) -> bool:
        """Settle a file whose bytes are stored already; its copy is kept all the same."""
        job, sent = self._job(job_id), self._sent[job_id]
        if job.sha256 not in self._library.stored_hashes():
            return False
        self._files.keep(sent.path, job.sha256)
        stored = self._library.sheet(job.sha256)
        known = replace(job, state="known", message="stored already")
        self._settle(_with_counts(known, stored) if stored is not None else known)
        return True

    def _finish(self, job_id: int, outcome: SheetOutcome) -> None:
        sent = self._sent[job_id]
        job = replace(self._job(job_id), seconds=time.monotonic() - self._begun[job_id])
        try:
            if outcome.reading is None:
                reason = (outcome.error or "no reason given").replace(sent.path.name, job.document)
                self._library.record_failure(job.document, job.sha256, reason, sent.who)
                self._fail(job, reason)
                return
            known = library_to_known(self._library)
            reading, _ = sheet_with_memory(sheet_to_renamed(outcome.reading, job.document), known)
            self._files.keep(sent.path, job.sha256)
            result = self._library.import_sheet(reading, sent.who)
            self._settle(replace(_with_counts(job, reading), state="stored", message=result.state.value))
        except (HoldtripError, OSError) as error:
            self._fail(job, str(error))
        except Exception as error:  # noqa: BLE001 - one sheet must not stop those behind it
            self._fail(job, f"an error of holdtrip's own: {error!r}")

    def _fail(self, job: ImportJob, reason: str) -> None:
        self._sent[job.job_id] = self._incoming.fail(self._sent[job.job_id], reason)
        self._set(replace(job, state="failed", message=reason, can_retry=True))

    def _settle(self, job: ImportJob) -> None:
        self._incoming.remove(self._sent.pop(job.job_id))
        self._set(job)

    def _job(self, job_id: int) -> ImportJob:
        with self._lock:
            return self._jobs[job_id]

    def _set(self, job: ImportJob) -> None:
        with self._lock:
            self._jobs[job.job_id] = job


def _with_counts(job: ImportJob, sheet: SheetReading) -> ImportJob:
    states = [one.status for one in sheet.readings]
    parts = {one.part_number for one in sheet.readings if one.part_number != WHOLE_SERIES}
    return replace(job, parts=len(parts), numbers=len(states), disputed=states.count(Status.DISPUTED),
                   single=states.count(Status.SINGLE), findings=len(sheet.findings))
