"""Checks one typed table in a process of its own, with limits of time and memory.

Comes in: a job. Goes out: the table's cells and the report on it, or InputError in one line; a table that
hangs or eats memory costs its process and nothing else. Checks as `holdtrip check` does. Keeps nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from threading import BoundedSemaphore

from extract.errors import HoldtripError, InputError
from extract.out_of_memory import is_out_of_memory
from extract.parts_table import CheckOptions, TableOptions, TableReport, check_table, read_parts_table
from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import RawSheet
from extract.schema import Reading
from extract.workers import Limits, Loss, Worker, loss_to_sentence

ADVICE = "Split the table, or remove what is not a parts table"
_AT_ONCE = BoundedSemaphore(2)


@dataclass(frozen=True, slots=True)
class TableJob:
    """A file and how to check it: meanings of columns, numbers to hold it against, what not to raise."""

    path: Path
    table: TableOptions = field(default_factory=TableOptions)
    sources: tuple[Reading, ...] = ()
    check: CheckOptions = field(default_factory=CheckOptions)


TABLE_LIMITS = Limits(cpu_s=60.0, max_bytes=2_000_000_000, deadline_s=300.0)


@dataclass(frozen=True, slots=True)
class _Answer:
    """What a worker says: the sheets and the report, or why not."""

    sheets: tuple[RawSheet, ...] = ()
    report: TableReport | None = None
    error: str = ""


def job_to_report(job: TableJob, limits: Limits) -> tuple[tuple[RawSheet, ...], TableReport]:
    """The cells of the sheets, and the report. Raises InputError, also when a limit is reached."""
    with _AT_ONCE:
        answer = _ask_worker(job, limits)
    if answer.report is None:
        raise InputError(*answer.error.split(": ", 1))
    return answer.sheets, answer.report


def job_to_checked(job: TableJob, limits: Limits = TABLE_LIMITS) -> TableReport:
    """The report on a table, as a command wants it, made in a process with limits."""
    return job_to_report(job, limits)[1]


def _ask_worker(job: TableJob, limits: Limits) -> _Answer:
    worker = Worker("holdtrip.check_worker:job_to_answer", limits)
    try:
        answer: _Answer | Loss = worker.ask(job)
    finally:
        worker.close()
    if isinstance(answer, Loss):
        return _Answer(error=f"{job.path}: {loss_to_sentence(answer, limits)}. {ADVICE}")
    return answer


def job_to_answer(job: TableJob) -> _Answer:
    """Check a table in this process: what the worker does with a job."""
    try:
        sheets = path_to_sheets(job.path, job.table)
        return _Answer(sheets, check_table(read_parts_table(job.path, job.table), job.sources, job.check))
    except HoldtripError as error:
        return _Answer(error=str(error))
    except Exception as error:
        if is_out_of_memory(error):
            raise  # the house says it
        return _Answer(error=f"{job.path}: cannot be checked ({type(error).__name__}); please report it")
