"""`holdtrip serve`: what it listens on, and to whom it opens."""

import socket
from pathlib import Path

import pytest
import uvicorn
from click.testing import CliRunner

from extract.errors import InputError
from holdtrip.commands import holdtrip
from holdtrip.web import tokens
from holdtrip.web.options import SiteOptions
from holdtrip.web.tokens import Token, shown_to_name, typed_to_tokens


def free_port() -> int:
    """A port nothing listens on."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Where a server would have listened, instead of starting it."""
    calls: list[str] = []

    def run(_: uvicorn.Server, sockets: list[socket.socket]) -> None:
        calls.append(sockets[0].getsockname()[0])

    monkeypatch.setattr(uvicorn.Server, "run", run)
    return calls


def test_it_listens_on_this_machine_only(
    started: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without options nobody else can reach it, and no token is asked where nobody else has an account."""
    monkeypatch.setattr(tokens, "has_other_accounts", lambda: False)
    asked = ["serve", "--library", str(tmp_path / "t.sqlite"), "--port", str(free_port())]
    done = CliRunner().invoke(holdtrip, asked)
    assert done.exit_code == 0
    assert started == ["127.0.0.1"]
    assert "http://127.0.0.1:" in done.output
    assert "token" not in done.output


@pytest.mark.usefixtures("started")
def test_beyond_this_machine_it_makes_up_a_token(tmp_path: Path) -> None:
    """The address it prints carries a token that cannot be guessed, with a warning."""
    library, port = str(tmp_path / "t.sqlite"), str(free_port())
    asked = ["serve", "--library", library, "--host", "0.0.0.0", "--port", port]
    first, second = (CliRunner().invoke(holdtrip, asked).output for _ in range(2))
    tokens = [text.split("?token=")[1].split()[0] for text in (first, second)]
    assert len(tokens[0]) >= 32
    assert tokens[0] != tokens[1]
    assert "unencrypted" in first


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    """One line says which port, and what to do."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        asked = ["serve", "--library", str(tmp_path / "t.sqlite"), "--port", str(taken.getsockname()[1])]
        done = CliRunner().invoke(holdtrip, asked)
    assert isinstance(done.exception, InputError)
    assert "--port" in str(done.exception)


def test_the_address_is_one_a_browser_can_open() -> None:
    """Everywhere is shown as this machine, another name as given, IPv6 in brackets."""
    own = (Token("w", "t"),)
    assert SiteOptions("l", "w", host="0.0.0.0", tokens=own).address == "http://127.0.0.1:8737/?token=t"
    assert SiteOptions("l", "w", host="::1").address == "http://[::1]:8737/"
    assert SiteOptions("l", "w", host="0.0.0.0", names=("bench",), tokens=own).address.startswith("http://bench:")


@pytest.mark.usefixtures("started")
def test_where_others_have_accounts_a_token_is_the_default(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On such a machine the address carries one; `--no-token` leaves it out, on this machine only."""
    monkeypatch.setattr(tokens, "has_other_accounts", lambda: True)
    asked = ["serve", "--library", str(tmp_path / "t.sqlite"), "--port", str(free_port())]
    assert "?token=" in CliRunner().invoke(holdtrip, asked).output
    assert "token" not in CliRunner().invoke(holdtrip, [*asked, "--no-token"]).output
    refused = CliRunner().invoke(holdtrip, [*asked, "--no-token", "--host", "0.0.0.0"])
    assert refused.exit_code == 2
    assert "this machine only" in refused.output


@pytest.mark.usefixtures("started")
def test_each_person_has_an_address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With `--for`, and with lasting tokens of the environment."""
    asked = ["serve", "--library", str(tmp_path / "t.sqlite"), "--port", str(free_port())]
    said = CliRunner().invoke(holdtrip, [*asked, "--for", "Ann", "--for", "Ben  Lee"]).output
    assert "Ann opens http://" in said
    assert "Ben Lee opens http://" in said
    monkeypatch.setenv("HOLDTRIP_TOKEN", "Ann=0123456789ab==, Ben=another-secret")
    said = CliRunner().invoke(holdtrip, asked).output
    assert "?token=0123456789ab==" in said
    assert "Ben opens" in said


@pytest.mark.parametrize(("typed", "found"), [
    (["Ann=short"], "5 characters"), (["long-enough-secret", "Zoe=long-enough-secret"], "two tokens"),
    (["ann=long-enough-secret", "Ann=another-enough-secret"], "two names")])
def test_tokens_that_tell_nobody_apart_are_refused(typed: list[str], found: str) -> None:
    """Short, twice the same, or two of one name."""
    with pytest.raises(InputError, match=found):
        typed_to_tokens(typed, [], "Eve")


def test_a_token_tells_whose_it_is() -> None:
    """A bare one is of whoever starts the page; none, and a wrong one, are nobody's."""
    both = typed_to_tokens(["long-enough-secret==", "Ann=another-enough-secret"], [], "Eve")
    assert [shown_to_name([text], both) for text in (
        "long-enough-secret==", "another-enough-secret", "", "long-enough-secret", "\ud800")] == [
        "Eve", "Ann", None, None, None]
