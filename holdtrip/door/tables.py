"""A typed parts table for Python: checked alone or against sheets.

Comes in: a CSV or XLSX file, and sheets. Goes out: a CheckedTable. Changes no file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING

from extract.parts_table import CheckOptions, TableFinding, TableReport
from extract.parts_table.records import Unchecked
from extract.schema import Reading, Severity
from holdtrip.counted import counted
from holdtrip.door.sheets import Sheet

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class CheckedTable:
    """What checking gave. It never says that a table is right: `report.checked` says what was looked at."""

    report: TableReport

    @property
    def findings(self) -> tuple[TableFinding, ...]:
        """Errors, doubts and notes, each with cell, what was found and what is expected."""
        return self.report.findings

    @property
    def unchecked(self) -> tuple[Unchecked, ...]:
        """What could not be checked, and why."""
        return self.report.unchecked

    @property
    def errors(self) -> tuple[TableFinding, ...]:
        """The findings of severity error."""
        return tuple(finding for finding in self.findings if finding.severity is Severity.ERROR)

    def to_frame(self) -> pd.DataFrame:
        """The findings as a pandas data frame, one row each."""
        import pandas as pd

        names = [field.name for field in fields(TableFinding)]
        rows = [[getattr(finding, name) for name in names] for finding in self.findings]
        frame = pd.DataFrame(rows, columns=names)
        frame["severity"] = pd.Categorical(
            [finding.severity.value for finding in self.findings], [severity.value for severity in Severity]
        )
        return frame

    def __repr__(self) -> str:
        name, errors = self.report.table.path.name, len(self.errors)
        findings = counted(len(self.findings), "finding")
        return f"<CheckedTable {name}: {counted(errors, 'error')} of {findings}>"


def check_table(
    path: str | Path,
    against: Sequence[Sheet | str | Path] = (),
    *,
    same: Mapping[str, str] | None = None,
) -> CheckedTable:
    """Check a typed table (CSV, XLSX) by itself, and against sheets (read, or paths of PDFs, libraries,
    tables).

    same: typed part number or pattern → that of the sheets, as a person confirmed it. Raises InputError where
    the file is no parts table.
    """
    from holdtrip.check_worker import TableJob, job_to_checked

    readings = dict.fromkeys(reading for one in against for reading in _to_readings(one))
    options = CheckOptions(matches=dict(same or {}))
    return CheckedTable(job_to_checked(TableJob(Path(path), sources=tuple(readings), check=options)))


def _to_readings(one: Sheet | str | Path) -> Sequence[Reading]:
    if isinstance(one, Sheet):
        return one.numbers
    from holdtrip.sources import open_source

    return [reading for part in open_source(str(one)).parts for reading in part.readings]
