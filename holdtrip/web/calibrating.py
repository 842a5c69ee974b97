"""Reading a chart that is a picture by the scale a person marked, in a worker with limits.

Comes in: a kept PDF, the marks, what the sheet's tables say. Goes out: curves, or one line that says why not.
Stores nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from extract.charts.calibrated import Calibration, document_to_calibrated_curves
from extract.charts.naming import PartFacts
from extract.document import path_to_document
from extract.errors import HoldtripError, InputError
from extract.schema import Curve
from extract.workers import Limits, Loss, Worker, loss_to_sentence

PICTURE_LIMITS = Limits(cpu_s=60.0, max_bytes=2_000_000_000, deadline_s=180.0)


@dataclass(frozen=True, slots=True)
class PictureJob:
    """What a worker is asked for: the curves of a picture, by these marks."""

    path: Path
    marked: Calibration
    facts: tuple[PartFacts, ...]


@dataclass(frozen=True, slots=True)
class PictureAnswer:
    """What it says: curves, or one line that says why not."""

    curves: tuple[Curve, ...] = ()
    error: str = ""


def ask_for_curves(job: PictureJob, document: str) -> tuple[Curve, ...]:
    """Do a job in a process of its own. Raises InputError, also where a limit is reached."""
    worker = Worker("holdtrip.web.calibrating:job_to_answer", PICTURE_LIMITS)
    try:
        answer: PictureAnswer | Loss = worker.ask(job)
    finally:
        worker.close()
    if isinstance(answer, Loss):
        raise InputError(document, loss_to_sentence(answer, PICTURE_LIMITS))
    if answer.error:
        raise InputError(*answer.error.replace(job.path.name, document).split(": ", 1))
    return answer.curves


def job_to_answer(job: PictureJob) -> PictureAnswer:
    """Read a picture in this process: what the worker does with a job."""
    try:
        document = path_to_document(job.path)
        return PictureAnswer(document_to_calibrated_curves(document, job.facts, job.marked))
    except HoldtripError as error:
        return PictureAnswer(error=str(error))
