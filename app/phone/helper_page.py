"""The helper page: plain http on a port of its own, for a phone that does not trust the garage yet.

It serves the page, the root certificate and the few files the page is drawn with. Everything is put together once, when
it starts, and held in a table: what is not in the table does not exist here, whatever the path says.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cryptography.x509.oid import NameOID
from starlette.types import Receive, Scope, Send

from app.pages.shell import render
from app.phone.authority import Authority
from app.phone.names import Place
from app.phone.private_names import Address
from app.settings import shipped

#: Phones take a certificate to be one by this type.
CERTIFICATE = "application/x-x509-ca-cert"

_DRAWN_WITH = {
    "look.css": "text/css; charset=utf-8",
    "forms.css": "text/css; charset=utf-8",
    "phone.css": "text/css; charset=utf-8",
    "icon.svg": "image/svg+xml",
    "fonts/barlow-semi-condensed-latin-400-normal.woff2": "font/woff2",
    "fonts/barlow-semi-condensed-latin-600-normal.woff2": "font/woff2",
}
_HEADERS = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), camera=(), payment=(), usb=()",
    "cache-control": "no-store",
}


@dataclass(frozen=True, slots=True)
class _Answer:
    content_type: str
    body: bytes
    file_name: str = ""


class HelperPage:
    """The ASGI application."""

    def __init__(self, authority: Authority, place: Place, addresses: Sequence[Address]) -> None:
        """For this authority and place; `addresses` are other ways in, should the name not be found."""
        self._answers = _table(authority, place, addresses)

    def readdress(self, authority: Authority, place: Place, addresses: Sequence[Address]) -> None:
        """Put the page together again: this machine has other addresses now."""
        self._answers = _table(authority, place, addresses)

    async def __call__(self, scope: Scope, _: Receive, send: Send) -> None:
        """Answer from the table, or 404."""
        if scope["type"] != "http":
            return
        asked = scope["method"] in {"GET", "HEAD"}
        found = self._answers.get(scope["path"]) if asked else None
        answer = found or _Answer("text/plain; charset=utf-8", b"There is no such page.\n")
        headers = {**_HEADERS, "content-type": answer.content_type, "content-length": str(len(answer.body))}
        if answer.file_name:
            headers["content-disposition"] = f'attachment; filename="{answer.file_name}"'
        lines = [(name.encode(), value.encode()) for name, value in headers.items()]
        await send({"type": "http.response.start", "status": 200 if found else 404, "headers": lines})
        await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else answer.body})


def at(address: Address, port: int, scheme: str) -> str:
    """An address as a browser takes it."""
    host = f"[{address}]" if address.version == 6 else str(address)
    return f"{scheme}://{host}:{port}"


def name_of(authority: Authority) -> str:
    """What phones call the authority in their lists."""
    return str(authority.root.subject.get_attributes_for_oid(NameOID.COMMON_NAME)[0].value)


def _table(authority: Authority, place: Place, addresses: Sequence[Address]) -> Mapping[str, _Answer]:
    page = render(
        "phone/helper.html",
        {
            "authority": name_of(authority),
            "fingerprint": authority.fingerprint,
            "ends": f"{authority.ends.day} {authority.ends:%B %Y}",
            "origin": place.origin,
            "announced": place.announced,
            "others": [at(one, place.port, "https") for one in addresses],
        },
    )
    static = shipped("static")
    return {
        "/": _Answer("text/html; charset=utf-8", page.encode()),
        "/witnessmark.crt": _Answer(CERTIFICATE, authority.root_der, "witnessmark.crt"),
        "/witnessmark.pem": _Answer(CERTIFICATE, authority.root_pem, "witnessmark.pem"),
        **{f"/static/{name}": _Answer(kind, (static / name).read_bytes()) for name, kind in _DRAWN_WITH.items()},
    }
