"""The garage's place on the home network: a name and two ports, chosen once and kept.

They are kept because a phone ties what it has written down and not yet sent to one scheme, name and port: under
another name the same garage is a stranger to it.
"""

import json
import re
import secrets
import socket
from contextlib import closing
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from app.phone.private_files import private_folder, put
from app.phone.private_names import PRIVATE_NAMES
from app.records.not_done import NotDoneError

_FILE = "place.json"
# No vowels, so no words; no 0, 1, l, o, which look like each other in a cold garage.
_LETTERS = "bcdfghjkmnpqrstvwxz23456789"
_LABEL = r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?"
_NAME = re.compile(rf"(?:{_LABEL}\.)+(?:{'|'.join(re.escape(one) for one in PRIVATE_NAMES)})")
_ANY_NAME = re.compile(rf"(?:{_LABEL}\.)+{_LABEL}")
PORTS = range(8443, 8543)


class PlaceError(NotDoneError):
    """The name can't be used, or a port is taken; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Place:
    """`name` is the whole name (witnessmark-7k3f.local); `port` speaks https, `helper_port` plain http."""

    name: str
    port: int
    helper_port: int

    @property
    def announced(self) -> bool:
        """Whether the name is one this machine announces itself; any other is for the home's own DNS to answer."""
        return self.name.endswith(".local")

    @property
    def origin(self) -> str:
        """Where phones find the garage."""
        return f"https://{self.name}:{self.port}"


def kept(folder: Path) -> Place | None:
    """The place kept in `folder`; None before the garage was first served on the network."""
    try:
        return Place(**json.loads((folder / _FILE).read_text()))
    except FileNotFoundError:
        return None
    except (ValueError, TypeError) as error:
        raise PlaceError(
            f"{folder / _FILE} can't be read. Put it back from a backup: the phones know the garage by what is in it."
        ) from error


def settle(
    folder: Path,
    *,
    name: str | None = None,
    port: int | None = None,
    helper_port: int | None = None,
    public: bool = False,
) -> Place:
    """The kept place, made on first use; what is given here wins and is kept from now on.

    `public` allows any name: somebody else's certificate vouches for it. Raises PlaceError for a name that is not
    private otherwise.
    """
    before = kept(folder)
    place = before or _fresh()
    place = replace(
        place,
        name=whole_name(name or place.name, public=public),  # a kept one too: it may be from before, when it was public
        port=port or place.port,
        helper_port=helper_port or place.helper_port,
    )
    if place.port == place.helper_port:
        raise PlaceError("The garage and its helper page need two different ports.")
    if place != before:
        put(private_folder(folder) / _FILE, json.dumps(asdict(place)).encode())
    return place


def whole_name(text: str, *, public: bool = False) -> str:
    """`tern` is tern.local; a name with dots has to end in one that is private for good, unless it may be `public`.

    Raises PlaceError.
    """
    name = text.strip().lower().rstrip(".")
    name = name if "." in name else f"{name}.local"
    if len(name) > 253 or not (_ANY_NAME if public else _NAME).fullmatch(name):
        if public:
            raise PlaceError(f"{text} can't be the garage's name. Use letters, digits, dashes and dots.")
        endings = ", ".join(f".{one}" for one in PRIVATE_NAMES if one != "localhost")
        raise PlaceError(
            f"{text} can't be the garage's name. Use letters, digits and dashes, and an ending nobody can own "
            f"({endings})."
        )
    return name


def listen(port: int) -> list[socket.socket]:
    """Sockets on `port` for IPv4 and, where there is any, IPv6. Raises PlaceError when another program has it."""
    sockets: list[socket.socket] = []
    families = [(socket.AF_INET, "0.0.0.0"), (socket.AF_INET6, "::")]  # noqa: S104  # the network is the point
    try:
        for family, every in families if socket.has_dualstack_ipv6() else families[:1]:
            sockets.append(_bound(family, every, port))
    except OSError as error:
        for one in sockets:
            one.close()
        raise PlaceError(
            f"Port {port} is taken by another program ({error.strerror}). The phones know the garage by this port, so "
            "stop the other program. Choosing another with --port works too, but then each phone has to be paired anew."
        ) from error
    return sockets


def _bound(family: socket.AddressFamily, every: str, port: int) -> socket.socket:
    opened = socket.socket(family)
    try:
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            opened.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        opened.bind((every, port))
    except OSError:
        opened.close()
        raise
    return opened


def _fresh() -> Place:
    mark = "".join(secrets.choice(_LETTERS) for _ in range(4))
    free = (port for port in PORTS if _is_free(port))
    try:
        return Place(f"witnessmark-{mark}.local", next(free), next(free))
    except StopIteration:
        raise PlaceError(
            f"Every port from {PORTS[0]} to {PORTS[-1]} is taken. Name two free ones with --port and --helper-port."
        ) from None


def _is_free(port: int) -> bool:
    with closing(socket.socket()) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("", port))
            probe.listen(1)
        except OSError:
            return False
        return True
