"""Package codes: which are the same, and how large they are.

Comes in: printed package texts. Goes out: whether one of the wished codes is among them; the area in mm².
Does not read drawings: only codes and words as printed.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_WORD = re.compile(r"[0-9A-Za-z]+")


@dataclass(frozen=True, slots=True)
class Package:
    """A package: EIA code, metric code or empty, body in mm."""

    eia: str
    metric: str
    length_mm: float
    width_mm: float


@cache
def _by_code() -> dict[str, Package]:
    rows = tomllib.loads(files("compare").joinpath("packages.toml").read_text(encoding="utf-8"))["packages"]
    packages = [Package(**row) for row in rows]
    return {code: package for package in packages for code in (package.metric, package.eia) if code}


@cache
def text_to_codes(text: str) -> frozenset[str]:
    """Words of a package text in lower case, metric codes as their EIA code."""
    words = (word.lower() for word in _WORD.findall(text))
    return frozenset(_by_code()[word].eia if word in _by_code() else word for word in words)


def part_has_package(text: str, wishes: tuple[str, ...]) -> bool:
    """Whether a printed package text names one of the wished packages, all words of the wish included."""
    codes = text_to_codes(text)
    return any(text_to_codes(wish) <= codes for wish in wishes)


@cache
def package_area_mm2(text: str) -> float | None:
    """Area of the body, mm², of the one known code in a package text; None where none or several are."""
    known = [_by_code()[code] for code in text_to_codes(text) if code in _by_code()]
    return known[0].length_mm * known[0].width_mm if len(known) == 1 else None


@cache
def text_to_bodies(text: str) -> frozenset[tuple[float, float]]:
    """Length and width of the body, mm, of every known code in a package text."""
    known = [_by_code()[code] for code in text_to_codes(text) if code in _by_code()]
    return frozenset((package.length_mm, package.width_mm) for package in known)
