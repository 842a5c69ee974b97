"""Time on the clock for a process that waits instead of working.

Comes in: a process, the seconds it may take, what to do when they are over. Goes out: that call, at most
once. Seconds in which the process was ready and other programs had the processor do not count, where the
system tells of them (Linux): on a busy machine nothing is given up that works. Limits no work: the system
does.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

_LEAST_WAIT_S = 0.01


class Watchdog:
    """Calls `late` once a process has had its seconds; `cancel` it when the process has answered."""

    def __init__(self, pid: int, allowed_s: float, late: Callable[[], None]) -> None:
        self._pid, self._allowed_s, self._late = pid, allowed_s, late
        self._answered = threading.Event()
        threading.Thread(target=self._watch, daemon=True).start()

    def cancel(self) -> None:
        """It has answered."""
        self._answered.set()

    def _watch(self) -> None:
        begun, queued_s = time.monotonic(), pid_to_queued_s(self._pid)
        left_s = self._allowed_s
        while not self._answered.wait(max(left_s, _LEAST_WAIT_S)):
            had_s = time.monotonic() - begun - (pid_to_queued_s(self._pid) - queued_s)
            left_s = self._allowed_s - had_s
            if left_s <= 0:
                self._late()
                return


def pid_to_queued_s(pid: int) -> float:
    """The seconds that a process was ready to work since it began and got no processor; 0 if that is not
    told."""
    try:
        with open(f"/proc/{pid}/schedstat", encoding="ascii") as file:
            return int(file.read().split()[1]) / 1e9
    except (OSError, ValueError, IndexError):
        return 0.0
