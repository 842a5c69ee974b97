"""Checks one typed table in a process of its own, with limits of time and memory.

Comes in: a job. Goes out: the table's cells and the report on it, or InputError in one line; a table that
hangs or eats memory costs its process and nothing else. Checks as `holdtrip check` does. Keeps nothing.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from threading import BoundedSemaphore

from extract.errors import HoldtripError, InputError
from extract.parts_table import CheckOptions, TableOptions, TableReport, check_table, read_parts_table
from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import RawSheet
from extract.schema import Reading

ADVICE = "Split the table, or remove what is not a parts table"
_AT_ONCE = BoundedSemaphore(2)


@dataclass(frozen=True, slots=True)
class TableJob:
    """A file and how to check it: meanings of columns, numbers to hold it against, what not to raise."""

    path: Path
    table: TableOptions = field(default_factory=TableOptions)
    sources: tuple[Reading, ...] = ()
    check: CheckOptions = field(default_factory=CheckOptions)


@dataclass(frozen=True, slots=True)
class TableLimits:
    """seconds: the longest a check may take; max_bytes: of memory (where the system can limit it)."""

    seconds: float = 60.0
    max_bytes: int = 2_000_000_000


@dataclass(frozen=True, slots=True)
class _Answer:
    """What a worker says: the sheets and the report, or why not."""

    sheets: tuple[RawSheet, ...] = ()
    report: TableReport | None = None
    error: str = ""


def job_to_report(job: TableJob, limits: TableLimits) -> tuple[tuple[RawSheet, ...], TableReport]:
    """The cells of the sheets, and the report. Raises InputError, also when a limit is reached."""
    with _AT_ONCE:
        answer = _ask_worker(job, limits)
    if answer.report is None:
        raise InputError(*answer.error.split(": ", 1))
    return answer.sheets, answer.report


def _ask_worker(job: TableJob, limits: TableLimits) -> _Answer:
    command = [sys.executable, "-m", "app.web.check_worker"]
    try:
        done = subprocess.run(command, input=pickle.dumps((job, limits.max_bytes)), stdout=subprocess.PIPE,
                              stderr=subprocess.DEVNULL, timeout=limits.seconds, check=False)
    except subprocess.TimeoutExpired:
        return _Answer(error=f"{job.path}: checking took more than {limits.seconds:g} s and was stopped."
                             f" {ADVICE}")
    if done.returncode != 0:
        return _Answer(error=f"{job.path}: the check crashed or needed more memory than allowed. {ADVICE}")
    answer = pickle.loads(done.stdout)  # written by our own process
    assert isinstance(answer, _Answer)
    return answer


def _check(job: TableJob) -> _Answer:
    try:
        sheets = path_to_sheets(job.path, job.table)
        return _Answer(sheets, check_table(read_parts_table(job.path, job.table), job.sources, job.check))
    except HoldtripError as error:
        return _Answer(error=str(error))
    except MemoryError:
        return _Answer(error=f"{job.path}: needs more memory than allowed. {ADVICE}")
    except Exception as error:  # noqa: BLE001 - whatever a hostile file provokes becomes one line
        return _Answer(error=f"{job.path}: cannot be checked ({type(error).__name__}); please report it")


def _limit_memory(max_bytes: int) -> None:
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (max_bytes, max_bytes))


def _work() -> None:
    """A worker's life: one job."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever a library prints must not reach the pipe
    job, max_bytes = pickle.load(sys.stdin.buffer)
    _limit_memory(max_bytes)
    with answers:
        pickle.dump(_check(job), answers)


if __name__ == "__main__":
    # What is pickled is named "app.web.check_worker", not "__main__".
    from app.web import check_worker

    check_worker._work()
