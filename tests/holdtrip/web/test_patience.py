"""Connections that say nothing, or stop in the middle: closed in time, while others are answered."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import closing, contextmanager
from socket import create_connection, socket
from threading import Thread
from typing import Any

import pytest
import uvicorn

from holdtrip.web.patience import PatientHttp

HEAD = b"POST / HTTP/1.1\r\nHost: here\r\nContent-Length: 8\r\n\r\n"


class Hasty(PatientHttp):
    """The same with a shorter patience, so that no test waits long."""

    head_s = silent_s = 1.5


class Packed(PatientHttp):
    """The same with less room."""

    most_open = 6


async def echo(scope: dict[str, Any], receive: Any, send: Any) -> None:
    """Answers with how many bytes the body had, after a while longer than any patience."""
    assert scope["type"] == "http"
    length, more = 0, True
    while more:
        message = await receive()
        if message["type"] == "http.disconnect":
            return
        length, more = length + len(message.get("body", b"")), message.get("more_body", False)
    await asyncio.sleep(2.0)
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"1")]})
    await send({"type": "http.response.body", "body": str(length).encode()})


@contextmanager
def running(http: type[PatientHttp]) -> Iterator[int]:
    """The port of a server of ours."""
    server = uvicorn.Server(uvicorn.Config(echo, http=http, port=0, lifespan="off", log_level="critical"))
    with socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        thread = Thread(target=server.run, kwargs={"sockets": [door]})
        thread.start()
        try:
            yield door.getsockname()[1]
        finally:
            server.should_exit = True
            thread.join()


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    """The port of a server of ours, for all tests here."""
    with running(Hasty) as found:
        yield found


def said(port: int, *pieces: bytes, wait_for: bytes = b"") -> bytes:
    """All that comes back until the server closes, or until `wait_for` has come."""
    with closing(create_connection(("127.0.0.1", port), timeout=30)) as line:
        for piece in pieces:
            line.sendall(piece)
        came = b""
        while (some := line.recv(1000)) and not (wait_for and wait_for in came + some):
            came += some
        return came + some


@pytest.mark.parametrize("sent", [b"", b"GET / HTTP/1.1\r\nHo", HEAD, HEAD + b"1234"],
                         ids=["nothing", "half a head", "no body", "half a body"])
def test_who_stops_speaking_is_closed_without_an_answer(port: int, sent: bytes) -> None:
    """Silent from the beginning, within the head, before or within the body."""
    assert said(port, sent) == b""


def test_a_whole_request_is_answered_however_long_the_answer_takes(port: int) -> None:
    """The limits are for who asks: the answer takes longer than any of them."""
    assert said(port, HEAD, b"1234", b"5678", wait_for=b"\r\n\r\n8").endswith(b"\r\n\r\n8")


def test_half_a_second_request_is_closed_too(port: int) -> None:
    """After an answer the same connection has no more patience than a new one."""
    came = said(port, HEAD + b"12345678", b"GET / HT")
    assert came.endswith(b"\r\n\r\n8")


def test_far_too_many_are_closed_unheard() -> None:
    """Those beyond the cap are closed at once; those before stay open."""
    with running(Packed) as port:
        lines = [create_connection(("127.0.0.1", port), timeout=30) for _ in range(Packed.most_open)]
        try:
            with closing(create_connection(("127.0.0.1", port), timeout=30)) as further:
                assert further.recv(10) == b""
            lines[0].sendall(HEAD + b"12345678")
            assert lines[0].recv(1000).startswith(b"HTTP/1.1 200")
        finally:
            for line in lines:
                line.close()
