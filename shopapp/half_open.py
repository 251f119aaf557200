"""Connections that say nothing are closed; the web server alone waits for ever.

Named by `uvicorn --http shopapp.half_open:Protocol`.
"""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

REQUEST_S = 10.0
"""From the first byte, or from the connection, to the end of a request's headers."""


class Protocol(H11Protocol):
    """HTTP/1.1 with an end to waiting for a request."""

    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for the first request."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Stop waiting once a request has begun to be answered."""
        super().data_received(data)
        if self.cycle is None or self.cycle.response_complete:
            self._wait()
        else:
            self._hurry_no_more()

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for any more."""
        self._hurry_no_more()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._deadline is None and not self.transport.is_closing():
            self._deadline = self.loop.call_later(REQUEST_S, self._too_late)

    def _too_late(self) -> None:
        # Answered in between: what comes next has its own keep-alive clock.
        if self.cycle is None or self.cycle.response_complete:
            self.transport.abort()

    def _hurry_no_more(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None
