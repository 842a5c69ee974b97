"""Backup and restore: the same library again, on either database, or a clear refusal and nothing."""

import gzip
import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from extract.errors import InputError
from holdtrip.library.backup import FORMAT, restore_library
from holdtrip.library.connections import address_to_engine, reading_connection
from holdtrip.library.migrating import NEWEST
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import Library, open_library
from holdtrip.library.tables import metadata
from tests.library import processes
from tests.library.made_up_sheets import HOLD, many_parts, reading, sheet

ANN = Signature("Ann", "looked at page 1")


@pytest.fixture
def filled(library: Library) -> Library:
    """A library with two revisions, decisions and a text that PostgreSQL cannot hold as it is."""
    odd = reading("qx_a.pdf", "QX-\0\ud800", HOLD, 0.1 + 0.2, ambient_c=23.0)
    library.import_sheet(sheet("qx_a.pdf", revision="Rev. A", more=(odd,)), "Ann")
    library.accept(Target("QX-050"), ANN)
    library.import_sheet(sheet("qx_b.pdf", revision="Rev. B"), "Ben")
    library.correct(Target("QX-110", quantity=HOLD), 1.25, ANN)
    return library


@pytest.fixture(params=["sqlite", "postgresql"])
def elsewhere(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An address where nothing is yet."""
    if request.param == "sqlite":
        yield str(tmp_path / "restored.sqlite")
    else:
        yield request.getfixturevalue("postgresql_address")


def rows_of(address: str) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    engine = address_to_engine(address)
    with reading_connection(engine, address) as connection:
        rows = {table.name: [tuple(row) for row in connection.execute(select(table).order_by(table.c.id))]
                for table in metadata.sorted_tables}
    engine.dispose()
    return rows


def test_what_is_restored_is_the_same_row_by_row(
    filled: Library, address: str, elsewhere: str, tmp_path: Path
) -> None:
    """From either database to either: identifiers, times, decisions; and past states can be shown."""
    before = datetime.now(UTC)
    filled.reject(Target("QX-050", quantity=HOLD, seen_version=filled.list_parts()[0].version), ANN)
    rows, _ = filled.backup(tmp_path / "library.backup")
    assert restore_library(tmp_path / "library.backup", elsewhere) == rows > 30
    assert rows_of(elsewhere) == rows_of(address)
    with open_library(elsewhere) as restored:
        assert restored.parts(as_of=before) == filled.parts(as_of=before)
        restored.import_sheet(sheet("rx.pdf", {"RX-1": 1.0}), "Ann")
        restored.accept(Target("RX-1"), ANN)
        assert len(restored.history()) == len(filled.history()) + 2


def test_nothing_is_restored_over_a_library(filled: Library, address: str, tmp_path: Path) -> None:
    """What is there stays."""
    filled.backup(tmp_path / "library.backup")
    before = rows_of(address)
    with pytest.raises(InputError, match="a library already"):
        restore_library(tmp_path / "library.backup", address)
    assert rows_of(address) == before


def test_a_backup_cut_short_restores_nothing(filled: Library, elsewhere: str, tmp_path: Path) -> None:
    """Neither a file that ends early nor one whose rows are missing."""
    whole = tmp_path / "library.backup"
    filled.backup(whole)
    short, fewer = tmp_path / "short.backup", tmp_path / "fewer.backup"
    short.write_bytes(whole.read_bytes()[:-200])
    lines = gzip.decompress(whole.read_bytes()).splitlines(keepends=True)
    last = max(index for index, line in enumerate(lines) if line.startswith(b"["))  # a row
    fewer.write_bytes(gzip.compress(b"".join(lines[:last] + lines[last + 1:])))
    for path in (short, fewer):
        with pytest.raises(InputError, match=r"damaged|cut short"):
            restore_library(path, elsewhere)
    restore_library(whole, elsewhere)


@pytest.mark.parametrize(("before", "after"), [
    (b'"table": "part"', b'"table": "zz"'), (b'"page_count"', b'"leaves"'), (b"[1, ", b"[1, 2, "),
    (b'{"table": "change"', b'5\n{"table": "change"'), (b'"quantity"', b'"x"], ["y"')])
def test_a_backup_that_somebody_changed_restores_nothing(
    filled: Library, elsewhere: str, tmp_path: Path, before: bytes, after: bytes
) -> None:
    """One line, never an error of our own; what is restored afterwards finds nothing in its way."""
    whole, changed = tmp_path / "library.backup", tmp_path / "changed.backup"
    filled.backup(whole)
    changed.write_bytes(gzip.compress(gzip.decompress(whole.read_bytes()).replace(before, after, 1)))
    with pytest.raises(InputError, match="damaged"):
        restore_library(changed, elsewhere)
    restore_library(whole, elsewhere)


COLUMNS = [held.name for held in metadata.tables["sheet"].columns]
ROW = [1 if name == "id" else "x" for name in COLUMNS]


def row_with(cell: object, at: str = "document") -> str:
    """A line of a sheet with one cell changed."""
    return json.dumps([cell if name == at else one for name, one in zip(COLUMNS, ROW, strict=True)])


@pytest.mark.parametrize(("name", "columns", "row"), [
    ("sheet", COLUMNS, row_with(2**70, "id")), ("sheet", COLUMNS, row_with({})),
    ("sheet", COLUMNS, row_with([1])), ("sheet", COLUMNS, row_with(float("nan"), "id")),
    ("sheet", [*COLUMNS, *COLUMNS], json.dumps([*ROW, *ROW])),
    ("sheet", [], "[]"), ("sheet", 5, json.dumps(ROW)), (5, COLUMNS, json.dumps(ROW)),
    (["a"], COLUMNS, json.dumps(ROW)), ("sqlite_master", ["type", "name"], '["table", "x"]'),
    ("sqlite_sequence", ["name", "seq"], '["x", 1]'), ("sheet", COLUMNS, "[" * 100000 + "]" * 100000)],
    ids=["no 64 bits", "object", "list", "not a number", "columns twice", "no columns", "columns a number",
         "table a number", "table a list", "the database's own table", "its counters", "deep"])
def test_cells_that_no_backup_holds_are_damage_of_the_copy(
    tmp_path: Path, name: object, columns: object, row: str
) -> None:
    """Told in one line as damage of that file, never as an error of holdtrip's own; nothing is restored."""
    path, there = tmp_path / "odd.backup", tmp_path / "restored.sqlite"
    head, table = {"format": FORMAT, "step": NEWEST}, {"table": name, "columns": columns}
    lines = [json.dumps(head), json.dumps(table), row, json.dumps({"rows": 1, "copies": 0})]
    path.write_bytes(gzip.compress("\n".join(lines).encode()))
    with pytest.raises(InputError, match=r"odd.backup: .*damaged.*Nothing was restored"):
        restore_library(path, there)
    with open_library(there) as empty:
        assert empty.history() == ()


def test_other_files_are_refused(tmp_path: Path) -> None:
    """Text, other gzip files, a backup of a newer program."""
    path = tmp_path / "file"
    for content, found in ((b"notes", "not a backup"), (gzip.compress(b"notes\n"), "not a backup"),
                           (gzip.compress(b'{"format": "other"}\n'), "not a backup"),
                           (gzip.compress(json.dumps({"format": "holdtrip backup", "step": "9999_colours"})
                                          .encode()), "newer holdtrip.*9999_colours")):
        path.write_bytes(content)
        with pytest.raises(InputError, match=found):
            restore_library(path, tmp_path / "restored.sqlite")
        assert not (tmp_path / "restored.sqlite").exists()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork (not on Windows)")
def test_a_backup_is_of_one_moment(library: Library, address: str, tmp_path: Path) -> None:
    """Sheets that come in meanwhile are in it whole or not at all."""
    def import_many() -> None:
        with open_library(address) as other:
            for index in range(60):
                other.import_sheet(many_parts(f"s{index}.pdf", 5), "Ann")

    child = processes.start(import_many)
    counts = []
    for turn in range(8):
        path = tmp_path / f"{turn}.backup"
        library.backup(path)
        restore_library(path, tmp_path / f"{turn}.sqlite")
        with open_library(tmp_path / f"{turn}.sqlite") as restored:
            assert {len(part.readings) for part in restored.parts()} <= {5}
            assert len(restored.history()) == len(restored.sheets())
            assert len(restored.list_parts()) == 5 * len(restored.sheets())
            counts.append(len(restored.sheets()))
    assert processes.join(child) == 0
    assert counts == sorted(counts)


def test_a_failed_backup_leaves_the_older_one(filled: Library, tmp_path: Path) -> None:
    """A folder that is not there, and no half file under the name."""
    with pytest.raises(OSError, match="No such file"):
        filled.backup(tmp_path / "none" / "library.backup")
    assert [path.name for path in tmp_path.iterdir() if "backup" in path.name] == []


def test_nothing_is_restored_into_what_others_keep(filled: Library, tmp_path: Path) -> None:
    """A database with tables of its own, also of our names, or another file stays as it is, byte by byte."""
    copy = tmp_path / "team.backup"
    filled.backup(copy)
    for name, table_name in (("theirs.sqlite", "stock"), ("alike.sqlite", "change")):
        with closing(sqlite3.connect(tmp_path / name)) as theirs:
            theirs.execute(f"CREATE TABLE {table_name} (id)")
            theirs.commit()
    (tmp_path / "notes.toml").write_text("normal_current_a = 0.5\n" * 200)
    for name, found in (("theirs.sqlite", "other tables .stock."), ("alike.sqlite", "other tables .change."),
                        ("notes.toml", "not a library"), ("team.backup", "not a library")):
        before = (tmp_path / name).read_bytes()
        with pytest.raises(InputError, match=found):
            restore_library(copy, tmp_path / name)
        assert (tmp_path / name).read_bytes() == before
