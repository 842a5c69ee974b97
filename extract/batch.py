"""Many datasheets at once, each read in a worker process with limits of time and memory.

Comes in: paths. Goes out: one SheetOutcome a file, as they finish. A file that hangs, crashes or
eats memory costs its worker and one row of the summary, never the rest. Stores nothing.
"""

from __future__ import annotations

import os
import pickle
import queue
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, cast

from extract.errors import HoldtripError
from extract.schema import SheetReading
from extract.sheet import ReadOptions, read_sheet


@dataclass(frozen=True, slots=True)
class BatchLimits:
    """workers: processes, None for one a core; seconds: longest time for one file; max_bytes: memory
    a worker may take (where the system can limit it)."""

    workers: int | None = None
    seconds: float = 120.0
    max_bytes: int = 3_000_000_000


@dataclass(frozen=True, slots=True)
class SheetOutcome:
    """What came of one file: its reading, or the one line that says why not."""

    path: Path
    reading: SheetReading | None
    error: str | None


def read_sheets(
    paths: Sequence[Path], options: ReadOptions | None = None, limits: BatchLimits = BatchLimits()
) -> Iterator[SheetOutcome]:
    """Read files in parallel; outcomes come as they finish, each file exactly once."""
    options = replace(options or ReadOptions(), witness_process=False)
    todo: queue.SimpleQueue[Path] = queue.SimpleQueue()
    done: queue.SimpleQueue[SheetOutcome] = queue.SimpleQueue()
    for path in paths:
        todo.put(path)
    stop = threading.Event()
    for _ in range(max(1, min(limits.workers or os.cpu_count() or 1, len(paths)))):
        threading.Thread(target=_mind_worker, args=(todo, done, options, limits, stop), daemon=True).start()
    try:
        for _ in paths:
            yield done.get()
    finally:
        stop.set()


def _mind_worker(
    todo: queue.SimpleQueue[Path],
    done: queue.SimpleQueue[SheetOutcome],
    options: ReadOptions,
    limits: BatchLimits,
    stop: threading.Event,
) -> None:
    """Feed one worker process until nothing is left."""
    reader = LimitedReader(options, limits)
    try:
        while not stop.is_set():
            try:
                path = todo.get_nowait()
            except queue.Empty:
                return
            done.put(reader.read(path))
    finally:
        reader.close()


class LimitedReader:
    """Reads one file after the other in a process with limits, and replaces it when a file kills it."""

    def __init__(self, options: ReadOptions, limits: BatchLimits) -> None:
        self._options, self._limits = options, limits
        self._worker: subprocess.Popen[bytes] | None = None

    def read(self, path: Path) -> SheetOutcome:
        """The outcome of a file, whatever it does to its reader."""
        self._worker = self._worker or _start_worker(self._options, self._limits)
        outcome = _ask_worker(self._worker, path, self._limits)
        if self._worker.poll() is not None or outcome is None:
            self.close()
        return outcome or SheetOutcome(path, None, _lost(path, self._limits))

    def close(self) -> None:
        """End the process; the next file would start another."""
        if self._worker is not None:
            _stop_worker(self._worker)
            self._worker = None


def _lost(path: Path, limits: BatchLimits) -> str:
    return f"{path.name}: the reader crashed or took more than {limits.seconds:g} s; the file was left out"


def _start_worker(options: ReadOptions, limits: BatchLimits) -> subprocess.Popen[bytes]:
    worker = subprocess.Popen(
        [sys.executable, "-m", "extract.batch"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    _send(cast(IO[bytes], worker.stdin), (options, limits.max_bytes))
    return worker


def _stop_worker(worker: subprocess.Popen[bytes]) -> None:
    worker.kill()
    for pipe in (worker.stdin, worker.stdout):
        if pipe is not None:
            try:
                pipe.close()
            except OSError:  # the other end is gone already
                continue
    worker.wait()


def _ask_worker(worker: subprocess.Popen[bytes], path: Path, limits: BatchLimits) -> SheetOutcome | None:
    """The worker's outcome for a file, or None if it died or took too long (it is killed then)."""
    watchdog = threading.Timer(limits.seconds, worker.kill)
    watchdog.start()
    try:
        _send(cast(IO[bytes], worker.stdin), path)
        reading, error = pickle.load(cast(IO[bytes], worker.stdout))
        return SheetOutcome(path, reading, error)
    except (EOFError, OSError, pickle.UnpicklingError):
        return None
    finally:
        watchdog.cancel()


def _send(pipe: IO[bytes], message: object) -> None:
    pickle.dump(message, pipe)
    pipe.flush()


def _read_one(path: Path, options: ReadOptions) -> tuple[SheetReading | None, str | None]:
    try:
        return read_sheet(path, options), None
    except HoldtripError as error:
        return None, str(error)
    except MemoryError:
        return None, f"{path.name}: needs more memory than allowed; it was left out"
    except Exception as error:  # noqa: BLE001  whatever a hostile file provokes must not stop the rest
        return None, f"{path.name}: cannot be read ({type(error).__name__}); please report this file"


def _limit_memory(max_bytes: int) -> None:
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (max_bytes, max_bytes))


def _work() -> None:
    """A worker's life: read what is asked for until the pipe closes."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever a library prints must not reach the pipe
    options, max_bytes = pickle.load(sys.stdin.buffer)
    _limit_memory(max_bytes)
    while True:
        try:
            path = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        _send(answers, _read_one(path, options))


if __name__ == "__main__":
    # The messages are pickled under the name "extract.batch", not "__main__".
    from extract import batch

    batch._work()
