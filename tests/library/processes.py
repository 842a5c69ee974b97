"""Child processes for the library's tests: forked, so that fifty of them start in no time."""

import os
import signal
import sys
import traceback
from collections.abc import Callable


def start(work: Callable[[], None]) -> int:
    """Fork a child that does some work and ends with 0, or with 1 and its traceback; returns its id."""
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child:
        return child
    try:
        work()
    except BaseException:  # noqa: BLE001 - the child must never run on into the tests
        traceback.print_exc()
        sys.stderr.flush()
        os._exit(1)
    os._exit(0)


def kill(child: int) -> None:
    """kill -9, and wait for the end."""
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def join(child: int) -> int:
    """Wait for a child; returns its exit code."""
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
