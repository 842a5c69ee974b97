"""Kills at random moments over import, accept and restore: what is left is sound, and nobody lives on.

    python bench/kills.py [--kills 50] [--sheets 40] [--address ADDRESS] [--only restore]

Comes in: the address of an empty library (a file of its own without one; a PostgreSQL database of its own,
emptied by whoever calls: restores go into further schemas of it). Goes out: how many kills hit, and what went
wrong. Each command is begun, and its parent alone, or by turns the parent and all its workers at once, is
killed (-9) after a random time, every second import after it has stored a sheet. Then every worker of it is
gone within five seconds, no unfinished file is left, and `holdtrip verify` finds no fault; where it finds no
library yet, the backup is restored. At the end the same import does the rest, and the numbers are those of an
import that nobody disturbed. Exit 1 if not.
"""

from __future__ import annotations

import argparse
import csv
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import create_engine, text

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from holdtrip.library.address import address_to_url  # noqa: E402
from holdtrip.library.store import open_library  # noqa: E402

SAMPLES = ROOT / "sample_tables"
GONE_S = 5.0
LONGEST_S = 200.0


def holdtrip(*arguments: str) -> list[str]:
    """A command line of ours."""
    return [sys.executable, "-m", "holdtrip", *arguments]


def children_of(pid: int) -> set[int]:
    """All processes begun by one, and by those."""
    parents = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = entry.read_text(encoding="ascii", errors="replace").rsplit(")", 1)[1].split()
        except (OSError, IndexError):
            continue
        if fields[0] != "Z":
            parents[int(entry.parent.name)] = int(fields[1])
    found = {pid}
    while more := {child for child, parent in parents.items() if parent in found} - found:
        found |= more
    return found - {pid}


def kill_after(
    command: list[str], seconds: float, with_workers: bool, is_time: Callable[[], bool] = lambda: True
) -> tuple[bool, set[int]]:
    """Begin a command and kill its first process, its workers too if asked, so long after `is_time`; (was it
    still running, its children then)."""
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    children, last = set[int](), time.monotonic() + LONGEST_S
    while not is_time() and time.monotonic() < last and process.poll() is None:
        time.sleep(0.02)
    end = time.monotonic() + seconds
    while time.monotonic() < end and process.poll() is None:
        children |= children_of(process.pid)
        time.sleep(0.02)
    was_running = process.poll() is None
    here = children_of(process.pid) if was_running else set()
    process.send_signal(signal.SIGKILL)
    for pid in here if with_workers else ():
        kill(pid)
    process.wait()
    return was_running, children | here


def kill(pid: int) -> None:
    """End a process that may be gone."""
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return


def alive(pids: set[int]) -> set[int]:
    """Those that still run after five seconds at most."""
    end = time.monotonic() + GONE_S
    while left := {pid for pid in pids if _runs(pid)}:
        if time.monotonic() > end:
            return left
        time.sleep(0.05)
    return set()


def _runs(pid: int) -> bool:
    try:
        stat = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace")
    except OSError:
        return False
    return stat.rsplit(")", 1)[1].split()[0] != "Z"


@dataclass(slots=True)
class Victim:
    """What is killed, and what is kept of it. `address`: the library that is imported into."""

    folder: Path
    address: str
    only: str
    dice: random.Random
    hit: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    @property
    def backup(self) -> str:
        """A backup of a library of one sheet."""
        return str(self.folder / "one.backup")

    @property
    def sheets(self) -> str:
        """The sheets to import."""
        return str(self.folder / "sheets")


def prepare(victim: Victim, sheets: int) -> None:
    """Sheets to import, a library of one sheet, a backup of it."""
    Path(victim.sheets).mkdir()
    for path in sorted(SAMPLES.glob("*.pdf"))[:sheets]:
        shutil.copy(path, victim.sheets)
    said("import", str(SAMPLES / "thimblecrag_tcg.pdf"), "--library", victim.address)
    said("backup", victim.backup, "--library", victim.address)


def said(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Type a command to its end."""
    return subprocess.run(holdtrip(*arguments), cwd=ROOT, capture_output=True, text=True, check=False)


def kill_one(victim: Victim, number: int) -> None:
    """Begin a command by chance, kill it, look at what is left."""
    restored = place_to_restore(victim, number)
    letter = victim.dice.choice("ABCDEFGHJKLMNOPQRSTUVW")
    command, longest = victim.dice.choice([one for one in (
        (holdtrip("import", victim.sheets, "--library", victim.address), 15.0),
        (holdtrip("accept", "--like", letter, "--library", victim.address, "--who", "Ann"), 3.0),
        (holdtrip("restore", victim.backup, "--library", restored), 9.0)) if victim.only in ("", one[0][3])])
    first, is_time = stored(victim.address), always
    if command[3] == "import" and victim.dice.random() < 0.5:
        longest, is_time = 2.0, lambda: stored(victim.address) > first
    was_running, children = kill_after(command, victim.dice.uniform(0.1, longest), number % 2 == 1, is_time)
    if was_running and stored(victim.address) > first:
        victim.hit["import that had stored some"] += 1
    victim.hit[command[3]] += was_running
    if was_running and children:
        victim.hit[f"{command[3]} with {'all its' if number % 2 else 'living'} workers"] += 1
    if left := alive(children):
        victim.wrong.append(f"kill {number} of {command[3]}: {len(left)} workers live on")
        for pid in left:
            kill(pid)
    one = restored if command[3] == "restore" else victim.address
    victim.wrong += [f"kill {number} of {command[3]}: {fault}" for fault in look_at(victim, one)]


def look_at(victim: Victim, address: str) -> Iterator[str]:
    """What is wrong with what a killed command left."""
    unfinished = [path.name for path in victim.folder.rglob("*unfinished*")]
    if unfinished:
        yield f"left over: {unfinished}"
    if "://" not in address and not Path(address).exists():
        return
    done = said("verify", "--library", address)
    if done.returncode and "no library here yet" not in done.stderr:
        yield f"{done.stdout}{done.stderr}"
    elif done.returncode and said("restore", victim.backup, "--library", address).returncode:
        yield "what it left cannot be restored into"
    elif done.returncode:
        victim.hit["restored again after a kill"] += 1


def place_to_restore(victim: Victim, number: int) -> str:
    """A file that is not there yet, or an empty schema of the same server."""
    if "://" not in victim.address:
        return str(victim.folder / f"restored{number}.sqlite")
    engine = create_engine(address_to_url(victim.address))
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA restored{number}"))
    engine.dispose()
    return f"{victim.address}?options=-csearch_path%3Drestored{number}"


def always() -> bool:
    """The clock begins with the command."""
    return True


def stored(address: str) -> int:
    """How many sheets a library holds."""
    with open_library(address) as library:
        return len(library.stored_hashes())


def rows(victim: Victim, address: str) -> list[str]:
    """What is stored of the sheets, as the long table has it, without what people decided."""
    table = victim.folder / "rows.csv"
    said("export", str(table), "--long", "--library", address)
    with table.open(encoding="utf-8", newline="") as lines:
        return sorted(str([text for name, text in row.items() if name not in ("status", "notes", "cause")])
                      for row in csv.DictReader(lines))


def main() -> int:
    """Kill, look, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--sheets", type=int, default=40)
    parser.add_argument("--address", default="")
    parser.add_argument("--only", choices=("import", "accept", "restore"), default="")
    parser.add_argument("--seed", type=int, default=19)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        os.environ["XDG_DATA_HOME"] = str(folder / "data")
        address = options.address or str(folder / "team.sqlite")
        victim = Victim(folder, address, options.only, random.Random(options.seed))
        prepare(victim, options.sheets)
        for number in range(options.kills):
            kill_one(victim, number)
        done = said("import", victim.sheets, "--library", address)
        last = next((line for line in done.stdout.splitlines() if "datasheets stored" in line), done.stderr)
        print(f"{options.kills} kills, while the command ran: {dict(victim.hit)}; afterwards: {last}",
              flush=True)
        undisturbed = str(folder / "undisturbed.sqlite")
        said("import", str(SAMPLES / "thimblecrag_tcg.pdf"), "--library", undisturbed)
        said("import", victim.sheets, "--library", undisturbed)
        here, there = rows(victim, address), rows(victim, undisturbed)
        print(f"numbers stored: {len(here)}; undisturbed: {len(there)}")
        if here != there:
            victim.wrong.append("the numbers differ from those of an import that nobody disturbed")
    print("\n".join(victim.wrong)
          or "no fault: nothing lives on, every library is sound, no number lost or added")
    return 1 if victim.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
