"""Codes of doubts become sentences before a person sees them."""

import re
from pathlib import Path

import pytest

from holdtrip.doubt_words import note_to_text
from holdtrip.web.plain_reasons import note_to_words

JOINED = Path(__file__).parents[2] / "extract" / "joined"


def test_no_code_of_the_reader_is_shown() -> None:
    """Every doubt that extract/joined gives as a code has a sentence."""
    text = "\n".join(path.read_text(encoding="utf-8") for path in JOINED.glob("*.py"))
    given = r"doubts=\(\*[\w.]+, \"(\w+)\"\)|doubts\.append\(\"(\w+)\"\)|return \(\"(\w+_\w+)\",\)"
    listed = re.findall(given, text)
    codes = {code for found in listed for code in found if "_" in code}
    assert len(codes) >= 3
    assert [code for code in sorted(codes) if note_to_text(code) == code] == []


@pytest.mark.parametrize(
    ("note", "sentence"),
    [
        (
            "meaning_unsure:dc_voltage/other",
            "What this column holds is not certain: DC voltage or something else.",
        ),
        ("no_ambient_equals_the_rating", "No ambient of this row gives the rated current."),
        ("footnote:(2) 3 A", "A footnote at this number gives another value: (2) 3 A."),
        ("as above", "As above."),
    ],
)
def test_a_code_is_a_sentence_on_the_page(note: str, sentence: str) -> None:
    """Code words never; what is no code stays."""
    assert note_to_words(note) == sentence
