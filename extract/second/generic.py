"""Tables as a generic library finds them on a whole page (camelot), where the second eye is unsure.

Comes in: a PDF's path and the numbers of pages. Goes out: GenericCells. camelot has its own PDF parser and
its own table finder, and is told no region. Compares nothing: opinion.py does. Can run in a process of its
own, so that a page it cannot end is no harm.
"""

from __future__ import annotations

import gc
import importlib
import sys
import warnings
from collections.abc import Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from extract.boxes import Box
from extract.workers import Limits, Loss, Worker, loss_to_reason

WITNESS_LIMITS = Limits(cpu_s=40.0, max_bytes=1_000_000_000)


@dataclass(frozen=True, slots=True)
class Asked:
    """A page to be read: its number, its height where its text is upright, whether it has rules."""

    page: int
    height: float
    is_ruled: bool


@dataclass(frozen=True, slots=True)
class GenericCell:
    """A cell as camelot saw it: page, which of its tables, row, column, box where text is upright, text."""

    page: int
    table: int
    row: int
    column: int
    box: Box
    text: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Every cell of the pages asked for; `lost`: why some or all could not be read, empty if they could."""

    cells: tuple[GenericCell, ...]
    lost: str = ""


class WitnessLostError(Exception):
    """The second reading failed: camelot cannot be loaded, or could not read a page."""


def pages_to_cells(source: Path | bytes, pages: Sequence[Asked]) -> tuple[GenericCell, ...]:
    """Read pages with camelot: by their rules if they have any, else by the gaps of their text. Raises
    WitnessLostError with the reason where it cannot."""
    cells: list[GenericCell] = []
    for is_ruled in (True, False):
        chosen = [page for page in pages if page.is_ruled is is_ruled]
        if chosen:
            cells += _read_flavour(source, chosen, is_ruled)
    return tuple(cells)


def _read_flavour(source: Path | bytes, pages: Sequence[Asked], is_ruled: bool) -> list[GenericCell]:
    camelot = _camelot_or_lost()
    heights = {page.page: page.height for page in pages}
    settings: dict[str, Any] = (
        {"flavor": "lattice", "engine": "vector"} if is_ruled else {"flavor": "stream", "row_tol": 3}
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = camelot.read_pdf(
                source if isinstance(source, bytes) else str(source),
                pages=",".join(map(str, sorted(heights))),
                suppress_stdout=True,
                layout_kwargs={"boxes_flow": None},  # reading order of text blocks: slow and not needed
                **settings,
            )
    except Exception as error:  # camelot raises whatever its parser meets
        told = ", ".join(map(str, sorted(heights)))
        raise WitnessLostError(f"page {told} could not be read ({type(error).__name__})") from error
    offset = 0 if is_ruled else 1000
    return [
        cell
        for number, table in enumerate(found)
        for cell in _table_to_cells(table, offset + number, heights)
    ]


def _camelot_or_lost() -> Any:
    try:
        return _load_camelot()
    except Exception as error:  # a broken installation raises whatever is broken
        raise WitnessLostError(f"camelot cannot be loaded ({type(error).__name__}: {error})") from error


def _load_camelot() -> Any:
    """camelot without its plotting half, which would load matplotlib for nothing."""
    if "camelot" not in sys.modules and "matplotlib" not in sys.modules:
        blocked = ("matplotlib", "matplotlib.patches", "matplotlib.pyplot")
        sys.modules.update(dict.fromkeys(blocked))  # type: ignore[arg-type]
        try:
            import camelot
        finally:
            for name in blocked:
                sys.modules.pop(name, None)
    import camelot

    return camelot


def _table_to_cells(table: Any, number: int, heights: dict[int, float]) -> Iterable[GenericCell]:
    height = heights[table.page]
    for row, line in enumerate(table.cells):
        for column, cell in enumerate(line):
            text = cell.text.strip()
            if text:
                box = (
                    round(cell.x1, 1),
                    round(height - cell.y2, 1),
                    round(cell.x2, 1),
                    round(height - cell.y1, 1),
                )
                yield GenericCell(table.page, number, row, column, box, text)


def ask_here(source: Path | bytes, pages: Sequence[Asked]) -> Answer:
    """Read pages at once, in this process."""
    try:
        return Answer(pages_to_cells(source, pages))
    except WitnessLostError as error:
        return Answer((), str(error))


def ask_in_process(source: Path | bytes, pages: Sequence[Asked], limits: Limits = WITNESS_LIMITS) -> Answer:
    """Read pages in a process of its own, which what it meets cannot harm."""
    where = source if isinstance(source, bytes) else source.resolve()
    with closing(Worker("extract.second.generic:request_to_answer", limits)) as worker:
        worker.send((where, tuple(pages)))
        answer = worker.receive()
    return Answer((), loss_to_reason(answer, limits)) if isinstance(answer, Loss) else answer


class _Shape:
    """A table of which only the shape is ever asked: (rows, columns)."""

    def __init__(self, rows: Sequence[Sequence[str]] = ()) -> None:
        self.shape = (len(rows), len(rows[0]) if rows else 0)


def _stand_ins() -> dict[str, ModuleType]:
    """What camelot loads and this process has no use for, which takes more than half of the loading: pandas,
    the web and the versions of packages."""
    uses: dict[str, dict[str, object]] = {
        "pandas": {"DataFrame": _Shape},
        "urllib.request": {"Request": None, "urlopen": None},
        "importlib.metadata": {"version": lambda _name: "", "PackageNotFoundError": LookupError},
    }
    modules = {}
    for name, contents in uses.items():
        modules[name] = ModuleType(name)
        vars(modules[name]).update(contents)
    return modules


@cache
def _prepare() -> None:
    """Load camelot in a process that does nothing else: camelot, which only puts the cells it has read into a
    table of pandas and asks for its shape, gets a table that can do no more, and no web; what is loaded need
    not be searched for garbage."""
    gc.disable()
    sys.modules.update(_stand_ins())
    setattr(importlib, "metadata", sys.modules["importlib.metadata"])  # noqa: B010, mypy knows the real one
    with suppress(WitnessLostError):  # it is told when the pages are read
        _camelot_or_lost()
    gc.freeze()
    gc.enable()


def request_to_answer(request: tuple[Path | bytes, tuple[Asked, ...]]) -> Answer:
    """What the worker does with its request."""
    _prepare()
    return ask_here(*request)
