"""The cookie a paired device carries, and when it is believed."""

import re

from starlette.types import Scope

from app.phone.private_names import is_loopback
from app.records.devices import PAIRING_LASTS, Credential

#: Over https. The prefix makes a browser hold it to one host, the whole of it, and https (RFC 6265bis section 4.1.3).
HOST_COOKIE = "__Host-device"
#: On this very machine over plain http, where browsers refuse the prefix.
PLAIN_COOKIE = "paired-device"

# Matched where it stands: every request of a paired device passes here, and a jar of cookies costs more to fill.
_SHAPES = {
    name: re.compile(rb"(?:^|;\s*)" + name.encode() + rb"=([0-9a-f]{16})\.([A-Za-z0-9_-]{43})(?:;|$)")
    for name in (HOST_COOKIE, PLAIN_COOKIE)
}


def cookie_name(scope: Scope) -> str:
    """The cookie this request may carry: which one depends on the scheme alone."""
    return HOST_COOKIE if scope["scheme"] == "https" else PLAIN_COOKIE


def peer_of(scope: Scope) -> str:
    """The address of whoever asks; nothing when the server does not know."""
    client = scope.get("client")
    return client[0] if client else ""


def may_pair(scope: Scope) -> bool:
    """Whether a secret may travel on this connection: over https, or without leaving this machine."""
    return scope["scheme"] == "https" or is_loopback(peer_of(scope))


def carried(scope: Scope) -> Credential | None:
    """The credential this request carries; None where there is none, it is misshapen, or it must not be believed."""
    shape = _SHAPES[cookie_name(scope)]
    for name, value in scope["headers"]:
        if name == b"cookie" and (found := shape.search(value)):
            return Credential(found[1].decode(), found[2].decode()) if may_pair(scope) else None
    return None


def cookie_line(scope: Scope, credential: Credential) -> str:
    """The Set-Cookie header that hands a device its credential."""
    secure = "; Secure" if scope["scheme"] == "https" else ""
    seconds = int(PAIRING_LASTS.total_seconds())
    value = f"{credential.id}.{credential.secret}"
    return f"{cookie_name(scope)}={value}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Strict{secure}"
