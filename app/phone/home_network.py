"""What the https server adds in front of the application: who may knock, and that the name means https from now on."""

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.phone.cookie import peer_of
from app.phone.private_names import is_private, read_address

# These refusals are given in front of the guard, so they bring their own.
_STRICT = {
    "content-security-policy": "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
_A_YEAR = 60 * 60 * 24 * 365


class HomeNetwork:
    """ASGI middleware, outermost. Answers private addresses only, and sends Strict-Transport-Security for the name.

    For the name alone: on `localhost`, browsers would from then on refuse plain http to every other program on this
    machine. The helper page is linked to by address, which Strict-Transport-Security never covers (RFC 6797 section
    8.1.1), so it stays within reach.
    """

    def __init__(self, app: ASGIApp, name: str, *, private_only: bool = True) -> None:
        """Stand in front of `app`, known as `name`. `private_only` off is for a certificate of one's own."""
        self.app = app
        self._name = name
        self._private_only = private_only

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Turn away who comes from outside; pass on everybody else."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if self._private_only and not _is_near(peer_of(scope)):
            refused = PlainTextResponse("This garage answers on its own network only.\n", 403, _STRICT)
            await refused(scope, receive, send)
            return
        host = Headers(scope=scope).get("host", "").lower().partition(":")[0]

        async def send_pinned(message: Message) -> None:
            if message["type"] == "http.response.start" and host == self._name:
                MutableHeaders(scope=message)["strict-transport-security"] = f"max-age={_A_YEAR}; includeSubDomains"
            await send(message)

        await self.app(scope, receive, send_pinned)


class BehindProxy:
    """ASGI middleware for `--proxied`: only what the proxy on this machine took in over https is let through.

    uvicorn has by then put the proxy's X-Forwarded-Proto and X-Forwarded-For in place of its own, for requests from
    this machine alone. Without them a request would look like plain http from this machine, which pairs without
    a Secure cookie.
    """

    def __init__(self, app: ASGIApp) -> None:
        """Stand in front of `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse what did not come over https."""
        if scope["type"] == "http" and scope["scheme"] != "https":
            refused = PlainTextResponse(
                "The reverse proxy has to take https and say so: X-Forwarded-Proto: https.\n", 400, _STRICT
            )
            await refused(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _is_near(peer: str) -> bool:
    address = read_address(peer)
    return address is not None and is_private(address)
