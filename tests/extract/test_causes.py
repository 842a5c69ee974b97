"""Doubts gathered into questions, and doubts that the sheet itself settles."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from extract.answers import cause_to_answer, read_answers, sheet_to_answered, write_answers
from extract.asked import Remembered
from extract.causes import (
    COLUMN_BY_COLUMN,
    causes_to_line,
    code_to_answers,
    doubt_to_code,
    sheet_to_causes,
)
from extract.contradictions import mark_contradictions
from extract.errors import InputError
from extract.long_table import COLUMNS, FURTHER_COLUMNS, read_long_table, write_long_table
from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status
from holdtrip.commands import holdtrip
from holdtrip.exits import run

SHORT = "the row '050' may mean any of AB-050, AC-050"


def _reading(part: str, value: float, status: Status = Status.AGREED, notes: tuple[str, ...] = ()) -> Reading:
    return Reading("s.pdf", "0" * 64, part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, value, status,
                   Place(1, 0, 0, 9, 9), str(value), notes=notes)


def _sheet(*readings: Reading) -> SheetReading:
    return SheetReading("s.pdf", "0" * 64, 1, (1,), "", readings, (), ())


def test_one_doubt_about_many_numbers_is_one_question() -> None:
    """Every disputed reading belongs to exactly one cause; undisputed ones to none; counts add up."""
    doubted = [_reading(f"AB-{n}", n, Status.DISPUTED, (SHORT,)) for n in (1, 2, 3)]
    other = _reading("AB-4", 4, Status.DISPUTED, ("the second reading sees '44'",))
    sheet = sheet_to_causes(_sheet(*doubted, _reading("AB-5", 5), other))
    assert [r.cause for r in sheet.readings] == [1, 1, 1, 0, 2]
    assert [(c.code, c.count) for c in sheet.causes] == [("row-of-several-parts", 3), ("second-reading", 1)]
    assert causes_to_line(sheet.causes) == "2 questions about 4 numbers"


def test_remarks_are_no_doubts() -> None:
    """How a row was joined does not make a cause; the worst doubt names it."""
    notes = ("joined by short: '050'", "the second reading sees '5'", SHORT)
    sheet = sheet_to_causes(_sheet(_reading("AB-050", 5, Status.DISPUTED, notes)))
    assert sheet.causes[0].code == "row-of-several-parts"
    assert sheet.causes[0].facts == (SHORT,)


@pytest.mark.parametrize(
    ("doubt", "code"),
    [
        ("'0250' is no part number: it is a bare code", "part-name"),
        ("neither heading nor title says hold or trip", "hold-or-trip"),
        ("unit not printed and 253 A is beyond the trade's range", "unit"),
        ("no test current was read for this time", "test-current"),
        ("a note says 'AB-050: Vmax = 12 V'", "note-excepts"),
        ("recognised as '0.5', by the second recogniser as '0.6'", "second-reading"),
        ("its heading is recognised as '60 °C', by the second recogniser as '-60 °C'", "heading"),
        ("1.14 A at 30 °C but 1.4 A at 40 °C", "check"),
    ],
)
def test_each_doubt_has_its_code(doubt: str, code: str) -> None:
    """The sentences of doubts are known in one place; a check's sentence is the last resort."""
    assert doubt_to_code(doubt) == code


def test_the_sentences_are_those_the_reader_writes() -> None:
    """Each fixed wording of causes.toml stands in the reader's own source, so that neither drifts away."""
    room = Path(__file__).parents[2] / "extract"
    source = "\n".join(path.read_text(encoding="utf-8") for path in room.rglob("*.py"))
    for words in ("no_ambient_equals_the_rating", "no_share_is_the_whole", "is no part number:",
                  "no_test_current", "the second reading sees", "the sheet prints",
                  "a typical time, not the longest", "unit_not_printed", "meaning_unsure",
                  "ambient_unsure", "part_column_unsure"):
        assert re.search(re.escape(words), source), words


def test_the_cause_is_the_last_column_of_the_long_table(tmp_path: Path) -> None:
    """Written and read back; empty for numbers in no doubt."""
    path = tmp_path / "long.csv"
    readings = (replace(_reading("AB-1", 1, Status.DISPUTED, (SHORT,)), cause=3), _reading("AB-2", 2))
    write_long_table(readings, path)
    assert read_long_table(path) == readings
    assert (*COLUMNS, *FURTHER_COLUMNS)[-1] == "cause"


SIGNED = ("lena", "2026-05-12", "compared with page 3")


def _asked() -> SheetReading:
    """Three numbers in doubt for their row, one for its unit."""
    unit = replace(_reading("AB-4", 253.0, Status.DISPUTED, ("unit not printed and 253 A is beyond it",)),
                   quantity=Quantity.TRIP_CURRENT)
    return sheet_to_causes(_sheet(*[_reading(f"AB-{n}", n, Status.DISPUTED, (SHORT,)) for n in (1, 2)], unit))


def test_one_answer_settles_all_numbers_of_its_cause_as_single() -> None:
    """Answered numbers are read once, never agreed, and say by whose answer; the others wait on."""
    sheet = _asked()
    answered = sheet_to_answered(sheet, [cause_to_answer(sheet, 1, "right", SIGNED)])
    assert [r.status for r in answered.readings] == [Status.SINGLE, Status.SINGLE, Status.DISPUTED]
    assert answered.readings[0].notes == ("by your answer of 2026-05-12: right",)
    assert [cause.code for cause in answered.causes] == ["unit"]


def test_an_answer_may_give_the_unit_or_leave_numbers_out() -> None:
    """253 printed in mA is 0.253 A; what is left out is gone."""
    sheet = _asked()
    as_ma = sheet_to_answered(sheet, [cause_to_answer(sheet, 2, "unit:mA", SIGNED)])
    assert (as_ma.readings[2].value, as_ma.readings[2].status) == (0.253, Status.SINGLE)
    without = sheet_to_answered(sheet, [cause_to_answer(sheet, 1, "leave-out", SIGNED)])
    assert [r.part_number for r in without.readings] == ["AB-4"]


def test_a_check_that_objects_makes_it_a_question_again() -> None:
    """"Right" about 253 A is refused by physics: the number stays disputed, as a question of the checks."""
    sheet = _asked()
    answered = sheet_to_answered(sheet, [cause_to_answer(sheet, 2, "right", SIGNED)])
    assert answered.readings[2].status is Status.DISPUTED
    assert "check" in [cause.code for cause in answered.causes]


def test_an_answer_there_is_not_is_refused() -> None:
    """A wrong number or answer is named with what there is."""
    with pytest.raises(InputError, match="no question 9"):
        cause_to_answer(_asked(), 9, "right", SIGNED)
    with pytest.raises(InputError, match="unit:mA"):
        cause_to_answer(_asked(), 2, "perhaps", SIGNED)


def test_an_answer_that_its_question_does_not_take_settles_nothing() -> None:
    """From a file, or edited: a kind for a trip current, a unit that is none. The question stays open."""
    sheet = _asked()
    good = cause_to_answer(sheet, 2, "unit:mA", SIGNED)
    for said in ("kind:max", "unit:furlong", "ambient:25", "quantity:hold_current", ""):
        one = sheet_to_answered(sheet, [replace(good, answer=said)]).readings[2]
        assert (one.value, one.kind, one.quantity) == (253.0, Kind.NONE, Quantity.TRIP_CURRENT), said
        assert one.status is Status.DISPUTED
        assert not any("your answer" in note for note in one.notes)


def test_what_may_be_answered_depends_on_the_columns() -> None:
    """A time to trip is no smallest resistance: an answer is edited to one that its own columns take."""
    assert "kind:max" in code_to_answers("column")
    assert "kind:max" in code_to_answers("column", ("resistance max: r1",))
    assert "kind:max" not in code_to_answers("column", ("time_to_trip: snar",))
    assert "kind:typ" in code_to_answers("column", ("time_to_trip: snar",))


def test_answers_travel_as_a_file(tmp_path: Path) -> None:
    """Written and read back; anything else is refused in one line."""
    answer = cause_to_answer(_asked(), 1, "right", SIGNED)
    answers = (Remembered(answer, "Quarrow", "AB", ("hold_current: i",)),)
    path = tmp_path / "answers.json"
    assert write_answers(answers, path) == 1
    assert read_answers(path) == answers
    path.write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match="no file of answers"):
        read_answers(path)


def test_what_a_person_confirms_against_a_check_stays_confirmed() -> None:
    """253 A confirmed as printed, after the unit was: the answer to the checks' own question holds."""
    sheet = _asked()
    unit = cause_to_answer(sheet, 2, "right", SIGNED)
    again = sheet_to_answered(sheet, [unit])
    number = next(cause.number for cause in again.causes if cause.code == "check")
    both = [unit, cause_to_answer(again, number, "right", SIGNED)]
    assert sheet_to_answered(sheet, both).readings[2].status is Status.SINGLE


def test_two_values_both_called_right_are_a_question_again() -> None:
    """One number cannot be 0.253 and 253: an answer that keeps both leaves both disputed."""
    doubt = ("two readers find different values: 0.253 and 253",)
    sheet = sheet_to_causes(_sheet(*[_reading("AB-1", v, Status.DISPUTED, doubt) for v in (0.253, 253.0)]))
    answered = sheet_to_answered(sheet, [cause_to_answer(sheet, 1, "right", SIGNED)])
    assert {r.status for r in answered.readings} == {Status.DISPUTED}


def test_a_number_stays_in_doubt_that_no_gone_value_put_there() -> None:
    """Another value of the same number is left out: what was not doubted for it keeps doubt and question."""
    from extract.answers import FREED

    doubts = {(): 0, ("recognised from a picture",): 0, ("something is odd",): 1,
              ("the sheet prints '0.5' on page 1, '0.7' on page 1",): 0}
    for notes, left in doubts.items():
        rival = _reading("AB-1", 0.7, Status.DISPUTED, (SHORT,))
        sheet = sheet_to_causes(_sheet(_reading("AB-1", 0.5, Status.DISPUTED, notes), rival))
        number = next(cause.number for cause in sheet.causes if cause.code == "row-of-several-parts")
        answered = sheet_to_answered(sheet, [cause_to_answer(sheet, number, "leave-out", SIGNED)])
        (one,) = answered.readings
        freed = any("prints" in note for note in notes)
        assert (one.status, one.cause) == ((Status.SINGLE, 0) if freed else (Status.DISPUTED, 1)), notes
        assert (FREED in one.notes) == freed
        assert len([note for note in one.notes if "odd" in note]) == left


def test_the_commands_keep_use_and_take_back_an_answer(
    tmp_path: Path, make_sheet: Callable[..., Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """`answer` keeps it in a file, `read --answers` uses it, `--take-back` removes it."""
    rows = [("Part number", "Ihold (A)", "Itrip (A)", "Time to trip at 8 A typ. (s)"),
            ("TQ050", "0.50", "1.00", "0.8"), ("TQ075", "0.75", "1.50", "1.1")]
    sheet = str(make_sheet(rows, ["Resettable fuses. All ratings at 23 °C in still air."]))
    kept, long = str(tmp_path / "answers.json"), tmp_path / "long.csv"
    assert run(holdtrip, ["answer", sheet, "1", "leave-out", "--answers", kept, "--who", "lena"]) == 0
    assert "leave-out for 2 numbers" in capsys.readouterr().out
    assert run(holdtrip, ["read", sheet, "--answers", kept, "--long", str(long)]) == 0
    assert {r.quantity for r in read_long_table(long)} == {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT}
    assert run(holdtrip, ["answer", sheet, "1", "--take-back", "--answers", kept, "--who", "lena"]) == 0
    assert read_answers(Path(kept)) == ()


def _in_column(row: int, x0: float, value: float, notes: tuple[str, ...] = (), **further: object) -> Reading:
    """A time to trip in doubt, in a row and a column of a table."""
    return replace(_reading(f"AB-{row}", value, Status.DISPUTED, notes), quantity=Quantity.TIME_TO_TRIP,
                   place=Place(1, x0, 10.0 * row, x0 + 9, 10.0 * row + 8), **further)


def test_two_columns_taken_for_the_same_are_one_question() -> None:
    """Two different times for each of three parts, one beside the other: one question about six numbers. Said
    to be typical and longest, all six are read; a single pair stays a contradiction, settled by value."""
    rows = [_in_column(n, x0, value * n) for n in (1, 2, 3) for x0, value in ((50, 2.0), (90, 5.0))]
    sheet = sheet_to_causes(replace(_sheet(), readings=mark_contradictions(rows)))
    assert [(c.code, c.reach, c.count) for c in sheet.causes] == [("two-columns", "page 1, time_to_trip", 6)]
    answered = sheet_to_answered(sheet, [cause_to_answer(sheet, 1, "columns:typ/none", SIGNED)])
    assert answered.causes == ()
    told = {(r.part_number, r.kind, r.value) for r in answered.readings if r.status is Status.SINGLE}
    assert told == {(f"AB-{n}", kind, value * n) for n in (1, 2, 3)
                    for kind, value in ((Kind.TYP, 2.0), (Kind.NONE, 5.0))}
    right_only = sheet_to_answered(sheet, [cause_to_answer(sheet, 1, "columns:leave-out/as-read", SIGNED)])
    assert [r.value for r in right_only.readings] == [5.0, 10.0, 15.0]
    alone = sheet_to_causes(replace(_sheet(), readings=mark_contradictions(rows[:2])))
    assert [c.code for c in alone.causes] == ["contradiction"]


def test_a_table_in_doubt_can_be_asked_column_by_column() -> None:
    """Of a table whose columns are in doubt all may be right, or each is asked by itself: then one can be
    named what it is and another left out. Splitting settles nothing."""
    unsure = ("meaning_unsure:time/other",)
    rows = [_in_column(n, 50, 1.0 * n, unsure) for n in (1, 2)]
    others = [replace(one, quantity=Quantity.MAX_CURRENT, kind=Kind.AC, test_current_a=None) for one in rows]
    sheet = sheet_to_causes(_sheet(*rows, *others))
    assert [c.code for c in sheet.causes] == ["meaning"]
    assert sheet.causes[0].answers == ("right", COLUMN_BY_COLUMN, "leave-out")
    split = sheet_to_answered(sheet, [cause_to_answer(sheet, 1, COLUMN_BY_COLUMN, SIGNED)])
    assert {r.status for r in split.readings} == {Status.DISPUTED}
    assert [(c.code, c.reach) for c in split.causes] == [
        ("column", "page 1, time_to_trip"), ("column", "page 1, max_current ac")]
    named = sheet_to_answered(split, [cause_to_answer(split, 2, "kind:none", SIGNED)])
    assert [(r.kind, r.status) for r in named.readings if r.quantity is Quantity.MAX_CURRENT] == [
        (Kind.NONE, Status.SINGLE)] * 2
    assert [c.reach for c in named.causes] == ["page 1, time_to_trip"]


def test_only_answers_that_fit_the_numbers_are_offered() -> None:
    """A current may be printed in mA, never in mΩ; what it is read as already is not offered again."""
    amperes = _reading("AB-4", 253.0, Status.DISPUTED, ("unit not printed and 253 A is beyond it",))
    assert sheet_to_causes(_sheet(amperes)).causes[0].answers == ("right", "unit:mA", "leave-out")
    largest = replace(_reading("AB-1", 1.0, Status.DISPUTED, ("meaning_unsure:r_max/r_typ",)),
                      quantity=Quantity.RESISTANCE, kind=Kind.MAX)
    offered = sheet_to_causes(_sheet(largest)).causes[0].answers
    assert "kind:typ" in offered
    assert "kind:max" not in offered


def test_a_value_contradicted_only_by_what_an_answer_leaves_out_is_free() -> None:
    """A column of prices taken for a resistance contradicts the true one in every row: once it is left out,
    nothing contradicts, so nothing is asked, and the true numbers count as read once. A doubt of another
    cause stays, and so does a contradiction of two values that are still there."""
    unit = "unit not printed and 3.55 Ω is beyond it"
    twice = "printed_twice_and_different"

    def reading(value: float, page: int, *doubts: str) -> Reading:
        return Reading("p.pdf", "p" * 64, "ZQ-1", Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None, None, value,
                       Status.DISPUTED, Place(page, 50, 10, 70, 18), f"{value:g}", notes=doubts)

    told = (twice, "the sheet prints '1.1' on page 1, '3.55' on page 3")
    other = "the second reading sees '7'"
    for doubts, left in ((told, []), ((*told, other), ["second-reading"])):
        readings = (reading(1.1, 1, *doubts), reading(3.55, 3, unit, *told))
        sheet = sheet_to_causes(SheetReading("p.pdf", "p" * 64, 3, (1, 3), "", readings, (), ()))
        number = next(one.number for one in sheet.causes if one.code.startswith("unit"))
        answer = cause_to_answer(sheet, number, "leave-out", ("lena", "2031-02-03", ""))
        after = sheet_to_answered(sheet, [answer])
        assert [one.value for one in after.readings] == [1.1]
        assert [one.code for one in after.causes] == left
        kept = sheet_to_answered(sheet, [replace(answer, answer="right")])
        assert {one.status for one in kept.readings} == {Status.DISPUTED}
