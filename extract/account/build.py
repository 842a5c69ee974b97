"""The account of a sheet: every printed number of the pages that matter, with its fate.

Comes in: a checked SheetReading, the contents and runs of its pages, the boxes of charts. Goes out: the sheet
with its account, and a finding for each table of which numbers were not understood. Changes no reading.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from extract.account.atoms import Atom, runs_to_atoms
from extract.account.blocks import Block, runs_to_blocks
from extract.account.fates import CONDITION, Fated, PageReadings, atoms_to_fates
from extract.account.reasons import NOT_UNDERSTOOD, OTHER_KIND, PageFacts, atoms_to_reasons
from extract.boxes import Box, box_around
from extract.lines import Run, content_to_sideways_runs
from extract.page import PageContent, box_to_place
from extract.part_names import name_to_doubt
from extract.schema import (
    WHOLE_SERIES,
    AccountRow,
    Fate,
    Finding,
    Place,
    Reading,
    Severity,
    SheetReading,
)

LEAST_TOLD = 3  # so many numbers of one table not understood make a finding
LEAST_OPEN = 4  # charts are looked for where so many numbers are open
NUMBERS_NOT_READ = "numbers-not-read"


@dataclass(frozen=True, slots=True)
class Ink:
    """What stands on the pages of a sheet: contents and runs by page number; `charts` gives the boxes of a
    page's charts as shown; `printed` is all that was read, before a number printed twice became one;
    `foreign` are pages about another kind of part."""

    contents: Mapping[int, PageContent]
    runs: Mapping[int, Sequence[Run]]
    charts: Callable[[int], Sequence[Box]]
    printed: tuple[Reading, ...] = ()
    foreign: frozenset[int] = field(default_factory=frozenset)


def sheet_to_account(sheet: SheetReading, ink: Ink) -> SheetReading:
    """The sheet with its account and with what the account found missing."""
    names = _sound_names(sheet)
    texts = _repeated_texts(ink.runs)
    rows: list[AccountRow] = []
    findings: list[Finding] = []
    for number in sorted(ink.contents):
        page = _page_to_account(sheet, ink, number, (names, texts))
        rows += page.rows
        findings += [_block_to_finding(sheet, *told) for told in page.missing]
    return replace(sheet, account=tuple(rows), findings=(*sheet.findings, *findings))


def _sound_names(sheet: SheetReading) -> frozenset[str]:
    """The part numbers read; none that is made of values."""
    names = {r.part_number for r in sheet.readings} - {WHOLE_SERIES}
    return frozenset(name for name in names if not name_to_doubt(name))


def rows_to_counts(rows: Iterable[AccountRow]) -> Counter[str]:
    """How many numbers of each fate; those not read by their reason."""
    return Counter(row.reason if row.fate is Fate.NOT_READ else row.fate.value for row in rows)


@dataclass(frozen=True, slots=True)
class _PageAccount:
    rows: list[AccountRow]
    missing: list[tuple[Place, int, str]]


def _page_to_account(
    sheet: SheetReading, ink: Ink, number: int, known: tuple[frozenset[str], frozenset[str]]
) -> _PageAccount:
    content = ink.contents[number]
    runs = [*ink.runs.get(number, ()), *content_to_sideways_runs(content)]
    atoms = runs_to_atoms(runs)

    def to_place(box: Box) -> Place:
        return box_to_place(content, box)

    own = PageReadings(
        tuple(r for r in sheet.readings if r.place.page == number),
        tuple(r for r in ink.printed if r.place.page == number),
    )
    fates = atoms_to_fates(atoms, content, own)
    read = frozenset(fates)
    rest = [index for index in range(len(atoms)) if index not in read]
    blocks: tuple[Block, ...] = ()
    if number in ink.foreign:
        reasons = dict.fromkeys(rest, OTHER_KIND)
    else:
        values = frozenset(index for index, fated in fates.items() if fated.reason != CONDITION)
        blocks = runs_to_blocks(runs, atoms, values)
        facts = PageFacts(content.height, _charts(ink, content, len(rest)), *known)
        reasons = atoms_to_reasons(atoms, rest, blocks, read, facts)
    rows = [
        _atom_to_row(atom, to_place(atom.box), fates.get(index), reasons.get(index, ""))
        for index, atom in enumerate(atoms)
    ]
    return _PageAccount(rows, _missing(blocks, atoms, reasons, to_place))


def _charts(ink: Ink, content: PageContent, still_open: int) -> tuple[Box, ...]:
    """The boxes of charts, where the page stands upright and enough numbers are open to look for them."""
    return tuple(ink.charts(content.number)) if still_open >= LEAST_OPEN and content.turn == 0 else ()


def _repeated_texts(runs: Mapping[int, Sequence[Run]]) -> frozenset[str]:
    """Texts, whatever their digits, that stand at one height of several pages: heads and feet."""
    seen: Counter[tuple[str, int]] = Counter()
    for own in runs.values():
        seen.update({(_without_digits(run.text), round(run.top / 4)) for run in own if len(run.text) > 3})
    return frozenset(text for (text, _), count in seen.items() if count > 1 and any(map(str.isalpha, text)))


def _without_digits(text: str) -> str:
    return re.sub(r"\d+", "#", text)


def _atom_to_row(atom: Atom, place: Place, fated: Fated | None, reason: str) -> AccountRow:
    if fated is not None:
        return AccountRow(place, atom.text, fated.fate, fated.reason, fated.cause)
    return AccountRow(place, atom.text, Fate.NOT_READ, reason)


def _missing(
    blocks: Sequence[Block],
    atoms: Sequence[Atom],
    reasons: Mapping[int, str],
    to_place: Callable[[Box], Place],
) -> list[tuple[Place, int, str]]:
    """For each block with numbers not understood: their common place, how many, the first of them."""
    told = []
    for block in blocks:
        lost = [index for index in block.atoms if reasons.get(index) == NOT_UNDERSTOOD]
        if len(lost) >= LEAST_TOLD:
            box = box_around(atoms[index].box for index in lost)
            told.append((to_place(box), len(lost), atoms[lost[0]].text))
    return told


def _block_to_finding(sheet: SheetReading, place: Place, count: int, first: str) -> Finding:
    return Finding(
        NUMBERS_NOT_READ,
        Severity.DOUBT,
        f"{count} numbers of a table on page {place.page} were not read: what they are was not understood",
        found=first,
        expected="headings of the trade, or of dimensions, packaging or tests",
        document=sheet.document,
        place=place,
    )
