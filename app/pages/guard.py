"""What stands between the network and the pages: safe headers on every answer, writes from our own pages only."""

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
    "permissions-policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
}
_RAW = [(name.encode(), value.encode()) for name, value in _HEADERS.items()]
_USUALLY_CACHED = (b"cache-control", b"no-cache")
_BROKEN = "Something went wrong here, not with what you did. What was entered before is safe. Go back and try again.\n"


class Guard:
    """ASGI middleware; plain, since every page passes through it."""

    def __init__(self, app: ASGIApp) -> None:
        """Stand in front of `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse a write sent from another site; give every answer its headers, one that went wrong among them."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        scope.setdefault("state", {})["came_at"] = now()
        begun = False

        async def send_guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = [*message["headers"], *_RAW]
                if not any(name == b"cache-control" for name, _ in headers):
                    headers.append(_USUALLY_CACHED)
                message["headers"] = headers
            await send(message)

        if scope["method"] not in {"GET", "HEAD", "OPTIONS"} and not _from_here(Headers(scope=scope)):
            refused = PlainTextResponse("This was sent from another site and was not taken.", 403)
            await refused(scope, receive, send_guarded)
            return
        try:
            await self.app(scope, receive, send_guarded)
        except Exception:
            if not begun:
                await PlainTextResponse(_BROKEN, 500)(scope, receive, send_guarded)
            raise  # the server writes it down


def _from_here(headers: Headers) -> bool:
    # Browsers say where a request comes from in Sec-Fetch-Site; older ones in Origin. A program that says neither is
    # no browser and carries nobody's cookies.
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in {"same-origin", "none"}
    origin = headers.get("origin")
    try:
        return origin is None or urlsplit(origin).netloc == headers.get("host")
    except ValueError:  # a bracket left open
        return False
