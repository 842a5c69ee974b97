"""What hostile files make a reader do, without the files: functions that a worker of a test runs."""

from __future__ import annotations

import ctypes
import faulthandler
import os
import signal
import time
from pathlib import Path

from extract.telling import tell


def echo(job: object) -> object:
    """Answer what was sent."""
    return job


def spin(_job: object) -> None:
    """Work without end."""
    while True:
        pass


def eat(_job: object) -> int:
    """Take memory without end."""
    taken = []
    while True:
        taken.append(bytearray(10_000_000))


def eat_and_abort(_job: object) -> None:
    """Take much memory, then end as compiled code does that is refused more."""
    taken = bytearray(500_000_000)
    faulthandler.disable()
    os.kill(os.getpid(), signal.SIGABRT)
    taken.clear()


def die(_job: object) -> None:
    """Break down as compiled code does."""
    faulthandler.disable()  # the test's own process has it print
    ctypes.string_at(0)


def wait(_job: object) -> None:
    """Neither work nor end."""
    time.sleep(3600)


def nap(seconds: float) -> float:
    """Wait a while for nothing."""
    time.sleep(seconds)
    return seconds


def work_and_tell(path: Path) -> None:
    """Write the number of this process to a file, then work without end."""
    path.write_text(str(os.getpid()), encoding="ascii")
    spin(None)


class NotARecord:
    """An object that would have whoever takes it call something."""

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return os.system, ("echo trap > sprung",)


def trap(_job: object) -> NotARecord:
    """Answer with something that is no record."""
    return NotARecord()


def count_aloud(steps: int) -> int:
    """Say how far the job has come, then answer."""
    for step in range(steps):
        tell(f"step {step + 1} of {steps}")
    return steps
