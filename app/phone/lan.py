"""Serving the garage to the home network: https for the garage, plain http for the helper page, in one loop."""

import asyncio
import signal
import ssl
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import uvicorn
import zeroconf
from starlette.types import ASGIApp

from app.phone import leaf, names
from app.phone.authority import Authority
from app.phone.helper_page import HelperPage
from app.phone.home_network import BehindProxy, HomeNetwork
from app.phone.mdns import Announcement
from app.phone.names import Place
from app.phone.private_names import Address, own_addresses
from app.phone.terminal import on_the_network
from app.records.not_done import NotDoneError

#: How often to look whether this machine's addresses changed or the certificate is nearly over.
LOOK_EVERY_S = 60.0
#: How long what is being answered at the end may take.
_LAST_WORDS_S = 5


@dataclass(frozen=True, slots=True)
class OwnCertificate:
    """A certificate of one's own (`--cert`, with its chain) and its key (`--key`)."""

    certificate: Path
    key: Path


class _Quiet(uvicorn.Server):
    """Two servers share one loop, so neither may take the signals for itself."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


@dataclass(slots=True)
class Lan:
    """One garage on the home network. `addresses` and `clock` say what this machine's are; tests give others."""

    app: ASGIApp
    folder: Path
    place: Place
    own: OwnCertificate | None = None
    addresses: Callable[[], Sequence[Address]] = own_addresses
    clock: Callable[[], datetime] = lambda: datetime.now(UTC)
    announcement: Announcement = field(default_factory=Announcement)
    authority: Authority | None = field(default=None, init=False)
    _context: ssl.SSLContext = field(init=False)
    _helper: HelperPage | None = field(default=None, init=False)
    _now_at: tuple[Address, ...] = field(default=(), init=False)
    _stopped: asyncio.Event = field(default_factory=asyncio.Event, init=False)

    def __post_init__(self) -> None:
        """Read or make the certificates. Raises NotDoneError for one that can't be used."""
        self._now_at = tuple(self.addresses())
        self._context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self._context.minimum_version = ssl.TLSVersion.TLSv1_2
        self._context.set_alpn_protocols(["http/1.1"])
        if self.own is None:
            self.authority = Authority.open(self.folder, self.clock())
            self._helper = HelperPage(self.authority, self.place, self._now_at)
        self._take_certificate()

    async def serve(self, ready: Callable[[str], None], *, coloured: bool = False) -> None:
        """Serve until `stop`; calls `ready` with what the terminal should show once both answer.

        Raises PlaceError when a port is taken.
        """
        near = HomeNetwork(self.app, self.place.name, private_only=self.own is None)
        servers = [(_server(near, self._context), names.listen(self.place.port))]
        try:
            if self._helper is not None:
                servers.append((_server(self._helper, None), names.listen(self.place.helper_port)))
            running = [asyncio.create_task(server.serve(sockets)) for server, sockets in servers]
            await _all_answer([server for server, _ in servers], running)
            await self.announcement.start(self.place, self._now_at)  # takes seconds: others may object to the name
            looking = asyncio.create_task(self._keep_looking())
            ready(self.shown(coloured=coloured))
            await _until(self._stopped, running)
            looking.cancel()
            for server, _ in servers:
                server.should_exit = True
            await asyncio.gather(*running)
        finally:
            await self.announcement.stop()
            for one in (each for _, sockets in servers for each in sockets):
                one.close()

    def stop(self) -> None:
        """End `serve`, once what is being answered is answered. Call it in the loop that serves."""
        self._stopped.set()

    def shown(self, *, coloured: bool) -> str:
        """What the terminal should show."""
        return on_the_network(self.authority, self.place, self._now_at, self.announcement.trouble, coloured=coloured)

    async def look(self) -> bool:
        """Look at the addresses and the certificate, and renew what has to be. Whether the certificate was.

        Connections that stand go on under the certificate they began with; new ones get the new one.
        """
        now_at = tuple(self.addresses())
        moved = now_at != self._now_at
        self._now_at = now_at
        renewed = await asyncio.to_thread(self._take_certificate)
        if moved:
            if self._helper is not None and self.authority is not None:
                self._helper.readdress(self.authority, self.place, now_at)
            await self.announcement.renew(now_at)
        return renewed

    async def _keep_looking(self) -> None:
        while True:
            await asyncio.sleep(LOOK_EVERY_S)
            with suppress(
                OSError, NotDoneError, zeroconf.Error
            ):  # a full disk, a network half up: the old certificate still serves
                await self.look()

    def _take_certificate(self) -> bool:
        if self.own is not None:
            # Read again each time: whatever renews it does so without telling us.
            _load(self._context, self.own.certificate, self.own.key)
            return False
        if self.authority is None:
            return False
        kept = leaf.keep(self.authority, self.folder, self.place.name, self._now_at, self.clock())
        _load(self._context, kept.path, None)
        return kept.fresh


def run(app: ASGIApp, folder: Path, place: Place, own: OwnCertificate | None = None) -> None:
    """Serve until Ctrl-C or a signal to end. Raises NotDoneError for a port or a certificate that can't be used."""
    coloured = sys.stdout.isatty()

    async def serving() -> None:
        lan = Lan(app, folder, place, own)
        loop = asyncio.get_running_loop()
        for one in (signal.SIGINT, signal.SIGTERM):
            with suppress(NotImplementedError):  # Windows: Ctrl-C arrives as KeyboardInterrupt instead
                loop.add_signal_handler(one, lan.stop)
        await lan.serve(lambda text: print(text, flush=True), coloured=coloured)

    with suppress(KeyboardInterrupt):
        asyncio.run(serving())


def behind_proxy(app: ASGIApp, port: int) -> uvicorn.Config:
    """How to serve to a reverse proxy on this machine that speaks https to the world (`--proxied`).

    It listens on this machine alone, believes X-Forwarded-Proto and X-Forwarded-For from this machine alone, and
    refuses what did not come in over https. The proxy must set both headers itself, replacing any it was sent.
    """
    return _config(BehindProxy(app), port=port, proxied=True)


def _server(app: ASGIApp, context: ssl.SSLContext | None) -> _Quiet:
    config = _config(app)
    config.load()
    config.ssl = context
    return _Quiet(config)


def _config(app: ASGIApp, *, port: int = 0, proxied: bool = False) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        host="127.0.0.1",
        port=port,
        http="h11",
        ws="none",
        lifespan="off",
        log_config=None,
        # At "trace" uvicorn would write down every request's path, and with it a link's token.
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=proxied,
        forwarded_allow_ips="127.0.0.1,::1" if proxied else "",
        limit_concurrency=200,
        timeout_graceful_shutdown=_LAST_WORDS_S,
    )


async def _all_answer(servers: Sequence[uvicorn.Server], running: Sequence[asyncio.Task[None]]) -> None:
    while not all(server.started for server in servers) and not any(task.done() for task in running):
        await asyncio.sleep(0.01)


async def _until(stopped: asyncio.Event, running: Sequence[asyncio.Task[None]]) -> None:
    waiting = asyncio.create_task(stopped.wait())
    await asyncio.wait([waiting, *running], return_when=asyncio.FIRST_COMPLETED)
    waiting.cancel()


def _load(context: ssl.SSLContext, certificate: Path, key: Path | None) -> None:
    try:
        context.load_cert_chain(certificate, key)
    except (OSError, ssl.SSLError) as error:
        raise NotDoneError(
            f"{certificate} and {key or 'its key'} can't be used: {error.strerror or error}. "
            "The certificate (with its chain) and the key are read as PEM, without a password."
        ) from error
