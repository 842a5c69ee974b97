"""How soon the review page shows a long sheet, and how soon margins follow a keystroke.

Run: python bench/page_speed.py [PARTS]   (default 1000)

Comes in: nothing; a sheet of twelve pages is made, the parts are those of bench/compare_speed.py. A Chromium
is needed (or HOLDTRIP_BROWSER). Goes out: a line for each measure: the best and the median of five, ms, and
what is allowed: 1000 ms from the request to the first paint of page and numbers of the sheet in review,
100 ms from a keystroke to the new margins of PARTS parts. The browser and the server share this machine.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import socket
import statistics
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

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


def first_paint_ms(page: Page, address: str, sheet: str) -> float:
    """From the request until page picture and numbers stand on the screen."""
    page.goto(f"{address}/review?sheet={sheet}", wait_until="commit")
    while (painted := page.evaluate("window.painted")) is None:
        page.wait_for_timeout(50)
    page.wait_for_timeout(500)
    return float(painted)


def keystroke_ms(page: Page, digit: int) -> float:
    """From a keystroke in the normal current until the margins of the chosen part have changed."""
    return float(page.evaluate("""(digit) => new Promise((done) => {
        const field = document.getElementById('normal_current_a');
        const start = performance.now();
        new MutationObserver((_, watch) => { watch.disconnect();
            requestAnimationFrame(() => done(performance.now() - start)); })
            .observe(document.querySelector('#margins tbody'), { childList: true });
        field.value = `0.4${digit}`;
        field.dispatchEvent(new Event('input', { bubbles: true }));
    })""", digit))


def report(what: str, taken: list[float], allowed: int) -> None:
    """One line."""
    median = statistics.median(taken)
    print(f"{what:44} best {min(taken):6.0f}  median {median:6.0f}  allowed {allowed:5d} ms")


def main(count: int) -> None:
    """Measure both."""
    browser_path = os.environ.get("HOLDTRIP_BROWSER") or shutil.which("chromium")
    if browser_path is None:
        sys.exit("no Chromium found: install Debian's `chromium`, or name one in HOLDTRIP_BROWSER")
    text = (ROOT / "sample_tables" / "demo_requirement.toml").read_text(encoding="utf-8")
    asked = urlencode([*toml_to_form(text, "demo"), ("unreviewed", "true")])
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        library = Path(folder) / "bench.sqlite"
        sheet = fill_library(library, count)
        with serving(library) as address:
            browser = playwright.chromium.launch(executable_path=browser_path, args=ARGUMENTS)
            page = browser.new_page(viewport={"width": 1360, "height": 860})
            page.add_init_script(WATCH)
            report(f"first paint, {PAGES} pages, {PAGES * ROWS * COLUMNS} numbers",
                   [first_paint_ms(page, address, sheet) for _ in range(TIMES)], 1000)
            page.goto(f"{address}/compare?{asked}")
            page.wait_for_selector("#margins tbody tr")
            page.wait_for_timeout(500)
            report(f"margins after a keystroke, {count} parts",
                   [keystroke_ms(page, digit) for digit in range(TIMES)], 100)
            browser.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
