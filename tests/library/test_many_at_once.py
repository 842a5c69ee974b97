"""Killed importers and many people at once: nothing half-stored, nothing lost, nobody told of locks."""

import os
import random
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from extract.schema import Reading, SheetReading
from holdtrip.library.part_states import numbers_to_counts
from holdtrip.library.records import ConflictError, PartRow, Signature, StoredNumber, Target
from holdtrip.library.store import Library, open_library
from tests.library import processes
from tests.library.made_up_sheets import HOLD, many_parts, sheet

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and kill -9 (not on Windows)")

KILLS = 50


def import_folder(address: str, sheets: list[SheetReading]) -> None:
    """What an import of a folder does: leave out what is stored, store the rest sheet by sheet."""
    with open_library(address) as library:
        stored = library.stored_hashes()
        for read in sheets:
            if read.sha256 not in stored:
                library.import_sheet(read, "Ann")


def content(library: Library) -> tuple[list[Reading], list[PartRow], int]:
    """All that importing put there; times and version numbers aside (PostgreSQL skips those of a killed
    change)."""
    rows = [replace(row, version=0) for row in library.list_parts(live_only=False)]
    return [one.reading for one in library.numbers()], rows, len(library.history())


def check_sheets_are_whole(library: Library, sheets: list[SheetReading]) -> int:
    """Every sheet stored is exactly what was read; returns how many there are."""
    stored = library.stored_hashes()
    for read in sheets:
        assert library.sheet(read.sha256) == (read if read.sha256 in stored else None)
    assert len(library.sheets()) == len(library.history()) == len(stored)
    return len(stored)


def check_counts(library: Library) -> int:
    """As many changes as sheets, and no number, text or finding without the rest of its sheet."""
    rows = library.sheets()
    assert len(rows) == len(library.history())
    assert {(row.parts, row.readings) for row in rows} <= {(12, 49)}
    for row in rows[-2:]:
        read = library.sheet(row.sha256)
        assert read == many_parts(row.document, 12)
    return len(rows)


def check_states_follow_from_numbers(library: Library) -> None:
    """The counts kept with each part are those of its numbers and decisions."""
    numbers: dict[tuple[str, str], list[StoredNumber]] = {}
    for one in library.numbers():
        numbers.setdefault((one.reading.sha256, one.reading.part_number), []).append(one)
    for row in library.list_parts(live_only=False):
        counts = numbers_to_counts(numbers[row.sha256, row.part_number])
        assert (row.undecided, row.disputed, row.accepted, row.rejected) == (
            counts.undecided, counts.disputed, counts.accepted, counts.rejected)


def wait_for_more(address: str, sheets: int) -> None:
    """Until an import at work has stored more sheets, however slow the machine is."""
    with open_library(address) as library:
        while len(library.stored_hashes()) <= sheets:
            time.sleep(0.005)


def test_killing_an_import_leaves_nothing_half_stored(address: str, tmp_path: Path) -> None:
    """kill -9 at 50 random moments, every second one while sheets are being stored; each time the library
    opens and holds whole sheets only. The import started again completes, and the result is that of an
    undisturbed one."""
    sheets = [many_parts(f"s{index}.pdf", 12) for index in range(2000)]
    chance, counts = random.Random(6), []
    for turn in range(KILLS):
        child = processes.start(lambda: import_folder(address, sheets))
        if turn % 2:
            wait_for_more(address, counts[-1])
        time.sleep(chance.uniform(0.0, 0.1))
        processes.kill(child)
        with open_library(address) as library:
            counts.append(check_counts(library))
    assert counts == sorted(counts)
    assert len(set(counts)) > 5, "hardly a kill hit an import at work"
    assert counts[-1] < len(sheets), "the last kills hit an import that had nothing left to do"
    sheets = sheets[:counts[-1] + 20]
    import_folder(address, sheets)
    import_folder(str(tmp_path / "undisturbed.sqlite"), sheets)
    with open_library(address) as library, open_library(tmp_path / "undisturbed.sqlite") as undisturbed:
        check_sheets_are_whole(library, sheets)
        assert content(library) == content(undisturbed)


def review(address: str, who: str, log: Path) -> None:
    """Correct what is on the list, thirty times; write down what was done and what was refused."""
    chance, lines = random.Random(who), []
    with open_library(address) as library:
        for turn in range(30):
            row = chance.choice(library.list_parts())
            target = Target(row.part_number, sha256=row.sha256, quantity=HOLD, seen_version=row.version)
            value = 1.0 + turn + int(who[-1]) / 8  # nobody else's: saying the same again would be no change
            try:
                done = library.correct(target, value, Signature(who, f"turn {turn}"))
            except ConflictError:
                lines.append("refused")
            else:
                lines.append(f"done {row.part_number} {value} {done.part.version}")
    log.write_text("\n".join(lines))


def test_eight_at_once_lose_nothing(address: str, tmp_path: Path) -> None:
    """Four importers of overlapping folders and four reviewers of the same parts, all at once: each ends
    well, each sheet is stored once, every decision told as done is in the history, none is overwritten
    unseen."""
    with open_library(address) as library:
        library.import_sheet(sheet("first.pdf", {f"QX-{index}": 0.5 for index in range(6)}), "Ann")
    sheets = [many_parts(f"s{index}.pdf", 10) for index in range(60)]
    logs = [tmp_path / f"reviewer{index}" for index in range(4)]
    children = [processes.start(lambda start=start: import_folder(address, sheets[start:start + 30]))
                for start in (0, 10, 20, 30)]
    children += [processes.start(lambda log=log: review(address, log.name, log)) for log in logs]
    assert [processes.join(child) for child in children] == [0] * 8
    lines = [line.split() for log in logs for line in log.read_text().splitlines()]
    done = [line for line in lines if line[0] == "done"]
    assert len(lines) == 4 * 30
    with open_library(address) as library:
        assert Counter(one.action.value for one in library.history()) == {
            "import": 61, "correct": len(done)}
        assert {one.version for one in library.history() if one.action.value == "correct"} == {
            int(line[3]) for line in done}
        last = {number: float(value) for _, number, value, _ in sorted(done, key=lambda line: int(line[3]))}
        assert last == {one.reading.part_number: one.decision.value
                        for one in library.numbers() if one.decision}
        for read in sheets:
            assert library.sheet(read.sha256) == read
        check_states_follow_from_numbers(library)


def test_eight_open_a_new_library_at_once(address: str) -> None:
    """All of them find it made, once."""
    one = sheet()
    children = [processes.start(lambda: import_folder(address, [one])) for _ in range(8)]
    assert [processes.join(child) for child in children] == [0] * 8
    with open_library(address) as library:
        assert len(library.history()) == 1
        assert library.sheet(one.sha256) == one


def test_a_reader_sees_one_state_while_others_write(library: Library, address: str) -> None:
    """What one question returns belongs to one version, however many sheets come in meanwhile."""
    sheets = [replace(many_parts(f"s{index}.pdf", 5), texts=()) for index in range(40)]
    child = processes.start(lambda: import_folder(address, sheets))
    seen = []
    while len(seen) < 2000 and (not seen or seen[-1] < 40):
        parts = library.parts()
        assert Counter(Counter(part.sha256 for part in parts).values()).keys() <= {5}
        assert all(len(part.readings) == 5 for part in parts)
        seen.append(len({part.sha256 for part in parts}))
    assert processes.join(child) == 0
    assert seen == sorted(seen)
