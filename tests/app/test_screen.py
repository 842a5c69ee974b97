"""What comes from a PDF cannot command the terminal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.plain_text import printable
from app.screen import say, show_table

HOSTILE = "[bold red]x[/] \x1b[2J\x07\u202eevil\u200b :smile: [link=file:///x]"


@given(st.text(st.characters(exclude_categories=())))
def test_no_control_character_survives(text: str) -> None:
    """Whatever the text, one line of characters that only print."""
    assert all(character.isprintable() for character in printable(text))


def test_a_long_text_is_cut_visibly() -> None:
    """The limit counts the ellipsis."""
    assert printable("abcdef", 4) == "abc…"


def test_markup_in_a_text_is_shown_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    """Square brackets and emoji codes of a text come out unchanged, escapes as codes."""
    say(HOSTILE)
    show_table(["cell"], [[HOSTILE]], title=HOSTILE)
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "\u202e" not in out
    assert out.count("[bold red]x[/] <U+001B>[2J<U+0007><U+202E>evil<U+200B> :smile:") == 3
