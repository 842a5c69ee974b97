"""Which column of a table names its items, and what names stand in it.

Comes in: Tables. Goes out: for each the part numbers that name its items, the lead of the choice. Every
column of texts is a candidate; evidence adds up:

    for      a heading that says part number, or the maker's; texts that differ, letters with digits, met
             again elsewhere
    against  a heading of another role (order number, marking, size), digits only, contained in another
             candidate, words and values beside the name
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.cells.tables import Cell
from extract.joined.label_names import (
    JoinedNames,
    cell_to_label,
    cells_to_two_codes,
    groups_to_joined,
    is_suffix,
    table_to_joined,
    texts_to_codes,
)
from extract.joined.name_forms import are_letter_codes, texts_to_forms
from extract.joined.part_names import (
    may_name_a_part,
    name_to_key,
    says_order,
    says_order_first,
    says_part,
    text_to_name,
)
from extract.joined.rival_names import NameColumn, is_rivalled, says_not_own
from extract.meanings.series import Series
from extract.meanings.tables import Table
from extract.meanings.words import Meaning, priors, text_to_hits
from extract.part_names import VALUES_BESIDE, name_to_doubt
from extract.vocabulary import fold

PRINTED_LEAD, UNSURE = 3.0, 0.5
"""The lead of a name that the sheet prints, and of one that nothing on it bears out: that is asked about."""


@dataclass(frozen=True, slots=True)
class Label:
    """The part numbers that name an item, as printed without marks, and their cell; none where there is
    none."""

    names: tuple[str, ...]
    cell: Cell | None


@dataclass(frozen=True, slots=True)
class Naming:
    """The labels of a table's items, the lead of the choice, and whether their heading says part number."""

    labels: tuple[Label, ...]
    lead: float
    worded: bool


def table_to_naming(table: Table, known: set[str], printed: dict[str, str]) -> Naming | None:
    """The labels that name the items of a table; `known` are keys of names met in other tables, `printed`
    the codes that the sheet prints, by key."""
    joined = table_to_joined(table, printed, name_to_key)
    scored = sorted(
        ((_naming_score(series, table, known), series) for series in table.labels),
        key=lambda item: -item[0],
    )
    scored = [item for item in scored if item[0] > 0.0]
    if joined is None and (not scored or all(map(is_suffix, scored[0][1].filled))):
        joined = groups_to_joined(table, printed, name_to_key)
    if joined is None and (not scored or _share_names(scored[0][1])):
        joined = table_to_joined(table, printed, name_to_key, unseen=True)
    if joined is not None:
        return _joined_to_naming(joined)
    return _scored_to_naming(scored, table) if scored else None


def _scored_to_naming(scored: Sequence[tuple[float, Series]], table: Table) -> Naming:
    """The best series of labels; its lead is small where it is no sure choice."""
    best, series = scored[0]
    lead = best - scored[1][0] if len(scored) > 1 else best
    forms = _series_to_forms(series)
    others = [_series_to_column(other) for other in table.labels if other is not series]
    holds = next((a.candidate.si for a in table.assigned if a.meaning is Meaning.HOLD), ())
    ends = all(map(is_suffix, series.filled))  # "-080T" names nothing by itself
    rivalled = is_rivalled(_series_to_column(series), others, holds)
    sure = not ends and not rivalled and _is_borne_out(series, forms)
    labels = tuple(Label(names, e.cell) for names, e in zip(forms, series.entries, strict=True))
    worded = says_part(series.head) or says_order(series.head)
    return Naming(labels, lead if sure else min(lead, UNSURE), worded)


def _joined_to_naming(joined: JoinedNames) -> Naming:
    labels = tuple(Label((name,), None) for name in joined.names)
    return Naming(labels, PRINTED_LEAD if joined.printed else UNSURE, True)


def _series_to_forms(series: Series) -> tuple[tuple[str, ...], ...]:
    """The part numbers of a series of labels, without what describes them; none where nothing stands."""
    texts = [pair[says_order_first(series.head) or 0] for pair in _series_to_two_codes(series)]
    texts = texts or [cell_to_label(e.cell) if e.cell is not None else "" for e in series.entries]
    names = texts_to_forms(texts_to_codes([text_to_name(text) for text in texts]))
    return tuple(tuple(map(text_to_name, own)) for own in names)


def _series_to_column(series: Series) -> NameColumn:
    names = _series_to_forms(series)
    return NameColumn(series.head, tuple(own[0] if own else "" for own in names))


def _series_to_two_codes(series: Series) -> tuple[tuple[str, str], ...]:
    cells = [e.cell for e in series.entries if e.cell is not None]
    return cells_to_two_codes(cells) if len(cells) == len(series.entries) else ()


def _share_names(series: Series) -> bool:
    """Whether every row has a name and most have it in common with others: it is that of a series."""
    names = [own[0] if own else "" for own in _series_to_forms(series)]
    return len(names) > 2 and all(names) and 2 * len(set(names)) <= len(names)


def _is_borne_out(series: Series, forms: Sequence[tuple[str, ...]]) -> bool:
    """Whether what stands in a series are surely its part numbers: not letters alone, in half of the rows at
    least, and no one of two lines of which the heading does not say which is the part."""
    letters = are_letter_codes([name for names in forms for name in names])
    if letters or 2 * sum(map(bool, forms)) < len(forms):
        return False
    return not (_series_to_two_codes(series) and says_order_first(series.head) is None)


def _says_maker(head: str) -> bool:
    """Whether a heading says that the number is the maker's own, by a word or as a word begins, and not a
    former one."""
    if says_not_own(head):
        return False
    makers = tuple(priors()["naming"]["maker"])
    return any(word.startswith(makers) for word in re.findall(r"[^\W\d_]+", fold(head)))


def _naming_score(series: Series, table: Table, known: set[str]) -> float:
    """The evidence that a series of labels names the parts."""
    texts = [name for names in _series_to_forms(series) for name in names]
    order, part = says_order(series.head), says_part(series.head)
    headed = part or order
    named = [text for text in texts if may_name_a_part(text, headed)]
    if not texts or (len(named) < 0.5 * len(texts) and not (part and are_letter_codes(texts))):
        return -9.0
    score = -1.0 if order else 4.0 if part else 0.0
    for evidence in (*_head_to_evidence(series, texts, table), *_texts_to_evidence(texts, known)):
        score += evidence
    score += 0.5 if series is table.labels[0] else 0.0
    return score if _says_maker(series.head) else score - 2.0 * _count_containing(series, table)


def _count_containing(series: Series, table: Table) -> int:
    """How many other series of labels hold the texts of this one within their own."""
    return sum(_is_contained(series, other) for other in table.labels if other is not series)


def _head_to_evidence(series: Series, texts: Sequence[str], table: Table) -> tuple[float, ...]:
    """What a heading says for and against names below it: the maker's number, a series where there is one
    row, another text, a former number; and how many of the texts are values."""
    hits = text_to_hits(series.head)
    is_other = any(hit.sense == "text" and hit.name != "series" for hit in hits)
    return (
        3.0 if _says_maker(series.head) else 0.0,
        -6.0 if table.size == 1 and any(hit.name == "series" for hit in hits) else 0.0,
        -3.0 * sum(name_to_doubt(text) == VALUES_BESIDE for text in texts) / len(texts),
        -4.0 if is_other and not says_order(series.head) else 0.0,
        -3.0 if says_not_own(series.head) else 0.0,
    )


def _texts_to_evidence(texts: Sequence[str], known: set[str]) -> tuple[float, ...]:
    """What texts themselves say for being part numbers: they differ, have letters, are known elsewhere on the
    sheet, are long."""
    count = len(texts)
    mixed = sum(bool(re.search(r"[^\W\d_]", text)) for text in texts) / count
    return (
        3.0 * len(set(texts)) / count - (1.0 if count > 1 else 0.0),
        2.0 * mixed - 1.0,
        2.0 * sum(name_to_key(text) in known for text in texts) / count,
        0.1 * min(10, sum(map(len, texts)) / count),
    )


def _is_contained(one: Series, other: Series) -> bool:
    """Whether every text of one series stands within the other's text of the same item."""
    pairs = [
        (name_to_key(a.cell.text), name_to_key(b.cell.text))
        for a, b in zip(one.entries, other.entries, strict=True)
        if a.cell is not None and b.cell is not None
    ]
    return bool(pairs) and all(a != b and a in b for a, b in pairs)
