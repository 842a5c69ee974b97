"""The decision record as a page that stands alone and prints on one sheet.

Comes in: a ranking. Goes out: HTML text, self-contained: no script, no font, no picture from elsewhere. The
PDF of the same record is made by `report_pdf`.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files

from jinja2 import Environment, StrictUndefined

from compare.clean_text import clean
from compare.plots_drawing import drawing_to_svg
from compare.provenance import UNKNOWN, Provenance
from compare.ranking import Ranking
from compare.report_content import ranking_to_record
from extract.schema import Finding


def ranking_to_html(ranking: Ranking, findings: Sequence[Finding] = (),
                    provenance: Provenance = UNKNOWN) -> str:
    """The decision record of a ranking; every text of a datasheet is escaped."""
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True,
                              lstrip_blocks=True)
    environment.filters["svg"] = drawing_to_svg  # which escapes its own texts
    template = environment.from_string(files("compare").joinpath("report.html").read_text(encoding="utf-8"))
    return clean(template.render(record=ranking_to_record(ranking, findings, provenance)))
