"""From a plan to an invented datasheet with its truth.

Comes in: seed and number of the sheet. Goes out: its plan and a `Sheet` to draw with reportlab.
Does not draw. The same seed and number give the same sheet.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from bench.layout_columns import Dressing, Printed, Words, all_words, printed_columns
from bench.layout_plan import Plan, draw_plan
from sample_tables.generate.blocks import Block, Cell, Grid, Heading, Look, PageBreak, Sheet, Text
from sample_tables.generate.columns import (
    Column,
    Entry,
    cell_number,
    once_each,
    ratio_entries,
    table_entries,
)
from sample_tables.generate.physics import RATIOS, Part, Series, rounded, series_to_parts
from sample_tables.generate.tables import ambient_columns, without
from sample_tables.generate.words import closing, dimensions, packing

HOLDS = (
    "0.10",
    "0.12",
    "0.14",
    "0.16",
    "0.20",
    "0.25",
    "0.30",
    "0.35",
    "0.40",
    "0.50",
    "0.55",
    "0.65",
    "0.75",
    "0.90",
    "1.00",
    "1.10",
    "1.25",
    "1.35",
    "1.50",
    "1.60",
    "1.75",
    "1.85",
    "2.00",
    "2.50",
    "3.00",
    "3.50",
)
LETTERS = "ABDEGHJKLNPQUVWXYZ"
PROSE = (
    "A part that holds 0.75 A at 23 °C holds only about 0.5 A at 60 °C. With 1.2 W and 30 V the current that "
    "remains is 40 mA. A trip current of 1.5 A says nothing about 1.2 A."
)


@dataclass(frozen=True, slots=True)
class Draft:
    """What all tables of one sheet share."""

    plan: Plan
    words: Words
    parts: tuple[Part, ...]
    reference_c: int
    shape: str
    dress: Dressing
    chance: random.Random

    def word(self, name: str) -> str:
        """One of the wordings."""
        return self.chance.choice(self.words[name])


def draw_parts(plan: Plan, shape: str, test_a: str, chance: random.Random) -> tuple[Part, ...]:
    """The parts of an invented series, in one or more voltage groups."""
    letters = "".join(chance.sample(LETTERS, chance.choice((2, 3))))
    pattern = chance.choice(("{code}", "-{code}", "{code}-{volts}", "-{code}/{volts}", " {code}"))
    tail = "-TR" if plan.short_names else chance.choice(("", "", "F", "-T"))
    count = chance.randint(12, 20) if plan.rows == "many" else chance.randint(2, 5)
    parts: list[Part] = []
    voltages = ("60", "30", "16")[: 3 if plan.rows == "many" else chance.choice((1, 2, 3))]
    for number, volts in enumerate(voltages):
        holds = tuple(sorted(chance.sample(HOLDS, count)))
        mark = str(number + 1) if "volts" not in pattern and len(voltages) > 1 else ""
        parts += series_to_parts(
            Series(
                letters + mark + pattern + tail,
                holds,
                (volts,),
                (chance.choice(("40", "50", "100")),),
                shape,
                "5x" if plan.trip_time == "5x" else test_a or chance.choice(("5x", "8")),
                power_w=chance.uniform(0.75, 1.1),
                heat=chance.uniform(0.18, 0.36),
                slow=chance.uniform(3, 7),
            )
        )
    return tuple(parts)


def draw_dressing(
    plan: Plan,
    parts: Sequence[Part],
    printed: Sequence[Printed],
    chance: random.Random,
    units: dict[Column, str],
) -> Dressing:
    """Where dashes and marks stand."""
    dashes, marks = {}, {}
    for part in parts:
        for quantity, kind in (("resistance", "max"), ("tripped_power", "typ"), ("max_current", "")):
            if plan.dashes and chance.random() < 0.3:
                dashes[part.name, quantity, kind] = chance.choice(("–", "—", "-", "--", "", "N/A"))
        for item in printed:
            if plan.marks in {"raised", "asterisk"} and chance.random() < 0.06:
                marks[part.name, item.column.quantity] = {
                    "raised": f"^{{{chance.randint(1, 3)}}}",
                    "asterisk": chance.choice(("*", "**")),
                }[plan.marks]
    return Dressing(plan, units, dashes, marks)


def heading_rows(draft: Draft, printed: Sequence[Printed]) -> list[list[Cell]]:
    """The heading of the ratings table without the part column: flat, stacked, or with a row of units."""
    plan = draft.plan
    grouped = any(item.group for item in printed)
    own_row = plan.unit_place == "row"
    texts = [item.words if own_row else item.heading for item in printed]
    rows: list[list[Cell]] = [[], []]
    for group, members in groupby(zip(printed, texts, strict=True), key=lambda pair: pair[0].group):
        listed = list(members)
        if group:
            rows[0].append(Cell(group, across=len(listed)))
            rows[1] += [Cell(text) for _, text in listed]
        else:
            rows[0] += [Cell(text, down=2 if grouped else 1) for _, text in listed]
    rows = [row for row in rows if row]
    if own_row:
        rows.append([Cell(item.unit) for item in printed])
    return rows


def with_part(draft: Draft, row: Sequence[Cell], cell: Cell | None) -> tuple[Cell, ...]:
    """A row with its part cell at the plan's end; None where a span from above covers it."""
    if cell is None:
        return tuple(row)
    return (*row, cell) if draft.plan.part_last else (cell, *row)


def table_head(draft: Draft, rows: list[list[Cell]]) -> tuple[tuple[Cell, ...], ...]:
    """Heading rows with the part column's heading spanning them."""
    corner = Cell(draft.word("part"), down=len(rows))
    return tuple(with_part(draft, row, None if number else corner) for number, row in enumerate(rows))


def table_body(
    draft: Draft, parts: Sequence[Part], columns: Sequence[Column], name: Callable[[Part], str]
) -> list[tuple[Cell, ...]]:
    """Body rows, with merged voltage cells and section rows where the plan wants them."""
    align, rows = draft.plan.align, []
    for volts, members in groupby(parts, key=lambda part: part.max_v):
        group = list(members)
        if draft.plan.sections:
            title = draft.word("section").format(group[0].name[:2], volts)
            rows.append((Cell(title, across=len(columns) + 1, bold=True, align="left"),))
        for number, part in enumerate(group):
            cells = []
            for column in columns:
                merge = draft.plan.merged_body and column.quantity == "max_voltage" and len(group) > 1
                if merge and number:
                    continue
                text = draft.dress(part, column, cell_number(part, column))
                cells.append(Cell(text, down=len(group) if merge else 1, align="center" if merge else align))
            rows.append(with_part(draft, cells, Cell(name(part), align="left")))
    return rows


def part_marker(draft: Draft) -> Callable[[Part], str]:
    """How the ratings table prints a part number: some carry a footnote mark."""
    marks = {
        part.name: draft.chance.choice(("*", "^{1}", "**"))
        for part in draft.parts
        if draft.plan.marks == "part" and draft.chance.random() < 0.3
    }
    return lambda part: part.name + marks.get(part.name, "")


def made_grid(draft: Draft, head: tuple[tuple[Cell, ...], ...], body: Sequence[tuple[Cell, ...]]) -> Grid:
    """A table in the look of the plan."""
    plan = draft.plan
    return Grid(
        head,
        tuple(body),
        plan.rules,
        plan.zebra,
        size=plan.size,
        repeat_head=plan.repeat_head,
        fit="tight" if plan.tight else "spread",
    )


def current_unit(draft: Draft) -> str:
    """A or mA."""
    return "mA" if draft.plan.current_power else "A"


def ambients(draft: Draft, *, trip: bool = False) -> tuple[Column, ...]:
    """Derating columns in the plan's unit and minus sign."""
    plan, mark = draft.plan, draft.chance.choice((" °C", "°C"))
    found = ambient_columns(draft.shape, mark=mark, trip=trip)
    return tuple(
        replace(
            column,
            heading=column.heading.replace("-", plan.minus),
            power=plan.current_power,
            digits=0 if plan.current_power else 2,
        )
        for column in found
    )


def ratings(draft: Draft, printed: Sequence[Printed]) -> tuple[list[Block], list[Entry]]:
    """The ratings table; in a wide layout with the derating beside it."""
    columns = [item.column for item in printed]
    rows = heading_rows(draft, printed)
    if draft.plan.derating == "wide":
        derating = ambients(draft)
        over = draft.word("ambient_hold").format(current_unit(draft))
        if len(rows) == 1:
            rows = [[replace(cell, down=2) for cell in rows[0]], []]
        rows[0].append(Cell(over, across=len(derating)))
        rows[1] += [Cell(column.heading, down=len(rows) - 1) for column in derating]
        columns += derating
    grid = made_grid(
        draft, table_head(draft, rows), table_body(draft, draft.parts, columns, part_marker(draft))
    )
    title = draft.word("ratings").format(draft.reference_c)
    reference = Text(draft.word("reference").format(draft.reference_c), small=True)
    entries = without(table_entries(draft.parts, columns, draft.reference_c), draft.dress.dashes)
    return [Heading(title), grid, reference], entries


def contradicted(draft: Draft) -> tuple[Part, ...]:
    """The parts, one of them with another hold current at the reference ambient if the plan wants it."""
    if not draft.plan.contradiction:
        return draft.parts
    odd = draft.parts[draft.chance.randrange(len(draft.parts))]
    wrong = replace(odd, hold_at={**odd.hold_at, draft.reference_c: rounded(float(odd.hold_a) * 1.1, 2)})
    return tuple(wrong if part is odd else part for part in draft.parts)


def derating_in_amps(draft: Draft) -> tuple[list[Block], list[Entry]]:
    """A second table: hold current at each ambient, or hold and trip current in one cell."""
    holds, pairs = ambients(draft), draft.plan.derating == "pairs"
    over = draft.word("pair" if pairs else "ambient_hold").format(current_unit(draft))
    rows = [[Cell(over, across=len(holds))], [Cell(column.heading) for column in holds]]
    parts = contradicted(draft)
    name = (
        (lambda part: part.name.removesuffix("-TR")) if draft.plan.short_names else (lambda part: part.name)
    )
    body = table_body(draft, parts, holds, name)
    entries = table_entries(parts, holds, draft.reference_c)
    if pairs:
        trips = [replace(column, quantity="trip_current") for column in holds]
        entries += table_entries(parts, trips, draft.reference_c)
        body = []
        for part in parts:
            texts = [
                draft.dress(part, h, cell_number(part, h)).replace("~", "")
                + " / "
                + draft.dress(part, t, cell_number(part, t))
                for h, t in zip(holds, trips, strict=True)
            ]
            body.append(with_part(draft, [Cell(text) for text in texts], Cell(name(part), align="left")))
    return [Heading(draft.word("derating")), made_grid(draft, table_head(draft, rows), body)], entries


def derating_in_percent(draft: Draft) -> tuple[list[Block], list[Entry]]:
    """One percent row for the series, or two for two ranges of parts."""
    ratios = RATIOS[draft.shape]
    other = {ambient: 100 + round((ratio - 100) * 0.85) for ambient, ratio in ratios.items()}
    names = [part.name for part in draft.parts]
    half = len(names) // 2
    lines = [(draft.word("percent_row"), ratios, ["*"])]
    if draft.plan.derating == "two groups" and half > 1:
        group = draft.word("group")
        lines = [
            (group.format(some[0], some[-1]), row, some)
            for some, row in ((names[:half], ratios), (names[half:], other))
        ]
    sign, degree = draft.chance.choice((("%", ""), ("%", " °C"), ("", " °C")))
    title = draft.word("derating") + ("" if sign else " (%)")
    head = (
        (Cell("", down=2), Cell(draft.word("ambient") + ("" if degree else " (°C)"), across=len(ratios))),
        tuple(Cell(f"{ambient}{degree}".replace("-", draft.plan.minus)) for ambient in ratios),
    )
    body = [
        (Cell(label, align="left"), *(Cell(f"{ratio}{sign}") for ratio in row.values()))
        for label, row, _ in lines
    ]
    entries = [entry for _, row, some in lines for entry in ratio_entries(row, some)]
    return [Heading(title), made_grid(draft, head, body)], entries


def made_plan(seed: int, number: int) -> Plan:
    """The plan of that number."""
    return draw_plan(random.Random(f"{seed}/{number}"))


def planned_sheet(plan: Plan, seed: int, number: int) -> Sheet:
    """The sheet of a plan. Parts, headings and marks have chances of their own: changing one feature of a
    plan leaves the others as they were."""
    chance = {
        name: random.Random(f"{seed}/{number}/{name}") for name in ("parts", "columns", "marks", "rest")
    }
    shape = chance["parts"].choice(list(RATIOS))
    reference = next(ambient for ambient, ratio in RATIOS[shape].items() if ratio == 100)
    test_a = "8" if plan.trip_time == "at amps" else ""
    parts = draw_parts(plan, shape, test_a, chance["parts"])
    printed = printed_columns(plan, chance["columns"], test_a)
    units = {item.column: item.cell_unit for item in printed}
    dress = draw_dressing(plan, parts, printed, chance["marks"], units)
    draft = Draft(plan, all_words()[plan.language], parts, reference, shape, dress, chance["rest"])
    blocks, entries = ratings(draft, printed)
    more: tuple[list[Block], list[Entry]] = ([], [])
    if plan.derating in {"amps", "pairs"}:
        more = derating_in_amps(draft)
    elif plan.derating in {"percent", "two groups"}:
        more = derating_in_percent(draft)
    names = [part.name for part in parts[:3]]
    ordered = with_decoys(draft, blocks, more[0], names)
    look = Look(plan.font, chance["rest"].choice(("a4", "letter")), turn=plan.turn, lang=plan.language)
    truth = tuple(once_each(entries + more[1]))
    name, title = f"layout_{seed}_{number:04d}", f"Series {names[0][:2]}"
    return Sheet(name, plan.producer, "Invented vendor", title, "", tuple(ordered), truth, look)


def with_decoys(draft: Draft, first: list[Block], second: list[Block], names: list[str]) -> list[Block]:
    """The tables in order, with prose and tables that are no ratings before or after them."""
    plan = draft.plan
    rules = "full" if plan.rules == "outer" else plan.rules
    decoys: list[Block] = [Text(PROSE), *dimensions(names, rules), *packing(names)]
    apart: list[Block] = [PageBreak()] if second and draft.chance.random() < 0.3 else []
    ordered = [*first, *apart, *second]
    if plan.decoys != "none":
        ordered = decoys + ordered if plan.decoys == "before" else ordered + decoys
    return [*ordered, *closing("en")] if plan.language == "en" else ordered


def made_sheet(seed: int, number: int) -> tuple[Plan, Sheet]:
    """Plan and sheet of that number."""
    plan = made_plan(seed, number)
    return plan, planned_sheet(plan, seed, number)
