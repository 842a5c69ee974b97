"""What stands in a table beside its ratings: texts of parts (package, marking), and cells that are no number.

Comes in: Named tables. Goes out: PartTexts, and a finding for each cell of a column of ratings that cannot be
read. Reads no value.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from extract.cells.tables import Cell
from extract.joined.approvals import series_to_approvals
from extract.joined.drafts import Named, SheetText
from extract.meanings.series import Series
from extract.meanings.words import QUANTITY_OF, Meaning, text_to_hits
from extract.page import box_to_place
from extract.quantities import CellSort
from extract.schema import Finding, PartText, Severity

APPROVAL = "approval"
UNREADABLE = frozenset({CellSort.UNREADABLE, CellSort.TEXT})


def named_to_texts(named: Sequence[Named], sheet: SheetText) -> tuple[PartText, ...]:
    """Every text of a column that a heading names, once for each part of its row."""
    first: dict[tuple[str, str, str], PartText] = {}
    for entry in named:
        for series in entry.table.labels:
            name = _series_to_name(series)
            if name:
                for text in _series_to_texts(series, name, entry, sheet):
                    column = text.text if name == APPROVAL else ""  # each agency has a column of its own
                    first.setdefault((text.part_number, text.name, column), text)
    return tuple(first.values())


def _series_to_name(series: Series) -> str:
    """The name of a column of texts, such as "package"; empty if its heading names none, or names parts."""
    hits = text_to_hits(series.head)
    if any(hit.sense == "part_number" for hit in hits):
        return ""
    return next((hit.name for hit in hits if hit.sense == "text"), "")


def _series_to_texts(series: Series, name: str, named: Named, sheet: SheetText) -> Iterator[PartText]:
    content = named.table.grid.content
    for index, (parts, said) in enumerate(zip(named.items, _series_to_said(series, name), strict=False)):
        cell = series.entries[index].cell or _row_to_label(named, index)
        if not said or cell is None:
            continue
        for part in parts:
            yield PartText(sheet.document, sheet.sha256, part, name, said, box_to_place(content, cell.box))


def _series_to_said(series: Series, name: str) -> tuple[str, ...]:
    """What each cell says; empty for one that is blank or a dash."""
    if name == APPROVAL:
        return series_to_approvals(series)
    return tuple(
        ""
        if entry.cell is None or not entry.cell.atoms or entry.sort is CellSort.ABSENT
        else " ".join(entry.cell.text.split())
        for entry in series.entries
    )


def _row_to_label(named: Named, index: int) -> Cell | None:
    """The first text of a row: the place of a mark that is not there."""
    cells = (series.entries[index].cell for series in named.table.labels if index < len(series.entries))
    return next((cell for cell in cells if cell is not None), None)


def named_to_unreadable(named: Sequence[Named], sheet: SheetText) -> tuple[Finding, ...]:
    """The cells of columns of ratings that hold something that is no number."""
    findings = []
    for entry in named:
        fields = {series.index: series for series in entry.table.fields}
        for assigned in entry.table.assigned:
            quantity = QUANTITY_OF.get(assigned.meaning)
            if assigned.meaning in (Meaning.OTHER, Meaning.TEST_CURRENT) or quantity is None:
                continue
            for parts, value in zip(entry.items, fields[assigned.candidate.series].entries, strict=False):
                if value.cell is None or not value.cell.atoms or value.sort not in UNREADABLE or not parts:
                    continue
                text = " ".join(value.cell.text.split())
                findings.append(
                    Finding(
                        "cell-unreadable",
                        Severity.DOUBT,
                        f"{quantity[0].value} of '{parts[0]}' not read: {value.reason or 'it is no number'}",
                        found=text,
                        expected="one number",
                        document=sheet.document,
                        part_number=parts[0],
                        quantity=quantity[0],
                        place=box_to_place(entry.table.grid.content, value.cell.box),
                    )
                )
    return tuple(dict.fromkeys(findings))
