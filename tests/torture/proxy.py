"""Bad weather between a browser and the server: our own proxy, on loopback only, that breaks what passes through it.

What happens to the n-th request follows from the seed, n and the weather of that moment, so that a run can be repeated
as far as two programs racing each other ever can.
"""

import asyncio
import random
import socket
import struct
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field

#: What can befall a request, and whether the server gets to see it.
LOST_REQUEST = "request dropped"
RESET = "connection reset"
LOST_ANSWER = "answer dropped"
RESET_ANSWER = "reset after the server took it"
CUT_ANSWER = "answer cut short"
FAILED = "500 instead of the server"
FAILED_AFTER = "500 after the server took it"
DELAYED = "delayed"
TWICE = "delivered twice"
UNPAIRED = "401"
PORTAL = "another page instead (200)"
KILLED = "server killed while it answers"

FAIR: dict[str, float] = {}
STORM = {
    LOST_REQUEST: 0.08,
    RESET: 0.06,
    LOST_ANSWER: 0.10,
    RESET_ANSWER: 0.06,
    CUT_ANSWER: 0.08,
    FAILED: 0.05,
    FAILED_AFTER: 0.05,
    DELAYED: 0.12,
    TWICE: 0.06,
    UNPAIRED: 0.02,
    PORTAL: 0.02,
    KILLED: 0.05,
}
NO_SIGNAL = {LOST_REQUEST: 0.6, RESET: 0.4}
#: A page that did not load is looked at again and again; it needs less of the weather than a write.
PAGES_SHARE = 0.15

_ONLY_WRITES = {TWICE, KILLED, UNPAIRED, PORTAL}
_500 = b"HTTP/1.1 500 Internal Server Error\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
_401 = b"HTTP/1.1 401 Unauthorized\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
_200 = b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: 8\r\nConnection: close\r\n\r\nWelcome!"
_INSTEAD = {FAILED: _500, UNPAIRED: _401, PORTAL: _200}


@dataclass
class Proxy:
    """Listens on `port` and passes requests on to `to_port`. `weather` may be changed at any moment."""

    to_port: int
    seed: int
    port: int = 0
    weather: dict[str, float] = field(default_factory=dict)
    pages_share: float = PAGES_SHARE
    befell: Counter[str] = field(default_factory=Counter)
    kill: Callable[[], None] = lambda: None
    _count: int = 0
    _server: asyncio.Server | None = None
    _open: set[asyncio.Task[None]] = field(default_factory=set)

    async def start(self) -> None:
        """Begin to listen, on a free port unless one was given."""
        self._server = await asyncio.start_server(self._met, "127.0.0.1", self.port)
        self.port = self._server.sockets[0].getsockname()[1]

    async def stop(self) -> None:
        """Listen no longer."""
        if self._server is not None:
            self._server.close()
        for one in self._open:
            one.cancel()
        await asyncio.gather(*self._open, return_exceptions=True)

    async def _met(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        self._open.add(task)
        task.add_done_callback(self._open.discard)
        # A connection carries one request: what befalls it then befalls nothing else.
        with suppress(OSError, asyncio.IncompleteReadError, asyncio.LimitOverrunError):
            request = await _message(reader)
            await self._pass(request, writer)
        writer.close()
        with suppress(OSError):
            await writer.wait_closed()

    async def _pass(self, request: bytes, writer: asyncio.StreamWriter) -> None:
        what, dice = self._lot(request)
        if what:
            self.befell[what] += 1
        if what in _INSTEAD:
            writer.write(_INSTEAD[what])
            await writer.drain()
        elif what == RESET:
            _reset(writer)
        elif what != LOST_REQUEST:
            await self._deliver(request, what, dice, writer)

    async def _deliver(self, request: bytes, what: str, dice: random.Random, writer: asyncio.StreamWriter) -> None:
        if what == DELAYED:
            await asyncio.sleep(dice.uniform(0.02, 0.5))
        if what == KILLED:
            asyncio.get_running_loop().call_later(dice.uniform(0, 0.06), self.kill)
        if what == TWICE:
            await self._ask(request)
        answer = await self._ask(request)
        if what == RESET_ANSWER:
            _reset(writer)
        elif what == FAILED_AFTER:
            writer.write(_500)
        elif what == CUT_ANSWER:
            writer.write(answer[: dice.randrange(len(answer))] if answer else b"")
        elif what != LOST_ANSWER:
            writer.write(answer)
        await writer.drain()

    def _lot(self, request: bytes) -> tuple[str, random.Random]:
        self._count += 1
        dice = random.Random(f"{self.seed} {self._count}")  # noqa: S311  # weather, no secret
        drawn = dice.random()
        write = request.startswith(b"POST /")
        for what, share in self.weather.items():
            drawn -= share * (1 if write or self.weather is NO_SIGNAL else self.pages_share)
            if drawn < 0:
                return ("" if what in _ONLY_WRITES and not write else what), dice
        return "", dice

    async def _ask(self, request: bytes) -> bytes:
        reader, writer = await asyncio.open_connection("127.0.0.1", self.to_port)
        try:
            writer.write(request)
            await writer.drain()
            return await reader.read(-1)
        finally:
            writer.close()


async def _message(reader: asyncio.StreamReader) -> bytes:
    """One request with its body, asking for the connection to be closed after the answer."""
    head = await reader.readuntil(b"\r\n\r\n")
    lines = [line for line in head.split(b"\r\n") if not line.lower().startswith((b"connection:", b"keep-alive:"))]
    length = next((int(line[15:]) for line in lines if line.lower().startswith(b"content-length:")), 0)
    body = await reader.readexactly(length)
    return b"\r\n".join([lines[0], b"Connection: close", *lines[1:]]) + body


def _reset(writer: asyncio.StreamWriter) -> None:
    """Close so that the other side gets a reset, and not an orderly end."""
    raw = writer.get_extra_info("socket")
    raw.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    writer.transport.abort()
