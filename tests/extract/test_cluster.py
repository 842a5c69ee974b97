"""Reading on a Dask cluster: the same readings, the same limits, clear lines where it cannot be."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from extract.batch import read_sheets
from extract.cluster import read_sheets_on_cluster
from extract.errors import InputError

distributed = pytest.importorskip("distributed", reason="no Dask: reading on a cluster is not tested")
SAMPLES = Path(__file__).parents[2] / "sample_tables"


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """The address of a cluster of two worker processes on this machine."""
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        yield cluster.scheduler_address


def test_a_cluster_reads_what_this_machine_reads(scheduler: str, tmp_path: Path) -> None:
    """Readings, findings and texts are equal, each file once; a broken one is a line, not an end."""
    broken = tmp_path / "broken.pdf"
    broken.write_bytes(b"%PDF-1.7\nnot much more")
    paths = [*sorted(SAMPLES.glob("*.pdf"))[:5], broken]
    here = {one.path: (one.reading, one.error) for one in read_sheets(paths)}
    there = {one.path: (one.reading, one.error) for one in read_sheets_on_cluster(paths, scheduler)}
    assert there == here
    assert there[broken][0] is None


def test_a_scheduler_that_does_not_answer_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """The line names the address and says how a scheduler is started."""
    monkeypatch.setattr("extract.cluster.CONNECT_S", 0.5)
    with pytest.raises(InputError, match=r"--scheduler tcp://127\.0\.0\.1:9") as raised:
        list(read_sheets_on_cluster([SAMPLES / "thimblecrag_tcg.pdf"], "tcp://127.0.0.1:9"))
    assert "dask scheduler" in str(raised.value)


def test_a_worker_with_other_programs_reads_nothing(scheduler: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Other versions could read other numbers: the difference is named, and no sheet is read."""
    difference = "pdfplumber 0.0 there, 0.1 here"
    monkeypatch.setattr("extract.cluster._versions_to_difference", lambda _theirs, _ours: difference)
    with pytest.raises(InputError, match=difference):
        list(read_sheets_on_cluster([SAMPLES / "thimblecrag_tcg.pdf"], scheduler))
