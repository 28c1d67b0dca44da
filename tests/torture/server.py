"""The real server as a process of its own, killed without a word and started again."""

import asyncio
import socket
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from app.records.garage import Garage
from app.settings import Settings


def free_port() -> int:
    """A port nobody listens on just now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
    return port


def served_by(data: Path, port: int) -> Sequence[str]:
    """The command that serves the garage in `data`."""
    return [sys.executable, "-m", "app", "serve", "--data", str(data), "--port", str(port)]


@dataclass
class Server:
    """`kill` it as often as you like: it is started again until `stop`."""

    data: Path
    port: int = field(default_factory=free_port)
    kills: int = 0
    _process: subprocess.Popen[bytes] | None = None
    _keeper: asyncio.Task[None] | None = None
    _up: asyncio.Event = field(default_factory=asyncio.Event)

    @property
    def said(self) -> Path:
        """What the server wrote to its error output, over all its lives."""
        return self.data.with_suffix(".said")

    async def start(self) -> None:
        """Start it, and keep starting it."""
        self._keeper = asyncio.create_task(self._keep_up())
        await self.wait_up()

    async def wait_up(self) -> None:
        """Return once it answers."""
        await self._up.wait()

    def kill(self) -> None:
        """SIGKILL, whatever it is doing."""
        if self._process is not None and self._up.is_set():
            self.kills += 1
            self._up.clear()
            self._process.kill()

    async def stop(self) -> None:
        """Kill it for good."""
        if self._keeper is not None:
            self._keeper.cancel()
        if self._process is not None:
            self._process.kill()
            await asyncio.to_thread(self._process.wait)

    async def _keep_up(self) -> None:
        while True:
            with self.said.open("ab") as said:
                self._process = subprocess.Popen(  # it returns at once
                    served_by(self.data, self.port), stdout=subprocess.DEVNULL, stderr=said
                )
            await self._answers()
            self._up.set()
            await asyncio.to_thread(self._process.wait)
            self._up.clear()

    async def _answers(self) -> None:
        while True:
            with suppress(OSError):
                _, writer = await asyncio.open_connection("127.0.0.1", self.port)
                writer.close()
                return
            await asyncio.sleep(0.02)

    def look(self) -> Garage:
        """The garage, opened beside the server to be read."""
        return Garage.open(Settings(self.data))
