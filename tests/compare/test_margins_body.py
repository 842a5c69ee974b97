"""Size, mounting, operating range, approvals and tested trips against a requirement."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from compare.corners import numbers_to_case
from compare.margins import case_to_margins
from compare.part_numbers import part_to_numbers
from compare.records import Basis, Margin, Verdict
from compare.requirement import Requirement
from extract.schema import WHOLE_SERIES, Kind, Part, Particular, ParticularName, Place, Status
from extract.standing import Standing

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]
FITS, FAILS, UNDETERMINED = Verdict.FITS, Verdict.FAILS, Verdict.UNDETERMINED


def with_said(part: Part, *said: tuple[str, Kind, float | str, str], status: Status = Status.AGREED) -> Part:
    """The part with particulars (name, kind, value or text, label)."""
    return replace(part, particulars=tuple(
        Particular(part.document, part.sha256, part.part_number, ParticularName(name), kind,
                   value if isinstance(value, float) else None, value if isinstance(value, str) else "",
                   status, Place(3, 1.0, 2.0, 3.0, 4.0), f"{value}", label)
        for name, kind, value, label in said))


def asked(name: str, part: Part, requirement: Requirement) -> Margin:
    """The margin of that name."""
    margins = case_to_margins(numbers_to_case(part_to_numbers(part), requirement))
    (found,) = [margin for margin in margins if margin.name == name]
    return found


@pytest.mark.parametrize(("limit", "verdict"), [("4.8", FITS), ("4.7", FAILS)])
def test_the_largest_length_counts(
    limit: str, verdict: Verdict, make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """4.37 to 4.73 mm in a footprint of 4.8 mm fits, of 4.7 mm fails; the cell is its source."""
    part = with_said(make_part(), ("body_length", Kind.MIN, 4.37, ""), ("body_length", Kind.MAX, 4.73, ""))
    margin = asked("body_length", part, make_requirement(f"length_max_mm = {limit}"))
    assert (margin.verdict, margin.value) == (verdict, 4.73)
    assert 'p. 3 "4.73"' in margin.source


def test_a_code_gives_length_and_width_but_no_height(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """1812 is 4.5 mm by 3.2 mm (published vendor data), taken 0.3 mm larger; its height is unknown."""
    part = make_part(package="1812")
    requirement = make_requirement("length_max_mm = 4.8\nwidth_max_mm = 3.4\nheight_max_mm = 2.0")
    length, width, height = (asked(name, part, requirement) for name in
                             ("body_length", "body_width", "body_height"))
    assert (length.verdict, length.basis) == (FITS, Basis.ASSUMED)
    assert width.verdict is FAILS
    assert height.verdict is UNDETERMINED


def test_letters_of_a_drawing_fit_only_if_all_do(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A 4.73 mm and C 1.1 mm: which is the height only the drawing says; under 5 mm both are."""
    part = with_said(make_part(), ("dimension", Kind.MAX, 4.73, "A"), ("dimension", Kind.MAX, 1.1, "C"))
    assert asked("body_height", part, make_requirement("height_max_mm = 2.0")).verdict is UNDETERMINED
    assert asked("body_height", part, make_requirement("height_max_mm = 5.0")).verdict is FITS


def test_the_operating_range_needs_its_margin_at_both_ends(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """-40 to 85 °C; 60 °C and 20 K of neighbours leave 5 K: 5 K fits, 6 K fails; -30 °C is 10 K in."""
    part = with_said(make_part(), ("operating_temperature", Kind.MIN, -40.0, ""),
                     ("operating_temperature", Kind.MAX, 85.0, ""))
    ambients = {"ambient_hot_c": 60.0, "ambient_cold_c": -30.0, "neighbour_heating_k": 20.0}
    for margin_k, hot in ((5, FITS), (6, FAILS)):
        requirement = make_requirement(f"operating_margin_k = {margin_k}", **ambients)
        assert asked("operating_hot", part, requirement).verdict is hot
        assert asked("operating_cold", part, requirement).verdict is FITS


def test_a_stated_operating_range_counts_without_being_asked(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """-20 to 70 °C: at 80 °C a part fails though its table may go on; a sheet without range is not asked."""
    part = with_said(make_part(), ("operating_temperature", Kind.MIN, -20.0, ""),
                     ("operating_temperature", Kind.MAX, 70.0, ""))
    for hot_c, verdict in ((70.0, FITS), (70.5, FAILS)):
        requirement = make_requirement(ambient_hot_c=hot_c)
        assert asked("operating_hot", part, requirement).verdict is verdict
        assert asked("operating_cold", part, requirement).verdict is FITS
    silent = case_to_margins(numbers_to_case(part_to_numbers(make_part()), make_requirement()))
    assert "operating_hot" not in {margin.name for margin in silent}


def test_approvals_granted_pending_and_silent(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """UL named fits, CSA pending fails, TÜV not named is undetermined: an approval may exist unnamed."""
    part = with_said(make_part(), ("approval", Kind.NONE, "E000123", "UL"),
                     ("approval", Kind.NONE, "pending", "CSA"))
    for wanted, verdict in (("UL", FITS), ("CSA", FAILS), ("TUV", UNDETERMINED)):
        assert asked("approvals", part, make_requirement(f'approvals = ["{wanted}"]')).verdict is verdict


@pytest.mark.parametrize(
    ("said", "verdict"), [("listed", FITS), ("not listed", FAILS), ("no mark", UNDETERMINED)]
)
def test_the_parts_own_mark_goes_before_the_sheets_file(
    said: str, verdict: Verdict, make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """The sheet names a UL file; a part whose own row has a dash under UL is not approved by it."""
    own = with_said(make_part(), ("approval", Kind.NONE, said, "UL"))
    file = replace(own.particulars[0], part_number=WHOLE_SERIES, text="E000123")
    part = replace(own, particulars=(file, *own.particulars))
    margin = asked("approvals", part, make_requirement('approvals = ["UL"]'))
    assert margin.verdict is verdict


def test_rows_that_contradict_each_other_decide_nothing(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """One table marks the part under UL, another has a dash: neither, and not the sheet's file, decides."""
    own = with_said(make_part(), ("approval", Kind.NONE, "listed", "UL"))
    other = replace(own.particulars[0], text="not listed")
    file = replace(own.particulars[0], part_number=WHOLE_SERIES, text="E000123")
    part = replace(own, particulars=(*own.particulars, other, file))
    assert asked("approvals", part, make_requirement('approvals = ["UL"]')).verdict is UNDETERMINED


def test_mounting_and_lead_spacing(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """A radial part with leads at 5.1 mm fits holes at 5.08 mm, not at 10 mm, nor a pad."""
    part = with_said(make_part(), ("mounting", Kind.NONE, "radial", ""), ("lead_spacing", Kind.TYP, 5.1, ""))
    assert asked("mounting", part, make_requirement('mounting = "radial"')).verdict is FITS
    assert asked("mounting", part, make_requirement('mounting = "surface_mount"')).verdict is FAILS
    assert asked("lead_spacing", part, make_requirement("lead_spacing_mm = 5.08")).verdict is FITS
    assert asked("lead_spacing", part, make_requirement("lead_spacing_mm = 10.0")).verdict is FAILS


def test_tested_trips(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """1 trip a month for 8 years is 96 of 100 tested; for 9 years 108: fails."""
    part = with_said(make_part(), ("trip_cycles", Kind.NONE, 100.0, ""))
    for years, verdict in ((8, FITS), (9, FAILS)):
        text = f"[endurance]\ntrips_per_month = 1\nservice_years = {years}"
        assert asked("tested_trips", part, make_requirement(text)).verdict is verdict


def test_silence_and_doubt_decide_nothing(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """No particular, or a disputed one: undetermined, with the reason."""
    requirement = make_requirement("operating_margin_k = 0")
    doubtful = with_said(make_part(), ("operating_temperature", Kind.MAX, 85.0, ""), status=Status.DISPUTED)
    assert asked("operating_hot", make_part(), requirement).verdict is UNDETERMINED
    assert "disputed" in asked("operating_hot", doubtful, requirement).note


def test_a_margin_stands_no_better_than_its_particular(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A length read once stands single."""
    part = with_said(make_part(), ("body_length", Kind.MAX, 4.0, ""), status=Status.SINGLE)
    assert asked("body_length", part, make_requirement("length_max_mm = 5")).standing is Standing.SINGLE
