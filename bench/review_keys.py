"""How many keys and seconds a review of a long sheet takes, by keyboard alone, each decision beside its
picture.

Run: python bench/review_keys.py [SHEET.pdf]   (default sample_tables/wendelthwaite_wdt.pdf)

Comes in: a sheet. A Chromium is needed (or HOLDTRIP_BROWSER). Goes out: what was decided, keys, seconds, and
the seconds with the time a person takes to look. The script answers as a reviewer would who trusts the value
that is printed first: of two values the one in the table that is read first, to every other question "as
read". It waits at every question until its pictures are shown, then accepts the rest in bulk, what the
answers settled with it.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from page_speed import ARGUMENTS, serving
from playwright.sync_api import Page, sync_playwright

from extract.sheet import read_sheet
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files

ROOT = Path(__file__).resolve().parent.parent
LOOK_S = 7.0  # to compare two pictures of a few digits; common practice, no source
WAIT = """() => { const shown = [...document.querySelectorAll('#proof image')];
  return shown.length > 0 && document.querySelector('.cell.chosen') !== null; }"""

NEXT = """(asked) => document.querySelector('#which').innerText !== asked
  || document.querySelector('#progress-says').innerText.includes('no question')"""


class Keys:
    """Presses keys and counts them."""

    def __init__(self, page: Page) -> None:
        self._page, self.count = page, 0

    def press(self, key: str) -> None:
        """One key."""
        self._page.keyboard.press(key)
        self.count += 1


def review(page: Page, keys: Keys) -> int:
    """Answer every question, then accept the rest in bulk; returns the number of questions."""
    asked = 0
    while "no question open" not in page.locator("#progress-says").inner_text():
        page.wait_for_function(WAIT)
        which = page.locator("#which").inner_text()
        keys.press("1")  # the first of two values, or "as read" for the whole question
        asked += 1
        page.wait_for_function(NEXT, arg=which)
    keys.press("b")
    if page.locator("#bulk-single").is_enabled():  # what the answers settled counts as read once
        page.locator("#bulk-single").focus()
        keys.press("Space")
        page.locator("#bulk-yes").focus()
    keys.press("Enter")
    page.wait_for_function("() => { const [done, all] = document.querySelector('#progress-says').innerText"
                           ".match(/(\\d+) of (\\d+)/).slice(1); return done === all; }")
    return asked


def main(sheet: Path) -> None:
    """One review, told in one line for each count."""
    chromium = os.environ.get("HOLDTRIP_BROWSER") or shutil.which("chromium")
    if chromium is None:
        sys.exit("no Chromium found: install Debian's `chromium`, or name one in HOLDTRIP_BROWSER")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        path = Path(folder) / "bench.sqlite"
        with open_library(path) as library:
            reading = read_sheet(sheet)
            library.import_sheet(reading, "bench")
        library_to_files(str(path)).keep(sheet, reading.sha256)
        with serving(path) as address:
            browser = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
            page = browser.new_page(viewport={"width": 1440, "height": 900})
            page.goto(f"{address}/review?sheet={reading.sha256}")
            page.wait_for_function(WAIT)
            keys, start = Keys(page), time.perf_counter()
            asked = review(page, keys)
            seconds = time.perf_counter() - start
            print(f"{sheet.name}: {len(reading.readings)} numbers, {asked} questions\n"
                  f"keys    {keys.count}\nseconds {seconds:.1f} of the page and the library\n"
                  f"        {seconds + asked * LOOK_S:.0f} with {LOOK_S:g} s to look at each question;"
                  " the goal is 180")
            browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "sample_tables" / "wendelthwaite_wdt.pdf")
