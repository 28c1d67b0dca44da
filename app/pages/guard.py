"""What stands between the network and the pages: safe headers on every answer, writes from our own pages only."""

import re
import secrets
from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.records.logbook import now

_HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
        "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; "
        "base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), payment=(), usb=()",
}
_RAW = [(name.encode(), value.encode()) for name, value in _HEADERS.items()]
_USUALLY_CACHED = (b"cache-control", b"no-cache")
_A_YEAR = 60 * 60 * 24 * 365
_DEVICE = re.compile(rb"(?:^|;\s*)device=([A-Za-z0-9_-]{8,64})(?:;|$)")


class Guard:
    """ASGI middleware; plain, since every page passes through it."""

    def __init__(self, app: ASGIApp) -> None:
        """Stand in front of `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse a write sent from another site; give every other answer its headers and every browser its name."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        known = _device(scope["headers"])
        device = known or secrets.token_urlsafe(12)
        scope.setdefault("state", {}).update(device=device, came_at=now())

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = [*message["headers"], *_RAW]
                if not any(name == b"cache-control" for name, _ in headers):
                    headers.append(_USUALLY_CACHED)
                if known is None:
                    named = f"device={device}; Path=/; Max-Age={_A_YEAR}; HttpOnly; SameSite=Strict"
                    headers.append((b"set-cookie", named.encode()))
                message["headers"] = headers
            await send(message)

        if scope["method"] not in {"GET", "HEAD", "OPTIONS"} and not _from_here(Headers(scope=scope)):
            refused = PlainTextResponse("This was sent from another site and was not taken.", 403)
            await refused(scope, receive, send_guarded)
            return
        await self.app(scope, receive, send_guarded)


def _from_here(headers: Headers) -> bool:
    # Browsers say where a request comes from in Sec-Fetch-Site; older ones in Origin. A program that says neither is
    # no browser and carries nobody's cookies.
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in {"same-origin", "none"}
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == headers.get("host")


def _device(headers: Iterable[tuple[bytes, bytes]]) -> str | None:
    for name, value in headers:
        if name == b"cookie" and (found := _DEVICE.search(value)):
            return found[1].decode()
    return None
