"""A column of values and its limit become a column of margins with verdicts.

Comes in: columns, limits. Goes out: a `MarginColumn`; each line says what `judging.judged` says of one part.
Does not look anything up.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from compare.columns.corners import Column
from compare.columns.rows import NAN, Bools, Codes, Floats
from compare.judging import JUST_MET
from compare.records import VERDICT_RANK, Sense, Verdict

FITS, FAILS = VERDICT_RANK[Verdict.FITS], VERDICT_RANK[Verdict.FAILS]
OPEN = VERDICT_RANK[Verdict.UNDETERMINED]
DIGITS = 9
"""Margins are compared to so many digits, as `judging.without_dust`."""


class MarginColumn(NamedTuple):
    """One question to every part: value, limit and margin, not a number where there is none; verdict and
    basis by their ranks."""

    value: Floats
    limit: Floats
    margin: Floats
    verdict: Codes
    basis: Codes


def meets(have: Floats, need: Floats) -> Bools:
    """Whether a need is met; never where either is unknown."""
    return np.asarray(have >= need * JUST_MET, bool)


def ratio(have: Floats, need: Floats) -> Floats:
    """How many times a need is met, not a number where it cannot be divided."""
    return np.where(need > 0.0, have / need, NAN)


def judged(number: Column, limit: Floats, sense: Sense) -> MarginColumn:
    """Margins of numbers against limits; open where a number is missing."""
    have, need = (number.value, limit) if sense is Sense.AT_LEAST else (limit, number.value)
    missing = np.isnan(number.value) | np.isnan(limit)
    verdict = np.where(missing, OPEN, np.where(meets(have, need), FITS, FAILS))
    return MarginColumn(np.where(missing, NAN, number.value), limit,
                        np.where(missing, NAN, ratio(have, need)), verdict,
                        np.where(missing, 0, number.basis))


def doubted(margins: MarginColumn, where: Bools) -> MarginColumn:
    """The same, but open at some places."""
    return margins._replace(verdict=np.where(where, OPEN, margins.verdict))


def chosen(where: Bools, one: MarginColumn, other: MarginColumn) -> MarginColumn:
    """Of two columns the first at some places, else the second."""
    return MarginColumn(np.where(where, one.value, other.value), np.where(where, one.limit, other.limit),
                        np.where(where, one.margin, other.margin),
                        np.where(where, one.verdict, other.verdict), np.where(where, one.basis, other.basis))


def without_dust(value: Floats) -> Floats:
    """As `judging.without_dust`: values to nine digits."""
    with np.errstate(divide="ignore", invalid="ignore"):
        size = np.where(value == 0.0, 0.0, np.floor(np.log10(np.abs(value))))
        scale = 10.0 ** (DIGITS - 1 - size)
        return np.round(value * scale) / scale


def undetermined(count: int) -> MarginColumn:
    """Nothing can be said of any part."""
    value, limit, margin = (np.full(count, NAN) for _ in range(3))
    return MarginColumn(value, limit, margin, np.full(count, OPEN), np.zeros(count, np.int64))
