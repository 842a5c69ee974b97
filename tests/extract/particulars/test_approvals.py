"""Marks of approvals in the rows of a table: which agency, listed or not, or not understood."""

import pytest

from extract.joined.approvals import approval_to_marks, text_to_agencies


@pytest.mark.parametrize(
    ("text", "marks"),
    [
        ("UL: Y, TÜV: –", (("UL", True), ("TÜV", False))),
        ("UL: ✓", (("UL", True),)),
        ("UL, CSA, CQC", (("UL", True), ("CSA", True), ("CQC", True))),
        ("UL: no mark", (("UL", None),)),
        ("UL: ○", (("UL", None),)),
        ("UL, TÜV pending", (("UL", True), ("TÜV", None))),
        ("X X", ()),
    ],
)
def test_marks_of_agencies(text: str, marks: tuple[tuple[str, bool | None], ...]) -> None:
    """A cross is yes, a dash no; a ring may mean pending and decides nothing; bare marks name no agency."""
    assert approval_to_marks(text) == marks


def test_a_word_that_holds_an_agencys_letters_names_none() -> None:
    """"Bulk" and "result" hold UL and name no agency."""
    assert text_to_agencies("Bulk result") == ()
