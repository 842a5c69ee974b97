"""The tables that libraries exchange: one frozen record for each kind of row, named as in the files.

Comes in: nothing. Goes out: records, and for each its columns with what they hold. JSON, XLSX and Parquet
carry the same tables; library/exchange.schema.json publishes them. Values are SI, places points, times UTC
in ISO 8601. `number` counts the numbers of a sheet from 1, in the order read.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import ClassVar, TypeVar, get_type_hints


@dataclass(frozen=True, slots=True)
class SheetRecord:
    """A datasheet: `sha256` of its bytes names it in the other tables; `withdrawn` is why it counts no
    longer, if it does; `revision_of` is what a person said it is a revision of, the sha256 of the older sheet
    or `none`, empty where nobody did."""

    TABLE: ClassVar[str] = "sheets"
    sha256: str
    document: str
    revision: str
    page_count: int
    pages_read: tuple[int, ...]
    imported_by: str
    imported_at: str
    house: str = ""
    withdrawn: str = ""
    revision_of: str = ""


@dataclass(frozen=True, slots=True)
class NumberRecord:
    """A number as printed and read; what people said of it is in `decisions`."""

    TABLE: ClassVar[str] = "numbers"
    sha256: str
    number: int
    part_number: str
    quantity: str
    kind: str
    ambient_c: float | None
    test_current_a: float | None
    value: float
    status: str
    page: int
    x0: float
    top: float
    x1: float
    bottom: float
    raw: str
    unit: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DecisionRecord:
    """What a person said of a number, all that was said in the order said; the last holds."""

    TABLE: ClassVar[str] = "decisions"
    sha256: str
    number: int
    verdict: str
    value: float | None
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class SecondRecord:
    """Another person than the one who decided last says the same of a number; those in force."""

    TABLE: ClassVar[str] = "second_signatures"
    sha256: str
    number: int
    verdict: str
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class CurveSecondRecord:
    """The same of a curve."""

    TABLE: ClassVar[str] = "curve_second_signatures"
    sha256: str
    curve: int
    verdict: str
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class NoteRecord:
    """What people say of a sheet as a whole: `what` is assigned (`text`: to whom) or comment."""

    TABLE: ClassVar[str] = "notes"
    sha256: str
    what: str
    text: str
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class TextRecord:
    """A text that a sheet gives for a part: package, marking, series, approval."""

    TABLE: ClassVar[str] = "texts"
    sha256: str
    part_number: str
    name: str
    text: str
    page: int
    x0: float
    top: float
    x1: float
    bottom: float


@dataclass(frozen=True, slots=True)
class CurveRecord:
    """A curve as drawn and read; `points` is a JSON list of [x, y] in SI, or of [x, y, left, top] with
    its place on the page in points; `curve` counts those of a sheet from 1, in the order read."""

    TABLE: ClassVar[str] = "curves"
    sha256: str
    curve: int
    part_number: str
    chart: str
    kind: str
    ambient_c: float | None
    points: str
    status: str
    page: int
    x0: float
    top: float
    x1: float
    bottom: float
    label: str
    x_error: float
    y_error: float
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CurveDecisionRecord:
    """What a person said of a curve, all that was said in the order said; the last holds. `part_number` is
    the part that its label names, where it was corrected."""

    TABLE: ClassVar[str] = "curve_decisions"
    sha256: str
    curve: int
    verdict: str
    part_number: str
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class ParticularRecord:
    """What a sheet says beside the ratings: a size in mm, a temperature in °C, an approval; `part_number` is
    `*` for all its parts, `value` is empty for a text."""

    TABLE: ClassVar[str] = "particulars"
    sha256: str
    part_number: str
    name: str
    label: str
    kind: str
    value: float | None
    text: str
    status: str
    page: int
    x0: float
    top: float
    x1: float
    bottom: float
    raw: str
    unit: str
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AnswerRecord:
    """An answer to a question of a sheet, and of which maker's sheets it is remembered."""

    TABLE: ClassVar[str] = "answers"
    sha256: str
    document: str
    code: str
    reach: str
    answer: str
    who: str
    at: str
    reason: str
    learnt_from: str
    house: str
    series: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FindingRecord:
    """What a reader or a check noticed when the sheet was read; no page where none is known."""

    TABLE: ClassVar[str] = "findings"
    sha256: str
    code: str
    severity: str
    message: str
    found: str
    expected: str
    document: str
    part_number: str
    quantity: str | None
    page: int | None
    x0: float | None
    top: float | None
    x1: float | None
    bottom: float | None


@dataclass(frozen=True, slots=True)
class ReviewRecord:
    """A part that somebody marked as being in review."""

    TABLE: ClassVar[str] = "reviews"
    sha256: str
    part_number: str


@dataclass(frozen=True, slots=True)
class FailureRecord:
    """A file that could not be read, and why."""

    TABLE: ClassVar[str] = "failures"
    document: str
    sha256: str
    reason: str
    who: str
    at: str


@dataclass(frozen=True, slots=True)
class SilenceRecord:
    """A finding not to be raised again."""

    TABLE: ClassVar[str] = "silences"
    code: str
    part_number: str
    quantity: str | None
    value: str
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class ComparisonRecord:
    """A comparison kept under a name: the requirement as typed, the result as JSON text."""

    TABLE: ClassVar[str] = "comparisons"
    name: str
    requirement: str
    result: str
    who: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class ComparedPartRecord:
    """A part that a kept comparison judged, and the sheet its numbers came from."""

    TABLE: ClassVar[str] = "compared_parts"
    name: str
    part_number: str
    sha256: str


Record = (SheetRecord | NumberRecord | DecisionRecord | TextRecord | FindingRecord | ReviewRecord
          | FailureRecord | SilenceRecord | ComparisonRecord | ComparedPartRecord | CurveRecord
          | CurveDecisionRecord | ParticularRecord | AnswerRecord | SecondRecord | CurveSecondRecord
          | NoteRecord)

RECORDS: tuple[type[Record], ...] = (
    SheetRecord, NumberRecord, DecisionRecord, TextRecord, FindingRecord, ReviewRecord, FailureRecord,
    SilenceRecord, ComparisonRecord, ComparedPartRecord, CurveRecord, CurveDecisionRecord, ParticularRecord,
    AnswerRecord, SecondRecord, CurveSecondRecord, NoteRecord,
)
"""All tables, each after those its rows point to."""

LATER = frozenset(record.TABLE for record in (
    CurveRecord, CurveDecisionRecord, ParticularRecord, AnswerRecord, SecondRecord, CurveSecondRecord,
    NoteRecord))
"""Tables that older files lack: they are empty there."""

Cell = str | float | tuple[str, ...] | tuple[int, ...] | None
"""What a column holds; whole numbers are int."""


def columns_of(record: type[Record]) -> dict[str, object]:
    """Column → its type, such as `float | None`, in the order of the files."""
    hints = get_type_hints(record)
    return {field.name: hints[field.name] for field in fields(record)}


def record_to_cells(record: Record) -> tuple[Cell, ...]:
    """The cells of a row in the order of its columns."""
    return tuple(getattr(record, field.name) for field in fields(record))


_Kind = TypeVar("_Kind", bound=Record)


def records_of(kind: type[_Kind], records: Iterable[Record]) -> tuple[_Kind, ...]:
    """The rows of one table, in their order."""
    return tuple(record for record in records if isinstance(record, kind))
