"""What a person sees: tables and lines on stdout, progress and warnings on stderr.

Comes in: plain texts. Goes out: the terminal. Texts from files pass `printable` first, and no
text is ever read as markup. Does not decide what to say.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from enum import Enum

from rich import box
from rich.console import Console
from rich.measure import Measurement
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table
from rich.text import Text

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


def console(stderr: bool = False) -> Console:
    """A console that obeys no markup, no emoji codes and colours nothing on its own."""
    is_quiet = _loudness.get() is Loudness.QUIET and not stderr
    stderr = stderr or _elsewhere.get()
    stream = sys.stderr if stderr else sys.stdout
    width = None if stream.isatty() or "COLUMNS" in os.environ else PIPE_WIDTH
    return Console(stderr=stderr, markup=False, emoji=False, highlight=False, width=width,
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


class ProgressLines:
    """Progress where no bar can be drawn: how many, how fast, how long it still takes."""

    def __init__(self, label: str, total: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._label, self._total, self._clock = label, total, clock
        self._done, self._begun, self._said = 0, clock(), clock()

    def step(self, _name: str) -> None:
        """One more is done; says so at most every ten seconds."""
        self._done += 1
        now = self._clock()
        if now - self._said < LINE_EVERY_S or self._done == self._total:
            return
        self._said = now
        per_s = self._done / (now - self._begun)
        left_min = (self._total - self._done) / per_s / 60
        sys.stderr.write(f"{self._label}: {self._done} of {self._total}, {60 * per_s:.0f} a minute,"
                         f" about {left_min:.1f} min left\n")
        sys.stderr.flush()


def _told_steps(label: str, total: int) -> Callable[[str], None]:
    """Steps that are named as they are done, with the seconds since the beginning."""
    begun, names = time.monotonic(), []

    def step(name: str) -> None:
        names.append(name)
        seconds = time.monotonic() - begun
        sys.stderr.write(f"{label}: {printable(name)}, {len(names)} of {total}, {seconds:.1f} s\n")

    return step


def words_to_stderr() -> Callable[[str], None]:
    """What becomes of the words of a long job: lines on stderr, nothing where quiet was asked for. Asked in
    the thread that was told how loud to be."""
    if _loudness.get() is Loudness.QUIET:
        return lambda _word: None
    return lambda word: print(printable(word), file=sys.stderr, flush=True)


@contextmanager
def progress(label: str, total: int) -> Iterator[Callable[[str], None]]:
    """A bar on stderr, or a line every ten seconds if that is no terminal, where there is more than one step;
    yields `step(name)`."""
    if _loudness.get() is Loudness.VERBOSE:
        yield _told_steps(label, total)
        return
    if total < 2 or _loudness.get() is Loudness.QUIET:
        yield lambda _name: None
        return
    if not sys.stderr.isatty():
        yield ProgressLines(label, total).step
        return
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn(),
               TimeRemainingColumn(), TextColumn("{task.fields[name]}", markup=False))
    with Progress(*columns, console=console(stderr=True), transient=True) as bar:
        task = bar.add_task(label, total=total, name="")
        yield lambda name: bar.update(task, advance=1, name=printable(name, 40))
