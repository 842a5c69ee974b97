"""Parts of a library in columns, made from bare numbers, are those made from its records."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from random import Random

import numpy as np
import pytest

from compare.columns.best import columns_to_best
from compare.columns.part_columns import PartColumns, parts_to_columns, source_to_columns
from compare.columns.part_source import FlatNumbers, GivenParts
from compare.ranking import parts_to_ranking
from compare.records import Verdict
from compare.requirement import Requirement
from extract.errors import HoldtripError
from extract.schema import (
    WHOLE_SERIES,
    ChartName,
    Curve,
    Kind,
    Part,
    Particular,
    ParticularName,
    Quantity,
    SheetReading,
    Status,
)
from extract.sheet import read_sheet
from holdtrip.library.records import Signature, Target
from holdtrip.library.records import Verdict as Said
from holdtrip.library.store import Library, open_library
from holdtrip.library_parts import LibraryParts
from tests.holdtrip.many_parts import PLACE, decide_at_random, random_requirement, random_sheet
from tests.library.conftest import new_schema

SAMPLES = Path(__file__).parents[2] / "sample_tables"
SHEETS, PARTS = 8, 9
ANN, BEN = Signature("Ann", "seen"), Signature("Ben", "seen too")
SAID = ((ParticularName.OPERATING_TEMPERATURE, Kind.MAX, 70.0, ""),
        (ParticularName.OPERATING_TEMPERATURE, Kind.MIN, -20.0, ""),
        (ParticularName.MOUNTING, Kind.NONE, None, "surface mount"),
        (ParticularName.MOUNTING, Kind.NONE, None, "leads"),
        (ParticularName.BODY_LENGTH, Kind.MAX, 4.7, ""), (ParticularName.LEAD_SPACING, Kind.NONE, 5.1, ""),
        (ParticularName.TRIP_CYCLES, Kind.NONE, 100.0, ""))
NAMES = (frozenset({ParticularName.OPERATING_TEMPERATURE}), frozenset({ParticularName.APPROVAL}),
         frozenset({ParticularName.MOUNTING, ParticularName.BODY_LENGTH}))
BOTH = pytest.mark.parametrize("accepted_only", [False, True])


def furnished(chance: Random, sheet: SheetReading) -> SheetReading:
    """A random sheet with curves and particulars of its series, of single parts and of parts it has not."""
    numbers = [*dict.fromkeys(one.part_number for one in sheet.readings), WHOLE_SERIES, "ELSEWHERE"]
    curves = tuple(
        Curve(sheet.document, sheet.sha256, chance.choice(numbers[:4]), ChartName.TIME_TO_TRIP, Kind.TYP,
              23.0, ((1.0, 10.0), (10.0, 0.1)), Status.AGREED, PLACE, "A", 0.02, 0.02)
        for _ in range(chance.choice((0, 0, 3))))
    said = tuple(
        Particular(sheet.document, sheet.sha256, chance.choice(numbers), name, kind, value, text,
                   chance.choice((Status.AGREED, Status.AGREED, Status.DISPUTED)), PLACE, text or f"{value}")
        for name, kind, value, text in SAID * 2 if chance.random() < 0.5)
    return replace(sheet, curves=curves, particulars=said)


def fill(library: Library, chance: Random) -> None:
    """Sheets, newer revisions of some of them, decisions on numbers and curves."""
    for index in range(SHEETS):
        library.import_sheet(
            furnished(chance, random_sheet(chance, f"qx{index}.pdf", PARTS, PARTS * index)), "Ann")
    decide_at_random(chance, library)
    for index in range(0, SHEETS, 4):
        library.import_sheet(
            furnished(chance, random_sheet(chance, f"qx{index}_b.pdf", PARTS, PARTS * index)), "Ann")
    decide_at_random(chance, library)
    for number in library.list_parts()[::2]:
        with suppress(HoldtripError):
            library.accept(Target(number.part_number, sha256=number.sha256), BEN, singles=True)
        for by in (ANN, BEN):
            with suppress(HoldtripError):
                library.correct(Target(number.part_number, sha256=number.sha256,
                                       quantity=Quantity.TRIPPED_POWER), 0.9, by)
    listed = [one.part_number for one in library.list_parts()]
    for one in library.curves():
        with suppress(HoldtripError):
            verdict = chance.choice((Said.ACCEPTED, Said.CORRECTED, Said.REJECTED, Said.REOPENED))
            library.decide_curve(one.curve_id, verdict, ANN, chance.choice(listed))


@pytest.fixture(scope="module", params=["sqlite", "postgresql", "two signatures"])
def library(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Library]:
    """Random parts with random decisions of one person or, where two must sign, of two."""
    made = (new_schema() if request.param == "postgresql"
            else iter([str(tmp_path_factory.mktemp("library") / "library.sqlite")]))
    for address in made:
        with open_library(address) as opened:
            if request.param == "two signatures":
                opened.settle(ANN, signatures=2)
            fill(opened, Random(7))
            yield opened


def check_alike(library: Library, accepted_only: bool) -> tuple[Part, ...]:
    """All that columns ask of a library is what they ask of its records; returns these."""
    source, parts = LibraryParts(library, accepted_only), library.parts(accepted_only)
    given = GivenParts(parts)
    for name, one, other in zip(FlatNumbers._fields, source.numbers(), given.numbers(), strict=True):
        assert np.array_equal(one, other, equal_nan=one.dtype == float), name
    assert [*source.names()] == [*given.names()]
    assert [*source.packages()] == [*given.packages()]
    assert np.array_equal(source.with_curves(), given.with_curves())
    for names in NAMES:
        assert np.array_equal(source.said(names), given.said(names))
    assert source.parts(range(len(parts))) == parts
    return parts


@BOTH
def test_bare_numbers_are_those_of_the_records(library: Library, accepted_only: bool) -> None:
    """Rejected numbers are absent, corrected ones have their right value, in the order of the records."""
    parts = check_alike(library, accepted_only)
    assert len(parts) > (10 if accepted_only else 60)
    assert accepted_only or any(part.curves for part in parts)
    statuses = {one.status for part in parts for one in part.readings}
    assert Status.BULK in statuses if accepted_only else Status.CORRECTED in statuses


@BOTH
def test_a_ranking_from_bare_numbers_is_that_of_the_records(library: Library, accepted_only: bool) -> None:
    """Order, verdicts and every margin, whatever is asked."""
    parts, columns = library.parts(accepted_only), columns_of(library, accepted_only)
    chance = Random(3)
    for _ in range(25):
        asked = random_requirement(chance)
        if chance.random() < 0.5:
            asked = replace(asked, mounting="surface_mount", length_max_mm=5.0, trip_time_max_s=2.0)
        check_ranking(columns, parts, asked)


def check_ranking(columns: PartColumns, parts: tuple[Part, ...], asked: Requirement) -> None:
    full = parts_to_ranking(parts, asked)
    for wanted in (3, len(parts)):
        best = columns_to_best(columns, asked, wanted)
        assert best.ranking.candidates == full.candidates[:wanted]
        assert best.counts == {verdict: len(full.with_verdict(verdict)) for verdict in Verdict}


def columns_of(library: Library, accepted_only: bool) -> PartColumns:
    return source_to_columns(LibraryParts(library, accepted_only))


@pytest.mark.parametrize("sample", ["rushingdell_rsd", "quarrowick_qk"])
def test_samples_rank_alike_from_bare_numbers(sample: str, tmp_path: Path) -> None:
    """Datasheets as they are read, with their drawn curves, series rows and operating ranges."""
    with open_library(tmp_path / "library.sqlite") as library:
        library.import_sheet(read_sheet(SAMPLES / f"{sample}.pdf"), "Ann")
        parts = check_alike(library, accepted_only=False)
        asked = random_requirement(Random(2))
        for one in (asked, replace(asked, trip_time_max_s=5.0), replace(asked, operating_margin_k=10.0)):
            check_ranking(columns_of(library, False), parts, one)


def test_what_is_asked_later_is_of_the_same_version(tmp_path: Path) -> None:
    """A part shown after somebody has rejected a number of it stands beside the columns made before."""
    with open_library(tmp_path / "library.sqlite") as library:
        library.import_sheet(furnished(Random(5), random_sheet(Random(5), "qx.pdf", 4)), "Ann")
        source, before = LibraryParts(library, accepted_only=False), library.parts()
        library.reject(Target(before[0].part_number, quantity=Quantity.RESISTANCE), ANN)
        library.import_sheet(random_sheet(Random(6), "qy.pdf", 4, 4), "Ann")
        assert source.parts((0, 2)) == (before[0], before[2])
        assert len(source.said(NAMES[0])) == len(before)
        assert library.parts()[0] != before[0]


def test_a_library_without_parts_is_no_columns_with_anything(tmp_path: Path) -> None:
    """Nothing to load is nothing to judge."""
    with open_library(tmp_path / "library.sqlite") as library:
        assert columns_of(library, False).count == library.part_count() == 0
        library.import_sheet(random_sheet(Random(1), "qx.pdf", 3), "Ann")
        assert columns_of(library, True).count == 0
        assert library.part_count() == columns_of(library, False).count == parts_to_columns(
            library.parts()).count == 3
