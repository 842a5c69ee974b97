"""Ratings that a text gives to parts: the caption or group line over them, a line of limits, the sheet's
text.

Comes in: Named tables, the sheet's text, what tables gave. Goes out: Drafts. A caption reaches as far as the
table, half or group it stands over; a sentence rates the whole sheet only where no table does.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from extract.cells.tables import Cell
from extract.joined.conditions import Said, lines_to_limits, text_excepts, text_to_said
from extract.joined.drafts import Draft, Named, SheetText
from extract.joined.excepting import sheet_to_excepting
from extract.joined.named import is_rating
from extract.joined.part_names import letters_of
from extract.joined.plainly_said import (
    captioned_plainly,
    said_of_all_plainly,
    said_plainly,
    text_to_sentences,
)
from extract.joined.ratings import with_footnotes
from extract.meanings.tables import Table
from extract.meanings.words import priors
from extract.note_exceptions import DATE
from extract.schema import Quantity
from extract.vocabulary import unit_of_quantity


def captions_to_drafts(
    named: Sequence[Named], parts: Sequence[str], sheet: SheetText, drafts: Sequence[Draft]
) -> Iterator[Draft]:
    """Ratings that a caption or a group line gives to the parts below it; those of the whole sheet only where
    its text says so and no table does."""
    have = {(draft.part, draft.quantity): draft.value for draft in drafts}
    shared, sheet = sheet_to_excepting(named, parts, sheet)
    yield from (draft for draft in shared if have.get((draft.part, draft.quantity)) != draft.value)
    have = {(draft.part, draft.quantity): draft.value for draft in shared} | have
    noted = {(draft.part, draft.quantity): draft.cell.text for draft in drafts if draft.at is not None}
    for entry in named:
        if is_rating(entry.table):
            found = [draft for draft in table_said(entry, sheet) if (draft.part, draft.quantity) not in have]
            found = [_with_marked_note(draft, parts, sheet) for draft in found]
            have |= {(draft.part, draft.quantity): draft.value for draft in found}
            yield from found
    yield from _sheet_said_to_drafts(named, parts, sheet, have, noted)


_MARK = re.compile(r"[⁰-⁹¹²³]|[*†‡]+")


def _with_marked_note(draft: Draft, parts: Sequence[str], sheet: SheetText) -> Draft:
    """What a caption says, unless its mark leads to a note that names the part with a value of its own:

    All types: Umax 16 V²          ² AB-120 and AB-150: Umax 24 V.
    """
    notes = [
        (mark, piece[piece.index(mark) + len(mark) :])
        for mark in _MARK.findall(draft.cell.text)
        for line in sheet.lines
        for piece in _MARKED.split(line)
        if piece.startswith(mark)
    ]
    for mark, note in notes:
        for part, said in _parts_said(parts, [note.strip()]):
            if part == draft.part and said.quantity is draft.quantity and mark in draft.cell.text:
                at = sheet.where(note.strip(), draft.table.grid.page) or draft.at
                told = replace(draft, value=said.value, unit=said.unit, cell=Cell(note.strip(), ()), at=at)
                doubts = tuple(d for d in draft.doubts if not d.startswith("footnote:"))
                doubts += () if said_plainly(note, parts) else ("said_in_text",)
                return replace(told, doubts=doubts, notes=("said in a note",))
    return draft


_MARKED = re.compile(r"\s+(?=[⁰-⁹¹²³*†‡]+\s)")
"""Where a note with a mark begins in a line of notes."""


def table_said(entry: Named, sheet: SheetText) -> Iterator[Draft]:
    """Ratings of the captions of a table, and of the group lines over some of its items."""
    everyone = sorted({part for item in entry.items for part in item})
    own = {(p, said.quantity) for p, said in _parts_said(everyone, entry.table.grid.captions[:3])}
    for item, groups in enumerate(entry.table.item_groups):
        for text in (*groups, *entry.table.grid.captions[:3]):
            for said, named in _caption_to_said(text, everyone):
                for part in entry.items[item]:
                    if part in named or not (named or (part, said.quantity) in own):
                        sure = captioned_plainly(text, said) and not _is_of_others(text, everyone)
                        doubts = () if sure else ("said_in_text",)
                        draft = _said_to_draft(said, part, entry.table, sheet, doubts)
                        yield with_footnotes(draft, unit_of_quantity(said.quantity), item)


_SERIES = re.compile(
    rf"\b(?:{'|'.join(priors()['naming']['series'])})\s+([A-Z]{{1,5}}[A-Z\d]{{0,6}})\b", re.IGNORECASE
)


def _is_of_others(text: str, parts: Sequence[str]) -> bool:
    """Whether a text names a series to which no part of its table belongs: of other letters, or of other
    digits where the parts have some there too ("TQ30" over "TQ60-050")."""
    codes = [code for code in _SERIES.findall(text) if code.isupper()]
    stems = {match[0] for part in parts if (match := re.match(r"[A-Z]+\d*", part)) is not None}
    own = {code for code in codes for stem in stems if _are_alike(code, stem)}
    return bool(codes) and not own


def _are_alike(code: str, stem: str) -> bool:
    same = letters_of(code) == letters_of(stem)
    digits = [re.sub(r"\D", "", text) for text in (code, stem)]
    return same and (not all(digits) or digits[0].startswith(digits[1]) or digits[1].startswith(digits[0]))


def _caption_to_said(text: str, parts: Sequence[str]) -> Iterator[tuple[Said, list[str]]]:
    """The ratings of a caption, each with the parts that its own sentence names; exceptions elsewhere in the
    text are told by its whole."""
    for sentence in text_to_sentences(text):
        for said in text_to_said(sentence):
            yield replace(said, text=text), _named_in(sentence, parts)


def _sheet_said_to_drafts(
    named: Sequence[Named],
    parts: Sequence[str],
    sheet: SheetText,
    have: dict[tuple[str, Quantity], float],
    noted: dict[tuple[str, Quantity], str],
) -> Iterator[Draft]:
    """What sentences say: of the parts they name, of all parts where they name none; `noted` is what notes
    say of parts that bear their mark."""
    if not named:
        return
    table = named[0].table
    excepted = set(noted)
    for part, said in _parts_said(parts, sheet.lines):
        excepted.add((part, said.quantity))
        if have.get((part, said.quantity)) != said.value:
            sure = said_plainly(said.text, parts)
            yield _said_to_draft(said, part, table, sheet, () if sure else ("said_in_text",))
    limits = lines_to_limits(sheet.lines) if len(parts) == 1 else ()
    for limit in limits:
        if (parts[0], limit.quantity) not in have:
            yield _said_to_draft(limit, parts[0], table, sheet)
    if not limits:
        text = _without_notes(sheet, set(noted.values()))
        yield from _general_to_drafts(table, parts, text, have, excepted)


def _without_notes(sheet: SheetText, notes: Collection[str]) -> SheetText:
    """The sheet's text without notes that rate marked parts."""
    kept = tuple(s for s in sheet.sentences if not _is_of_notes(s.text, notes))
    free = (s for s in sheet.paragraphs if not any(_is_of_notes(t, notes) for t in text_to_sentences(s.text)))
    return replace(sheet, sentences=kept, paragraphs=tuple(free)) if notes else sheet


def _is_of_notes(text: str, notes: Collection[str]) -> bool:
    return any(text in note or note in text for note in notes)


def _general_to_drafts(
    table: Table,
    parts: Sequence[str],
    sheet: SheetText,
    have: dict[tuple[str, Quantity], float],
    excepted: set[tuple[str, Quantity]],
) -> Iterator[Draft]:
    """What sentences that name no part say of all: where no part has another value."""
    for quantity, found in _said_of_all(_texts_of(sheet), parts).items():
        others = [part for part in parts if (part, quantity) not in excepted]
        known = {have[part, quantity] for part in others if (part, quantity) in have}
        if len({said.value for said in found}) == 1 and known <= {found[0].value}:
            sure = _are_one_series(parts) and any(map(said_of_all_plainly, found))
            sure = sure and not any(_goes_on(said.text, sheet) for said in found)
            for part in others:
                if (part, quantity) not in have:
                    yield _said_to_draft(found[0], part, table, sheet, () if sure else ("said_in_text",))


def _goes_on(text: str, sheet: SheetText) -> bool:
    """Whether a text without a full stop goes on in the line below with a small letter: it may except."""
    if text.rstrip().endswith((".", "。")):
        return False
    rests = (s.text.partition(text)[2].strip() for s in sheet.paragraphs if text in s.text)
    return any(rest[:1].islower() for rest in rests)


def _texts_of(sheet: SheetText) -> list[str]:
    """The lines of a sheet, and the sentences of its paragraphs that go on over lines."""
    pieces = (piece.strip() for s in sheet.paragraphs for piece in text_to_sentences(s.text))
    ended = (piece for piece in pieces if piece.endswith((".", "。")) or piece.startswith("•"))
    return list(dict.fromkeys((*sheet.lines, *ended)))


def _said_of_all(lines: Sequence[str], parts: Sequence[str]) -> dict[Quantity, list[Said]]:
    """What sentences say that name no part."""
    general: dict[Quantity, list[Said]] = {}
    for text in lines:
        for said in () if _named_in(text, parts) else text_to_said(text):
            general.setdefault(said.quantity, []).append(said)
    return general


def _are_one_series(parts: Sequence[str]) -> bool:
    """Whether the parts begin alike up to their first sign, or in their letters where they have none."""
    stems = (re.match(r"[^-–/. ]+(?=[-–/. ])", part) for part in parts)
    return len({stem[0] if stem else letters_of(part) for stem, part in zip(stems, parts, strict=True)}) == 1


_NOTE = re.compile(r"(?=\(\d\)\s)|(?<=[^\d.]\.)\s+(?=[^a-z])|(?=[†‡]\s)")
"""Where a note or sentence begins in a text."""
MOST_WORDS = 24
"""A note that excepts parts is no longer."""


def _parts_said(parts: Sequence[str], lines: Sequence[str]) -> Iterator[tuple[str, Said]]:
    """Ratings of some parts in sentences that name these: "1) AB-010 and AB-017: Umax = 50 V"."""
    pieces = [piece for text in lines for piece in _NOTE.split(text)]
    for text in dict.fromkeys(pieces) if len(parts) > 1 else ():
        of = _named_in(text, parts)
        is_note = len(text.split()) <= MOST_WORDS and not DATE.search(text)
        if of and len(of) < len(parts) and is_note:
            for said in text_to_said(_without_names(text, of)):
                yield from ((part, replace(said, text=text)) for part in of)


def _without_names(text: str, names: Sequence[str]) -> str:
    """A sentence without the parts it names: "Maximum current for AB-1 and AB-2 is 70 A"."""
    listed = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    joined = rf"(?:{listed})(?:\s*(?:,|/|&|and|und|et|e|y|i|a|och|en)\s*(?:{listed}))*"
    return re.sub(rf"(?:\b(?:for|of|für|von|pour|per|di|para|de|voor|van|för|pro|dla)\s+)?{joined}", "", text)


def _named_in(text: str, parts: Sequence[str]) -> list[str]:
    """The parts a text names, whole."""
    return [part for part in parts if part in text and re.search(rf"(?<![\w-]){re.escape(part)}(?!\w)", text)]


def _said_to_draft(
    said: Said, part: str, table: Table, sheet: SheetText, doubts: tuple[str, ...] = ()
) -> Draft:
    doubts = (*doubts, "said_with_exception") if text_excepts(said.text) else doubts
    return Draft(
        table,
        part,
        said.quantity,
        said.kind,
        said.value,
        Cell(said.text, ()),
        said.unit,
        doubts=doubts,
        notes=("said in a caption",),
        at=sheet.where(said.text, table.grid.page),
    )
