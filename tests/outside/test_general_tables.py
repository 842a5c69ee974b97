"""The cell model on tables of general documents: contents that others publish, drawn by general programs.

Contents: constants of CODATA 2022 (as scipy carries them), the sample table of squares and cubes that
matplotlib ships, round wire after ASTM B258. Drawn by: a spreadsheet program, a browser, a report library, a
plotting library, each as it draws a table by default. Nothing of them is copied into the project.
"""

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import matplotlib
import pandas as pd
import pytest
from scipy import constants

from extract.cells.grids import inks_to_grids
from extract.cells.ink import content_to_ink
from extract.document import Document
from extract.pages import document_to_contents
from tests.holdtrip.web.browsing import CHROMIUM

Table = tuple[list[str], list[list[str]]]


def codata() -> Table:
    """Ratios of masses: value, standard uncertainty, relative uncertainty in 1e-9, as many digits as are
    sure."""
    found = constants.physical_constants
    names = [name for name in sorted(found) if name.endswith("mass ratio") and found[name][0] > 1]
    rows = [(name.removesuffix(" mass ratio"), *found[name]) for name in names]
    return ["Masses", "Ratio", "Uncertainty", "Relative (1e-9)"], [
        [name, f"{value:.8f}", f"{uncertainty:.8f}", f"{1e9 * uncertainty / value:.3f}"]
        for name, value, _, uncertainty in rows
    ]


def squares() -> Table:
    """x, its square, its cube."""
    path = Path(matplotlib.get_data_path()) / "sample_data" / "data_x_x2_x3.csv"
    return ["x", "x2", "x3"], [line.split() for line in path.read_text(encoding="ascii").splitlines()]


def wires() -> Table:
    """Round wire: gauge, diameter in mm, area in mm2, ohm per km of copper of 0.017241 ohm mm2/m at 20 degC
    (IEC 60028). The diameter is 0.127 mm x 92^((36 - n) / 39) (ASTM B258)."""
    rows = []
    for gauge in range(10, 34, 2):
        diameter_mm = 0.127 * 92 ** ((36 - gauge) / 39)
        area_mm2 = 3.14159265 * diameter_mm**2 / 4
        rows.append([str(gauge), f"{diameter_mm:.3f}", f"{area_mm2:.4f}", f"{17.241 / area_mm2:.2f}"])
    return ["Gauge", "Diameter (mm)", "Area (mm2)", "Resistance (ohm/km)"], rows


def by_report_library(table: Table, folder: Path) -> Path:
    """Columns without any rule."""
    from reportlab.platypus import SimpleDocTemplate
    from reportlab.platypus import Table as Drawn

    SimpleDocTemplate(str(folder / "t.pdf")).build([Drawn([table[0], *table[1]])])
    return folder / "t.pdf"


def by_plotting_library(table: Table, folder: Path) -> Path:
    """Every cell in a box, headings and values centred or right."""
    from matplotlib import pyplot

    figure, axes = pyplot.subplots(figsize=(9, 9))
    axes.axis("off")
    axes.table(cellText=table[1], colLabels=table[0], loc="upper center")
    figure.savefig(folder / "t.pdf")
    pyplot.close(figure)
    return folder / "t.pdf"


def by_browser(table: Table, folder: Path) -> Path:
    """A data frame's own HTML, printed."""
    if CHROMIUM is None:
        pytest.skip("no Chromium found: install Debian's `chromium`, or name one in HOLDTRIP_BROWSER")
    page = folder / "t.html"
    frame = pd.DataFrame(table[1], columns=table[0], dtype="object")
    page.write_text(f"<meta charset=utf-8>{frame.to_html(index=False)}", encoding="utf-8")
    _run([CHROMIUM, "--headless=new", "--no-sandbox", "--disable-gpu",
          f"--user-data-dir={folder / 'profile'}",
          "--no-pdf-header-footer", f"--print-to-pdf={folder / 't.pdf'}", page.as_uri()])
    return folder / "t.pdf"


def by_spreadsheet_program(table: Table, folder: Path) -> Path:
    """A workbook as it is printed, columns as wide as their texts: no rules, headings bold and boxed."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice (soffice) is not installed: apt-get install libreoffice-calc")
    frame = pd.DataFrame(table[1], columns=table[0], dtype="object")
    with pd.ExcelWriter(folder / "t.xlsx", engine="openpyxl") as writer:
        frame.to_excel(writer, index=False)
        sheet = next(iter(writer.sheets.values()))
        sheet.page_setup.orientation = "landscape"
        for number, column in enumerate(frame.columns):
            width = max(map(len, (column, *frame[column]))) + 3
            sheet.column_dimensions["ABCD"[number]].width = width
    _run([office, f"-env:UserInstallation={(folder / 'office').as_uri()}", "--headless",
          "--convert-to", "pdf",
          "--outdir", str(folder), str(folder / "t.xlsx")])
    return folder / "t.pdf"


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True, timeout=240)


def pdf_to_rows(path: Path) -> list[list[str]]:
    """The rows of the largest table that the cell model finds, and its headings first."""
    document = Document(path, path.name, "0" * 64, ("",), (1,))
    grids = inks_to_grids([content_to_ink(document_to_contents(document, [1])[1])])
    grid = max(grids, key=lambda grid: len(grid.rows))
    heads = [grid.heading(column) for column in range(len(grid.columns))]
    return [heads, *([cell.text if cell else "" for cell in row.cells] for row in grid.rows)]


TIGHT = pytest.mark.xfail(strict=True, reason="words closer to their number than a blank, each in a box")
WAYS = [by_report_library, by_plotting_library, by_browser, by_spreadsheet_program]


@pytest.mark.parametrize(
    ("content", "draw"),
    [
        pytest.param(content, draw, marks=TIGHT if (content, draw) == (codata, by_browser) else (),
                     id=f"{content.__name__} {draw.__name__}")
        for content in (codata, squares, wires)
        for draw in WAYS
    ],
)
def test_a_general_table_comes_back_cell_by_cell(
    content: Callable[[], Table], draw: Callable[[Table, Path], Path], tmp_path: Path
) -> None:
    """What stands in a row and under a heading of a table of any trade is read in that row and column."""
    heads, rows = content()
    assert pdf_to_rows(draw((heads, rows), tmp_path)) == [heads, *rows]
