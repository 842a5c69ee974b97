"""The second, independent reading of every table: camelot finds rows, columns and texts on its own.

Comes in: a PDF's path and the regions where the first reading found tables. Goes out: WitnessCells.
camelot has its own PDF parser and its own table finder, so a fault of the first reading shows.
Compares nothing: agreement.py does. Can run in a process of its own, so that loading it costs no
waiting.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import subprocess
import sys
import warnings
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from types import ModuleType
from typing import Any, Protocol

Box = tuple[float, float, float, float]
WITNESS_TIMEOUT_S = 60.0


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


def regions_to_witness(path: Path, regions: Sequence[Region]) -> tuple[WitnessCell, ...]:
    """Read the regions with camelot. Raises WitnessLostError with the reason where it cannot."""
    cells: list[WitnessCell] = []
    for is_ruled in (True, False):
        chosen = [region for region in regions if region.is_ruled is is_ruled]
        if chosen:
            cells += _read_flavour(path, chosen, is_ruled)
    return tuple(cells)


def _read_flavour(path: Path, regions: Sequence[Region], is_ruled: bool) -> list[WitnessCell]:
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
                str(path),
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

    def ask(self, path: Path, regions: Sequence[Region]) -> None:
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

    def ask(self, path: Path, regions: Sequence[Region]) -> None:
        """Read the regions of one page now."""
        try:
            self._cells += regions_to_witness(path, regions)
        except WitnessLostError as error:
            self.lost = self.lost or str(error)

    def answers(self) -> tuple[WitnessCell, ...]:
        """All cells read so far."""
        return tuple(self._cells)

    def close(self) -> None:
        """Nothing to end."""


class WitnessProcess:
    """A process that loads camelot, and then reads page after page, while the first reading goes on.

    `meanwhile` is done before its answers are waited for.
    """

    def __init__(
        self, timeout_s: float = WITNESS_TIMEOUT_S, meanwhile: Callable[[], None] = lambda: None
    ) -> None:
        self._timeout_s, self._meanwhile = timeout_s, meanwhile
        self._asked = 0
        self.lost = ""
        self._process = subprocess.Popen(
            [sys.executable, "-m", "extract.second_reading"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )

    def ask(self, path: Path, regions: Sequence[Region]) -> None:
        """Send the regions of one page; does not wait for them."""
        request = {"path": str(path.resolve()), "regions": [asdict(region) for region in regions]}
        if self._process.stdin is None or not regions:
            return
        try:
            self._process.stdin.write(json.dumps(request) + "\n")
            self._process.stdin.flush()
        except OSError:  # it died: answers() says so
            self.lost = "its process ended early"
        self._asked += 1

    def answers(self) -> tuple[WitnessCell, ...]:
        """All cells, or none if the process failed or took too long."""
        self._meanwhile()
        try:
            said, _ = self._process.communicate(timeout=self._timeout_s)
            return self._lines_to_cells(said.splitlines())
        except subprocess.TimeoutExpired:
            self.lost = f"it took more than {self._timeout_s:g} s"
        except (OSError, ValueError) as error:
            self.lost = f"its process failed ({type(error).__name__})"
        return ()

    def _lines_to_cells(self, lines: Sequence[str]) -> tuple[WitnessCell, ...]:
        """The cells of one line an answer; a line that is a text says what was lost."""
        answers = [json.loads(line) for line in lines]
        told = [answer for answer in answers if isinstance(answer, str)]
        if told:
            self.lost = told[0]
        elif len(answers) < self._asked:
            self.lost = f"its process ended early (exit code {self._process.returncode})"
        return tuple(_dict_to_cell(row) for rows in answers if not isinstance(rows, str) for row in rows)

    def close(self) -> None:
        """End the process if it still runs."""
        if self._process.poll() is None:
            self._process.kill()
            self._process.communicate()


def _dict_to_cell(row: dict[str, Any]) -> WitnessCell:
    return WitnessCell(**{**row, "box": tuple(row["box"])})


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


def _serve() -> None:
    """Load camelot at once, then answer each line of standard input with a line of cells.

    This process does nothing else: camelot, which only puts the cells it has read into a table of pandas
    and asks for its shape, gets a table that can do no more, and no web; what is loaded need not be
    searched for garbage, and nothing is left to tidy up, so that nobody waits for any of it.
    """
    gc.disable()
    sys.modules.update(_stand_ins())
    setattr(importlib, "metadata", sys.modules["importlib.metadata"])  # noqa: B010, mypy knows the real one
    with suppress(WitnessLostError):  # it is told when a page is asked for
        _camelot_or_lost()
    gc.freeze()
    gc.enable()
    for line in sys.stdin:
        request = json.loads(line)
        regions = [Region(**{**region, "box": tuple(region["box"])}) for region in request["regions"]]
        sys.stdout.write(json.dumps(_regions_to_answer(Path(request["path"]), regions)) + "\n")
        sys.stdout.flush()
    os._exit(0)


def _regions_to_answer(path: Path, regions: Sequence[Region]) -> list[dict[str, Any]] | str:
    """What the process writes: the cells, or why there are none."""
    try:
        return [asdict(cell) for cell in regions_to_witness(path, regions)]
    except WitnessLostError as error:
        return str(error)


if __name__ == "__main__":
    _serve()
