"""The second, independent reading of every table: camelot finds rows, columns and texts on its own.

Comes in: a PDF's path and the regions where the first reading found tables. Goes out: WitnessCells.
camelot has its own PDF parser and its own table finder, so a fault of the first reading shows.
Compares nothing: agreement.py does. Can run in a process of its own, so that loading it costs no
waiting.
"""

from __future__ import annotations

import gc
import importlib
import sys
import warnings
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any, Protocol

from extract.workers import Limits, Loss, Worker, loss_to_reason

Box = tuple[float, float, float, float]
WITNESS_LIMITS = Limits(cpu_s=40.0, max_bytes=1_000_000_000)


@dataclass(frozen=True, slots=True)
class Region:
    """Where the first reading found a table: page, box in turned coordinates, whether ruled, the
    page's turned height."""

    page: int
    box: Box
    is_ruled: bool
    height: float


@dataclass(frozen=True, slots=True)
class WitnessCell:
    """A cell as camelot saw it: page, which of its tables, row, column, box, text."""

    page: int
    table: int
    row: int
    column: int
    box: Box
    text: str


class WitnessLostError(Exception):
    """The second reading failed: camelot cannot be loaded, or could not read a page."""


def regions_to_witness(source: Path | bytes, regions: Sequence[Region]) -> tuple[WitnessCell, ...]:
    """Read the regions with camelot. Raises WitnessLostError with the reason where it cannot."""
    cells: list[WitnessCell] = []
    for is_ruled in (True, False):
        chosen = [region for region in regions if region.is_ruled is is_ruled]
        if chosen:
            cells += _read_flavour(source, chosen, is_ruled)
    return tuple(cells)


def _read_flavour(source: Path | bytes, regions: Sequence[Region], is_ruled: bool) -> list[WitnessCell]:
    camelot = _camelot_or_lost()
    heights = {region.page: region.height for region in regions}
    per_page = {
        page: {"table_areas": [_region_to_area(r) for r in regions if r.page == page]} for page in heights
    }
    settings: dict[str, Any] = (
        {"flavor": "lattice", "engine": "vector"} if is_ruled else {"flavor": "stream", "row_tol": 3}
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = camelot.read_pdf(
                source if isinstance(source, bytes) else str(source),
                pages=",".join(map(str, sorted(heights))),
                per_page=per_page,
                suppress_stdout=True,
                layout_kwargs={"boxes_flow": None},  # reading order of text blocks: slow and not needed
                **settings,
            )
    except Exception as error:  # camelot raises whatever its parser meets
        pages = ", ".join(map(str, sorted(heights)))
        raise WitnessLostError(f"page {pages} could not be read ({type(error).__name__})") from error
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


def _region_to_area(region: Region) -> str:
    x0, top, x1, bottom = region.box
    margin = 2.0
    return f"{x0 - margin},{region.height - top + margin},{x1 + margin},{region.height - bottom - margin}"


def _table_to_cells(table: Any, number: int, heights: dict[int, float]) -> Iterable[WitnessCell]:
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
                yield WitnessCell(table.page, number, row, column, box, text)


class Witness(Protocol):
    """Who reads regions a second time: asked page by page, answering all at the end. `lost` says why it
    could not, once it has answered; empty if it could."""

    @property
    def lost(self) -> str:
        """Why some or all regions were not read again."""

    def ask(self, source: Path | bytes, regions: Sequence[Region]) -> None:
        """Have the regions of one page read."""

    def answers(self) -> tuple[WitnessCell, ...]:
        """Every cell of the regions asked for; none where reading failed or took too long."""

    def close(self) -> None:
        """End it."""


class WitnessHere:
    """Reads at once, in this process."""

    def __init__(self) -> None:
        self._cells: list[WitnessCell] = []
        self.lost = ""

    def ask(self, source: Path | bytes, regions: Sequence[Region]) -> None:
        """Read the regions of one page now."""
        try:
            self._cells += regions_to_witness(source, regions)
        except WitnessLostError as error:
            self.lost = self.lost or str(error)

    def answers(self) -> tuple[WitnessCell, ...]:
        """All cells read so far."""
        return tuple(self._cells)

    def close(self) -> None:
        """Nothing to end."""


class WitnessProcess:
    """A worker that loads camelot, and then reads page after page, while the first reading goes on."""

    def __init__(self, limits: Limits = WITNESS_LIMITS) -> None:
        self._worker, self._asked = Worker("extract.second_reading:request_to_answer", limits), 0
        self._limits, self.lost = limits, ""
        self._worker.send(None)

    def ask(self, source: Path | bytes, regions: Sequence[Region]) -> None:
        """Send the regions of one page; does not wait for them."""
        if regions:
            where = source if isinstance(source, bytes) else source.resolve()
            self._worker.send((where, tuple(regions)))
            self._asked += 1

    def answers(self) -> tuple[WitnessCell, ...]:
        """All cells, or none if the worker was lost; `lost` says why."""
        cells: list[WitnessCell] = []
        for _ in range(self._asked + 1):
            answer = self._worker.receive()
            if isinstance(answer, Loss):
                self.lost = loss_to_reason(answer, self._limits)
                return ()
            if isinstance(answer, str):
                self.lost = answer
            else:
                cells += answer
        return tuple(cells)

    def close(self) -> None:
        """End the process if it still runs."""
        self._worker.close()


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
    with suppress(WitnessLostError):  # it is told when a page is asked for
        _camelot_or_lost()
    gc.freeze()
    gc.enable()


def request_to_answer(
    request: tuple[Path | bytes, tuple[Region, ...]] | None,
) -> tuple[WitnessCell, ...] | str:
    """What the worker does with each request: the cells, or why there are none. The first request, None, only
    has it load camelot."""
    _prepare()
    try:
        return regions_to_witness(*request) if request is not None else ()
    except WitnessLostError as error:
        return str(error)
