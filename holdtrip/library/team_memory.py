"""What a team remembers in its library beside parts: silences, answers, comparisons, settings, copies.

Comes in: as of store.py. Goes out: the half of a Library that this is about, each method one transaction.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import OperationalError

from extract.asked import Remembered
from extract.errors import InputError
from holdtrip.library import (
    answers,
    comparisons,
    filing,
    history,
    settings,
    sheet_notes,
    silences,
)
from holdtrip.library.address import shown_address
from holdtrip.library.comparisons import Comparison, SavedComparison
from holdtrip.library.connections import reading_connection, writing_connection
from holdtrip.library.damaged_cells import first_damaged
from holdtrip.library.records import Moment, Signature
from holdtrip.library.silences import FindingKey, Silence


def _may_be_damage(error: Exception) -> bool:
    """Whether a cell may be why something failed; of what SQLite says, only that a text is none."""
    return not isinstance(error, OperationalError) or "decode" in str(error.orig).lower()


class TeamMemory:
    """An open library. Use it in a `with` block; every method is one transaction.

    `as_of` (an aware time) shows the library as it stood then.
    """

    def __init__(self, engine: Engine, address: str | Path) -> None:
        self._engine, self._address = engine, address

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    @property
    def name(self) -> str:
        """The address as it may be shown."""
        return shown_address(self._address)

    @contextmanager
    def _read(self, as_of: Moment | None = None) -> Iterator[tuple[Connection, int]]:
        with (reading_connection(self._engine, self._address) as connection,
              self._damage_as_error(connection)):
            yield connection, history.version_at(connection, as_of)

    @contextmanager
    def _write(self) -> Iterator[Connection]:
        with (writing_connection(self._engine, self._address) as connection,
              self._damage_as_error(connection)):
            yield connection

    @contextmanager
    def _damage_as_error(self, connection: Connection) -> Iterator[None]:
        """Where a cell that no holdtrip writes is why something failed, say so."""
        try:
            yield
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError,
                OperationalError) as error:
            if not _may_be_damage(error) or (cell := first_damaged(connection)) is None:
                raise
            raise InputError(self.name, f"the library is damaged ({cell})", "",
                             "Restore it from a backup; `holdtrip verify` tells all") from error

    def span(self) -> tuple[datetime | None, int]:
        """When the first change was made, None for none; the last version."""
        with self._read() as (connection, version):
            return history.first_time(connection), version

    # Findings and comparisons

    def silence(self, key: FindingKey, by: Signature) -> None:
        """Remember that the source really says this; see library.silences.finding_to_key."""
        with self._write() as connection:
            silences.add_silence(connection, key, by)

    def unsilence(self, key: FindingKey, by: Signature) -> None:
        """Let a finding be raised again."""
        with self._write() as connection:
            silences.remove_silence(connection, key, by)

    def silenced(self, as_of: Moment | None = None) -> tuple[Silence, ...]:
        """The findings not to be raised again."""
        with self._read(as_of) as (connection, version):
            return silences.connection_to_silences(connection, version)

    def remember_answer(self, one: Remembered, by: Signature) -> int:
        """Remember an answer to a question of a sheet; returns its number."""
        with self._write() as connection:
            return answers.add_answer(connection, one, by)

    def edit_answer(self, answer_id: int, edited: Remembered, by: Signature) -> int:
        """Put an edited answer in the place of one; returns its new number."""
        with self._write() as connection:
            return answers.edit_answer(connection, answer_id, edited, by)

    def forget_answer(self, answer_id: int, by: Signature) -> answers.StoredAnswer:
        """Take an answer back; it stays in the history."""
        with self._write() as connection:
            return answers.forget_answer(connection, answer_id, by)

    def take_in_answers(self, given: Sequence[Remembered]) -> int:
        """Remember what another team answered, all of it or nothing; returns how many were new."""
        with self._write() as connection:
            return answers.take_in_answers(connection, given)

    def answers(self, as_of: Moment | None = None) -> tuple[answers.StoredAnswer, ...]:
        """The answers in force, oldest first."""
        with self._read(as_of) as (connection, version):
            return answers.connection_to_answers(connection, version)

    def save_comparison(self, comparison: Comparison, by: Signature) -> int:
        """Keep a comparison under its name; returns the version."""
        with self._write() as connection:
            return comparisons.add_comparison(connection, comparison, by)

    def comparisons(self, as_of: Moment | None = None) -> tuple[SavedComparison, ...]:
        """The comparisons kept, each name once."""
        with self._read(as_of) as (connection, version):
            return comparisons.connection_to_comparisons(connection, version)

    # What the team has settled, and copies in the database

    def settings(self, as_of: Moment | None = None) -> settings.Settings:
        """The settings in force."""
        with self._read(as_of) as (connection, version):
            return settings.connection_to_settings(connection, version)

    def settle(
        self, by: Signature, copies: str | None = None, acceptors: tuple[str, ...] | None = None,
        signatures: int | None = None,
    ) -> None:
        """Change settings; None stays as it is."""
        with self._write() as connection:
            settings.change_settings(connection, by, copies, acceptors, signatures)

    # Datasheets as a whole

    def rename_sheet(self, named: str, document: str, by: Signature) -> tuple[str, str]:
        """Call a datasheet otherwise; see library.filing."""
        with self._write() as connection:
            return filing.rename_sheet(connection, named, document, by)

    def set_apart(self, named: str, by: Signature) -> filing.Filed:
        """A datasheet is no revision of those it was filed with."""
        with self._write() as connection:
            return filing.set_apart(connection, named, by)

    def file_after(self, named: str, older: str, by: Signature) -> tuple[filing.Filed, filing.Filed]:
        """A datasheet is the next newer revision of another."""
        with self._write() as connection:
            return filing.file_after(connection, named, older, by)

    def named_sheet(self, named: str) -> filing.Filed:
        """The one datasheet that is called so or whose sha256 begins so."""
        with self._read() as (connection, _):
            return filing.named_sheet(connection, named)

    def filed_sheets(self, as_of: Moment | None = None) -> list[filing.Filed]:
        """Every datasheet with the family of its revisions, oldest revision first."""
        with self._read(as_of) as (connection, version):
            return filing.filed_sheets(connection, version)

    def assign(self, named: str, name: str, by: Signature) -> str:
        """Say who is to review a datasheet; nobody for an empty name."""
        with self._write() as connection:
            return sheet_notes.assign(connection, named, name, by)

    def comment(self, named: str, text: str, by: Signature) -> str:
        """Add a comment to a datasheet."""
        with self._write() as connection:
            return sheet_notes.comment(connection, named, text, by)

    def notes(self, sha256: str = "", as_of: Moment | None = None) -> tuple[sheet_notes.SheetNote, ...]:
        """Assignments and comments in force, oldest first."""
        with self._read(as_of) as (connection, version):
            return sheet_notes.connection_to_notes(connection, version, sha256)

    def copy_of(self, sha256: str) -> bytes | None:
        """The bytes of a datasheet kept in the database."""
        with self._read() as (connection, _):
            return settings.copy_of(connection, sha256)

    def has_copy(self, sha256: str) -> bool:
        """Whether the database keeps the bytes of a datasheet."""
        with self._read() as (connection, _):
            return settings.has_copy(connection, sha256)

    def keep_copy(self, sha256: str, data: bytes) -> None:
        """Keep the bytes of a datasheet in the database."""
        with self._write() as connection:
            settings.keep_copy(connection, sha256, data)
