"""How much of a sheet was read right: readings against a truth, entry by entry.

Comes in: true entries and read entries in SI units. Goes out: one verdict per entry and per extra reading.
Does not read PDFs or print.

An entry is found when part, quantity, kind and test current agree, and for hold and trip also the ambient.
Where a sheet contradicts itself the truth holds both values and either is right. The kind of a tripped power
matters only where it is max; AC or DC only where the sheet gives a part both. Extra readings of a quantity
the truth covers are silently wrong unless disputed.
"""

from __future__ import annotations

import csv
import platform
import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from importlib.metadata import version
from pathlib import Path

from scipy.stats import binomtest

from extract.schema import AT_AMBIENT, Kind, Quantity, Reading, Status

AC_OR_DC = {Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE, Quantity.MAX_CURRENT}

Key = tuple[str, Quantity, Kind, float | None, float | None]
"""Part, quantity, kind, ambient in degrees Celsius, test current in A."""


class Outcome(StrEnum):
    """What became of an entry."""

    RIGHT = "right"
    FLAGGED = "flagged"
    WRONG = "wrong"
    MISSING = "missing"
    EXTRA = "extra"


SILENTLY_WRONG = {Outcome.WRONG, Outcome.EXTRA}


@dataclass(frozen=True, slots=True)
class Value:
    """One number under a key: SI value, status (agreed for a truth), printed text."""

    key: Key
    number: float
    status: Status
    raw: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one entry; `truths` is empty for an extra reading."""

    key: Key
    outcome: Outcome
    truths: tuple[Value, ...]
    readings: tuple[Value, ...]

    @property
    def agreed(self) -> bool:
        """Right, and two independent readings agree on it."""
        return self.outcome == Outcome.RIGHT and all(r.status == Status.AGREED for r in self.readings)

    @property
    def doubted(self) -> bool:
        """Right, but a person must look."""
        return self.outcome == Outcome.RIGHT and all(r.status == Status.DISPUTED for r in self.readings)

    def __str__(self) -> str:
        part, quantity, kind, ambient, current = self.key
        names = [
            part,
            quantity.value,
            kind.value,
            "" if ambient is None else f"at {ambient:g} °C",
            "" if current is None else f"at {current:g} A",
        ]
        truth = " or ".join(f"{value.number:g}" for value in self.truths) or "nothing"
        read = ", ".join(f"{value.number:g} ({value.status.value}, {value.raw!r})" for value in self.readings)
        name = " ".join(filter(None, names))
        return f"{self.outcome.value.upper()} {name}: truth {truth}, read {read or 'nothing'}"


def bare_part(part_number: str) -> str:
    """The part number without marks and spaces, for comparing."""
    return re.sub(r"[^A-Z0-9*]", "", part_number.upper())


def made_key(part: str, quantity: Quantity, kind: Kind, ambient: float | None, current: float | None) -> Key:
    """The key of an entry: only the conditions that matter for its quantity."""
    if quantity == Quantity.TRIPPED_POWER and kind != Kind.MAX:
        kind = Kind.NONE
    rounded = None if current is None else float(f"{current:.6g}")
    return (
        bare_part(part),
        quantity,
        kind,
        ambient if quantity in AT_AMBIENT else None,
        rounded if quantity == Quantity.TIME_TO_TRIP else None,
    )


def reading_value(reading: Reading) -> Value:
    """A reading as a value under its key."""
    key = made_key(
        reading.part_number, reading.quantity, reading.kind, reading.ambient_c, reading.test_current_a
    )
    return Value(key, reading.value, reading.status, reading.raw)


def optional_number(text: str) -> float | None:
    """A number, or None for an empty field."""
    return float(text) if text else None


def truth_values(path: Path) -> dict[str, list[Value]]:
    """The true values of a truth file, by document."""
    values: dict[str, list[Value]] = defaultdict(list)
    with path.open(encoding="utf-8", newline="") as source:
        for row in csv.DictReader(source):
            key = made_key(
                row["part_number"],
                Quantity(row["quantity"]),
                Kind(row["kind"]),
                optional_number(row["ambient_c"]),
                optional_number(row["test_current_a"]),
            )
            values[row["document"]].append(Value(key, float(row["value"]), Status.AGREED, ""))
    return values


def by_key(values: Iterable[Value]) -> dict[Key, list[Value]]:
    """Values grouped by key; AC or DC is dropped where a part has one of them only."""
    listed = list(values)
    kinds: dict[tuple[str, Quantity], set[Kind]] = defaultdict(set)
    for value in listed:
        kinds[value.key[0], value.key[1]].add(value.key[2])
    grouped: dict[Key, list[Value]] = defaultdict(list)
    for value in listed:
        part, quantity, kind, ambient, current = value.key
        if quantity in AC_OR_DC and len(kinds[part, quantity]) == 1:
            kind = Kind.NONE
        grouped[part, quantity, kind, ambient, current].append(value)
    return grouped


def same(a: float, b: float) -> bool:
    """Equal within 0.2 percent: only what rounding to the printed digits can change."""
    return abs(a - b) <= 1e-9 + 0.002 * max(abs(a), abs(b))


def judge(truth: Iterable[Value], read: Iterable[Value], complete: bool = False) -> list[Verdict]:
    """One verdict for every true entry, then one for every extra reading of a covered quantity; of every
    quantity where the truth is complete or empty."""
    entries, rows = by_key(truth), by_key(read)
    verdicts = []
    for key, truths in entries.items():
        readings = tuple(rows.get(key, ()))
        bad = [r for r in readings if not any(same(value.number, r.number) for value in truths)]
        outcome = Outcome.WRONG
        if not readings:
            outcome = Outcome.MISSING
        elif not bad:
            outcome = Outcome.RIGHT
        elif all(reading.status == Status.DISPUTED for reading in bad):
            outcome = Outcome.FLAGGED
        verdicts.append(Verdict(key, outcome, tuple(truths), readings))
    covered = set(Quantity) if complete or not entries else {key[1] for key in entries}
    for key, values in rows.items():
        if key not in entries and key[1] in covered and any(v.status != Status.DISPUTED for v in values):
            verdicts.append(Verdict(key, Outcome.EXTRA, (), tuple(values)))
    return verdicts


def versions_line() -> str:
    """Date and versions that a kept result depends on."""
    names = ("pdfplumber", "pdfminer.six", "camelot-py", "pypdfium2")
    packages = ", ".join(f"{name} {version(name)}" for name in names)
    return f"{date.today()}, Python {platform.python_version()}, {packages}"


TITLES = f"{'entries':>8}{'right':>8}{'flagged':>8}{'wrong':>8}{'missing':>8}{'extra':>8}{'agreed':>9}"


def counts_line(verdicts: Iterable[Verdict]) -> str:
    """The counts of a group of verdicts under `TITLES`; agreed is the share of entries agreed and right."""
    listed = list(verdicts)
    count = Counter(verdict.outcome for verdict in listed)
    entries = sum(count.values()) - count[Outcome.EXTRA]
    agreed = sum(verdict.agreed for verdict in listed) / max(1, entries)
    numbers = (entries, *(count[outcome] for outcome in Outcome))
    return "".join(f"{number:8}" for number in numbers) + f"{agreed:9.1%}"


def share_line(found: int, of: int) -> str:
    """A counted share with its 95 % interval: "below 0.13 % with 95 % confidence" where none was found.

    Source: Clopper-Pearson interval (1934), one-sided where nothing or everything was found, by scipy.
    """
    if of == 0:
        return "nothing counted"
    if found in (0, of):
        side = "less" if found == 0 else "greater"
        interval = binomtest(found, of, alternative=side).proportion_ci(0.95, method="exact")
        return f"below {interval.high:.2%}" if found == 0 else f"above {interval.low:.2%}"
    interval = binomtest(found, of).proportion_ci(0.95, method="exact")
    return f"{interval.low:.2%} to {interval.high:.2%}"


def sum_line(verdicts: Iterable[Verdict]) -> str:
    """All in one sentence."""
    listed = list(verdicts)
    count = Counter(verdict.outcome for verdict in listed)
    entries = sum(count.values()) - count[Outcome.EXTRA]
    silent = count[Outcome.WRONG] + count[Outcome.EXTRA]
    doubted = sum(verdict.doubted for verdict in listed)
    read = sum(bool(verdict.readings) for verdict in listed)
    return (
        f"right {count[Outcome.RIGHT] / max(1, entries):.4f} of {entries} "
        f"(95 % interval {share_line(count[Outcome.RIGHT], entries)}); silently wrong {silent} "
        f"(wrong {count[Outcome.WRONG]}, extra {count[Outcome.EXTRA]}; of {read} read "
        f"{share_line(silent, read)} with 95 % confidence); missing {count[Outcome.MISSING]}; "
        f"flagged {count[Outcome.FLAGGED]}; right but doubted {doubted}"
    )
