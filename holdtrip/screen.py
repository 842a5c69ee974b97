"""What a person sees: tables and lines on stdout, progress and warnings on stderr.

Comes in: plain texts. Goes out: the terminal. Texts from files pass `printable` first, and no
text is ever read as markup. Does not decide what to say.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from enum import Enum
from typing import Any

from rich import box
from rich.console import Console
from rich.measure import Measurement
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table
from rich.text import Text

from holdtrip.counted import counted
from holdtrip.outputs import naming_output
from holdtrip.plain_text import printable

LINE_EVERY_S = 10.0
PIPE_WIDTH = 1000
"""Columns when the output is not a terminal: wide enough that no row of ours is folded."""


class Loudness(Enum):
    """How much is said: errors only, the usual, and what is done and how long it took."""

    QUIET = "quiet"
    USUAL = "usual"
    VERBOSE = "verbose"


NARROW = 100
"""Columns of a window below which a table that would be folded much is shown as lines."""
_MOST_FOLDED = 1.3
_loudness: ContextVar[Loudness] = ContextVar("loudness", default=Loudness.USUAL)


def set_loudness(loudness: Loudness) -> None:
    """How much is said from now on."""
    _loudness.set(loudness)


_elsewhere: ContextVar[bool] = ContextVar("elsewhere", default=False)


@contextmanager
def on_standard_error() -> Iterator[None]:
    """While it lasts all that is said goes to standard error: standard output carries data."""
    token = _elsewhere.set(True)
    try:
        yield
    finally:
        _elsewhere.reset(token)


class _Screen(Console):
    """A console whose output that cannot be written (a full disk) is named."""

    def print(self, *objects: Any, **how: Any) -> None:
        """As any console prints."""
        with naming_output():
            super().print(*objects, **how)


def console(stderr: bool = False) -> Console:
    """A console that obeys no markup, no emoji codes and colours nothing on its own."""
    is_quiet = _loudness.get() is Loudness.QUIET and not stderr
    stderr = stderr or _elsewhere.get()
    stream = sys.stderr if stderr else sys.stdout
    width = None if stream.isatty() or "COLUMNS" in os.environ else PIPE_WIDTH
    return _Screen(stderr=stderr, markup=False, emoji=False, highlight=False, width=width,
                   quiet=is_quiet)


def say(text: str = "", style: str = "") -> None:
    """One line on stdout, wrapped at words on a narrow terminal."""
    console().print(Text(printable(text), style=style))


def show_table(
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    title: str = "",
    numbers: Iterable[int] = (),
    styles: Sequence[str] = (),
    whole: Iterable[int] = (),
) -> None:
    """A table on stdout. `numbers`: columns set right; `styles`: one style per row, or none; `whole`: columns
    never folded, of words to be copied."""
    right, unfolded = frozenset(numbers), frozenset(whole)
    rows, screen = list(rows), console()
    table = Table(title=Text(printable(title), style="bold") if title else None, title_justify="left",
                  header_style="bold", box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    for number, heading in enumerate(headings):
        table.add_column(Text(heading), justify="right" if number in right else "left", overflow="fold",
                         no_wrap=number in unfolded)
    for number, row in enumerate(rows):
        style = styles[number] if styles else ""
        table.add_row(*(Text(printable(cell)) for cell in row), style=style or None)
    wanted = Measurement.get(screen, screen.options.update(max_width=PIPE_WIDTH), table).maximum
    if screen.width < NARROW and wanted > _MOST_FOLDED * screen.width:
        _show_lines(screen, headings, rows, title, styles)
    else:
        screen.print(table)
    screen.print()


def _show_lines(
    screen: Console, headings: Sequence[str], rows: Sequence[Sequence[str]], title: str, styles: Sequence[str]
) -> None:
    """Rows of a table as lines of their own, for a narrow window: no column is folded into syllables."""
    if title:
        screen.print(Text(printable(title), style="bold"))
    for number, row in enumerate(rows):
        told = (f"{heading}: {cell}" if at else cell
                for at, (heading, cell) in enumerate(zip(headings, row, strict=False)) if cell.strip())
        screen.print(Text(printable("; ".join(told)), style=styles[number] if styles else ""))


Step = Callable[[str, "int | None"], None]
"""Told of each file that is done: its name, and how many of its numbers are in doubt; None if not read."""


class ProgressLines:
    """Progress where no bar can be drawn: every ten seconds how many, how fast, what is in doubt, how long it
    still takes; also while nothing is done."""

    def __init__(self, label: str, total: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._label, self._total, self._clock = label, total, clock
        self._tally, self._begun, self._said = _Tally(), clock(), clock()

    def step(self, _name: str, doubts: int | None) -> None:
        """One more is done."""
        self._tally.add(doubts)

    def tick(self) -> None:
        """Say how far it is, if ten seconds have passed."""
        now, done = self._clock(), self._tally.done
        if now - self._said < LINE_EVERY_S or done == self._total:
            return
        self._said, seconds = now, now - self._begun
        told = [f"{self._label}: {done} of {self._total}", f"{seconds:.0f} s"]
        if done:
            told += [f"{60 * done / seconds:.0f} a minute", *self._tally.words(),
                     f"about {(self._total - done) * seconds / done / 60:.1f} min left"]
        sys.stderr.write(", ".join(told) + "\n")
        sys.stderr.flush()

    @contextmanager
    def ticking(self) -> Iterator[Step]:
        """Tick each second while it lasts."""
        over = threading.Event()
        thread = threading.Thread(target=self._tick_until, args=(over,), daemon=True)
        thread.start()
        try:
            yield self.step
        finally:
            over.set()
            thread.join()

    def _tick_until(self, over: threading.Event) -> None:
        while not over.wait(1.0):
            self.tick()


class _Tally:
    """What came of the files so far."""

    def __init__(self) -> None:
        self.done, self._doubts, self._lost = 0, 0, 0

    def add(self, doubts: int | None) -> None:
        """One more: its numbers in doubt, None if it was not read."""
        self._doubts, self._lost = self._doubts + (doubts or 0), self._lost + (doubts is None)
        self.done += 1

    def words(self) -> list[str]:
        """Doubts, and files that were not read."""
        lost = [f"{self._lost} not read"] if self._lost else []
        return [f"{counted(self._doubts, 'number')} in doubt", *lost]


def _told_steps(label: str, total: int) -> Step:
    """Steps that are named as they are done, with the seconds since the beginning."""
    begun, tally = time.monotonic(), _Tally()

    def step(name: str, doubts: int | None) -> None:
        tally.add(doubts)
        seconds, told = time.monotonic() - begun, "".join(f", {word}" for word in tally.words())
        sys.stderr.write(f"{label}: {printable(name)}, {tally.done} of {total}, {seconds:.1f} s{told}\n")

    return step


def words_to_stderr() -> Callable[[str], None]:
    """What becomes of the words of a long job: lines on stderr, nothing where quiet was asked for. Asked in
    the thread that was told how loud to be."""
    if _loudness.get() is Loudness.QUIET:
        return lambda _word: None
    return lambda word: print(printable(word), file=sys.stderr, flush=True)


@contextmanager
def progress(label: str, total: int) -> Iterator[Step]:
    """A bar on stderr where there is more than one step, or a line every ten seconds if that is no
    terminal."""
    loudness = _loudness.get()
    if loudness is Loudness.VERBOSE:
        yield _told_steps(label, total)
    elif loudness is Loudness.QUIET or (total < 2 and sys.stderr.isatty()):
        yield lambda _name, _doubts: None
    elif not sys.stderr.isatty():
        with ProgressLines(label, total).ticking() as step:
            yield step
    else:
        with _bar(label, total) as step:
            yield step


@contextmanager
def _bar(label: str, total: int) -> Iterator[Step]:
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn(),
               TimeRemainingColumn(), TextColumn("{task.fields[name]}", markup=False))
    tally = _Tally()
    with Progress(*columns, console=console(stderr=True), transient=True) as bar:
        task = bar.add_task(label, total=total, name="")

        def step(name: str, doubts: int | None) -> None:
            tally.add(doubts)
            bar.update(task, advance=1, name=", ".join([*tally.words(), printable(name, 40)]))

        yield step
