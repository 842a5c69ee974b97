"""Which printed numbers were read, and which serve as a condition of what was read.

Comes in: the atoms of a page and the sheet's readings. Goes out: index of an atom → (fate, reason). What is
not named here was not read. Matches by place only.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.account.atoms import Atom, atom_to_value
from extract.boxes import Box
from extract.page import PageContent, box_to_place, place_to_box
from extract.schema import Fate, Place, Quantity, Reading, Status
from extract.vocabulary import fold

SLACK_PT = 1.5
BAND_PT = 24.0
ROW_PT = 5.0
CONDITION = "condition"
REPEATED = "repeated"


@dataclass(frozen=True, slots=True)
class PageReadings:
    """What was read from one page, and all that was read before numbers printed twice became one."""

    readings: tuple[Reading, ...]
    printed: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Fated:
    """What became of a number: its fate, as what it was read if not as a value, the question it waits for."""

    fate: Fate
    reason: str = ""
    cause: int = 0


def atoms_to_fates(atoms: Sequence[Atom], content: PageContent, read: PageReadings) -> dict[int, Fated]:
    """Index of an atom → what became of it, for those that were read or say the condition of a reading. The
    atoms stand as the page's text runs, the readings as the page is shown."""
    again: list[_Item] = [(r.place, None) for r in read.printed]
    bands = _places_to_bands([*((r.place, r) for r in read.readings), *again])
    fates: dict[int, Fated] = {}
    rest: list[int] = []
    for index, atom in enumerate(atoms):
        over = _over(box_to_place(content, atom.box), bands)
        if over:
            fates[index] = _statuses_to_fate(over)
        else:
            rest.append(index)
    ambients = {r.ambient_c for r in (*read.readings, *read.printed) if r.ambient_c is not None}
    currents = _times_to_currents((*read.readings, *read.printed), content)
    for index in rest:
        if _is_condition(atoms[index], ambients, currents):
            fates[index] = Fated(Fate.READ, CONDITION)
    return fates


_Item = tuple[Place, Reading | None]


def _places_to_bands(items: Iterable[_Item]) -> dict[int, list[_Item]]:
    bands: dict[int, list[_Item]] = defaultdict(list)
    for place, reading in items:
        for band in range(
            int((place.top - SLACK_PT) // BAND_PT), int((place.bottom + SLACK_PT) // BAND_PT) + 1
        ):
            bands[band].append((place, reading))
    return bands


def _over(place: Place, bands: dict[int, list[_Item]]) -> list[Reading | None]:
    """The readings in whose place the middle of an atom stands; None for a repeated number."""
    x, y = place.mid_x, place.mid_y
    return [
        reading
        for own, reading in bands.get(int(y // BAND_PT), ())
        if own.x0 - SLACK_PT <= x <= own.x1 + SLACK_PT and own.top - SLACK_PT <= y <= own.bottom + SLACK_PT
    ]


def _statuses_to_fate(over: Sequence[Reading | None]) -> Fated:
    read = [reading for reading in over if reading is not None]
    if not read:
        return Fated(Fate.READ, REPEATED)
    disputed = next((r for r in read if r.status is Status.DISPUTED), None)
    return Fated(Fate.READ) if disputed is None else Fated(Fate.DOUBTED, "", disputed.cause)


def _times_to_currents(readings: Sequence[Reading], content: PageContent) -> list[tuple[Box, float]]:
    """Where times stand, as the page's text runs, so that a row is level on a turned page too; and at which
    current."""
    return [
        (place_to_box(content, (r.place.x0, r.place.top, r.place.x1, r.place.bottom)), r.test_current_a)
        for r in readings
        if r.quantity is Quantity.TIME_TO_TRIP and r.test_current_a is not None
    ]


def _is_condition(atom: Atom, ambients: set[float], currents: Sequence[tuple[Box, float]]) -> bool:
    """Whether a number is an ambient of the readings, printed as a temperature, or the test current of a time
    in its row or column."""
    value = atom_to_value(atom.text)
    if value is None:
        return False
    if value in ambients and _is_temperature(atom):
        return True
    x0, top, x1, bottom = atom.box
    for (own_x0, own_top, own_x1, own_bottom), current_a in currents:
        level = abs((own_top + own_bottom) - (top + bottom)) / 2 <= ROW_PT
        above = own_x0 - 40 <= (x0 + x1) / 2 <= own_x1 + 40 and bottom <= own_top + SLACK_PT
        if (level or above) and any(abs(value * f - current_a) <= 1e-6 * current_a for f in (1, 1e-3, 1e3)):
            return True
    return False


def _is_temperature(atom: Atom) -> bool:
    """Whether a degree sign stands at the number, or the whole run is one signed or bare number."""
    texts = [word.text for word in atom.run.words]
    return any("°" in fold(text) for text in texts) or len(texts) <= 2
