"""What a random datasheet looks like: one choice per feature.

Comes in: a source of chance. Goes out: a `Plan`. Does not draw and holds no numbers of parts.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, fields

OPTIONAL = ("amps", "power", "r_min", "r_max")
"""Columns that a layout may leave out."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The features of one layout; every field is counted on its own in the report."""

    producer: str
    language: str
    font: str
    rules: str
    head: str
    unit_place: str
    current_power: int
    resistance_power: int
    time_power: int
    order: str
    optional: tuple[str, ...]
    trip_time: str
    power_label: str
    part_last: bool
    derating: str
    dashes: bool
    marks: str
    gaps: bool
    comma: bool
    zebra: bool
    merged_body: bool
    sections: bool
    turn: str
    rows: str
    repeat_head: bool
    minus: str
    contradiction: bool
    short_names: bool
    decoys: str
    align: str
    tight: bool
    size: float

    def features(self) -> dict[str, str]:
        """Feature names and their value as texts, for counting."""
        texts = {field.name: str(getattr(self, field.name)) for field in fields(self)}
        del texts["optional"]
        return texts | {key: "printed" if key in self.optional else "left out" for key in OPTIONAL}


FONTS = {"en": ("", "times", "dejavu"), "de": ("", "times", "dejavu"), "zh": ("zh",), "ja": ("ja",)}


def draw_plan(chance: random.Random) -> Plan:
    """Draw a plan; combinations no vendor could print are ruled out."""

    def seldom(share: float) -> bool:
        return chance.random() < share

    language = chance.choices(("en", "de", "zh", "ja"), (6, 1.5, 1.5, 1))[0]
    rules = chance.choices(("full", "horizontal", "none", "outer"), (5, 3, 2, 1))[0]
    head = chance.choice(("flat", "stacked", "unit_row"))
    unit_place = (
        "row" if head == "unit_row" else chance.choices(("round", "square", "line", "cell"), (4, 3, 2, 1))[0]
    )
    rows = chance.choices(("few", "many"), (8, 2))[0]
    optional = tuple(key for key in OPTIONAL if not seldom(0.25))
    gaps = seldom(0.08) and unit_place != "cell"
    derating = chance.choices(("amps", "percent", "two groups", "wide", "pairs", ""), (4, 3, 1.5, 1, 1, 1))[0]
    # A table of ratings and derating side by side needs the long side of the page.
    turn = chance.choices(("", "rotate", "text"), (0 if derating == "wide" else 8, 1, 1))[0]
    plain_page = not turn and not gaps and language in {"en", "de"}
    return Plan(
        # The typst drawing knows no turned pages and no gaps inside numbers, and holds no Asian fonts.
        producer="typst" if plain_page and seldom(0.3) else "reportlab",
        language=language,
        font=chance.choice(FONTS[language]),
        rules=rules,
        head=head,
        unit_place=unit_place,
        current_power=-3 if seldom(0.15) else 0,
        resistance_power=-3 if seldom(0.15) else 0,
        time_power=-3 if seldom(0.08) else 0,
        order=chance.choice(("usual", "volts first", "mixed")),
        optional=optional,
        trip_time=chance.choices(("pair", "at amps", "5x", ""), (6, 2, 2, 1))[0],
        power_label=chance.choice(("typ", "max", "", "both")),
        part_last=seldom(0.12),
        derating=derating,
        dashes=seldom(0.25),
        marks="" if gaps else chance.choices(("", "raised", "asterisk", "part"), (6, 2, 1.5, 1.5))[0],
        gaps=gaps,
        comma=language == "de" and seldom(0.6),
        zebra=seldom(0.25),
        # Without rules no reader could see how far a merged cell reaches.
        merged_body=rules in {"full", "horizontal"} and seldom(0.2),
        sections=seldom(0.12),
        turn=turn,
        rows=rows,
        repeat_head=seldom(0.6),
        minus=chance.choice(("-", "–")),
        contradiction=seldom(0.06),
        short_names=seldom(0.1),
        decoys=chance.choice(("before", "after", "none")),
        align=chance.choices(("center", "left", "right"), (5, 2, 2))[0],
        tight=seldom(0.5),
        size=6.0 if derating == "wide" else chance.choice((6.5, 7.0, 7.5, 8.0)),
    )
