"""What tests in a real browser share: where Chromium is, pictures for people, accessibility.

Skipped where no Chromium is installed; `.ci/run` installs one. axe-core checks accessibility where
node_modules/axe-core is present (npm install --no-save axe-core).
"""

import os
import shutil
from pathlib import Path

from playwright.sync_api import Page, expect

ROOT = Path(__file__).parents[3]
SCREENS = ROOT / "out" / "screens"
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = os.environ.get("HOLDTRIP_BROWSER") or shutil.which("chromium") or shutil.which("chromium-browser")
ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync"]
expect.set_options(timeout=30_000)  # a busy machine is slow, not wrong
WIDTHS = (390, 820, 1024, 1440)
HEIGHT_OF = {390: 844, 820: 1180, 1024: 768, 1440: 900}
"""A phone, a tablet upright, a tablet on its side, a laptop; in pixels of the page."""


def keep(page: Page, name: str, whole: bool = False) -> None:
    """Leave a picture for people to look at: what the window shows, or the whole page."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=SCREENS / f"{name}.png", full_page=whole)


def violations(page: Page) -> list[tuple[str, str]]:
    """What axe-core finds wrong: rule and element; nothing where axe-core is not installed."""
    if not AXE.is_file():
        return []
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("axe.run()")["violations"]
    return [(one["id"], one["nodes"][0]["html"]) for one in found]


def overlaps(page: Page, rows: str) -> list[str]:
    """Texts that are printed over each other within a row, or cut by the edge of the window."""
    return list(page.evaluate("""(rows) => {
        const found = [];
        for (const row of document.querySelectorAll(rows)) {
            const boxes = [];
            const walker = document.createTreeWalker(row, NodeFilter.SHOW_TEXT);
            while (walker.nextNode()) {
                const range = document.createRange();
                range.selectNodeContents(walker.currentNode);
                const words = walker.currentNode.data.trim();
                if (!words || walker.currentNode.parentElement.closest('.away')) continue;
                const { left, right } = walker.currentNode.parentElement.getBoundingClientRect();
                const cut = getComputedStyle(walker.currentNode.parentElement).overflowX === "hidden";
                for (const { x, y, width, height } of range.getClientRects()) {
                    const end = cut ? Math.min(right, x + width) : x + width;
                    const start = cut ? Math.max(left, x) : x;
                    if (end - start > 1) boxes.push([new DOMRect(start, y, end - start, height), words]);
                }
            }
            for (const [one, words] of boxes) {
                if (one.left < -1 || one.right > innerWidth + 1) found.push(`outside: ${words}`);
                for (const [other, others] of boxes) {
                    const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
                    const high = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
                    if (words !== others && wide > 1 && high > 4) found.push(`${words} over ${others}`);
                }
            }
        }
        return found;
    }""", rows))
