"""What each part can do at its best, as a comparison asks before it loads parts."""

from extract.schema import WHOLE_SERIES, Kind, Quantity, Reading, Status
from holdtrip.library.columns import NO_COLUMNS
from holdtrip.library.records import Signature, Target
from holdtrip.library.screening import Screening, ScreenQuestion
from holdtrip.library.store import Library
from tests.library.made_up_sheets import HOLD, TRIP, reading, sheet

BY = Signature("Ann", "seen")
DOCUMENT = "qx.pdf"
QUESTION = ScreenQuestion(50.0, 0.0, (Kind.NONE, Kind.DC), 6.0, 0.0, 10.0, 8.0)
RATIO = Quantity.HOLD_RATIO


def fill(library: Library, *more: Reading, **parts: float) -> None:
    """One sheet with these parts and hold currents, QX_050=0.5 for QX-050, every part accepted."""
    holds_a = {name.replace("_", "-"): hold_a for name, hold_a in parts.items()}
    library.import_sheet(sheet(DOCUMENT, holds_a, more=more, series=False), "Ann")
    for number in holds_a:
        library.accept(Target(number), BY, singles=True)


def named(screening: Screening) -> dict[str, int]:
    """Part number → identifier, of every part in force."""
    parts = screening.parts(screening.part_ids)
    return {part.part_number: one for part, one in zip(parts, screening.part_ids, strict=True)}


def test_the_columns_beside_an_ambient(library: Library) -> None:
    """The nearest on each side, twice the same at the ambient, none beyond the table."""
    fill(library, *(reading(DOCUMENT, "QX-1", HOLD, value, ambient_c=ambient_c)
                    for ambient_c, value in ((-20.0, 1.3), (40.0, 0.9), (60.0, 0.7))), QX_1=1.1, QX_2=2.0)
    with library.screening(QUESTION, accepted_only=True) as screening:
        ids = named(screening)
        columns = screening.columns(screening.part_ids)
        assert columns.hold_hot(ids["QX-1"]) == ((40.0, 0.9, 0.9), (60.0, 0.7, 0.7))
        assert columns.hold_cold(ids["QX-1"]) == ((-20.0, 1.3, 1.3), (23.0, 1.1, 1.1))
        assert columns.hold_hot(ids["QX-2"]) == ((23.0, 2.0, 2.0), None)
        assert columns.hold_at(ids["QX-2"], 23.0) == (23.0, 2.0, 2.0)
        assert columns.share_hot(ids["QX-1"]) == NO_COLUMNS
    at_reference = ScreenQuestion(23.0, 23.0, (), 0.0, 0.0, 0.0, 0.0)
    with library.screening(at_reference, accepted_only=True) as screening:
        columns = screening.columns(screening.part_ids)
        assert columns.hold_hot(ids["QX-1"]) == ((23.0, 1.1, 1.1), (23.0, 1.1, 1.1))


def test_several_numbers_for_one_column_are_told_from_least_to_largest(library: Library) -> None:
    """Which of them counts is for a judgement to say."""
    fill(library, reading(DOCUMENT, "QX-1", TRIP, 2.6, ambient_c=23.0), QX_1=1.1)
    with library.screening(QUESTION, accepted_only=True) as screening:
        one = named(screening)["QX-1"]
        assert screening.columns([one]).trip_cold(one) == (None, (23.0, 2.2, 2.6))
        assert one not in screening.with_one_trip
        assert one in screening.with_one_hold


def test_shares_of_the_series_count_for_parts_without_their_own(library: Library) -> None:
    """A part with shares of its own, even without ambient, has those and no others."""
    fill(library, reading(DOCUMENT, WHOLE_SERIES, RATIO, 0.8, ambient_c=50.0),
         reading(DOCUMENT, "QX-2", RATIO, 0.7, ambient_c=50.0), reading(DOCUMENT, "QX-3", RATIO, 0.6),
         QX_1=1.0, QX_2=1.0, QX_3=1.0)
    with library.screening(QUESTION, accepted_only=True) as screening:
        ids, columns = named(screening), screening.columns(screening.part_ids)
        assert columns.share_hot(ids["QX-1"])[0] == (50.0, 0.8, 0.8)
        assert columns.share_hot(ids["QX-2"])[0] == (50.0, 0.7, 0.7)
        assert columns.share_hot(ids["QX-3"]) == NO_COLUMNS
        assert screening.with_hold_ratio == set(ids.values())


def test_ratings_too_small_to_count_are_left_out(library: Library) -> None:
    """The largest of those for the kind of supply, from what is asked on."""
    fill(library, reading(DOCUMENT, "QX-1", Quantity.MAX_VOLTAGE, 30.0, kind=Kind.DC),
         reading(DOCUMENT, "QX-1", Quantity.MAX_VOLTAGE, 60.0, kind=Kind.AC), QX_1=1.0, QX_2=1.0)
    asked = ScreenQuestion(50.0, 0.0, (Kind.NONE, Kind.DC), 20.0, 0.0, 0.0, 0.0)
    with library.screening(asked, accepted_only=True) as screening:
        ids = named(screening)
        assert screening.max_voltages_v == {ids["QX-1"]: 30.0}
        assert screening.only_voltages_v == {ids["QX-2"]: 16.0}


def test_a_corrected_number_makes_a_part_unknown(library: Library) -> None:
    """Nothing is told of it, since its values are not the printed ones; taken back, it is known again."""
    fill(library, QX_1=1.0, QX_2=1.0)
    library.correct(Target("QX-1", quantity=HOLD), 1.2, BY)
    with library.screening(QUESTION, accepted_only=True) as screening:
        ids = named(screening)
        assert (screening.known, screening.whole) == ({ids["QX-2"]}, {ids["QX-2"]})
    library.reopen(Target("QX-1", quantity=HOLD), BY)
    library.accept(Target("QX-1"), BY, singles=True)
    with library.screening(QUESTION, accepted_only=True) as screening:
        assert screening.whole == set(ids.values())


def test_a_rejected_or_undecided_number_leaves_a_part_without_columns(library: Library) -> None:
    """The nearest column may be the one that is gone; undecided numbers count where all may be used."""
    fill(library, reading(DOCUMENT, "QX-3", TRIP, 9.0, ambient_c=60.0, status=Status.DISPUTED),
         QX_1=1.0, QX_2=1.0, QX_3=1.0)
    library.reject(Target("QX-1", quantity=TRIP), BY)
    with library.screening(QUESTION, accepted_only=True) as screening:
        ids = named(screening)
        assert screening.known == set(ids.values())
        assert screening.whole == screening.decided == {ids["QX-2"]}
    with library.screening(QUESTION, accepted_only=False) as screening:
        assert screening.whole == {ids["QX-2"], ids["QX-3"]}
        assert screening.decided == set()


def test_what_was_said_of_a_series_counts_for_its_parts(library: Library) -> None:
    """A rejected share may be the one that the parts of the sheet are derated by."""
    fill(library, reading(DOCUMENT, WHOLE_SERIES, RATIO, 0.8, ambient_c=50.0), QX_1=1.0)
    library.reject(Target(WHOLE_SERIES, quantity=RATIO), BY)
    with library.screening(QUESTION, accepted_only=True) as screening:
        assert screening.whole == set()
        assert screening.known == set(screening.part_ids)


def test_only_the_sheet_in_force_gives_parts(library: Library) -> None:
    """The parts are those that `parts` gives, in its order; they are loaded whole."""
    fill(library, QX_1=1.0, QX_2=1.0)
    library.import_sheet(sheet("qx_b.pdf", {"QX-1": 1.5, "QX-2": 1.0}), "Ann")
    library.accept(Target("QX-1", sha256=sheet("qx_b.pdf").sha256), BY, singles=True)
    for accepted_only in (True, False):
        with library.screening(QUESTION, accepted_only) as screening:
            assert screening.parts(screening.part_ids) == library.parts(accepted_only)
            assert len(screening.part_ids) == 2
