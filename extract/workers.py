"""One house for child processes: whatever reads a stranger's file does it in one of these.

Comes in: the name of a function of ours, and jobs for it. Goes out: its answers, or a Loss that says why
there is none. A worker runs only code of this installation (never a file of the working folder), takes no
more processor time and memory than its limits, which it sets itself, and ends when whoever started it ends.
Knows nothing of sheets: batch, second_reading and the page say what a job is.

    parent                                worker
    Worker("extract.batch:read_job")  ->  imports the function, limits itself
    send(job)                         ->  job waits in a queue; the function answers it
    receive()                         <-  answer, or Loss: TOO_SLOW, TOO_LARGE, CRASHED
"""

from __future__ import annotations

import math
import os
import pickle
import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, is_dataclass, replace
from decimal import Decimal
from enum import Enum, StrEnum
from importlib import import_module
from pathlib import Path, PurePath
from queue import SimpleQueue
from typing import IO, TYPE_CHECKING, Any, NoReturn, cast

from extract import telling
from extract.out_of_memory import is_out_of_memory
from extract.watchdog import Watchdog

if TYPE_CHECKING:
    import subprocess

_ROOT = str(Path(__file__).resolve().parents[1])
_BOOT = (
    "import sys, pickle;"
    " sys.path[:] = pickle.load(sys.stdin.buffer);"
    " from extract import workers;"
    " workers.work_alone()"
)
"""What a new interpreter runs: the path it imports from is told to it, not found around it."""
_SINGLE = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
"""One worker is one core: threads of a calculating library would only reserve memory."""
_KILLED_BY_CLOCK = -getattr(signal, "SIGXCPU", 0)
_OUT_OF_MEMORY = frozenset(
    -getattr(signal, name)
    for name in ("SIGABRT", "SIGTRAP", "SIGILL", "SIGSEGV", "SIGBUS")
    if hasattr(signal, name)
) | {1}
"""How compiled code ends when it is refused memory, and a worker whose last step is; beside much memory used
it means that."""
_FULL = 0.5
_SPENT = 0.25
"""A worker that once held so much of the memory allowed is replaced before the next job."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one job may cost. cpu_s: processor time; max_bytes: address space of the process;
    deadline_s: time on the clock, for a job that waits instead of working (watchdog.py)."""

    cpu_s: float = 120.0
    max_bytes: int = 3_000_000_000
    deadline_s: float = 400.0

    def share(self, part: float) -> Limits:
        """A part of the processor time and the memory, for a process that works beside another."""
        return replace(self, cpu_s=self.cpu_s * part, max_bytes=int(self.max_bytes * part))


USUAL_LIMITS = Limits()


class Loss(StrEnum):
    """Why a worker gave no answer."""

    TOO_SLOW = "too slow"
    TOO_LARGE = "too large"
    CRASHED = "crashed"


def loss_to_reason(loss: Loss, limits: Limits) -> str:
    """Why there is no answer, in a few words."""
    if loss is Loss.TOO_SLOW:
        return (
            f"too slow: it took more than {limits.cpu_s:g} s of processor time, or more than"
            f" {limits.deadline_s:g} s on the clock"
        )
    if loss is Loss.TOO_LARGE:
        return f"too large: it needed more than {limits.max_bytes / 1e9:.1f} GB of memory"
    return "crashed: the program that works on it broke down"


def loss_to_sentence(loss: Loss, limits: Limits) -> str:
    """The same of a file, to stand after its name."""
    report = "; please report this file" if loss is Loss.CRASHED else ""
    return f"{loss_to_reason(loss, limits)}; it was left out{report}"


class Worker:
    """A process that answers jobs one after the other; jobs may be sent ahead.

    `function` is "module:name" of ours, called with each job in the worker. `forked`: a copy of this process
    instead of a new interpreter, which starts sooner; only where no other thread runs (see can_fork).
    After a Loss the process is gone, and one that is `spent` holds much memory: make another.
    """

    def __init__(self, function: str, limits: Limits = USUAL_LIMITS, forked: bool = False) -> None:
        self.limits = limits
        self._late, self.spent = False, False
        self._child = _fork(function, limits) if forked else _start(function, limits)

    def send(self, job: object) -> None:
        """Hand over a job; does not wait. A worker that is gone already is noticed by receive()."""
        try:
            _dump(self._child.to_child, job)
        except OSError:
            return

    def receive(self, told: Callable[[str], None] = lambda _: None) -> Any:
        """The answer to the oldest job sent, or the Loss that stands for it. `told` is handed what a long job
        says on its way; after each word it has the deadline of a new job."""
        for _ in range(telling.MOST_WORDS):
            answer = self._receive_one()
            if not isinstance(answer, telling.Word):
                return answer
            told(answer.text)
        self.close()
        return Loss.TOO_SLOW

    def _receive_one(self) -> Any:
        watchdog = Watchdog(self.pid, _limits_to_deadline(self.limits), self._stop_late)
        try:
            self.spent = self._child.from_child.read(1) == b"!"
            answer = _Answers(self._child.from_child).load()
        except (EOFError, OSError):
            return self._to_loss()
        except pickle.UnpicklingError:
            self.close()
            return Loss.CRASHED
        finally:
            watchdog.cancel()
        if isinstance(answer, Loss):
            self.close()
        return answer

    def ask(self, job: object, told: Callable[[str], None] = lambda _: None) -> Any:
        """send and receive."""
        self.send(job)
        return self.receive(told)

    def close(self) -> None:
        """End the process, whatever it does."""
        self._child.kill()
        self._child.wait()

    @property
    def pid(self) -> int:
        """The process's number."""
        return self._child.pid

    def _stop_late(self) -> None:
        self._late = True
        self._child.kill()

    def _to_loss(self) -> Loss:
        self._child.close_pipes()
        code, peak_bytes = self._child.wait()
        if self._late or code == _KILLED_BY_CLOCK:
            return Loss.TOO_SLOW
        killed_from_outside = hasattr(signal, "SIGKILL") and code == -signal.SIGKILL
        if killed_from_outside or (code in _OUT_OF_MEMORY and peak_bytes > _FULL * self.limits.max_bytes):
            return Loss.TOO_LARGE
        return Loss.CRASHED


_VALUES = (Enum, PurePath, Decimal, tuple)


class _Answers(pickle.Unpickler):
    """Takes records only: a worker that a file has taken over must not make this process call anything."""

    def find_class(self, module: str, name: str) -> Any:
        """A record, a closed list, a path or a number; anything else is refused."""
        found = super().find_class(module, name)
        if isinstance(found, type) and (is_dataclass(found) or issubclass(found, _VALUES)):
            return found
        raise pickle.UnpicklingError(f"{module}.{name}")


def _limits_to_deadline(limits: Limits) -> float:
    """Where the system does not count processor time, the clock stands in for it."""
    return limits.deadline_s if hasattr(os, "wait4") else min(limits.deadline_s, limits.cpu_s)


def can_fork() -> bool:
    """Whether a copy of this process can work safely: no other thread, no open library, Linux."""
    return sys.platform == "linux" and threading.active_count() == 1 and "sqlalchemy" not in sys.modules


class _Child:
    """A started process: pipes to and from it; ended once, waited for once."""

    def __init__(self, to_child: IO[bytes], from_child: IO[bytes], process: subprocess.Popen[bytes] | int):
        self.to_child, self.from_child = to_child, from_child
        self._process, self._lock = process, threading.Lock()
        self.pid = process if isinstance(process, int) else process.pid
        self._ended: tuple[int, int] | None = None

    def kill(self) -> None:
        with self._lock:
            if self._ended is not None:
                return
            if isinstance(self._process, int):
                os.kill(self._process, signal.SIGKILL)
            else:
                self._process.kill()

    def close_pipes(self) -> None:
        for pipe in (self.to_child, self.from_child):
            try:
                pipe.close()
            except OSError:  # the other end is gone already
                continue

    def wait(self) -> tuple[int, int]:
        """Exit code (negative: the signal) and the most memory it ever held."""
        self.close_pipes()
        with self._lock:
            if self._ended is None:
                self._ended = self._wait()
            return self._ended

    def _wait(self) -> tuple[int, int]:
        if not hasattr(os, "wait4"):  # Windows
            return cast("subprocess.Popen[bytes]", self._process).wait(), 0
        _, status, usage = os.wait4(self.pid, 0)
        code = os.waitstatus_to_exitcode(status)
        if not isinstance(self._process, int):
            self._process.returncode = code
        return code, usage.ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def _start(function: str, limits: Limits) -> _Child:
    import subprocess

    process = subprocess.Popen(
        [sys.executable, "-I", "-c", _BOOT],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, **_SINGLE},
    )
    to_child, from_child = cast(IO[bytes], process.stdin), cast(IO[bytes], process.stdout)
    try:
        _dump(to_child, import_path())
        _dump(to_child, (function, limits))
    except OSError:  # it ended at once: receive() says so
        pass
    return _Child(to_child, from_child, process)


def import_path() -> list[str]:
    """Where a worker may import from: where this process does, without the working folder."""
    here = Path.cwd() if os.path.isdir(".") else None
    kept = [path for path in sys.path if os.path.isabs(path) and (here is None or Path(path) != here)]
    return kept if _ROOT in kept else [_ROOT, *kept]


def _fork(function: str, limits: Limits) -> _Child:
    job_out, job_in = os.pipe()
    answer_out, answer_in = os.pipe()
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    pid = os.fork()
    if pid == 0:
        try:
            os.close(job_in)
            os.close(answer_out)
            sys.path[:] = import_path()
            _work(os.fdopen(job_out, "rb"), os.fdopen(answer_in, "wb"), (function, limits))
        finally:
            os._exit(1)
    os.close(job_out)
    os.close(answer_in)
    return _Child(os.fdopen(job_in, "wb"), os.fdopen(answer_out, "rb"), pid)


def _dump(pipe: IO[bytes], message: object) -> None:
    pickle.dump(message, pipe, pickle.HIGHEST_PROTOCOL)
    pipe.flush()


# What follows runs in the worker.


def work_alone() -> NoReturn:
    """The life of a worker that is an interpreter of its own."""
    try:
        order = pickle.load(sys.stdin.buffer)
        _work(sys.stdin.buffer, os.fdopen(os.dup(1), "wb"), order)
    finally:
        os._exit(1)  # at once: tidying up would wait for the thread that waits for jobs


def _work(jobs: IO[bytes], answers: IO[bytes], order: tuple[str, Limits]) -> NoReturn:
    """Answer jobs until nobody sends any more; then, or when the parent dies, end at once."""
    function, limits = order
    telling.open_line(lambda word: _say_word(answers, word, limits.cpu_s))
    _be_silent()
    waiting: SimpleQueue[Any] = SimpleQueue()
    # Before the limit: a thread that gets no memory to begin with would be waited for without end.
    threading.Thread(target=_take_jobs, args=(jobs, waiting), daemon=True).start()
    _limit_memory(limits.max_bytes)
    answer = _function_named(function)
    while True:
        job = waiting.get()
        _limit_processor(limits.cpu_s)
        said = _job_to_answer(answer, job)
        answers.write(b"!" if _peak_bytes() > _SPENT * limits.max_bytes else b".")
        answers.write(said)
        answers.flush()


_TOO_LARGE = pickle.dumps(Loss.TOO_LARGE, pickle.HIGHEST_PROTOCOL)


def _job_to_answer(answer: Callable[[Any], Any], job: Any) -> bytes:
    try:
        return pickle.dumps(answer(job), pickle.HIGHEST_PROTOCOL)
    except Exception as error:
        if not is_out_of_memory(error):
            raise
    return _TOO_LARGE  # here and not above, where the error still holds all the memory


def _function_named(name: str) -> Callable[[Any], Any]:
    module, function = name.split(":")
    found: Callable[[Any], Any] = getattr(import_module(module), function)
    return found


def _say_word(answers: IO[bytes], word: telling.Word, cpu_s: float) -> None:
    answers.write(b"." + pickle.dumps(word, pickle.HIGHEST_PROTOCOL))
    answers.flush()
    _limit_processor(cpu_s)


def _take_jobs(jobs: IO[bytes], waiting: SimpleQueue[Any]) -> None:
    """Queue jobs as they come, so that who sends never waits; the end of the pipe is our end."""
    while True:
        try:
            waiting.put(pickle.load(jobs))
        except (EOFError, OSError, pickle.UnpicklingError):
            os._exit(0)


def _be_silent() -> None:
    """Whatever a library prints must reach neither the answers nor the terminal; Ctrl-C is the parent's."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _limit_memory(max_bytes: int) -> None:
    """No more address space than this, where the system can limit it; no picture of a crash on the disk."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (max_bytes, max_bytes))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _limit_processor(cpu_s: float) -> None:
    """The next job may take so much more processor time; the system ends this process then."""
    try:
        import resource
    except ImportError:
        return
    _, most = resource.getrlimit(resource.RLIMIT_CPU)
    until = math.ceil(time.process_time() + cpu_s)
    resource.setrlimit(resource.RLIMIT_CPU, (until if most < 0 else min(until, most), most))


def _peak_bytes() -> int:
    try:
        import resource
    except ImportError:
        return 0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak * (1 if sys.platform == "darwin" else 1024)
