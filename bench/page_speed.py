"""How soon the review page shows a long sheet, how soon lists and margins follow a keystroke, at which cost.

Run: python bench/page_speed.py [PARTS] [FOLDER]   (default 1000)

Comes in: nothing; a sheet of twelve pages is made, the parts are those of bench/compare_speed.py, their
library stays in FOLDER for the next run. A Chromium is needed (or HOLDTRIP_BROWSER). Goes out: a line for
each measure: best and median by the clock, which mean something on an idle machine; the processor time of the
server with its workers, and of the browser with all its processes, for each time; what is allowed. All in ms.
The server is a process of its own.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import psutil
import uvicorn
from compare_speed import count_to_parts
from playwright.sync_api import Page, sync_playwright
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from holdtrip.web.options import SiteOptions
from holdtrip.web.requirement_form import toml_to_form
from holdtrip.web.site import options_to_site

ROOT = Path(__file__).resolve().parent.parent
TIMES, PAGES, ROWS, COLUMNS = 5, 12, 24, 8
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync"]


def write_long_sheet(path: Path) -> tuple[Reading, ...]:
    """Twelve pages of numbers, and the readings of every one of them."""
    canvas, readings = Canvas(str(path), pagesize=A4), []
    for page in range(1, PAGES + 1):
        canvas.setFont("Helvetica", 8)
        for row in range(ROWS):
            for column in range(COLUMNS):
                x, top = 60.0 + 58.0 * column, 80.0 + 28.0 * row
                text = f"{0.1 + row * 0.11 + column * 0.013:.3f}"
                canvas.drawString(x, A4[1] - top - 8, text)
                status = Status.DISPUTED if (row + column) % 9 == 0 else Status.AGREED
                readings.append(Reading(
                    "long.pdf", "", f"LONG-{page:02d}{row:02d}", Quantity.HOLD_CURRENT, Kind.NONE,
                    10.0 * column - 20.0, None, float(text), status, Place(page, x, top, x + 22, top + 10),
                    text))
        canvas.showPage()
    canvas.save()
    return tuple(readings)


def fill_library(path: Path, count: int) -> str:
    """The long sheet and the parts to compare; returns the SHA-256 of the sheet."""
    pdf = path.with_name("long.pdf")
    readings = write_long_sheet(pdf)
    sheet = hashlib.sha256(pdf.read_bytes()).hexdigest()
    readings = tuple(replace(one, sha256=sheet) for one in readings)
    library_to_files(str(path)).keep(pdf, sheet)
    groups: dict[int, list[Reading]] = defaultdict(list)
    for index, part in enumerate(count_to_parts(count)):
        digest = f"{index // 40:064x}"
        document = f"invented{index // 40}.pdf"
        groups[index // 40] += [replace(one, sha256=digest, document=document) for one in part.readings]
    with open_library(path) as library:
        library.import_sheet(SheetReading(
            "long.pdf", sheet, PAGES, tuple(range(1, PAGES + 1)), "", readings, (), ()), "bench")
        for group in groups.values():
            first = group[0]
            library.import_sheet(SheetReading(
                first.document, first.sha256, 1, (1,), "", tuple(group), (), ()), "bench")
    return sheet


@contextmanager
def serving(library: Path) -> Iterator[str]:
    """The page over a library; yields its address."""
    door = socket.socket()
    door.bind(("127.0.0.1", 0))
    port = door.getsockname()[1]
    site = options_to_site(SiteOptions(str(library), "bench", port=port))
    server = uvicorn.Server(uvicorn.Config(site, log_level="error", ws="none"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]})
    thread.start()
    while not server.started:
        time.sleep(0.02)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join()


WATCH = """
new MutationObserver((_, watch) => {
    const shown = document.querySelector('#sight img');
    if (!shown?.src || !document.querySelector('#what')?.innerText
        || !document.querySelector('#questions li, #numbers tbody tr')) return;
    watch.disconnect();
    const image = new Image();
    image.onload = () => requestAnimationFrame(() => requestAnimationFrame(() => {
        window.painted = performance.now();
    }));
    image.src = shown.src;
}).observe(document, { childList: true, subtree: true });
"""
"""Notes when the page picture and the first numbers stand on the screen, in ms since the request."""


def settle(page: Page) -> None:
    """What was set off ends before the next measure."""
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(700)


def first_paint_ms(page: Page, address: str, sheet: str) -> float:
    """From the request until page picture and numbers stand on the screen."""
    page.goto(f"{address}/review?sheet={sheet}", wait_until="commit")
    while (painted := page.evaluate("window.painted")) is None:
        page.wait_for_timeout(50)
    settle(page)
    return float(painted)


@contextmanager
def served(library: Path) -> Iterator[tuple[str, psutil.Process]]:
    """The page in a process of its own, as `holdtrip serve` starts it: its address and its process."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
    command = [sys.executable, "-m", "holdtrip", "serve", "--library", str(library), "--port", str(port),
               "--no-browser", "--no-token", "--who", "bench"]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        try:
            while not _answers(port):
                time.sleep(0.1)
            yield f"http://127.0.0.1:{port}", psutil.Process(server.pid)
        finally:
            server.terminate()


def _answers(port: int) -> bool:
    with socket.socket() as door:
        return door.connect_ex(("127.0.0.1", port)) == 0


def spent_ms(process: psutil.Process) -> float:
    """Processor time of a process, of its children and of those it has waited for."""
    own = process.cpu_times()
    total = own.user + own.system + own.children_user + own.children_system
    for child in process.children(recursive=True):
        with suppress(psutil.NoSuchProcess):
            times = child.cpu_times()
            total += times.user + times.system
    return 1000.0 * total


class Meter:
    """Takes times of the clock, and what server and browser spend meanwhile."""

    def __init__(self, server: psutil.Process) -> None:
        self._server, self._own = server, psutil.Process()
        print(f"{'':38} {'clock':>15}  {'server':>7} {'browser':>7}  allowed")

    def _spent(self) -> tuple[float, float]:
        server = spent_ms(self._server)
        children = sum(spent_ms(one) for one in self._own.children() if one.pid != self._server.pid)
        return server, children

    def take(self, what: str, work: Callable[[int], float], times: int, allowed: str) -> None:
        """One line: `work` is done so many times and tells its ms by the clock."""
        before = self._spent()
        clock = [work(index) for index in range(times)]
        after = self._spent()
        server, browser = ((end - start) / times for start, end in zip(before, after, strict=True))
        print(f"{what:38} {min(clock):7.0f} {statistics.median(clock):7.0f}  {server:7.0f} {browser:7.0f}"
              f"  {allowed}", flush=True)


LIST_KEY = """(typed) => new Promise((done) => {
    const field = document.getElementById('like');
    const start = performance.now();
    new MutationObserver((_, watch) => { watch.disconnect();
        requestAnimationFrame(() => done(performance.now() - start)); })
        .observe(document.querySelector('#parts tbody'), { childList: true });
    field.value = typed;
    field.dispatchEvent(new Event('input', { bubbles: true }));
})"""
RANKING_KEY = LIST_KEY.replace("like", "normal_current_a").replace("#parts", "#ranking")
MARGIN_KEY = RANKING_KEY.replace("#ranking", "#margins")
"""From a keystroke in a field until a table below has changed, ms."""


def shown_ms(page: Page, address: str, table: str) -> float:
    """From the request of a page until the rows of one of its tables are on the screen."""
    start = time.perf_counter()
    page.goto(address)
    page.wait_for_selector(f"{table} tbody tr", timeout=300_000)
    taken = 1000.0 * (time.perf_counter() - start)
    settle(page)
    return taken


def measure(page: Page, meter: Meter, address: str, sheet: str) -> None:
    """All measures, each line once."""
    text = (ROOT / "sample_tables" / "demo_requirement.toml").read_text(encoding="utf-8")
    asked = urlencode([*toml_to_form(text, "demo"), ("unreviewed", "true")])
    meter.take("review: first paint, 2304 numbers", lambda _: first_paint_ms(page, address, sheet), TIMES,
               "1000 by the clock")
    meter.take("parts: first list", lambda _: shown_ms(page, f"{address}/parts", "#parts"), 1,
               "2000 of the server")
    typed = ("P", "P0", "P00", "P001", "P00", "P0", "1", "12", "123", "")
    meter.take("parts: a keystroke", lambda index: float(page.evaluate(LIST_KEY, typed[index])), len(typed),
               "150 of the server")
    asking = f"{address}/compare?{asked}"
    meter.take("compare: first ranking", lambda _: shown_ms(page, asking, "#ranking"), 1,
               "2000 of the server")
    meter.take("compare: margins after a keystroke", lambda digit: keyed_ms(page, MARGIN_KEY, digit), 5, "")
    meter.take("compare: ranking after a keystroke", lambda digit: keyed_ms(page, RANKING_KEY, digit), 5,
               "150 of the server, both")


def keyed_ms(page: Page, script: str, digit: int) -> float:
    """One key; what it still sets off ends before the next."""
    taken = float(page.evaluate(script, f"0.4{digit}"))
    settle(page)
    return taken


def library_of(folder: Path, count: int) -> tuple[Path, str]:
    """The library of so many parts, made if it is not there, and the SHA-256 of its long sheet."""
    path = folder / f"bench{count}.sqlite"
    if not path.exists():
        return path, fill_library(path, count)
    return path, hashlib.sha256(path.with_name("long.pdf").read_bytes()).hexdigest()


def main(count: int, folder: Path) -> None:
    """Measure all."""
    browser_path = os.environ.get("HOLDTRIP_BROWSER") or shutil.which("chromium")
    if browser_path is None:
        sys.exit("no Chromium found: install Debian's `chromium`, or name one in HOLDTRIP_BROWSER")
    library, sheet = library_of(folder, count)
    with sync_playwright() as playwright, served(library) as (address, server):
        browser = playwright.chromium.launch(executable_path=browser_path, args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 1360, "height": 860})
        page.set_default_timeout(300_000)
        page.add_init_script(WATCH)
        print(f"{count} parts; ms")
        measure(page, Meter(server), address, sheet)
        browser.close()


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    if len(sys.argv) > 2:
        main(wanted, Path(sys.argv[2]))
    else:
        with tempfile.TemporaryDirectory() as made:
            main(wanted, Path(made))
