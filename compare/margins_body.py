"""Margins of the part as a thing: size, mounting, operating range, approvals, tested trips.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask. Every answer names the
particular of the sheet it rests on; where the sheet is silent, or only a drawing tells which letter is which
side, the answer is undetermined. Does not judge ratings.
"""

from __future__ import annotations

from collections.abc import Iterable

from compare.corners import Case
from compare.judging import Question, ratio, undetermined
from compare.packages import text_to_bodies
from compare.records import Basis, Margin, Number, Sense, Verdict
from extract.schema import WHOLE_SERIES, Kind, Particular, ParticularName, Status

BODY_LENGTH = Question("body_length", "mm", Sense.AT_MOST)
BODY_WIDTH = Question("body_width", "mm", Sense.AT_MOST)
BODY_HEIGHT = Question("body_height", "mm", Sense.AT_MOST)
LEAD_SPACING = Question("lead_spacing", "mm", Sense.AT_MOST)
MOUNTING = Question("mounting", "", Sense.AT_LEAST)
OPERATING_HOT = Question("operating_hot", "°C", Sense.AT_LEAST)
OPERATING_COLD = Question("operating_cold", "°C", Sense.AT_MOST)
APPROVALS = Question("approvals", "", Sense.AT_LEAST)
TESTED_TRIPS = Question("tested_trips", "1", Sense.AT_LEAST)
LEADS_BEND_MM = 0.5
"""So much leads give without being formed. Common practice, no source."""
CHIP_TOLERANCE_MM = 0.3
"""So much larger than its code a chip may be. Common practice, no source."""
NOMINAL_AND = 1.07
"""So much larger than nominal a body may be. Common practice, no source."""
REFUSALS = ("pending", "not listed")
NO_MARK = "no mark"
"""What a row without a mark says where others have one (extract.joined.approvals)."""
CODED = {ParticularName.BODY_LENGTH: 0, ParticularName.BODY_WIDTH: 1}


def body_length(case: Case) -> Margin | None:
    """Largest body length against the length the footprint allows."""
    return _size(case, BODY_LENGTH, ParticularName.BODY_LENGTH, case.requirement.length_max_mm)


def body_width(case: Case) -> Margin | None:
    """Largest body width against the width the footprint allows."""
    return _size(case, BODY_WIDTH, ParticularName.BODY_WIDTH, case.requirement.width_max_mm)


def body_height(case: Case) -> Margin | None:
    """Largest body height against the height the housing allows."""
    return _size(case, BODY_HEIGHT, ParticularName.BODY_HEIGHT, case.requirement.height_max_mm)


def lead_spacing(case: Case) -> Margin | None:
    """Distance of the leads from that of the holes."""
    wanted_mm = case.requirement.lead_spacing_mm
    if wanted_mm is None:
        return None
    found = _said(case, ParticularName.LEAD_SPACING)
    values = [one.value for one in found if one.value is not None]
    if not values:
        return undetermined(
            LEAD_SPACING, Number(None, note=_why_none(case, ParticularName.LEAD_SPACING)), None
        )
    away_mm = max(0.0, min(values) - wanted_mm, wanted_mm - max(values))
    return _answered(
        LEAD_SPACING,
        away_mm,
        LEADS_BEND_MM,
        away_mm <= LEADS_BEND_MM,
        found,
        note=f"{' to '.join(f'{value:g}' for value in values)} mm, wanted {wanted_mm:g} mm",
    )


def mounting(case: Case) -> Margin | None:
    """How the part is mounted against how the board wants it."""
    wanted = case.requirement.mounting
    if not wanted:
        return None
    found = _said(case, ParticularName.MOUNTING)
    if not found:
        return undetermined(MOUNTING, Number(None, note=_why_none(case, ParticularName.MOUNTING)), None)
    fits = any(one.text.replace(" ", "_") == wanted for one in found)
    return _answered(
        MOUNTING, None, None, fits, found, note=f"{found[0].text}, wanted {wanted.replace('_', ' ')}"
    )


def operating_hot(case: Case) -> Margin | None:
    """Upper end of the operating range against the hottest ambient at the part with its margin; None where
    neither the requirement asks for a margin nor the sheet states a range."""
    margin_k = case.requirement.operating_margin_k
    return _operating(case, OPERATING_HOT, Kind.MAX, case.requirement.hottest_c + (margin_k or 0.0))


def operating_cold(case: Case) -> Margin | None:
    """Lower end of the operating range against the coldest ambient at the part with its margin; None as for
    the upper end."""
    margin_k = case.requirement.operating_margin_k
    return _operating(case, OPERATING_COLD, Kind.MIN, case.requirement.coldest_c - (margin_k or 0.0))


def approvals(case: Case) -> Margin | None:
    """Agencies that the sheet names with a file, certificate or mark against those required."""
    wanted = case.requirement.approvals
    if not wanted:
        return None
    said = _agencies_said(case)
    asked = {agency: said.get(_agency(agency)) for agency in wanted}
    found = [one for one in asked.values() if one is not None]
    refused = [one for one in found if one.text in REFUSALS]
    if refused:
        return _answered(APPROVALS, None, None, False, refused, note=_listed(refused))
    listed = _listed(said.values())
    missing = [agency for agency, one in asked.items() if one is None or one.text == NO_MARK]
    if missing:
        why = f"the sheet names no undisputed file or mark of {', '.join(missing)}"
        why += f"; it names {listed}" if listed else ""
        return undetermined(APPROVALS, Number(None, note=why), None)
    where = "named for the sheet; look up the file for this very part"
    if all(one.part_number != WHOLE_SERIES for one in found):
        where = "marked for this part; look it up in the agency's list"
    return _answered(APPROVALS, None, None, True, found, note=f"{listed}: {where}")


def _listed(said: Iterable[Particular]) -> str:
    """Agencies, each with its file or mark, in words."""
    return ", ".join(f"{one.label} {one.text}" for one in said)


def _agencies_said(case: Case) -> dict[str, Particular]:
    """What the sheet says of each agency: a mark in the part's own row goes before the sheet's file, and a
    file before "pending". Nothing of an agency on which the part's own rows contradict each other, or are
    disputed: the sheet's file does not settle that."""
    said = [one for one in case.numbers.part.particulars
            if one.name is ParticularName.APPROVAL and one.label]
    own = [one for one in said if one.part_number != WHOLE_SERIES]
    texts: dict[str, set[str]] = {}
    for one in own:
        texts.setdefault(_agency(one.label), set()).add(one.text)
    open_ones = {_agency(one.label) for one in own
                 if one.status is Status.DISPUTED or len(texts[_agency(one.label)]) > 1}
    first: dict[str, Particular] = {}
    for one in sorted(said, key=lambda one: (one.part_number == WHOLE_SERIES, one.text == "pending")):
        if one.status is not Status.DISPUTED and _agency(one.label) not in open_ones:
            first.setdefault(_agency(one.label), one)
    return first


def tested_trips(case: Case) -> Margin | None:
    """Trips the sheet says it tests for against those expected; None where the sheet does not say."""
    asked = case.requirement.endurance
    found = _said(case, ParticularName.TRIP_CYCLES)
    if asked is None or not found or found[0].value is None:
        return None
    expected = asked.trips_per_month * 12.0 * asked.service_years
    return _answered(TESTED_TRIPS, found[0].value, expected, found[0].value >= expected, found[:1])


def _size(case: Case, question: Question, name: ParticularName, limit_mm: float | None) -> Margin | None:
    """The largest size the sheet allows itself: by the named side, else by a code, else by letters that are
    all small enough."""
    if limit_mm is None:
        return None
    found = _said(case, name)
    largest = [one for one in found if one.kind is Kind.MAX] or [
        one for one in found if one.kind is not Kind.MIN
    ]
    if largest and largest[0].value is not None:
        size_mm = largest[0].value
        assumed: tuple[str, ...] = ()
        if largest[0].kind is not Kind.MAX:
            size_mm *= NOMINAL_AND
            assumed = (f"nominal size and {NOMINAL_AND - 1:.0%}: the sheet gives no largest",)
        return _answered(question, size_mm, limit_mm, size_mm <= limit_mm, largest[:1], assumed=assumed)
    return _by_code(case, question, name, limit_mm) or _by_letters(case, question, name, limit_mm)


def _by_code(case: Case, question: Question, name: ParticularName, limit_mm: float) -> Margin | None:
    """Length or width by the one package code of the part."""
    texts = [text.text for text in case.numbers.part.texts if text.name == "package"]
    texts += [one.text for one in _said(case, ParticularName.PACKAGE)]
    bodies = {body for text in texts for body in text_to_bodies(text)}
    if name not in CODED or len(bodies) != 1:
        return None
    size_mm = next(iter(bodies))[CODED[name]] + CHIP_TOLERANCE_MM
    return _answered(
        question,
        size_mm,
        limit_mm,
        size_mm <= limit_mm,
        (),
        assumed=(f"size by the package code and {CHIP_TOLERANCE_MM:g} mm (from memory)",),
    )


def _by_letters(case: Case, question: Question, name: ParticularName, limit_mm: float) -> Margin:
    """Letters of a drawing: only where every one is small enough is the side known to be."""
    found = _said(case, ParticularName.DIMENSION)
    largest = [one for one in found if one.kind is not Kind.MIN and one.value is not None]
    letters = {one.label for one in found}
    if largest and {one.label for one in largest} == letters:
        size_mm = max(one.value for one in largest if one.value is not None)
        if size_mm <= limit_mm:
            return _answered(
                question, size_mm, limit_mm, True, largest, note="every letter of the drawing is"
            )
    why = (
        f"only the drawing says which of {', '.join(sorted(letters))} it is"
        if letters
        else _why_none(case, name)
    )
    return undetermined(question, Number(None, note=why), limit_mm)


def _operating(case: Case, question: Question, kind: Kind, limit_c: float) -> Margin | None:
    stated = any(one.name is ParticularName.OPERATING_TEMPERATURE and one.kind is kind
                 for one in case.numbers.part.particulars)
    if case.requirement.operating_margin_k is None and not stated:
        return None
    found = [one for one in _said(case, ParticularName.OPERATING_TEMPERATURE) if one.kind is kind]
    if not found or found[0].value is None:
        why = _why_none(case, ParticularName.OPERATING_TEMPERATURE)
        return undetermined(question, Number(None, note=why), limit_c)
    value_c = found[0].value
    fits = value_c >= limit_c if question.sense is Sense.AT_LEAST else value_c <= limit_c
    return _answered(question, value_c, limit_c, fits, found[:1])


def _answered(
    question: Question,
    value: float | None,
    limit: float | None,
    fits: bool,
    found: Iterable[Particular],
    *,
    note: str = "",
    assumed: tuple[str, ...] = (),
) -> Margin:
    """A margin that rests on particulars; temperatures have no ratio."""
    size = None
    if value is not None and limit is not None and question.unit not in ("°C", "") and value > 0.0:
        size = ratio(value, limit, question.sense)
    return Margin(
        question.name,
        value,
        limit,
        size,
        Verdict.FITS if fits else Verdict.FAILS,
        Basis.ASSUMED if assumed else Basis.DATA,
        question.unit,
        question.sense,
        note,
        assumed=assumed,
        particulars=tuple(found),
    )


def _said(case: Case, name: ParticularName) -> list[Particular]:
    """Undisputed particulars of that name; one of the part itself goes before one of its whole sheet."""
    found = [
        one for one in case.numbers.part.particulars if one.name is name and one.status is not Status.DISPUTED
    ]
    return [one for one in found if one.part_number == case.numbers.part.part_number] or found


def _why_none(case: Case, name: ParticularName) -> str:
    """Why a particular cannot be used: disputed, not said, or none were read at all."""
    words = name.value.replace("_", " ")
    disputed = [one for one in case.numbers.part.particulars if one.name is name]
    if disputed:
        return f'{words} "{disputed[0].raw}" is disputed: a person must look'
    if not case.numbers.part.particulars:
        return f"no {words}: the source gives ratings only; a datasheet or a library of datasheets gives more"
    return f"the sheet gives no {words}"


def _agency(text: str) -> str:
    return text.casefold().replace("ü", "u")
