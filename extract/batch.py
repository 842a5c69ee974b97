"""Many datasheets at once, each read in a worker process with limits of processor time and memory.

Comes in: paths. Goes out: one SheetOutcome a file, as they finish. A file that hangs, crashes or
eats memory costs its worker and one row of the summary, never the rest. Stores nothing.
"""

from __future__ import annotations

import os
import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from extract.errors import HoldtripError
from extract.out_of_memory import is_out_of_memory
from extract.safe_text import name_to_text
from extract.workers import USUAL_LIMITS, Limits, Loss, Worker, can_fork, loss_to_sentence

if TYPE_CHECKING:
    from extract.schema import SheetReading
    from extract.sheet import ReadOptions

_USUAL_BYTES = 1_000_000_000
"""What a worker should have for itself; rather than less, fewer work at once."""
_OF_THE_MACHINE = 0.6
"""All workers together take no more of the machine's memory than this."""
_OF_THE_READER = 0.65
"""What the reader gets of a file's processor time where its second reader is a process of its own."""
_OF_THE_WITNESS = 1 / 3
"""What that one gets of the memory; the reader needs all of it where a page is a picture."""


@dataclass(frozen=True, slots=True)
class BatchLimits:
    """workers: processes, None for one a core; each: what one file may cost; all_bytes: memory that all
    workers may take together, None for a part of the machine's. It is shared out over the workers."""

    workers: int | None = None
    each: Limits = field(default_factory=Limits)
    all_bytes: int | None = None


@dataclass(frozen=True, slots=True)
class SheetOutcome:
    """What came of one file: its reading, or the one line that says why not."""

    path: Path
    reading: SheetReading | None
    error: str | None


def read_sheets(
    paths: Sequence[Path],
    options: ReadOptions | None = None,
    limits: BatchLimits = BatchLimits(),
    begun: Callable[[Path], None] = lambda _: None,
    told: Callable[[Path, str], None] = lambda *_: None,
) -> Iterator[SheetOutcome]:
    """Read files in parallel; outcomes come as they finish, each file exactly once.

    `begun` is told each file when a worker takes it, `told` each page that was recognised from a picture,
    both in a thread of their own.
    """
    count, each = limits_to_shares(limits, len(paths))
    todo: queue.SimpleQueue[Path] = queue.SimpleQueue()
    done: queue.SimpleQueue[SheetOutcome] = queue.SimpleQueue()
    for path in paths:
        todo.put(path)
    stop = threading.Event()
    for _ in range(count):
        reader = LimitedReader(options, each, told)
        threading.Thread(target=_mind_worker, args=(todo, done, reader, begun, stop), daemon=True).start()
    try:
        for _ in paths:
            yield done.get()
    finally:
        stop.set()


def read_one_sheet(
    path: Path,
    options: ReadOptions | None = None,
    limits: Limits = USUAL_LIMITS,
    meanwhile: Callable[[], None] = lambda: None,
    told: Callable[[str], None] = lambda _: None,
) -> SheetOutcome:
    """Read a single file, as soon as possible: its second reader is a process of its own.

    `meanwhile` is done before the outcome is waited for; `told` is handed a word for each page that was
    recognised from a picture.
    """
    reader = replace(limits, cpu_s=_OF_THE_READER * limits.cpu_s)
    witness = replace(limits.share(_OF_THE_WITNESS), cpu_s=(1 - _OF_THE_READER) * limits.cpu_s)
    worker = Worker("extract.batch:job_to_outcome", reader, forked=can_fork())
    try:
        worker.send(_Job(path, options, witness))
        meanwhile()
        return _to_outcome(worker.receive(told), path, limits)
    finally:
        worker.close()


def limits_to_shares(limits: BatchLimits, files: int) -> tuple[int, Limits]:
    """How many workers read so many files, and what each may cost."""
    allowed = limits.all_bytes or int(_OF_THE_MACHINE * _machine_bytes())
    usual = min(_USUAL_BYTES, limits.each.max_bytes)
    count = min(limits.workers or os.cpu_count() or 1, files, allowed // usual)
    count = max(1, count)
    return count, replace(limits.each, max_bytes=min(limits.each.max_bytes, max(usual, allowed // count)))


def _machine_bytes() -> int:
    """The memory of this machine, or of the container it works in."""
    try:
        installed = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, ValueError, OSError):  # Windows
        return 4 * _USUAL_BYTES
    try:
        allowed = Path("/sys/fs/cgroup/memory.max").read_text(encoding="ascii").strip()
    except OSError:
        return installed
    return min(installed, int(allowed)) if allowed.isdecimal() else installed


def _mind_worker(
    todo: queue.SimpleQueue[Path],
    done: queue.SimpleQueue[SheetOutcome],
    reader: LimitedReader,
    begun: Callable[[Path], None],
    stop: threading.Event,
) -> None:
    """Feed one worker process until nothing is left."""
    try:
        while not stop.is_set():
            try:
                path = todo.get_nowait()
            except queue.Empty:
                return
            begun(path)
            done.put(reader.read(path))
    finally:
        reader.close()


class LimitedReader:
    """Reads one file after the other in a process with limits, and replaces it when a file kills it."""

    def __init__(
        self,
        options: ReadOptions | None,
        limits: Limits,
        told: Callable[[Path, str], None] = lambda *_: None,
    ) -> None:
        self._options, self._limits, self._told = options, limits, told
        self._worker: Worker | None = None

    def read(self, path: Path) -> SheetOutcome:
        """The outcome of a file, whatever it does to its reader."""
        try:
            self._worker = self._worker or Worker("extract.batch:job_to_outcome", self._limits)
            answer = self._worker.ask(_Job(path, self._options, None), partial(self._told, path))
        except OSError as error:  # no process or no pipe to be had
            reason = f"no reader could be started ({error.strerror})"
            return SheetOutcome(path, None, f"{name_to_text(path.name)}: {reason}")
        if isinstance(answer, Loss) or self._worker.spent:
            self.close()
        return _to_outcome(answer, path, self._limits)

    def close(self) -> None:
        """End the process; the next file would start another."""
        if self._worker is not None:
            self._worker.close()
            self._worker = None


def _to_outcome(answer: SheetOutcome | Loss, path: Path, limits: Limits) -> SheetOutcome:
    if isinstance(answer, Loss):
        return SheetOutcome(path, None, f"{name_to_text(path.name)}: {loss_to_sentence(answer, limits)}")
    return answer


# What follows runs in the worker.


@dataclass(frozen=True, slots=True)
class _Job:
    """A file to read; `witness_limits` are those of a second reader in a process of its own, None for one in
    this."""

    path: Path
    options: ReadOptions | None
    witness_limits: Limits | None


def job_to_outcome(job: _Job) -> SheetOutcome:
    """Read a file in this process; whatever it provokes becomes one line."""
    try:
        return SheetOutcome(job.path, _job_to_reading(job), None)
    except HoldtripError as error:
        return SheetOutcome(job.path, None, str(error))
    except Exception as error:
        if is_out_of_memory(error):
            raise  # the house says it
        # Whatever else a hostile file provokes must not stop the rest.
        reason = f"cannot be read ({type(error).__name__}); please report this file"
        return SheetOutcome(job.path, None, f"{name_to_text(job.path.name)}: {reason}")


def _job_to_reading(job: _Job) -> SheetReading:
    from extract.sheet import ReadOptions, read_sheet

    options = job.options or ReadOptions()
    if job.witness_limits is None:
        return read_sheet(job.path, replace(options, witness_process=False))
    return read_sheet(job.path, replace(options, witness_limits=job.witness_limits))
