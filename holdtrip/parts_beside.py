"""Parts beside each other on the screen: what can stand in for one, and two to six side by side.

Comes in: parts and what was asked. Goes out: tables on stdout, the workbook of the side by side. Compares
nothing itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from compare.explain import quantity_text
from compare.replacement import Change, Difference, StandIn, part_to_stand_ins
from compare.requirement import Requirement
from compare.side_by_side import SideBySide, SideRow, parts_to_side_by_side
from compare.traits import Trait
from extract.schema import Part
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.outputs import whole_file
from holdtrip.part_table import one_part_named
from holdtrip.screen import say, show_table

SAY = {True: "can stand in", None: "cannot be told", False: "gets worse"}
CAUTION = (
    "A stand-in must still meet what the circuit asks: compare it with the requirement, check the drawing and"
    " the land pattern, and test it on the board."
)


def show_stand_ins(parts: Sequence[Part], number: str, name: str, top: int) -> int:
    """Parts in place of one, the best first, what gets worse in bold; returns the exit code."""
    part = one_part_named(parts, number, name)
    found = part_to_stand_ins(part, parts)
    say(f"In place of {part.part_number} ({part.document}), among {len(found)} other parts of {name}:")
    rows = [_stand_in_to_row(one) for one in found[:top]]
    styles = ["green" if one.can_stand_in else "" for one in found[:top]]
    show_table(["Part", "Datasheet", "", "Better", "Cannot be told", "Rests on"], rows, styles=styles)
    for one in found[:top]:
        if one.of(Change.WORSE):
            say(f"{one.part.part_number} gets worse: {_differences(one.of(Change.WORSE))}", style="bold")
    say(CAUTION, style="yellow")
    return ALL_WELL if any(one.can_stand_in for one in found) else FOUND_SOMETHING


def _stand_in_to_row(one: StandIn) -> list[str]:
    unknown = "; ".join(difference.own.title for difference in one.of(Change.UNKNOWN))
    standing = one.standing.value if one.standing is not None else ""
    return [
        one.part.part_number,
        one.part.document,
        SAY[one.can_stand_in],
        _differences(one.of(Change.BETTER)),
        unknown,
        standing,
    ]


def _differences(differences: Sequence[Difference]) -> str:
    return "; ".join(f"{one.own.title} {_value(one.own)} → {_value(one.other)}" for one in differences)


def _value(trait: Trait) -> str:
    return "?" if trait.number.value is None else quantity_text(trait.number.value, trait.unit)


def show_side_by_side(
    parts: Sequence[Part],
    numbers: Sequence[str],
    name: str,
    requirement: Requirement | None,
    path: Path | None,
) -> int:
    """Two to six parts as columns; the workbook where a path is given; returns the exit code."""
    chosen = [one_part_named(parts, number, name) for number in numbers]
    found = parts_to_side_by_side(chosen, requirement)
    if path is not None:
        from compare.workbook_side import side_by_side_to_workbook

        with whole_file(path) as unfinished:
            side_by_side_to_workbook(found, unfinished)
    rows = [_row_to_texts(row) for row in found.rows]
    if found.verdicts:
        rows.append(["Verdict", "", *(verdict.value for verdict in found.verdicts)])
    show_table(
        ["Trait", "Asked", *(part.part_number for part in found.parts)],
        rows,
        title="* the better of its row; blank: the sheet does not say",
    )
    _tell_why(found)
    if path is not None:
        say(f"wrote {path}: {len(found.rows)} traits of {len(found.parts)} parts")
    return ALL_WELL


def _row_to_texts(row: SideRow) -> list[str]:
    cells = [
        ""
        if trait.number.value is None
        else quantity_text(trait.number.value, trait.unit) + (" *" if column in row.best else "")
        for column, trait in enumerate(row.traits)
    ]
    return [row.title, row.limit, *cells]


def _tell_why(found: SideBySide) -> None:
    """Assumptions behind what is shown, each once."""
    assumed = dict.fromkeys(
        text
        for row in found.rows
        for trait in row.traits
        if trait.number.value is not None
        for text in trait.number.assumed
    )
    for text in assumed:
        say(f"assumed: {text}", style="yellow")
