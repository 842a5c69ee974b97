"""Answers remembered for later sheets of the same house: what they settle, and what they never do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from extract.answers import cause_to_answer, sheet_to_answered
from extract.asked import Remembered
from extract.causes import COLUMN_BY_COLUMN, sheet_to_causes
from extract.column_words import readings_to_column_words
from extract.house import names_house, texts_to_edges, texts_to_house
from extract.lines import Run
from extract.remembered import NOT_USED, answer_to_remembered, sheet_to_remembered, uses_to_lines
from extract.schema import ColumnWords, Kind, Place, Quantity, Reading, SheetReading, Status

SIGNED = ("lena", "2026-05-12", "page 2 prints mA")
UNIT = "unit not printed and 253 A is beyond it"
HOLD = Quantity.HOLD_CURRENT


def _sheet(name: str, values: tuple[float, ...], words: str = "ih", edge: str = "Quarrow Ltd, 2031",
           doubts: tuple[str, ...] = (UNIT,), prefix: str = "AB") -> SheetReading:
    """A sheet of a house whose hold currents wait for their unit."""
    readings = tuple(
        Reading(f"{name}.pdf", name * 64, f"{prefix}-{n}", HOLD, Kind.NONE, 23.0, None, value,
                Status.DISPUTED, Place(1, 50, 10.0 * n, 70, 10.0 * n + 8), f"{value:g}", notes=doubts)
        for n, value in enumerate(values, 1))
    return sheet_to_causes(SheetReading(
        f"{name}.pdf", name * 64, 1, (1,), "", readings, (), (), edges=(edge,),
        headings=(ColumnWords(1, HOLD, Kind.NONE, words),)))


def _known(said: str = "unit:mA", house: str = "Quarrow", series: str = "") -> Remembered:
    first = _sheet("a", (250.0, 500.0))
    return answer_to_remembered(first, cause_to_answer(first, 1, said, SIGNED), house, series)


def test_the_second_sheet_of_a_house_is_not_asked() -> None:
    """The same question under the same words is settled, with the standing of the answer: read once; the note
    and the sentence say whose answer of which day on which sheet it was."""
    sheet, uses = sheet_to_remembered(_sheet("b", (300.0, 750.0)), [_known()])
    assert [(r.value, r.status) for r in sheet.readings] == [(0.3, Status.SINGLE), (0.75, Status.SINGLE)]
    assert sheet.causes == ()
    assert sheet.readings[0].notes[-1] == "by your answer of 2026-05-12 on a.pdf: unit:mA"
    assert uses_to_lines(uses) == [
        "2 numbers read so because of lena's answer of 2026-05-12 on a.pdf (unit:mA)"]


@pytest.mark.parametrize("other", [
    _sheet("b", (300.0,), words="ih max"), _sheet("b", (300.0,), edge="Kelder Ltd, 2031"),
    _sheet("b", (300.0,), edge="Quarrowick Ltd"), _sheet("b", (300.0,), prefix="XY")],
    ids=["other words", "other house", "a longer name", "other series"])
def test_another_house_heading_or_series_is_asked(other: SheetReading) -> None:
    """What is remembered holds for its house, as a word by itself, its headings and its series only."""
    sheet, uses = sheet_to_remembered(other, [_known(series="AB")])
    assert len(sheet.causes) == 1
    assert uses == ()


def test_columns_without_words_are_asked_each_time() -> None:
    """Nothing stands over the column: none can be told to be the same, the answer is of its own sheet."""
    bare = replace(_sheet("a", (250.0,)), headings=())
    first = sheet_to_causes(bare)
    one = answer_to_remembered(first, cause_to_answer(first, 1, "unit:mA", SIGNED), "Quarrow")
    assert (one.house, one.words) == ("", ())
    second = sheet_to_causes(replace(_sheet("b", (300.0,)), headings=()))
    for known in (one, replace(_known(), words=first.causes[0].words)):
        sheet, uses = sheet_to_remembered(second, [known])
        assert len(sheet.causes) == 1
        assert uses == ()


@pytest.mark.parametrize("gap", [4.0, 12.0, 24.0, 34.0])
def test_the_words_over_a_column_are_found_however_far_they_stand(gap: float) -> None:
    """As far as a heading stands from its rows; not those of a text further up, nor of the table above."""
    place = Place(1, 50, 200, 70, 208)
    readings = [replace(_sheet("a", (0.5,)).readings[0], place=place)]
    foot = 200 - gap
    runs = [Run("Vask", 50, foot - 20, 70, foot - 12, 8), Run("[A]", 50, foot - 8, 62, foot, 8),
            Run("Prose of the sheet", 40, foot - 60, 160, foot - 52, 8)]
    (words,) = readings_to_column_words(readings, {1: runs})
    assert words.words == "vask [a]"
    assert readings_to_column_words(readings, {1: [Run("Far away", 50, 100, 90, 108, 8)]}) == ()


def test_a_contradiction_makes_it_a_question_again() -> None:
    """900,000 mA of hold current is beyond physics: the answer is not used at all, and a finding says so."""
    sheet, uses = sheet_to_remembered(_sheet("b", (300.0, 900000.0)), [_known()])
    assert {r.status for r in sheet.readings} == {Status.DISPUTED}
    assert [r.value for r in sheet.readings] == [300.0, 900000.0]
    assert [f.code for f in sheet.findings] == [NOT_USED]
    assert "not read by lena's answer" in uses_to_lines(uses)[0]


@pytest.mark.parametrize(("quantity", "kind", "ambient_c", "of_hold"), [
    (Quantity.TRIP_CURRENT, Kind.NONE, 23.0, lambda a: 2 * a), (HOLD, Kind.NONE, 60.0, lambda a: 0.6 * a),
    (Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None, lambda a: 0.3 / a),
    (Quantity.TRIPPED_POWER, Kind.TYP, None, lambda a: 0.5 + a / 10)],
    ids=["trip current", "hotter", "resistance", "power"])
def test_an_answer_in_the_wrong_unit_is_asked_again(
    quantity: Quantity, kind: Kind, ambient_c: float | None, of_hold: Callable[[float], float]
) -> None:
    """A sheet in mA taught it; the next of the house prints 12 and 20 A under the same words. What stands
    beside them objects, so nothing is read in mA, by memory or by hand: the question stays, and in A it is
    settled."""
    def beside(sheet: SheetReading) -> SheetReading:
        more = [replace(one, quantity=quantity, kind=kind, ambient_c=ambient_c, value=of_hold(one.value),
                        status=Status.AGREED, notes=(), place=replace(one.place, x0=100, x1=120))
                for one in sheet.readings]
        if quantity is Quantity.TRIPPED_POWER:  # power tells with a resistance
            more += [replace(one, quantity=Quantity.RESISTANCE, kind=Kind.MIN, value=0.02 / held.value,
                             place=replace(one.place, x0=150, x1=170))
                     for one, held in zip(more, sheet.readings, strict=True)]
        return sheet_to_causes(replace(sheet, readings=(*sheet.readings, *more)))

    second = beside(_sheet("b", (12.0, 20.0)))
    sheet, uses = sheet_to_remembered(second, [_known("unit:mA")])
    held = [one for one in sheet.readings if one.quantity is HOLD and one.ambient_c == 23.0]
    assert [(one.value, one.status) for one in held] == [(12.0, Status.DISPUTED), (20.0, Status.DISPUTED)]
    assert uses[0].objection
    assert NOT_USED in {one.code for one in sheet.findings}
    number = next(cause.number for cause in second.causes if cause.code == "unit")
    by_hand = sheet_to_answered(second, [cause_to_answer(second, number, "unit:mA", SIGNED)])
    held = [one for one in by_hand.readings if one.quantity is HOLD and one.ambient_c == 23.0]
    assert {one.status for one in held} == {Status.DISPUTED}
    assert by_hand.causes
    right = sheet_to_answered(second, [cause_to_answer(second, number, "right", SIGNED)])
    assert right.causes == ()
    held = [one for one in right.readings if one.quantity is HOLD and one.ambient_c == 23.0]
    assert [one.value for one in held] == [12.0, 20.0]


def test_digits_are_never_settled_by_memory() -> None:
    """A number whose digits the second reading doubts as well stays in doubt."""
    doubts = (UNIT, "the second reading sees '800'")
    sheet, _ = sheet_to_remembered(_sheet("b", (300.0,), doubts=doubts), [_known()])
    assert sheet.readings[0].status is Status.DISPUTED
    digits = _sheet("a", (250.0,), doubts=("the second reading sees '800'",))
    one = answer_to_remembered(digits, cause_to_answer(digits, 1, "right", SIGNED), "Quarrow")
    assert (one.house, one.words) == ("", ())


def test_the_latest_answer_holds() -> None:
    """Two answers of one house: the later one is used."""
    later = replace(_known("right"), answer=replace(_known("right").answer, when="2026-06-01"))
    sheet, _ = sheet_to_remembered(_sheet("b", (0.3,)), [_known(), later])
    assert sheet.readings[0].value == 0.3


@pytest.mark.parametrize(("lines", "house"), [
    ("Quarrowick Devices\nQK chip protectors\nFeatures", "Quarrowick Devices"),
    ("OVK datasheet | Kelder Komponenter AB | Rev. 3\nFeatures", "Kelder Komponenter AB"),
    ("森野电子有限公司　　自恢复保险丝\n型号", "森野电子"),
    ("Resettable fuses\nSpecification\nPage 1", ""), ("Part number\nSpecification\nPage 1", "")])
def test_the_house_is_named_by_the_edges_of_the_pages(lines: str, house: str) -> None:
    """A company's name at the top or foot; where none looks like one, nothing is guessed."""
    found = texts_to_house([f"{lines}\n1.0 2.0"])
    assert found.startswith(house) if house else not found
    assert not house or names_house(texts_to_edges([lines]), house)


def test_what_each_column_holds_is_remembered() -> None:
    """Asked column by column on the first sheet, the second needs no question; only the answers that settled
    numbers are told."""
    def two_columns(name: str) -> SheetReading:
        sheet = _sheet(name, (0.3, 0.75), doubts=("meaning_unsure:hold/other",))
        limits = tuple(replace(one, quantity=Quantity.MAX_CURRENT, kind=Kind.AC, ambient_c=None, value=40.0,
                               place=replace(one.place, x0=90, x1=110)) for one in sheet.readings)
        words = (*sheet.headings, ColumnWords(1, Quantity.MAX_CURRENT, Kind.AC, "im"))
        return sheet_to_causes(replace(sheet, readings=(*sheet.readings, *limits), headings=words))

    first, known = two_columns("a"), []
    for code, said in (("meaning", COLUMN_BY_COLUMN), ("column", "right"), ("column", "kind:none")):
        number = next(cause.number for cause in first.causes if cause.code == code)
        answer = cause_to_answer(first, number, said, SIGNED)
        known.append(answer_to_remembered(first, answer, "Quarrow"))
        first = sheet_to_answered(first, [answer])
    assert first.causes == ()
    second, uses = sheet_to_remembered(two_columns("b"), known)
    assert second.causes == ()
    assert {(r.quantity, r.kind, r.status) for r in second.readings} == {
        (HOLD, Kind.NONE, Status.SINGLE), (Quantity.MAX_CURRENT, Kind.NONE, Status.SINGLE)}
    assert len(uses) == 3
    assert len(uses_to_lines(uses)) == 2
