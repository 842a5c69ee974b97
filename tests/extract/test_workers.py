"""The house of child processes: limits hold, each end has its reason, nobody outlives who started it."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from extract import watchdog
from extract.second.generic import Asked, GenericCell
from extract.telling import MOST_WORDS
from extract.watchdog import pid_to_queued_s
from extract.workers import USUAL_LIMITS, Limits, Loss, Worker, loss_to_sentence

pytest.importorskip("resource")
ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_tables" / "quarrowick_qk.pdf"
ENOUGH_S = 60.0
"""Longer than anything here takes on a busy machine; no test passes by waiting for it."""


@contextmanager
def worker(job: str, limits: Limits = USUAL_LIMITS, forked: bool = False) -> Iterator[Worker]:
    """A worker for a function of hostile_jobs, ended afterwards."""
    made = Worker(f"tests.extract.hostile_jobs:{job}", limits, forked)
    try:
        yield made
    finally:
        made.close()


@pytest.mark.parametrize("forked", [False, True])
def test_jobs_sent_ahead_are_answered_in_order(forked: bool) -> None:
    """More jobs than a pipe holds may be sent before the first answer is taken."""
    asked = Asked(1, 800.0, True)
    cells = [GenericCell(1, 2, row, 4, (0.0, 1.0, 2.0, 3.0), "0.5" * 40) for row in range(3000)]
    with worker("echo", forked=forked) as one:
        for cell in cells:
            one.send((Path("sheet.pdf"), asked, cell))
        assert [one.receive() for _ in cells] == [(Path("sheet.pdf"), asked, cell) for cell in cells]


@pytest.mark.parametrize("forked", [False, True])
@pytest.mark.parametrize(
    ("job", "limits", "loss"),
    [
        ("spin", Limits(cpu_s=1), Loss.TOO_SLOW),
        ("wait", Limits(deadline_s=0.5), Loss.TOO_SLOW),
        ("eat", Limits(max_bytes=900_000_000), Loss.TOO_LARGE),
        ("eat_and_abort", Limits(max_bytes=900_000_000), Loss.TOO_LARGE),
        ("die", Limits(), Loss.CRASHED),
        ("no_such_function", Limits(), Loss.CRASHED),
    ],
)
def test_each_end_has_its_own_reason(job: str, limits: Limits, loss: Loss, forked: bool) -> None:
    """Too slow, too large and crashed are told apart, and are three sentences."""
    resource = pytest.importorskip("resource")
    own_bytes = 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    if loss is Loss.CRASHED and own_bytes > limits.max_bytes / 2:
        pytest.skip("the kernel lends this process's own peak of memory to what it starts")
    with worker(job, limits, forked) as one:
        assert one.ask(None) is loss
        assert loss_to_sentence(loss, limits).startswith(loss.value)


def test_waiting_for_a_processor_is_not_the_job_s_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """A job that gets no processor from other programs is not late, however long the clock says; one that
    waits for something else is."""
    monkeypatch.setattr(watchdog, "pid_to_queued_s", lambda _pid: time.monotonic())
    with worker("nap", Limits(deadline_s=0.1)) as one:
        assert one.ask(0.6) == 0.6
    monkeypatch.setattr(watchdog, "pid_to_queued_s", lambda _pid: 3.0)
    with worker("nap", Limits(deadline_s=0.1)) as one:
        assert one.ask(60.0) is Loss.TOO_SLOW


@pytest.mark.skipif(not Path("/proc/self/schedstat").exists(), reason="the system does not tell of it")
def test_the_system_tells_how_long_a_process_was_kept_waiting() -> None:
    """Two programs on one processor: each waits for the other; a process that is gone waited for nothing."""
    only = min(os.sched_getaffinity(0))
    code = f"import os; os.sched_setaffinity(0, {{{only}}})\nwhile True: pass"
    both = [subprocess.Popen([sys.executable, "-c", code]) for _ in range(2)]
    try:
        start = time.monotonic()
        while min(pid_to_queued_s(one.pid) for one in both) < 0.2:
            assert time.monotonic() - start < ENOUGH_S
            time.sleep(0.05)
    finally:
        for one in both:
            one.kill()
            one.wait()
    assert pid_to_queued_s(both[0].pid) == 0.0


def test_time_is_counted_for_each_job() -> None:
    """A worker that has answered many jobs has its whole time for the next one."""
    with worker("echo", Limits(cpu_s=1)) as one:
        for job in range(2000):
            assert one.ask(job) == job


def test_an_answer_makes_nobody_call_anything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A worker that a file has taken over can only answer records; anything else counts as a crash."""
    monkeypatch.chdir(tmp_path)
    with worker("trap") as one:
        assert one.ask(None) is Loss.CRASHED
    assert not (tmp_path / "sprung").exists()


def test_a_worker_ends_with_who_started_it(tmp_path: Path) -> None:
    """Only the parent is killed, without a word; its worker, hard at work, is gone soon after."""
    told = tmp_path / "worker"
    code = (f"from pathlib import Path\nfrom extract.workers import Worker\n"
            f"Worker('tests.extract.hostile_jobs:work_and_tell').ask(Path({str(told)!r}))")
    parent = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT)
    _wait_until(lambda: told.exists() and told.read_text(encoding="ascii") != "")
    child = int(told.read_text(encoding="ascii"))
    assert _runs(child)
    parent.kill()
    parent.wait()
    _wait_until(lambda: not _runs(child))


@pytest.mark.parametrize("arguments", [("read",), ("check", "typed.csv", "--against")])
def test_no_file_of_the_working_folder_is_run(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """A folder of datasheets that also holds Python files named like our packages: none of them is run."""
    sprung = tmp_path / "sprung"
    for name in ("camelot", "extract", "holdtrip", "pdfplumber", "pandas", "pypdfium2", "sitecustomize",
                 "pickle", "usercustomize", "numpy", "cv2", "compare"):
        trap = f"open({str(sprung)!r}, 'a').write({name!r})\nraise SystemExit(9)\n"
        (tmp_path / f"{name}.py").write_text(trap, encoding="utf-8")
        (tmp_path / name).mkdir()
        (tmp_path / name / "__init__.py").write_text(trap, encoding="utf-8")
    for number in (1, 2):
        (tmp_path / f"sheet{number}.pdf").write_bytes(SAMPLE.read_bytes())
    (tmp_path / "typed.csv").write_text("Part,Ihold [A],Itrip [A]\nQK050,0.5,1\n", encoding="utf-8")
    start = "import sys; sys.path[0] = sys.argv.pop(1); from holdtrip.commands import main; main()"
    for sheets in (["sheet1.pdf"], ["sheet1.pdf", "sheet2.pdf"]):
        command = [sys.executable, "-c", start, str(ROOT), *arguments, *sheets]
        done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert done.returncode in (0, 1), done.stderr
        assert not sprung.exists(), sprung.read_text(encoding="utf-8")


def _runs(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()[0]
    except (OSError, IndexError):
        return False
    return state != "Z"


def _wait_until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + ENOUGH_S
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def test_a_long_job_tells_how_far_it_has_come() -> None:
    """Rule: each word of a job arrives in order before its answer; one that talks without end is stopped."""
    heard: list[str] = []
    with worker("count_aloud") as one:
        assert one.ask(3, heard.append) == 3
        assert heard == ["step 1 of 3", "step 2 of 3", "step 3 of 3"]
        assert one.ask(MOST_WORDS + 1) is Loss.TOO_SLOW
