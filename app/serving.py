"""One garage, served on one address until told to stop."""

import logging
import signal
import socket
import sys
import time
from contextlib import suppress
from types import FrameType

import uvicorn

from app.main import create_app
from app.records.garage import Garage
from app.records.not_done import NotDoneError


def listen(host: str, port: int, *, or_any: bool = False) -> socket.socket:
    """A socket that listens on `host` and `port`; with `or_any`, on a free port if that one is taken.

    Raises NotDoneError if the port is taken or the address is none of this machine's.
    """
    try:
        return _bound(host, port)
    except OSError as error:
        if not or_any:
            raise NotDoneError(
                f"Nothing can listen on {host} port {port}: {error.strerror or error}. "
                "Another program may have it; choose another with --port."
            ) from None
    return _bound(host, 0)


def address(listening: socket.socket) -> str:
    """Where a browser finds what listens on this socket."""
    host, port = listening.getsockname()[:2]
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def write_log() -> None:
    """Write down who paired, who was refused and what failed: on standard error, in UTC. No token, no typed name."""
    lines = logging.Formatter("{asctime}.{msecs:03.0f}Z {message}", "%Y-%m-%dT%H:%M:%S", style="{")
    lines.converter = time.gmtime
    out = logging.StreamHandler()
    out.setFormatter(lines)
    logging.basicConfig(level=logging.WARNING, handlers=[out])
    logging.getLogger("app").setLevel(logging.INFO)


def configured(garage: Garage, *, gated: bool = True) -> uvicorn.Config:
    """How uvicorn serves a garage to this machine: quietly, and never waiting long for a browser to let go."""
    return uvicorn.Config(
        create_app(garage, gated=gated),
        log_config=None,
        log_level="warning",
        access_log=False,  # it would hold the tokens of links
        server_header=False,
        proxy_headers=False,  # uvicorn believes any program on this machine otherwise, and so whoever speaks through it
        timeout_graceful_shutdown=5,
    )


def serve(config: uvicorn.Config, listening: socket.socket) -> None:
    """Serve until Ctrl-C or a signal to end; what is being answered is answered first."""
    signal.signal(signal.SIGTERM, _end)
    with suppress(KeyboardInterrupt):  # uvicorn stops in order, and then raises the signal it caught again
        uvicorn.Server(config).run(sockets=[listening])


def _end(_: int, __: FrameType | None) -> None:
    sys.exit(0)


def _bound(host: str, port: int) -> socket.socket:
    family, *_, where = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        if sys.platform != "win32":  # there it would let two programs share the port
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(where)
        listening.listen(128)
    except OSError:
        listening.close()
        raise
    return listening
