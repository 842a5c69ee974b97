"""The records that a library takes and gives. Comes in: nothing. Goes out: frozen records and closed names.

Numbers are SI as in extract.schema; times are aware and in UTC; a version counts changes from 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from extract.errors import HoldtripError
from extract.schema import Kind, Quantity, Reading

Moment = datetime | int
"""A past state of a library: an aware time, or a version."""
LARGEST = 1e9
"""No rating of a part, in SI, comes near it; what is larger is no number of a datasheet."""


class ConflictError(HoldtripError):
    """Somebody else has changed what was to be changed. Its text is one line: who, when, what to do."""


class Action(StrEnum):
    """What a change did."""

    IMPORT = "import"
    FAILURE = "failure"
    START_REVIEW = "start review"
    ACCEPT = "accept"
    BULK = "accept in bulk"
    CORRECT = "correct"
    REJECT = "reject"
    REOPEN = "reopen"
    FRAME = "frame a table"
    CALIBRATE = "mark the scale of a chart"
    TAKE_BACK = "take back"
    SILENCE = "silence"
    UNSILENCE = "unsilence"
    ANSWER = "answer"
    EDIT_ANSWER = "edit an answer"
    FORGET_ANSWER = "take an answer back"
    READ_AGAIN = "read again"
    WITHDRAW = "withdraw"
    PUT_BACK = "put back"
    SETTING = "settle"
    SECOND = "sign second"
    RENAME = "rename"
    SET_APART = "set apart"
    FILE_AFTER = "file as a revision"
    ASSIGN = "assign"
    COMMENT = "comment"
    COMPARISON = "comparison"
    EXCHANGE = "exchange"


class PartState(StrEnum):
    """How far a part is reviewed. Rejected: a person looked and no number of it may be used. Withdrawn: its
    sheet does not count."""

    READ = "read"
    IN_REVIEW = "in review"
    ACCEPTED = "accepted"
    REJECTED = "rejected"
    SUPERSEDED = "superseded"
    WITHDRAWN = "withdrawn"


class Verdict(StrEnum):
    """What a person said of one number. Bulk: accepted together with others, without a look at each."""

    ACCEPTED = "accepted"
    BULK = "accepted_in_bulk"
    CORRECTED = "corrected"
    REJECTED = "rejected"
    REOPENED = "reopened"


class ImportState(StrEnum):
    """What importing a sheet came to. Revision: it was matched to a sheet stored before."""

    NEW = "new"
    UNCHANGED = "unchanged"
    REVISION = "revision"


@dataclass(frozen=True, slots=True)
class Signature:
    """Who does something and why; `said_at` only for what was said in another library, earlier."""

    who: str
    reason: str = ""
    said_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ImportOutcome:
    """What importing one sheet came to: its parts and readings, and the sheet it is a revision of.

    `older` is True where the printed revision tells that the sheet is the older of the two.
    """

    state: ImportState
    document: str
    sha256: str
    parts: int
    readings: int
    revision_of: str = ""
    older: bool = False


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One stored sheet in short. `newest` is False where a newer revision is stored; `house` is the likely
    name of its maker, empty where the sheet gives none; `assigned` is who is to review it."""

    document: str
    sha256: str
    revision: str
    page_count: int
    pages_read: tuple[int, ...]
    parts: int
    readings: int
    newest: bool
    imported_by: str
    imported_at: datetime
    house: str = ""
    assigned: str = ""
    comments: int = 0


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part in short, for lists. Counts are of its own numbers; `version` goes with a review.

    `disputed`, `single` and `waiting` (for a second person's signature) are of the undecided, `in_bulk` of
    the accepted.
    """

    part_number: str
    document: str
    sha256: str
    revision: str
    state: PartState
    live: bool
    undecided: int
    disputed: int
    accepted: int
    rejected: int
    hold_current_min_a: float | None
    hold_current_max_a: float | None
    version: int
    single: int
    in_bulk: int
    waiting: int = 0


@dataclass(frozen=True, slots=True)
class PartFilter:
    """Which parts: text in the number, states, a range of the hold current in A, a page of the list.

    A part is left out for its hold current only if every hold current it gives is out of the range:
    one without a hold current stays.
    """

    like: str = ""
    states: tuple[PartState, ...] = ()
    hold_current_min_a: float | None = None
    hold_current_max_a: float | None = None
    limit: int | None = None
    offset: int = 0


@dataclass(frozen=True, slots=True)
class Decision:
    """What a person said of a number; `value` (SI) is the corrected one."""

    verdict: Verdict
    value: float | None
    who: str
    at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class StoredNumber:
    """One number as printed and what was said of it. `number_id` names it in this library; `second` is the
    signature of another person under the decision; `waiting`: the library demands one, and none is there."""

    number_id: int
    reading: Reading
    decision: Decision | None
    second: Decision | None = None
    waiting: bool = False

    @property
    def is_decided(self) -> bool:
        """Whether somebody said something of it that was not taken back."""
        return self.decision is not None and self.decision.verdict is not Verdict.REOPENED


@dataclass(frozen=True, slots=True)
class Target:
    """The numbers a decision is about: a part, or some numbers of it, or one or several by identifier.

    `part_number` may be spaced or capitalised otherwise; empty fields leave out nothing. `sha256` is
    needed where several sheets in force give the part. `seen_version` is the version of the part that
    the person looked at; a decision on an outdated one is refused.
    """

    part_number: str
    sha256: str = ""
    quantity: Quantity | None = None
    kind: Kind | None = None
    ambient_c: float | None = None
    test_current_a: float | None = None
    number_id: int | None = None
    seen_version: int | None = None
    number_ids: frozenset[int] = frozenset()

    @property
    def whole_part(self) -> bool:
        """Whether it names no single numbers."""
        named = (self.quantity, self.kind, self.ambient_c, self.test_current_a, self.number_id)
        return named == (None,) * 5 and not self.number_ids

    @property
    def names_each(self) -> bool:
        """Whether it names each number by its identifier: whoever did so has looked at each."""
        return self.number_id is not None or bool(self.number_ids)


@dataclass(frozen=True, slots=True)
class ReviewOutcome:
    """What a review did: numbers decided, disputed ones left for a person to look at one by one.

    `rejected` are competitors of a number that was accepted or corrected; `singles` were read once and are
    left out of an acceptance in bulk. `in_bulk`: the numbers decided were not looked at one by one.
    """

    part: PartRow
    decided: tuple[StoredNumber, ...]
    rejected: tuple[StoredNumber, ...] = ()
    left: tuple[StoredNumber, ...] = ()
    singles: tuple[StoredNumber, ...] = ()
    in_bulk: bool = False


@dataclass(frozen=True, slots=True)
class BulkChoice:
    """Parts to accept in bulk: those in force with `like` in their number, those of the sheet whose sha256
    begins with `sha256` or whose file is called so, or both at once. `singles`: the numbers read once too."""

    sha256: str = ""
    like: str = ""
    singles: bool = False


@dataclass(frozen=True, slots=True)
class BulkOutcome:
    """What accepting in bulk did: parts touched, numbers decided, disputed and single ones left."""

    parts: tuple[PartRow, ...]
    decided: int
    disputed: int
    singles: int


@dataclass(frozen=True, slots=True)
class Change:
    """One entry of the history. `from_file`: said in another library; who and what are as its file says."""

    version: int
    at: datetime
    who: str
    action: Action
    reason: str
    subject: str
    from_file: bool = False


@dataclass(frozen=True, slots=True)
class Failure:
    """A file that an import could not read, and why."""

    document: str
    sha256: str
    reason: str
    who: str
    at: datetime
