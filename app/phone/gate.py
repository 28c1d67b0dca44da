"""The gate: nothing but static files, the pairing pages and what installs the program answers an unpaired request.

A demo has none: its garage is invented and must open with one click. It has OpenHouse instead, which keeps it to this
very machine.
"""

from collections.abc import Callable
from urllib.parse import urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from app.phone.cookie import carried, peer_of
from app.phone.keyring import Keyring
from app.phone.private_names import is_loopback
from app.records.devices import Credential

_OPEN = frozenset({"/sw.js", "/manifest.webmanifest", "/pair"})
_OPEN_BELOW = ("/static/", "/pair/")
#: RFC 9110 section 15.5.2 wants a 401 to name how to get in.
_HOW = {"www-authenticate": 'Pairing realm="Witnessmark"', "cache-control": "no-store"}


class Gate:
    """ASGI middleware; plain, since every request passes through it. It asks the database at most once a request.

    `scope["state"]["device"]` becomes the paired device's id, or "" on the pages an unpaired one may see.
    """

    def __init__(self, app: ASGIApp, keyring: Keyring, unpaired: Callable[[], str]) -> None:
        """Stand in front of `app`; `unpaired` makes the page shown to a browser that is not paired."""
        self.app = app
        self._keyring = keyring
        self._unpaired = unpaired

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a paired device through, and everybody to what is open; answer all else with 401."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})  # there are none here to let anybody through to
            return
        credential = carried(scope)
        remembered = credential is not None and self._keyring.remembered(credential)
        device = await self._device(credential, remembered=remembered)
        if device is None and not is_open(scope["path"]):
            await self._refusal(scope)(scope, receive, send)
            return
        scope.setdefault("state", {})["device"] = device or ""
        await self.app(scope, receive, send)
        if device is not None and not remembered:
            # After the answer: whoever asked need not wait until it is written down.
            await run_in_threadpool(self._keyring.note_seen, device)

    async def _device(self, credential: Credential | None, *, remembered: bool) -> str | None:
        if credential is None:
            return None
        return credential.id if remembered or await run_in_threadpool(self._keyring.look_up, credential) else None

    def _refusal(self, scope: Scope) -> Response:
        if _wants_a_page(Headers(scope=scope)):
            return Response(self._unpaired(), 401, _HOW, "text/html")
        return JSONResponse({"detail": "This device is not paired with the garage."}, 401, _HOW)


class OpenHouse:
    """ASGI middleware in the gate's place before a demo: this machine comes in unpaired, and nobody else at all.

    The Host is looked at too, or a page elsewhere whose name was made to point at this machine could read the demo
    (DNS rebinding), and a tunnel from outside could be led in.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Stand in front of `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let this machine through as the device `demo`."""
        if scope["type"] == "http":
            if not (is_loopback(peer_of(scope)) and _is_this_machine(Headers(scope=scope).get("host", ""))):
                refused = PlainTextResponse("A demo is open to the computer it runs on, and to nobody else.\n", 403)
                await refused(scope, receive, send)
                return
            scope.setdefault("state", {})["device"] = "demo"
        await self.app(scope, receive, send)


def is_open(path: str) -> bool:
    """Whether an unpaired request may have this. Judged on the same path, byte for byte, that the router goes by."""
    return path in _OPEN or path.startswith(_OPEN_BELOW)


def _is_this_machine(host: str) -> bool:
    try:
        name = urlsplit(f"//{host}").hostname or ""
    except ValueError:  # a bracket left open
        return False
    return name == "localhost" or is_loopback(name)


def _wants_a_page(headers: Headers) -> bool:
    mode = headers.get("sec-fetch-mode")
    return "text/html" in headers.get("accept", "") and mode in {None, "navigate"}
