"""What stands between the network and the pages: safe headers on every answer, writes from our own pages only."""

import secrets
from http.cookies import SimpleCookie
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

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
_A_YEAR = 60 * 60 * 24 * 365


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
        headers = Headers(scope=scope)
        known = _device(headers.get("cookie", ""))
        device = known or secrets.token_urlsafe(12)
        scope.setdefault("state", {})["device"] = device

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    answer[name] = value
                answer.setdefault("cache-control", "no-cache")
                if known is None:
                    answer.append(
                        "set-cookie", f"device={device}; Path=/; Max-Age={_A_YEAR}; HttpOnly; SameSite=Strict"
                    )
            await send(message)

        if scope["method"] not in {"GET", "HEAD", "OPTIONS"} and not _from_here(headers):
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


def _device(cookie: str) -> str | None:
    if "device=" not in cookie:
        return None
    jar = SimpleCookie(cookie)
    value = jar["device"].value if "device" in jar else ""
    return value if 8 <= len(value) <= 64 and value.isascii() else None
