"""Particulars that a page says in lines: "Operating temperature ..... -40 °C to +85 °C".

Comes in: the runs of a page. Goes out: `Said`, each with its box. A value counts only directly after its
label: in the same run, in the next one to the right, or, under a label broken over two lines, beside its
second line. Does not read tables of sizes.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from extract.boxes import Box, box_around
from extract.lines import Run
from extract.particulars.values import Value, text_to_values
from extract.particulars.wording import Label, text_to_labels, wording
from extract.schema import Kind, ParticularName
from extract.vocabulary import fold

FARTHEST_PT = 260.0  # a value stands no farther right of its label
SAME_EDGE_PT = 4.0  # the lines of a broken label begin so near each other
LABEL_LINES = 1.9  # and stand no farther apart, in text heights


@dataclass(frozen=True, slots=True)
class Said:
    """One particular as a page says it; `raw` holds label and value."""

    name: ParticularName
    value: Value
    raw: str
    box: Box
    label: str = ""


@dataclass(frozen=True, slots=True)
class _Placed:
    """The runs of a page as they come, and by their left edge, so that a page of many thousands is no longer
    work than its share: for each strip of SAME_EDGE_PT (top, place in `runs`), from the top."""

    runs: Sequence[Run]
    strips: dict[int, list[tuple[float, int]]]


def _runs_to_placed(runs: Sequence[Run]) -> _Placed:
    strips: defaultdict[int, list[tuple[float, int]]] = defaultdict(list)
    for place, run in enumerate(runs):
        strips[int(run.x0 // SAME_EDGE_PT)].append((run.top, place))
    return _Placed(runs, {strip: sorted(held) for strip, held in strips.items()})


def runs_to_said(runs: Sequence[Run]) -> tuple[Said, ...]:
    """Everything the lines of a page say that wording.toml knows."""
    placed = _runs_to_placed(runs)
    return (
        *(said for run in runs for said in _run_to_said(run, placed)),
        *_approvals(runs),
        *_lifecycles(runs),
    )


def _run_to_said(run: Run, placed: _Placed) -> tuple[Said, ...]:
    """What a run says by itself, or as the first line of a label broken over two."""
    clauses = tuple(one for clause in _text_to_clauses(run.text) for one in _clause_to_said(clause, run))
    if clauses:
        return clauses
    for pair in ((run, run), *((run, below) for below in _below(run, placed))):
        text = run.text if pair[0] is pair[1] else f"{run.text} {pair[1].text}"
        folded = fold(text)
        found = [label for label in text_to_labels(folded) if not _is_barred(label, folded)]
        said = tuple(one for label in found for one in _label_to_said(label, text, pair, placed.runs))
        if said:
            return said
    return ()


_CLAUSE = re.compile(r"[;；•·■▪●。、|]|(?<=[^\W\d])[.,:：]\s|(?<=[cC℃])[.,]\s|,(?=[^\W\d])")


def _text_to_clauses(text: str) -> list[str]:
    """The clauses of a line; none where it is a single one."""
    clauses = [clause.strip() for clause in _CLAUSE.split(text)]
    return clauses if len(clauses) > 1 else []


def _clause_to_said(clause: str, run: Run) -> tuple[Said, ...]:
    """What one clause of a line says, label and value both within it."""
    folded = fold(clause)
    for label in text_to_labels(folded):
        named = label.pattern.search(folded)
        if named is not None and not _is_barred(label, folded):
            values = text_to_values(label.value, folded[named.end() :])
            if values:
                return tuple(
                    Said(one.name, value, clause, run.box)
                    for one in text_to_labels(folded)
                    for value in values
                )
    return ()


def _is_barred(label: Label, folded: str) -> bool:
    rest = label.pattern.sub(" ", folded, count=1)
    return any(word in rest for word in label.never)


def _below(run: Run, placed: _Placed) -> list[Run]:
    """The run in the next line, if it may go on with a label: it is no label itself."""
    strip, farthest = int(run.x0 // SAME_EDGE_PT), run.top + LABEL_LINES * run.size
    near = [
        place
        for held in (placed.strips.get(strip + step, ()) for step in (-1, 0, 1))
        for _, place in held[bisect_right(held, (run.top, len(placed.runs))) :
                             bisect_right(held, (farthest, len(placed.runs)))]
        if abs(placed.runs[place].x0 - run.x0) <= SAME_EDGE_PT
    ]
    first = [placed.runs[place] for place in sorted(near)[:1]]
    return [other for other in first if not text_to_labels(fold(other.text))]


def _label_to_said(label: Label, text: str, pair: tuple[Run, Run], runs: Sequence[Run]) -> tuple[Said, ...]:
    """The values of a label: after it in its own text, else in the next run right of either line."""
    folded = fold(text)
    named = label.pattern.search(folded)
    rest = folded[named.end() if named is not None else 0 :]
    values = text_to_values(label.value, rest)
    if values:
        return tuple(Said(label.name, value, text, box_around(run.box for run in pair)) for value in values)
    if re.search(r"\d", rest):
        return ()
    broken = label.pattern.search(fold(pair[0].text)) is None or re.match(r"[a-z(]", pair[1].text) is not None
    for line in dict.fromkeys(pair if broken else pair[:1]):
        right = _right_of(line, runs)
        values = text_to_values(label.value, right.text) if right is not None else ()
        if right is not None and values:
            box = box_around(run.box for run in (*pair, right))
            return tuple(Said(label.name, value, f"{text} {right.text}", box) for value in values)
    return ()


def _right_of(run: Run, runs: Sequence[Run]) -> Run | None:
    """The nearest run on the same line to the right."""
    right = [
        other
        for other in runs
        if 0 <= other.x0 - run.x1 <= FARTHEST_PT and abs(other.mid_y - run.mid_y) <= 0.35 * run.size
    ]
    return min(right, key=lambda other: other.x0, default=None)


_FILES = (
    ("UL", re.compile(r"\bul\b.{0,70}?\b(e\s?\d{4,7})\b")),
    ("CSA", re.compile(r"\bcsa\b.{0,70}?\b(ca\s?\d{5,6}|lr\s?\d{4,6}|\d{5,6})\b")),
    ("TÜV", re.compile(r"\bt[uü]v\b.{0,90}?\b(r\s?\d{8}|\d{8})\b")),
    ("CQC", re.compile(r"\b(cqc\d{11})\b")),
)
_AGENCY = {"ul": "UL", "csa": "CSA", "tuv": "TÜV", "tüv": "TÜV", "cqc": "CQC"}


def _approvals(runs: Sequence[Run]) -> Iterator[Said]:
    """Agencies with their file or certificate number, and those that are pending."""
    for run in runs:
        right = _right_of(run, runs) if _needs_more(run) else None
        text = run.text if right is None else f"{run.text} {right.text}"
        box = run.box if right is None else box_around((run.box, right.box))
        folded = fold(text)
        for agency, pattern in _FILES:
            match = pattern.search(folded)
            if match is not None:
                number = re.sub(r"\s", "", match[1]).upper()
                yield Said(ParticularName.APPROVAL, Value(Kind.NONE, None, number), text, box, agency)
        for clause in re.split(r"[.,;:]", folded):
            if "pending" in clause:
                pending = Value(Kind.NONE, None, "pending")
                for agency in re.findall(r"\b(ul|csa|t[uü]v|cqc)\b", clause):
                    yield Said(ParticularName.APPROVAL, pending, text, box, _AGENCY[agency])


def _needs_more(run: Run) -> bool:
    """Whether a line names an agency's file and leaves its number to the next run."""
    folded = fold(run.text)
    return bool(re.search(r"\b(?:ul|csa|t[uü]v|cqc)\b", folded)) and not re.search(r"\d{5}", folded)


def _lifecycles(runs: Sequence[Run]) -> Iterator[Said]:
    for run in runs:
        folded = fold(run.text)
        phrase = next((p for p in wording()["lifecycle"]["phrases"] if fold(p) in folded), None)
        if phrase is not None and len(folded.split()) <= 16:
            yield Said(ParticularName.LIFECYCLE, Value(Kind.NONE, None, phrase), run.text, run.box)
