"""What a comparison says: numbers, margins, candidates, the ranking.

Comes in: nothing. Goes out: frozen records and closed lists of names.
Does not judge, rank or write files.

All values are SI: A, V, W, ohm, s; temperatures in degrees Celsius; margins and ratios are plain fractions.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from extract.schema import Curve, Part, Particular, Reading
from extract.standing import Standing, lowest, status_to_standing


class Verdict(StrEnum):
    """What can be said of a margin or of a part. Undetermined is neither a pass nor a fail."""

    FITS = "fits"
    FAILS = "fails"
    UNDETERMINED = "undetermined"


class Basis(StrEnum):
    """How a value was reached, from the firmest to the weakest, in the order of `extract.standing`.

    CURVE: read from a drawn curve, typical.
    """

    DATA = "data"
    CURVE = "curve"
    INTERPOLATED = "interpolated"
    ASSUMED = "assumed"
    MODEL = "model"


Source = Reading | Particular | Curve
"""What of a sheet a margin may rest on."""

STANDING_OF_BASIS = {
    Basis.CURVE: Standing.CURVE,
    Basis.INTERPOLATED: Standing.INTERPOLATED,
    Basis.ASSUMED: Standing.ASSUMED,
    Basis.MODEL: Standing.MODEL,
}
"""What a way of reaching a value is worth; plain data are worth what their readings are."""
THIN_BELOW = 1.05
"""A need met by less than this is met thinly: the rounding of a sheet or a meter may eat it up. Common
practice, no source."""


BASIS_RANK = {basis: rank for rank, basis in enumerate(Basis)}
VERDICT_RANK = {Verdict.FITS: 0, Verdict.UNDETERMINED: 1, Verdict.FAILS: 2}


class Sense(StrEnum):
    """On which side of its limit a value is good."""

    AT_LEAST = "at_least"
    AT_MOST = "at_most"


class Number(NamedTuple):
    """A number of a part, or why there is none.

    A named tuple, not a dataclass: a large comparison makes millions of them, and it is made three times as
    fast.

    `value` is SI, or None when nothing may be said; then `note` is the reason. `readings` are the cells it
    rests on; `assumed` says in words under which assumptions it holds.
    """

    value: float | None
    basis: Basis = Basis.DATA
    readings: tuple[Reading, ...] = ()
    note: str = ""
    assumed: tuple[str, ...] = ()

    @property
    def standing(self) -> Standing | None:
        """The lowest of all it rests on; None where it rests on no printed number and no guess."""
        return _lowest_of(self.basis, self.readings)


class Margin(NamedTuple):
    """One question to one part, with its answer. A named tuple for the same reason as `Number`.

    name: one of the names in `margin_names.toml`; value: what the part gives; limit: what the requirement
    asks; margin: how many times the need is met (value / limit, or limit / value where the value must stay
    below), at least 1 when met, None when either is unknown; unit: of value and limit, empty for a question
    without numbers; sense: on which side of the limit the value must lie; basis: what the value rests on (a
    margin without a value says data: it waits for some); note: why the verdict is what it is, where the
    numbers alone do not say; assumed: under which assumptions it holds; readings: the cells it rests on;
    band: lowest and highest value of a model, else None; at_c: the ambient it is asked at, where it has
    one; particulars: what else of the sheet it rests on; curves: drawn ones that it rests on.
    """

    name: str
    value: float | None
    limit: float | None
    margin: float | None
    verdict: Verdict
    basis: Basis
    unit: str
    sense: Sense
    note: str = ""
    readings: tuple[Reading, ...] = ()
    band: tuple[float, float] | None = None
    at_c: float | None = None
    assumed: tuple[str, ...] = ()
    particulars: tuple[Particular, ...] = ()
    curves: tuple[Curve, ...] = ()

    @property
    def source(self) -> str:
        """Where the value stands: document, page and printed text of every cell it rests on."""
        return readings_to_source((*self.readings, *self.particulars, *self.curves))

    @property
    def standing(self) -> Standing | None:
        """The lowest of all it rests on; None where it rests on no printed number and no guess."""
        return _lowest_of(self.basis, (*self.readings, *self.particulars, *self.curves))

    @property
    def thin(self) -> bool:
        """Whether the need is met, but by so little that it must be said."""
        return self.margin is not None and 1.0 <= self.margin < THIN_BELOW


@dataclass(frozen=True, slots=True)
class Candidate:
    """One part held against the requirement.

    verdict: fails if any margin fails, else undetermined if any is undetermined, else fits;
    limiting: the margin that decides (see `margins_to_limiting`); smallest_margin: the smallest known
    margin of all, None if no margin has a number; resistance_ohm: the largest after a trip, or as delivered,
    used to break ties; area_mm2: of the package, used to break ties; hold_a: the rated hold current;
    assumptions: what was assumed for any margin.
    """

    part: Part
    verdict: Verdict
    limiting: Margin
    smallest_margin: float | None
    margins: tuple[Margin, ...]
    hold_a: float | None
    resistance_ohm: float | None
    area_mm2: float | None

    @property
    def part_number(self) -> str:
        """The part number as the sheet prints it."""
        return self.part.part_number

    @property
    def limiting_margin(self) -> str:
        """Name of the margin that decides."""
        return self.limiting.name

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What was assumed for this part, each once, in the order of its margins."""
        return tuple(dict.fromkeys(text for margin in self.margins for text in margin.assumed))

    @property
    def standing(self) -> Standing | None:
        """The lowest of its margins; None where no margin rests on anything."""
        found = [standing for margin in self.margins if (standing := margin.standing) is not None]
        return lowest(found) if found else None

    def margin_named(self, name: str) -> Margin | None:
        """The margin of that name, or None if the requirement does not ask for it."""
        return next((m for m in self.margins if m.name == name), None)


def _lowest_of(basis: Basis, readings: tuple[Source, ...]) -> Standing | None:
    found = {status_to_standing(status) for status in {reading.status for reading in readings}}
    if basis is not Basis.DATA:
        found.add(STANDING_OF_BASIS[basis])
    return lowest(found) if found else None


def readings_to_source(readings: Iterable[Source]) -> str:
    """One text naming document, page and printed text of each cell or curve, in order, each once."""
    return "; ".join(dict.fromkeys(_reading_to_source(r) for r in readings))


def _reading_to_source(reading: Source) -> str:
    page = f" p. {reading.place.page}" if reading.place.page > 0 else ""
    if isinstance(reading, Curve):
        return f'{reading.document}{page} curve "{reading.label}"'
    return f'{reading.document}{page} "{reading.raw}"'


def weakest(one: Basis, other: Basis) -> Basis:
    """The weaker of two bases: a chain is as firm as its weakest link."""
    return one if BASIS_RANK[one] >= BASIS_RANK[other] else other
