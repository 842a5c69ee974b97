"""Parts held against a requirement, for Python.

Comes in: a requirement file and parts from sheets, a library or tables. Goes out: ComparedParts. Writes files
only where `write_workbook` is asked to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from compare.ranking import Ranking, parts_to_ranking
from compare.records import Candidate
from compare.requirement import Requirement
from compare.requirement_file import read_requirement
from extract.schema import Part, readings_to_parts
from holdtrip.counted import counted
from holdtrip.door.sheets import Sheet

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class ComparedParts:
    """Parts in rank order. A model is not a test: see `note` and `basis` of each margin."""

    ranking: Ranking

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Every part with its verdict and margins, best first."""
        return self.ranking.candidates

    @property
    def best(self) -> Candidate | None:
        """The best part that fits; None where none does."""
        return self.ranking.winner

    def to_frame(self) -> pd.DataFrame:
        """One row for each part and margin; see `holdtrip.door.frames`."""
        from holdtrip.door.frames import candidates_to_frame

        return candidates_to_frame(self.candidates)

    def __repr__(self) -> str:
        best = self.best.part_number if self.best is not None else "none"
        return f"<ComparedParts: {counted(len(self.candidates), 'part')}, best that fits: {best}>"


def compare(
    requirement: str | Path | Requirement,
    parts: Sequence[Sheet | Part] | str | Path,
    *,
    unreviewed: bool = False,
) -> ComparedParts:
    """Hold parts against a requirement (a TOML file, see docs/comparing.md) and rank them.

    parts: sheets read or parts, or one path or address: a PDF, a folder, a table, a library. Of a library
    only
    numbers that a person accepted count, unless `unreviewed`. Raises InputError naming each mistake of the
    requirement.
    """
    asked = requirement if isinstance(requirement, Requirement) else read_requirement(requirement)
    return ComparedParts(parts_to_ranking(_to_parts(parts, unreviewed), asked))


def _to_parts(parts: Sequence[Sheet | Part] | str | Path, unreviewed: bool) -> Sequence[Part]:
    if isinstance(parts, str | Path):
        from holdtrip.sources import open_source

        return open_source(str(parts), unreviewed).parts
    found: list[Part] = []
    for one in parts:
        if isinstance(one, Part):
            found.append(one)
            continue
        sheet = one.reading
        found += readings_to_parts(sheet.readings, sheet.texts, sheet.particulars, sheet.curves)
    return found
