"""How long a connection may take to say what it wants, and how many there may be.

Comes in: connections. Goes out: uvicorn's own handling, but a connection that has sent no whole request head
after some seconds is closed, so that silent ones cannot fill the server.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_S = 20.0
MAX_CONNECTIONS = 200


class PatientHttp(H11Protocol):
    """HTTP with a limit of time for the first request's head."""

    def connection_made(self, transport: Any) -> None:
        """Start the clock."""
        super().connection_made(transport)
        self._patience = self.loop.call_later(HEAD_S, self._give_up)

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop it."""
        self._patience.cancel()
        super().connection_lost(exc)

    def _give_up(self) -> None:
        if self.cycle is None and isinstance(self.transport, asyncio.Transport):
            self.transport.close()
