"""Makes the pictures of README.md from the demo's real output: run `make demo` first, then this.

    .venv/bin/python docs/make_pictures.py              all of them
    .venv/bin/python docs/make_pictures.py check read   these pictures of commands only

Comes in: sample_tables/ and what the demo left in out/. Goes out: PNG files in docs/pictures/. A terminal
picture is the command's own output, and holds it as text too (PNG text "shown"), for a test to compare; a
page picture is the datasheet page with each number that was read outlined where it stands; the pictures of
the workbook, of the decision record and of the review page need LibreOffice (`soffice`) and Chromium; without
them those pictures are left as they are.
"""

from __future__ import annotations

import hashlib
import io
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2
from matplotlib import get_data_path
from PIL import Image, ImageChops, ImageDraw, ImageFont, ImageOps
from PIL.PngImagePlugin import PngInfo
from rich.console import Console
from rich.text import Text

from extract.long_table import read_long_table
from extract.schema import Status

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "docs" / "pictures"
FONT_SIZE = 15
PAPER, INK = (250, 250, 247), (35, 38, 42)
OUTLINES = {Status.AGREED: (0, 120, 90), Status.SINGLE: (190, 120, 0), Status.DISPUTED: (200, 30, 30)}


def font(bold: bool) -> ImageFont.FreeTypeFont:
    """The fixed-width font that matplotlib ships: the same picture on every machine."""
    name = "DejaVuSansMono-Bold.ttf" if bold else "DejaVuSansMono.ttf"
    return ImageFont.truetype(str(Path(get_data_path()) / "fonts" / "ttf" / name), FONT_SIZE)


def command_output(arguments: list[str], columns: int) -> str:
    """What a command prints on a colour terminal of that width."""
    surroundings = os.environ | {"FORCE_COLOR": "1", "COLUMNS": str(columns)}
    done = subprocess.run([sys.executable, "-m", "holdtrip", *arguments], cwd=ROOT, env=surroundings,
                          capture_output=True, text=True, check=False)
    return done.stdout + done.stderr


def terminal_picture(name: str, arguments: list[str], columns: int = 120, lines: int = 60) -> None:
    """Draw a command and its output as text on paper."""
    typed = Text(f"$ holdtrip {' '.join(arguments)}\n", style="bold")
    shown = Text.from_ansi(command_output(arguments, columns).rstrip())
    console = Console(width=columns, color_system="truecolor", force_terminal=True)
    rows = console.render_lines(Text.assemble(typed, shown), pad=False)[:lines]
    plain, bold = font(False), font(True)
    wide, high = plain.getlength("m"), int(FONT_SIZE * 1.35)
    longest = max(sum(segment.cell_length for segment in row) for row in rows)
    picture = Image.new("RGB", (int(wide * longest) + 32, high * len(rows) + 28), PAPER)
    draw = ImageDraw.Draw(picture)
    for number, row in enumerate(rows):
        x = 16.0
        for segment in row:
            style = segment.style
            draw.text((x, 14 + number * high), segment.text, fill=ink(style),
                      font=bold if style is not None and style.bold else plain)
            x += wide * segment.cell_length
    save(picture, name, shown.plain)


def ink(style: object) -> tuple[int, int, int]:
    """The colour of a rich style, dark enough for paper."""
    colour = getattr(style, "color", None)
    if colour is None or colour.is_default:
        return INK
    red, green, blue = colour.get_truecolor()
    return int(red * 0.75), int(green * 0.6), int(blue * 0.75)


def page_picture(name: str, pdf: Path, long_table: Path, page: int) -> None:
    """Draw a datasheet page down to its last number, every number read outlined by its status."""
    scale = 1.6
    with pypdfium2.PdfDocument(pdf) as document:
        picture = document[page - 1].render(scale=scale).to_pil().convert("RGB")
    draw, lowest = ImageDraw.Draw(picture), 0.0
    for reading in read_long_table(long_table):
        place = reading.place
        if reading.document == pdf.name and place.page == page:
            wider = 2.5 if reading.status is Status.DISPUTED else 1.0
            box = (place.x0 - wider, place.top - wider, place.x1 + wider, place.bottom + wider)
            draw.rectangle([edge * scale for edge in box], outline=OUTLINES.get(reading.status, INK),
                           width=int(2 * wider) - 1)
            lowest = max(lowest, place.bottom * scale)
    save(picture.crop((0, 0, picture.width, min(picture.height, int(lowest) + 80))), name)


def workbook_picture(name: str, workbook: Path) -> None:
    """Draw the first page LibreOffice prints of a workbook, without the margins."""
    office = shutil.which("localc") or shutil.which("soffice")
    if office is None:
        print(f"no LibreOffice: {name} left as it is")
        return
    with tempfile.TemporaryDirectory() as scratch:
        command = [office, f"-env:UserInstallation=file://{scratch}/profile", "--headless",
                   "--convert-to", "pdf", "--outdir", scratch, str(workbook)]
        subprocess.run(command, check=True, capture_output=True)
        with pypdfium2.PdfDocument(Path(scratch) / f"{workbook.stem}.pdf") as document:
            picture = document[0].render(scale=1.6).to_pil().convert("RGB")
    inked = ImageChops.difference(picture, Image.new("RGB", picture.size, picture.getpixel((0, 0)))).getbbox()
    save(ImageOps.expand(picture.crop(inked), 14, "white"), name)


def record_picture(name: str, record: Path) -> None:
    """Draw the decision record as a browser shows it, at the width of a sheet of paper."""
    browser = shutil.which("chromium") or shutil.which("google-chrome")
    if browser is None:
        print(f"no chromium: {name} left as it is")
        return
    with tempfile.TemporaryDirectory() as scratch:
        shot = Path(scratch) / "record.png"
        command = [browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                   f"--screenshot={shot}", "--window-size=900,1520", record.resolve().as_uri()]
        subprocess.run(command, check=True, capture_output=True)
        with Image.open(shot) as picture:
            save(picture.convert("RGB"), name)


def review_picture(name: str, library: Path, pdf: Path, port: int = 8799) -> None:
    """Draw the review page of a datasheet as a browser shows it, served from the demo's library."""
    browser = shutil.which("chromium") or shutil.which("google-chrome")
    if browser is None:
        print(f"no chromium: {name} left as it is")
        return
    sheet = hashlib.sha256(pdf.read_bytes()).hexdigest()
    command = [sys.executable, "-m", "holdtrip", "serve", "--library", str(library), "--port", str(port),
               "--who", "you", "--no-token", "--no-browser"]
    with (tempfile.TemporaryDirectory() as scratch,
          subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as server):
        server.stdout.readline()  # the address: from now on it listens
        shot = Path(scratch) / "review.png"
        subprocess.run([browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                        "--virtual-time-budget=10000", f"--screenshot={shot}", "--window-size=1360,860",
                        f"http://127.0.0.1:{port}/review?sheet={sheet}"], check=True, capture_output=True)
        server.terminate()
        with Image.open(shot) as picture:
            save(picture.convert("RGB"), name)


def framing_picture(name: str, library: Path, pdf: Path, box: tuple[float, float, float, float]) -> None:
    """Draw a table of a datasheet being framed by mouse on the review page."""
    browser = shutil.which("chromium") or shutil.which("google-chrome")
    if browser is None:
        print(f"no chromium: {name} left as it is")
        return
    from playwright.sync_api import sync_playwright

    sheet = hashlib.sha256(pdf.read_bytes()).hexdigest()
    command = [sys.executable, "-m", "holdtrip", "serve", "--library", str(library), "--port", "8798",
               "--who", "you", "--no-token", "--no-browser"]
    with (sync_playwright() as playwright,
          subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as server):
        server.stdout.readline()
        page = playwright.chromium.launch(executable_path=browser, args=["--no-sandbox"]).new_page(
            viewport={"width": 1360, "height": 860})
        page.goto(f"http://127.0.0.1:8798/review?sheet={sheet}")
        page.wait_for_selector(".drawing .cell.chosen")
        page.keyboard.press("f")
        paper = page.locator(".drawing").bounding_box()
        scale = paper["width"] / 595.0
        x0, top, x1, bottom = (edge * scale for edge in box)
        page.mouse.move(paper["x"] + x0, paper["y"] + top)
        page.mouse.down()
        page.mouse.move(paper["x"] + x1, paper["y"] + bottom, steps=4)
        page.mouse.up()
        page.wait_for_selector("#framed:not([hidden])")
        page.wait_for_timeout(6000)  # the line that says what to do has gone
        shot = page.screenshot()
        server.terminate()
    with Image.open(io.BytesIO(shot)) as picture:
        save(picture.convert("RGB"), name)


def save(picture: Image.Image, name: str, shown: str = "") -> None:
    """Write a picture in few colours, small enough for a repository, with the text it shows."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    texts = PngInfo()
    if shown:
        texts.add_itxt("shown", shown, zip=True)
    few = picture.quantize(64 if shown else 160, Image.Quantize.MAXCOVERAGE)
    few.save(PICTURES / f"{name}.png", optimize=True, pnginfo=texts)
    print(f"wrote docs/pictures/{name}.png, {picture.width} x {picture.height}")


def teaching_pictures() -> None:
    """A house in an invented language: the first sheet asks, one answer, the second does not ask."""
    first, second = "sample_tables/osvikar_ovk.pdf", "sample_tables/osvikar_ovr.pdf"
    library = "out/team.sqlite"
    (ROOT / "out").mkdir(exist_ok=True)
    for left in (ROOT / "out").glob("team.sqlite*"):
        left.unlink()
    terminal_picture("teaching_asks", ["read", first], lines=20)
    command_output(["answer", first, "1", "right", "--library", library, "--who", "lena",
                    "--because", "page 1 looked at"], 120)
    terminal_picture("teaching_knows", ["read", second, "--library", library], lines=7)
    terminal_picture("teaching_answers", ["answers", "--library", library], lines=12)


SAMPLE = "sample_tables/trosnavik_tnv.pdf"
COMMANDS = {
    "read": (["read", SAMPLE], 120),
    "show": (["show", "TNV075", "--parts", SAMPLE], 150),
    "check": (["check", "docs/examples/typed_parts.csv", "--against", "sample_tables/quarrowick_qk.pdf"],
              200),
    "compare": (["compare", "sample_tables/demo_requirement.toml", "--parts", "out/library.sqlite",
                 "--unreviewed", "--top", "24"], 170),
}
"""Pictures of one command each: its words, and how wide the terminal is."""


def main(names: list[str]) -> None:
    """Draw all of them, or the named ones of COMMANDS."""
    for name in names or COMMANDS:
        arguments, columns = COMMANDS[name]
        terminal_picture(name, arguments, columns)
    if names:
        return
    teaching_pictures()
    page_picture("page", ROOT / SAMPLE, ROOT / "out" / "long.csv", page=1)
    workbook_picture("workbook", ROOT / "out" / "comparison.xlsx")
    record_picture("record", ROOT / "out" / "report.html")
    library = ROOT / "out" / "library.sqlite"
    review_picture("review", library, ROOT / "sample_tables" / "trosnavik_tnv.pdf")
    framing_picture("review_frame", library, ROOT / "sample_tables" / "quarrowick_qk.pdf",
                    (44.0, 165.0, 548.0, 321.0))


if __name__ == "__main__":
    main(sys.argv[1:])
