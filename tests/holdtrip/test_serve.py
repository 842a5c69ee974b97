"""`holdtrip serve`: what it listens on, and to whom it opens."""

import socket
from pathlib import Path

import pytest
import uvicorn
from click.testing import CliRunner

from extract.errors import InputError
from holdtrip.commands import holdtrip
from holdtrip.web.options import SiteOptions


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


def test_it_listens_on_this_machine_only(started: list[str], tmp_path: Path) -> None:
    """Without options nobody else can reach it, and no token is asked."""
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
    assert SiteOptions("l", "w", host="0.0.0.0", token="t").address == "http://127.0.0.1:8737/?token=t"
    assert SiteOptions("l", "w", host="::1").address == "http://[::1]:8737/"
    assert SiteOptions("l", "w", host="0.0.0.0", names=("bench",), token="t").address.startswith("http://bench:")
