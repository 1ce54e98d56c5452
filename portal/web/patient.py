"""Connections that hold a place without ever asking are ended, and one machine doesn't hold them all.

The library waits for ever for the rest of a request. A machine that opens many connections and sends a byte now and
then would keep everybody else out.
"""

from asyncio import TimerHandle, Transport
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

WAITS_S = 15.0
"""A request that isn't there as a whole after twice that is given up; a million bytes take far less."""
MOST_OF_ONE = 128
"""Connections of one machine. A browser opens six to a server for all its tabs and windows, so that nobody alone comes
near; of people who share one address, as behind a router, twenty browsers may use all of their six at once. One that
asks for nothing is ended after some seconds by the library, and gives its place back."""
_ASKING = (h11.IDLE, h11.SEND_BODY)


class Patient(H11Protocol):
    """A connection of which the patience has an end."""

    waits_s = WAITS_S
    most_of_one = MOST_OF_ONE

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._asked = self._seen = 0
        self._tick: TimerHandle | None = None

    def connection_made(self, transport: Transport) -> None:  # type: ignore[override]  # as the library itself does
        """Taken, unless that machine has many already."""
        super().connection_made(transport)
        own = self.client[0] if self.client else None
        if sum(1 for each in self.connections if _machine(each) == own) > self.most_of_one:
            transport.abort()
            return
        self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for any more."""
        if self._tick is not None:
            self._tick.cancel()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """Whoever asks and is answered may stay."""
        self._asked += 1
        super().on_response_complete()

    def _wait(self) -> None:
        self._tick = self.loop.call_later(self.waits_s, self._look, self._asked)

    def _look(self, asked: int) -> None:
        """Ended where nothing was answered since the last look but one, and nothing is being worked at."""
        idle = self._asked == asked and self.conn.their_state in _ASKING
        if idle and self._seen == asked + 1:
            self.transport.abort()
            return
        self._seen = asked + 1 if idle else 0
        self._wait()


def _machine(connection: Any) -> str | None:
    client = getattr(connection, "client", None)
    return client[0] if client else None
