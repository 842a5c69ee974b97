"""The library's door: open it by its address, then ask and change it by topic.

Comes in: an address (a file path is SQLite, postgresql://... a server). Goes out: a Library, whose methods
each run one function of a topic's module in one transaction. Holds no rules of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection

from extract.errors import InputError
from extract.schema import Curve, Part, Particular, ParticularName, Reading, SheetReading
from holdtrip.library import (
    bulk,
    history,
    migrating,
    numbers,
    part_facts,
    parts,
    reading_again,
    review,
    settings,
    sheet_rows,
    sheets,
    withdrawing,
)
from holdtrip.library.address import shown_address
from holdtrip.library.backup import write_backup
from holdtrip.library.bare_numbers import BareNumbers, SaidBeside, connection_to_bare, connection_to_said
from holdtrip.library.carrying import CarryOutcome, carry_unchanged
from holdtrip.library.change_log import connection_to_history
from holdtrip.library.connections import address_to_engine, reading_connection
from holdtrip.library.curves import StoredCurve, connection_to_curves, decide
from holdtrip.library.exchange_in import ExchangeOutcome, store_records
from holdtrip.library.exchange_out import connection_to_records
from holdtrip.library.exchange_records import Record
from holdtrip.library.later import (
    LaterChange,
    LaterOutcome,
    add_later,
    connection_to_later,
    take_back_later,
)
from holdtrip.library.later_curves import add_curves
from holdtrip.library.newer import NewerRevision, connection_to_newer
from holdtrip.library.records import (
    Action,
    BulkChoice,
    BulkOutcome,
    Change,
    Failure,
    ImportOutcome,
    Moment,
    PartFilter,
    PartRow,
    ReviewOutcome,
    SheetRow,
    Signature,
    StoredNumber,
    Target,
    Verdict,
)
from holdtrip.library.screening import Screening, ScreenQuestion
from holdtrip.library.sheet_changes import SheetChanges, connection_to_changes
from holdtrip.library.team_memory import TeamMemory
from holdtrip.library.verifying import connection_to_faults

_MAKES_ONE = "`holdtrip import FOLDER` makes one"


def open_library(address: str | Path, create: bool = True) -> Library:
    """Open a library, made or brought up to date first if need be.

    With `create` False a library that is not there yet is an InputError, so is an empty file or database;
    so is, always, one made by a newer program, a file that is no library, or a server that does not answer.
    """
    shown = shown_address(address)
    is_file = "://" not in str(address)
    if is_file and not create and not Path(address).expanduser().is_file():
        raise InputError(shown, "no library here yet", "", _MAKES_ONE)
    engine = address_to_engine(address)
    try:
        with reading_connection(engine, address) as connection:
            up_to_date = migrating.check_known(connection, shown)
            if not create and migrating.step_of(connection) is None:
                raise InputError(shown, "empty: no library here yet", "", _MAKES_ONE)
        if not up_to_date:
            migrating.bring_up_to_date(engine, address)
    except BaseException:
        engine.dispose()
        raise
    return Library(engine, address)


class Library(TeamMemory):
    """An open library: its sheets, parts, reviews and exchange. Every method is one transaction."""

    # Importing

    def import_sheet(self, reading: SheetReading, who: str) -> ImportOutcome:
        """Store one sheet, all of it or nothing; bytes that are stored already change nothing."""
        with self._write() as connection:
            return sheets.store_sheet(connection, reading, Signature(who))

    def compare_again(self, read: SheetReading) -> reading_again.AgainOutcome:
        """What would change if a stored sheet were stored as read now."""
        with self._read() as (connection, _):
            return reading_again.read_to_outcome(connection, read)

    def take_again(self, read: SheetReading, who: str) -> reading_again.AgainOutcome:
        """Store a sheet as read now, but for the parts that somebody decided on."""
        with self._write() as connection:
            return reading_again.take_again(connection, read, Signature(who))

    def record_failure(self, document: str, sha256: str, reason: str, who: str) -> None:
        """Record a file that could not be read; `sha256` is empty where it could not be told."""
        with self._write() as connection:
            sheets.store_failure(connection, document, sha256, reason, Signature(who))

    def stored_hashes(self) -> frozenset[str]:
        """The sha256 of every sheet stored: an import that goes on leaves these out."""
        with self._read() as (connection, _):
            return sheets.stored_hashes(connection)

    def documents(self) -> dict[str, str]:
        """sha256 → name of every sheet stored."""
        with self._read() as (connection, _):
            return sheets.stored_documents(connection)

    def failures(self, as_of: Moment | None = None) -> tuple[Failure, ...]:
        """Files that imports could not read and that are still not stored."""
        with self._read(as_of) as (connection, version):
            return sheet_rows.connection_to_failures(connection, version)

    # Looking

    def sheets(self, as_of: Moment | None = None) -> tuple[SheetRow, ...]:
        """Every sheet in short, in the order imported."""
        with self._read(as_of) as (connection, version):
            return sheet_rows.connection_to_sheet_rows(connection, version)

    def sheet(self, sha256: str) -> SheetReading | None:
        """A sheet whole, as it was read; None if it is not stored."""
        with self._read() as (connection, _):
            return sheet_rows.connection_to_sheet(connection, sha256)

    def list_parts(
        self, where: PartFilter = parts.EVERY_PART, as_of: Moment | None = None, live_only: bool = True
    ) -> tuple[PartRow, ...]:
        """Parts in short, those in force or of every revision."""
        with self._read(as_of) as (connection, version):
            return parts.connection_to_rows(connection, version, where, live_only)

    def parts(
        self, accepted_only: bool = False, as_of: Moment | None = None,
        where: PartFilter = parts.EVERY_PART,
    ) -> tuple[Part, ...]:
        """The parts in force with every number that may be used; see library.parts."""
        with self._read(as_of) as (connection, version):
            return parts.connection_to_parts(connection, version, where, accepted_only)

    def particulars(self, as_of: Moment | None = None) -> tuple[Particular, ...]:
        """What the sheets of the parts in force say beside the ratings, each thing once."""
        with self._read(as_of) as (connection, version):
            found = parts.connection_to_parts(connection, version)
            return tuple(dict.fromkeys(one for part in found for one in part.particulars))

    def bare_numbers(self, accepted_only: bool) -> BareNumbers:
        """As `parts`, all of them, without a record for each number."""
        with self._read() as (connection, version):
            return connection_to_bare(connection, version, accepted_only)

    def said_beside(
        self, names: Collection[ParticularName], as_of: Moment
    ) -> tuple[SaidBeside, ...]:
        """What sheets say under some names beside their ratings, without a record for each."""
        with self._read(as_of) as (connection, version):
            return connection_to_said(connection, version, names)

    def parts_of_ids(
        self, part_ids: Sequence[int], accepted_only: bool, as_of: Moment
    ) -> tuple[Part, ...]:
        """As `parts`, those with some identifiers of `bare_numbers`, which stand in its order."""
        with self._read(as_of) as (connection, version):
            return parts.connection_to_parts_of_ids(connection, version, part_ids, accepted_only)

    def part_count(self) -> int:
        """How many parts are in force."""
        with self._read() as (connection, version):
            return parts.connection_to_count(connection, version)

    def part_facts(self) -> dict[tuple[str, str], part_facts.PartFacts]:
        """What a list shows of each part in force; see library.part_facts."""
        with self._read() as (connection, version):
            return part_facts.connection_to_facts(connection, version)

    @contextmanager
    def screening(self, asked: ScreenQuestion, accepted_only: bool) -> Iterator[Screening]:
        """What every part can do at its best, and the parts that seem worth loading: of one moment."""
        with self._read() as (connection, version):
            yield Screening(connection, version, asked, accepted_only)

    def part(self, part_number: str, as_of: Moment | None = None) -> tuple[Part, ...]:
        """The part of that number, however spaced or capitalised, from each sheet in force."""
        with self._read(as_of) as (connection, version):
            return parts.connection_to_named_parts(connection, version, part_number)

    def readings(self, accepted_only: bool = False, as_of: Moment | None = None) -> tuple[Reading, ...]:
        """The numbers of `parts`, each once: those of a whole series under its `*`."""
        with self._read(as_of) as (connection, version):
            found = parts.connection_to_parts(connection, version, parts.EVERY_PART, accepted_only)
            return parts.parts_to_readings(found)

    def numbers(self, as_of: Moment | None = None) -> tuple[StoredNumber, ...]:
        """Every number of every revision as printed, with what was said of it."""
        with self._read(as_of) as (connection, version):
            return numbers.connection_to_numbers(connection, version)

    def numbers_of(self, part_number: str, as_of: Moment | None = None) -> tuple[StoredNumber, ...]:
        """The numbers of one part from the sheets in force, each as printed with what was said of it."""
        with self._read(as_of) as (connection, version):
            ids = parts.part_ids_of(connection, version, part_number)
            return numbers.connection_to_numbers(connection, version, ids)

    def sheet_rows(self, sha256: str = "") -> tuple[PartRow, ...]:
        """The parts of one sheet, or of every one, in short, the whole series (`*`) too, as read."""
        with self._read() as (connection, version):
            return parts.connection_to_sheet_parts(connection, version, sha256)

    def sheet_numbers(self, sha256: str) -> tuple[StoredNumber, ...]:
        """Every number of one sheet as printed, with what was said of it, in the order read."""
        with self._read() as (connection, version):
            ids = parts.part_ids_of_sheet(connection, version, sha256)
            return numbers.connection_to_numbers(connection, version, ids)

    def version(self) -> int:
        """How many changes the library has seen: what was read before is still true while it is the same."""
        with self._read() as (_, version):
            return version

    # Reviewing

    def check_acceptor(self, by: Signature) -> None:
        """Raise InputError for somebody who may not accept here."""
        with self._read() as (connection, _):
            self._check_acceptor(connection, by)

    def _check_acceptor(self, connection: Connection, by: Signature) -> None:
        version = history.version_at(connection)
        settings.check_acceptor(settings.connection_to_settings(connection, version), by.who)

    def start_review(self, target: Target, by: Signature) -> ReviewOutcome:
        """Mark a part as being in review."""
        with self._write() as connection:
            return review.start_review(connection, target, by)

    def accept(
        self, target: Target, by: Signature, singles: bool = False, in_bulk: bool = False
    ) -> ReviewOutcome:
        """Accept the numbers named, or a part in bulk (its disputed numbers stay undecided, those read once
        too without `singles`); see library.review."""
        with self._write() as connection:
            self._check_acceptor(connection, by)
            return review.accept(connection, target, by, singles, in_bulk)

    def accept_in_bulk(self, chosen: BulkChoice, by: Signature) -> BulkOutcome:
        """Accept many parts in bulk by one change, with what their sheets say of the whole series."""
        with self._write() as connection:
            self._check_acceptor(connection, by)
            return bulk.accept_in_bulk(connection, chosen, by)

    def carry_unchanged(self, newer: str, by: Signature) -> CarryOutcome:
        """Carry decisions from a sheet to its newer revision, for numbers printed alike, in bulk."""
        with self._write() as connection:
            self._check_acceptor(connection, by)
            return carry_unchanged(connection, newer, by)

    def correct(self, target: Target, value: float, by: Signature) -> ReviewOutcome:
        """Put a value (SI) beside the printed one."""
        with self._write() as connection:
            self._check_acceptor(connection, by)
            return review.correct(connection, target, value, by)

    def reject(self, target: Target, by: Signature) -> ReviewOutcome:
        """Take a part or the numbers named out of every comparison."""
        with self._write() as connection:
            return review.reject(connection, target, by)

    def curves(self, part_number: str = "", sha256: str = "", as_of: Moment | None = None,
               ) -> tuple[StoredCurve, ...]:
        """Drawn curves with what was said of them: of every sheet, of one, or of one part."""
        with self._read(as_of) as (connection, version):
            return connection_to_curves(connection, version, part_number, sha256)

    def add_curves(self, sha256: str, curves: Sequence[Curve], by: Signature) -> int:
        """Add curves of a chart whose scale a person marked; see library.later_curves."""
        with self._write() as connection:
            return add_curves(connection, sha256, curves, by)

    def decide_curve(self, curve_id: int, verdict: Verdict, by: Signature, part_number: str = "",
                     ) -> StoredCurve:
        """Accept or reject a curve, take that back, or say which part its label names."""
        with self._write() as connection:
            if verdict in (Verdict.ACCEPTED, Verdict.BULK, Verdict.CORRECTED):
                self._check_acceptor(connection, by)
            return decide(connection, curve_id, verdict, by, part_number)

    def reopen(self, target: Target, by: Signature) -> ReviewOutcome:
        """Take decisions back; they stay in the history."""
        with self._write() as connection:
            return review.reopen(connection, target, by)

    def withdraw(self, named: str, by: Signature) -> tuple[str, int]:
        """Let a sheet count no longer; see library.withdrawing."""
        with self._write() as connection:
            return withdrawing.withdraw(connection, named, by)

    def put_back(self, named: str, by: Signature) -> tuple[str, int]:
        """Let a withdrawn sheet count again."""
        with self._write() as connection:
            return withdrawing.put_back(connection, named, by)

    def add_later(
        self, sha256: str, readings: Sequence[Reading], instead_of: Iterable[int], action: Action,
        by: Signature,
    ) -> LaterOutcome:
        """Add readings to a stored sheet, in place of numbers of it; see library.later."""
        with self._write() as connection:
            return add_later(connection, sha256, readings, instead_of, action, by)

    def later(self, sha256: str) -> tuple[LaterChange, ...]:
        """The answers and framed tables of a sheet that were not taken back, oldest first."""
        with self._read() as (connection, _):
            return connection_to_later(connection, sha256)

    def take_back_later(self, sha256: str, number_ids: Iterable[int], by: Signature) -> LaterOutcome:
        """Take back the answers or framed tables by which some numbers came or went."""
        with self._write() as connection:
            return take_back_later(connection, sha256, number_ids, by)

    # Revisions and history

    def changes(self, sha256: str = "", as_of: Moment | None = None) -> tuple[SheetChanges, ...]:
        """What each new revision changed, or that of the sheet whose sha256 begins so."""
        with self._read(as_of) as (connection, version):
            return connection_to_changes(connection, version, sha256)

    def newer(self, sheets: Sequence[str] = (), as_of: Moment | None = None) -> tuple[NewerRevision, ...]:
        """Parts in force of which a newer revision is stored; of some sheets (sha256), or of all."""
        with self._read(as_of) as (connection, version):
            return connection_to_newer(connection, version, sheets)

    def history(self, part_number: str = "", as_of: Moment | None = None) -> tuple[Change, ...]:
        """Every change, or those that touched a part, oldest first."""
        with self._read(as_of) as (connection, version):
            return connection_to_history(connection, version, part_number)

    # Exchange

    def export_records(self, as_of: Moment | None = None) -> tuple[Record, ...]:
        """Everything that libraries exchange; library.exchange_json, _xlsx and _parquet write it."""
        with self._read(as_of) as (connection, version):
            return connection_to_records(connection, version)

    def import_records(self, records: Sequence[Record], by: Signature) -> ExchangeOutcome:
        """Take in what another library exported, all of it or nothing; what is known here stays."""
        with self._write() as connection:
            return store_records(connection, records, by)

    def faults(self) -> tuple[str, ...]:
        """What is wrong with the database, one line each; see library.verifying."""
        with self._read() as (connection, version):
            return tuple(connection_to_faults(connection, version))

    def backup(self, path: Path, copies: Iterable[tuple[str, bytes]] = ()) -> tuple[int, int]:
        """Write everything into one file, with copies of datasheets; returns its rows and copies.
        library.backup.restore_library reads it."""
        with self._read() as (connection, _):
            return write_backup(connection, path, copies)
