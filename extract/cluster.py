"""Many datasheets at once, read by the machines of a Dask cluster.

Comes in: paths, the address of a scheduler. Goes out: one SheetOutcome a file, as they finish, as `batch`
gives them. A worker is sent the bytes of a file and reads them in a process of its own with the limits of
`batch`, so that a hostile file costs that process, not the worker; a worker that dies loses nothing, its
sheets go to another. A worker whose reading programs differ from those here reads nothing. Stores nothing.
"""

from __future__ import annotations

import hashlib
import logging
import queue
import tempfile
import threading
import time
import warnings
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from extract.batch import BatchLimits, LimitedReader, SheetOutcome
from extract.document import path_to_bytes
from extract.errors import DocumentError, InputError
from extract.schema import SheetReading
from extract.sheet import ReadOptions

READING_PACKAGES = (
    "pdfplumber",
    "pdfminer.six",
    "pypdfium2",
    "camelot-py",
    "playa-pdf",
    "pandas",
    "opencv-python-headless",
    "RapidFuzz",
    "rapidocr",
    "onnxruntime",
    "tesserocr",
)
"""What the numbers of a sheet come from, besides this room."""
CONNECT_S = 10.0
NO_WORKER_S = 60.0
"""A cluster without any worker for so long is given up."""
LOOK_EVERY_S = 2.0
AHEAD = 2
"""So many sheets for each thread of a worker are under way: the next ones arrive while one is read."""
START_ONE = (
    "`dask scheduler` starts one, `dask worker ADDRESS` a worker of it, in an environment where"
    " `pip install '.[cluster]'` was run"
)
AGAIN = "What was read is stored; the same command again reads the rest"


@dataclass(frozen=True, slots=True)
class Order:
    """How a worker shall read: options, limits, and the versions its programs must have."""

    options: ReadOptions
    limits: BatchLimits
    versions: tuple[tuple[str, str], ...]


def read_sheets_on_cluster(
    paths: Sequence[Path],
    scheduler: str,
    options: ReadOptions | None = None,
    limits: BatchLimits | None = None,
) -> Iterator[SheetOutcome]:
    """Read files on a cluster; outcomes come as they finish, each file exactly once.

    Of `limits`, `each` holds for each file on its worker; how many are read at once the cluster decides.
    Raises InputError where Dask is not installed, no scheduler answers, no worker has joined, a worker's
    programs differ from those here, or the cluster is lost on the way.
    """
    limits = limits or BatchLimits()
    order = Order(replace(options or ReadOptions(), witness_process=False), limits, reading_versions())
    with _connected(scheduler) as client:
        _check_workers(client, scheduler, order.versions)
        try:
            yield from _ask_for_all(client, paths, scheduler, order)
        finally:
            if client.status == "running":
                client.run(close_readers, on_error="ignore")


@contextmanager
def _connected(scheduler: str) -> Iterator[Any]:
    """A client of the cluster with at least one worker, closed afterwards."""
    try:
        import dask
        from distributed import Client
        from distributed.comm.addressing import get_address_host_port
    except ImportError:
        raise InputError(
            f"--scheduler {scheduler}",
            "Dask is not installed here",
            "dask and distributed",
            "Install them with `pip install '.[cluster]'` in the checkout",
        ) from None
    quiet = logging.getLogger("distributed")
    quiet.setLevel(logging.CRITICAL)  # its warnings would stand among our lines; what matters we say
    with dask.config.set(
        {
            "distributed.admin.large-graph-warning-threshold": "1 GB",
            "distributed.comm.timeouts.connect": CONNECT_S,
        }
    ):
        try:
            # before there is a client: one made with half an address complains when it is thrown away
            get_address_host_port(scheduler, strict=True)
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # differing versions are an error of ours, see below
                client: Any = Client(  # type: ignore[no-untyped-call]
                    scheduler, timeout=CONNECT_S, set_as_default=False, name="holdtrip"
                )
        except (OSError, ValueError, TypeError, RuntimeError) as error:
            raise InputError(
                f"--scheduler {scheduler}",
                f"no Dask scheduler answers ({_said(error)})",
                "an address such as tcp://host:8786",
                START_ONE,
            ) from None
        try:
            yield client
        finally:
            client.close(timeout=CONNECT_S)


def _said(error: BaseException) -> str:
    return str(error).split("\n")[0].strip() or type(error).__name__


def _check_workers(client: Any, scheduler: str, versions: tuple[tuple[str, str], ...]) -> None:
    """Raise InputError unless there is a worker, and every one reads with the same programs as we."""
    where = f"--scheduler {scheduler}"
    try:
        client.wait_for_workers(1, timeout=CONNECT_S)
    except (TimeoutError, OSError):
        raise InputError(where, "no worker has joined this scheduler", "at least one", START_ONE) from None
    for worker, answer in client.run(reading_versions, on_error="return").items():
        if isinstance(answer, BaseException):
            raise InputError(
                where,
                f"holdtrip cannot be loaded on the worker {worker} ({_said(answer)})",
                "holdtrip in the environment of every worker",
            )
        if differing := _versions_to_difference(answer, versions):
            raise InputError(
                where,
                f"the worker {worker} reads with other programs: {differing}",
                "the same holdtrip and the same packages on every worker",
                "Install both from the same constraints.txt",
            )


@cache
def reading_versions() -> tuple[tuple[str, str], ...]:
    """Name and version of every program whose change may change what is read; of this room its sources."""
    room = hashlib.sha256()
    folder = Path(__file__).parent
    for path in sorted(path for path in folder.rglob("*") if path.suffix in (".py", ".toml")):
        room.update(path.relative_to(folder).as_posix().encode() + b"\0")
        room.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return (
        ("holdtrip's reading room", room.hexdigest()[:12]),
        *((name, _installed(name)) for name in READING_PACKAGES),
    )


def _installed(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"


def _versions_to_difference(theirs: tuple[tuple[str, str], ...], ours: tuple[tuple[str, str], ...]) -> str:
    here, there = dict(ours), dict(theirs)
    return ", ".join(
        f"{name} {there.get(name, 'none')} there, {here.get(name, 'none')} here"
        for name in {**here, **there}
        if here.get(name) != there.get(name)
    )


def _ask_for_all(client: Any, paths: Sequence[Path], scheduler: str, order: Order) -> Iterator[SheetOutcome]:
    """Keep every thread of the cluster busy with a few sheets; never hold the bytes of all."""
    waiting, at_work = deque(paths), 0
    done: queue.SimpleQueue[tuple[Path, Any]] = queue.SimpleQueue()
    last_seen_s = time.monotonic()
    while waiting or at_work:
        threads = _count_threads(client, scheduler)
        last_seen_s = time.monotonic() if threads else last_seen_s
        if time.monotonic() - last_seen_s > NO_WORKER_S:
            found = f"no worker for {NO_WORKER_S:g} s"
            raise InputError(f"--scheduler {scheduler}", found, "a worker", AGAIN)
        while waiting and at_work < AHEAD * threads:
            refused = _send(client, waiting.popleft(), order, done)
            if refused is not None:
                yield refused
            else:
                at_work += 1
        try:
            path, future = done.get(timeout=LOOK_EVERY_S)
        except queue.Empty:
            continue
        at_work -= 1
        yield _future_to_outcome(path, future, scheduler)


def _count_threads(client: Any, scheduler: str) -> int:
    try:
        return sum(client.nthreads().values()) if client.status == "running" else _raise_lost(scheduler)
    except (OSError, TimeoutError):
        return _raise_lost(scheduler)


def _raise_lost(scheduler: str) -> int:
    raise InputError(f"--scheduler {scheduler}", "the scheduler no longer answers", "", AGAIN)


def _send(
    client: Any, path: Path, order: Order, done: queue.SimpleQueue[tuple[Path, Any]]
) -> SheetOutcome | None:
    """Send a file's bytes off to be read, or say at once why they are not."""
    try:
        data = path_to_bytes(path, order.options.limits)
    except DocumentError as error:
        return SheetOutcome(path, None, str(error))
    except OSError as error:
        return SheetOutcome(path, None, f"{path.name}: {error.strerror or error}")
    future = client.submit(read_bytes, path.name, data, order, pure=False)
    future.add_done_callback(lambda ended: done.put((path, ended)))
    return None


def _future_to_outcome(path: Path, future: Any, scheduler: str) -> SheetOutcome:
    if future.status not in ("finished", "error"):  # cancelled with the scheduler that knew it
        _raise_lost(scheduler)
    error = future.exception()
    if error is not None:
        return SheetOutcome(
            path,
            None,
            f"{path.name}: lost with the workers that read it ({type(error).__name__}); it was left out",
        )
    return SheetOutcome(path, *future.result())


# What follows runs on the workers.

_idle_readers: dict[tuple[ReadOptions, BatchLimits], list[LimitedReader]] = {}
_readers_lock = threading.Lock()


def read_bytes(name: str, data: bytes, order: Order) -> tuple[SheetReading | None, str | None]:
    """The reading of a file of that name and those bytes, or one line that says why there is none."""
    if differing := _versions_to_difference(reading_versions(), order.versions):
        return None, f"{name}: a worker that joined later reads with other programs: {differing}"
    with _readers_lock:
        idle = _idle_readers.setdefault((order.options, order.limits), [])
        reader = idle.pop() if idle else LimitedReader(order.options, order.limits.each)
    try:
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            path = Path(folder) / Path(name).name
            path.write_bytes(data)
            outcome = reader.read(path)
    except OSError as error:
        reader.close()
        return None, f"{name}: the worker could not keep it while reading ({error.strerror or error})"
    with _readers_lock:
        idle.append(reader)
    return outcome.reading, outcome.error


def close_readers() -> None:
    """End the processes of a worker that read for it and are idle."""
    with _readers_lock:
        for idle in _idle_readers.values():
            while idle:
                idle.pop().close()
