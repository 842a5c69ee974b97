"""Reading on a cluster: the same answers as reading here, and one clear line where the cluster is wanting."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from extract import cluster
from extract.batch import read_sheets
from extract.cluster import read_sheets_on_cluster
from extract.errors import InputError

pytest.importorskip("distributed", reason="needs holdtrip[cluster]: dask[distributed] is not installed")

SAMPLES = Path(__file__).parents[2] / "sample_tables"
BLOCKED = "import sys; sys.modules['extract'] = None; from distributed.cli.dask_worker import main; main()"
"""A worker in whose environment holdtrip cannot be loaded."""


def started(arguments: list[str], said: str) -> tuple[subprocess.Popen[str], str]:
    """A Dask process and the line in which it said a word."""
    process = subprocess.Popen([sys.executable, *arguments], stderr=subprocess.PIPE, text=True,
                               stdout=subprocess.DEVNULL)
    assert process.stderr is not None
    for line in process.stderr:
        if said in line:
            return process, line
    raise AssertionError(f"{arguments} ended without saying {said}")


@pytest.fixture
def scheduler() -> Iterator[str]:
    """A scheduler without workers; gives its address."""
    process, line = started(["-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", "0",
                             "--no-dashboard"], "Scheduler at:")
    yield line.split("Scheduler at:")[1].strip()
    stop(process)


def worker_of(scheduler: str, *how: str) -> subprocess.Popen[str]:
    """A worker process of a scheduler, registered."""
    process, _ = started([*(how or ("-m", "distributed.cli.dask_worker")), scheduler, "--nthreads", "1",
                          "--no-nanny", "--no-dashboard"], "Registered to:")
    return process


def stop(process: subprocess.Popen[str]) -> None:
    """End a process and close its pipe."""
    process.kill()
    process.wait()
    assert process.stderr is not None
    process.stderr.close()


def test_two_workers_read_what_one_machine_reads(scheduler: str, tmp_path: Path) -> None:
    """Sample sheets and a broken one: readings, texts, findings, hashes and the error's line are equal."""
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(b"%PDF-1.7\nnothing more")
    paths = [*sorted(SAMPLES.glob("*.pdf"))[:4], broken]
    workers = [worker_of(scheduler), worker_of(scheduler)]
    try:
        there = {one.path: one for one in read_sheets_on_cluster(paths, scheduler)}
    finally:
        for worker in workers:
            stop(worker)
    assert there == {one.path: one for one in read_sheets(paths)}
    assert [path.name for path in paths if there[path].reading is None] == ["broken.pdf"]


def test_a_dead_worker_costs_no_sheet(scheduler: str) -> None:
    """One of two workers is killed after the first sheet: every sheet is read, each once."""
    paths = sorted(SAMPLES.glob("*.pdf"))[:5]
    workers = [worker_of(scheduler), worker_of(scheduler)]
    try:
        reading = read_sheets_on_cluster(paths, scheduler)
        outcomes = [next(reading)]
        workers[0].kill()
        outcomes += reading
    finally:
        for worker in workers:
            stop(worker)
    assert sorted(one.path for one in outcomes) == paths
    assert all(one.reading is not None for one in outcomes)


def test_a_worker_without_holdtrip_is_named(scheduler: str) -> None:
    """Before anything is sent."""
    worker = worker_of(scheduler, "-c", BLOCKED)
    try:
        with pytest.raises(InputError, match="holdtrip cannot be loaded on the worker tcp://"):
            list(read_sheets_on_cluster(sorted(SAMPLES.glob("*.pdf"))[:1], scheduler))
    finally:
        stop(worker)


def test_a_worker_of_other_programs_is_refused(scheduler: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it would read might differ."""
    theirs = cluster.reading_versions()
    ours = tuple((name, "0.0" if name == "pdfplumber" else one) for name, one in theirs)
    worker = worker_of(scheduler)
    with monkeypatch.context() as patched:
        patched.setattr(cluster, "_installed", lambda name: dict(ours)[name])
        cluster.reading_versions.cache_clear()
        try:
            with pytest.raises(InputError, match=r"pdfplumber \S+ there, 0\.0 here"):
                list(cluster.read_sheets_on_cluster([SAMPLES / "trosnavik_tnv.pdf"], scheduler))
        finally:
            stop(worker)
    cluster.reading_versions.cache_clear()


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense", "nosuch://127.0.0.1:9"])
def test_no_scheduler_is_one_line(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """An address where nobody answers, or that is none."""
    monkeypatch.setattr("extract.cluster.CONNECT_S", 1.0)
    with pytest.raises(InputError, match="no Dask scheduler answers"):
        list(read_sheets_on_cluster([SAMPLES / "trosnavik_tnv.pdf"], address))


def test_without_dask_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    """The extra is optional."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match="Dask is not installed here"):
        list(read_sheets_on_cluster([SAMPLES / "trosnavik_tnv.pdf"], "tcp://127.0.0.1:9"))
