"""Kills at random moments over import, accept and restore: what is left is sound, and nobody lives on.

    python bench/kills.py [--kills 50] [--address ADDRESS]

Comes in: the address of an empty library (a file of its own without one; a PostgreSQL schema is emptied by
whoever calls). Goes out: how many kills hit, and what went wrong. Each command is begun, its parent process
alone is killed (-9) after a random time, and then: every worker of it is gone within five seconds, `holdtrip
verify` finds no fault, and at the end the same import does the rest. Exit 1 if not.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "sample_tables"
GONE_S = 5.0


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


def kill_after(command: list[str], seconds: float) -> tuple[bool, set[int]]:
    """Begin a command and kill its first process only; (was it still running, its children then)."""
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    end, children = time.monotonic() + seconds, set[int]()
    while time.monotonic() < end and process.poll() is None:
        children |= children_of(process.pid)
        time.sleep(0.02)
    was_running = process.poll() is None
    children |= children_of(process.pid) if was_running else set()
    process.send_signal(signal.SIGKILL)
    process.wait()
    return was_running, children


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


def main() -> int:
    """Kill, look, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--address", default="")
    parser.add_argument("--seed", type=int, default=19)
    options = parser.parse_args()
    dice = random.Random(options.seed)
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        os.environ["XDG_DATA_HOME"] = str(folder / "data")
        address = options.address or str(folder / "team.sqlite")
        (folder / "sheets").mkdir()
        for path in sorted(SAMPLES.glob("*.pdf"))[:12]:
            shutil.copy(path, folder / "sheets")
        subprocess.run(holdtrip("import", str(SAMPLES / "thimblecrag_tcg.pdf"), "--library", address),
                       cwd=ROOT, capture_output=True, check=False)
        backup = folder / "one.backup"
        subprocess.run(holdtrip("backup", str(backup), "--library", address), cwd=ROOT, capture_output=True,
                       check=False)
        hit = 0
        for number in range(options.kills):
            restored = str(folder / f"restored{number}.sqlite")
            command, longest = dice.choice((
                (holdtrip("import", str(folder / "sheets"), "--library", address), 12.0),
                (holdtrip("accept", "--like", "T", "--library", address, "--who", "Ann"), 1.5),
                (holdtrip("restore", str(backup), "--library", restored), 1.5)))
            was_running, children = kill_after(command, dice.uniform(0.1, longest))
            hit += was_running
            if left := alive(children):
                wrong.append(f"kill {number} of {command[3]}: {len(left)} workers live on")
                for pid in left:
                    os.kill(pid, signal.SIGKILL)
            look_at = [address, *([restored] if Path(restored).exists() else [])]
            for one in look_at:
                done = subprocess.run(holdtrip("verify", "--library", one), cwd=ROOT, capture_output=True,
                                      text=True, check=False)
                if done.returncode and "no library here yet" not in done.stderr:
                    wrong.append(f"kill {number} of {command[3]}: {done.stdout}{done.stderr}")
        done = subprocess.run(holdtrip("import", str(folder / "sheets"), "--library", address), cwd=ROOT,
                              capture_output=True, text=True, check=False)
        last = next((line for line in done.stdout.splitlines() if "datasheets stored" in line), done.stderr)
        print(f"{options.kills} kills, {hit} while the command ran; afterwards: {last}")
    print("\n".join(wrong) or "no fault: nothing lives on, every library is sound")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
