"""All invented sheets, read once, and sheets made on the spot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from extract.batch import read_sheets
from extract.schema import SheetReading

SAMPLES = Path(__file__).parents[2] / "sample_tables"


@pytest.fixture(scope="session")
def sample_readings() -> dict[str, SheetReading]:
    """File name -> reading of every invented sheet, both readings included."""
    outcomes = read_sheets(sorted(SAMPLES.glob("*.pdf")))
    return {outcome.path.name: outcome.reading for outcome in outcomes if outcome.reading is not None}


@pytest.fixture
def make_sheet(tmp_path: Path) -> Callable[..., Path]:
    """Draws a sheet with one ruled table; `above` are lines of text over it."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Paragraph, SimpleDocTemplate, Table

    def draw(
        rows: Sequence[Sequence[str]], above: Sequence[str] = (), name: str = "sheet.pdf", grid: bool = True
    ) -> Path:
        path = tmp_path / name
        style = getSampleStyleSheet()["BodyText"]
        table = Table(
            [list(row) for row in rows], style=[("GRID", (0, 0), (-1, -1), 0.5, "black")] if grid else []
        )
        SimpleDocTemplate(str(path), pagesize=A4).build([*(Paragraph(line, style) for line in above), table])
        return path

    return draw
