"""What comes from a PDF cannot command the terminal."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from holdtrip.plain_text import printable
from holdtrip.screen import progress, say, show_table

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


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("stream", "total", "seen"), [
    (Terminal, 3, True), (Terminal, 1, False), (io.StringIO, 3, False),
])
def test_progress_is_for_terminals_and_long_work(
    monkeypatch: pytest.MonkeyPatch, stream: type[io.StringIO], total: int, seen: bool
) -> None:
    """A bar on stderr for more than one step, on a terminal only."""
    stderr = stream()
    monkeypatch.setattr("sys.stderr", stderr)
    monkeypatch.setenv("TERM", "xterm")
    with progress("Reading", total) as step:
        for number in range(total):
            step(f"sheet {number}", 0)
    assert ("Reading" in stderr.getvalue()) is seen
