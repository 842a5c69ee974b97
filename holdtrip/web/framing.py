"""Reading a table that a person framed, in a worker with limits, and settling it with what the sheet holds.

Comes in: a kept PDF, a frame, the stored numbers of the sheet. Goes out: how the model would take the frame;
or the readings that come and the numbers they stand in place of. Stores nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from extract.boxes import Box
from extract.checked_sheet import sheet_to_checked
from extract.contradictions import mark_contradictions
from extract.document import OpenLimits, path_to_document
from extract.errors import HoldtripError, InputError
from extract.framed.frames import Frame
from extract.framed.names import page_to_names
from extract.framed.proposal import document_to_proposal
from extract.framed.tables import FramedTable, document_to_framed
from extract.schema import Place, Reading, Status
from extract.workers import Limits, Loss, Worker, loss_to_sentence
from holdtrip.library.records import StoredNumber, Verdict
from holdtrip.web.causes import readings_to_sheet
from holdtrip.web.number_rows import is_decided

FRAME_LIMITS = Limits(cpu_s=60.0, max_bytes=1_500_000_000, deadline_s=120.0)
SAME_PT = 1.5
ANY_PAGE = OpenLimits(needs_tables=False)
"""A person frames tables on pages that show nothing worth reading by themselves."""


@dataclass(frozen=True, slots=True)
class FrameJob:
    """What a worker is asked for: how the model would take a box of a page (`turned`: its parts side by side;
    None: as it likes), or the readings of a frame whose columns were named on a day (ISO)."""

    path: Path
    page: int
    box: Box
    frame: Frame | None = None
    named_on: str = ""
    turned: bool | None = None


@dataclass(frozen=True, slots=True)
class FrameAnswer:
    """What it says: a proposal with the words of the page that may be part numbers, a table, or one line that
    says why not."""

    proposal: Frame | None = None
    table: FramedTable | None = None
    error: str = ""
    names: tuple[str, ...] = ()


def ask_framer(job: FrameJob, document: str) -> FrameAnswer:
    """Do a job in a process of its own. Raises InputError, also where a limit is reached."""
    worker = Worker("holdtrip.web.framing:job_to_answer", FRAME_LIMITS)
    try:
        answer: FrameAnswer | Loss = worker.ask(job)
    finally:
        worker.close()
    if isinstance(answer, Loss):
        raise InputError(document, loss_to_sentence(answer, FRAME_LIMITS))
    if answer.error:
        raise InputError(*answer.error.replace(job.path.name, document).split(": ", 1))
    return answer


def job_to_answer(job: FrameJob) -> FrameAnswer:
    """Look at a frame, or read it, in this process: what the worker does with a job."""
    try:
        document = path_to_document(job.path, ANY_PAGE)
        if job.frame is None:
            proposal = document_to_proposal(document, job.page, job.box, job.turned)
            return FrameAnswer(proposal, names=page_to_names(document, job.page, job.box))
        return FrameAnswer(table=document_to_framed(document, job.frame, job.named_on))
    except HoldtripError as error:
        return FrameAnswer(error=str(error))


@dataclass(frozen=True, slots=True)
class Settled:
    """The readings that come, checked among all others of the sheet, and the numbers that go."""

    came: tuple[Reading, ...]
    went: tuple[int, ...]


def framed_to_settled(framed: Sequence[Reading], numbers: Sequence[StoredNumber]) -> Settled:
    """A framed number takes the place of undecided ones read from the same cell. One that was read so
    already, and is not in doubt, stays; contradictions and checks are those of any reading."""
    used = [one for one in numbers
            if one.decision is None or one.decision.verdict is not Verdict.REJECTED]
    new = list(framed)
    went: list[int] = []
    kept: list[Reading] = []
    for one in used:
        at = [reading for reading in framed if _same_cell(reading.place, one.reading.place)]
        alike = next((reading for reading in at if _says_the_same(reading, one.reading)), None)
        if alike is not None and (is_decided(one) or one.reading.status is not Status.DISPUTED):
            new = [reading for reading in new if reading is not alike]
        elif at and not is_decided(one):
            went.append(one.number_id)
            continue
        kept.append(one.reading)
    before = {id(reading) for reading in kept}
    told = {(reading.place, reading.quantity, reading.kind) for reading in new}
    marked = mark_contradictions((*kept, *new))
    checked = sheet_to_checked(replace(readings_to_sheet(marked), findings=())).readings
    came = tuple(reading for reading in checked if id(reading) not in before
                 and (reading.place, reading.quantity, reading.kind) in told)
    return Settled(came, tuple(went))


def _same_cell(one: Place, other: Place) -> bool:
    x, y = (other.x0 + other.x1) / 2, (other.top + other.bottom) / 2
    return (one.page == other.page and one.x0 - SAME_PT <= x <= one.x1 + SAME_PT
            and one.top - SAME_PT <= y <= one.bottom + SAME_PT)


def _says_the_same(one: Reading, other: Reading) -> bool:
    def said(reading: Reading) -> tuple[object, ...]:
        return (reading.part_number, reading.quantity, reading.kind, reading.ambient_c,
                reading.test_current_a, reading.value)

    return said(one) == said(other)
