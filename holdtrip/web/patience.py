"""How long a connection may take to say what it wants, and how many there may be.

Comes in: connections. Goes out: uvicorn's own handling, but a connection is closed that is late with the head
of a request, the first or a later one, or falls silent in the middle of its body, so that silent ones cannot
fill the server. Above the cap a request is answered with 503; far above it a connection is closed unheard.
"""

from __future__ import annotations

import asyncio
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_S = 20.0
"""So long the whole head of a request may take."""
SILENT_S = 20.0
"""So long nothing may come of a body that is not whole yet."""
MAX_CONNECTIONS = 200
MOST_OPEN = 2 * MAX_CONNECTIONS


class PatientHttp(H11Protocol):
    """HTTP with limits of time for whoever asks; none for the answer."""

    head_s, silent_s, most_open = HEAD_S, SILENT_S, MOST_OPEN
    _clock: asyncio.TimerHandle | None = None
    _waits_for: object = None

    def connection_made(self, transport: Any) -> None:
        """Start the clock, or close at once where too many are open."""
        super().connection_made(transport)
        if len(self.connections) > self.most_open:
            transport.close()
        self._set_clock()

    def data_received(self, data: bytes) -> None:
        """A head that goes on has the time it had, a body that goes on has it anew."""
        super().data_received(data)
        self._set_clock()

    def on_response_complete(self) -> None:
        """The next head may take as long as the first."""
        super().on_response_complete()
        self._set_clock()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop the clock."""
        self._stop_clock()
        super().connection_lost(exc)

    def _set_clock(self) -> None:
        state = self.conn.their_state
        if state is h11.IDLE and self._waits_for is h11.IDLE:
            return
        self._stop_clock()
        self._waits_for = state
        if state in (h11.IDLE, h11.SEND_BODY):
            seconds = self.head_s if state is h11.IDLE else self.silent_s
            self._clock = self.loop.call_later(seconds, self._give_up)

    def _stop_clock(self) -> None:
        self._waits_for = None
        if self._clock is not None:
            self._clock.cancel()

    def _give_up(self) -> None:
        self._waits_for = None
        if self.flow.read_paused:  # it is we who do not listen yet
            self._set_clock()
        elif isinstance(self.transport, asyncio.Transport):
            self.transport.close()
