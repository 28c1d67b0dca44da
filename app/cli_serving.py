"""The commands that serve a garage, and the one that lets a device in."""

import argparse
import sys
from contextlib import closing
from datetime import datetime
from pathlib import Path
from urllib.parse import urlsplit

from app.cli_shared import Command, opened, settings_of
from app.records.not_done import NotDoneError
from app.settings import THIS_MACHINE, USUAL_PORT

_NO_ORIGIN = argparse.ArgumentTypeError("an address is https:// and a name, such as https://garage.example")


def add_servers(command: Command) -> None:
    """Add what serves a garage, and what lets a device in."""
    serve = command("serve", _serve, "Serve the garage to a browser on this machine, until Ctrl-C.")
    where = serve.add_mutually_exclusive_group()
    where.add_argument("--lan", action="store_true", help="serve it to the home network instead, over https")
    where.add_argument(
        "--proxied",
        type=_origin,
        metavar="ADDRESS",
        help="serve it to a reverse proxy on this machine, found at ADDRESS",
    )
    serve.add_argument("--name", help="with --lan: the name phones find it by (usual: one made once, and kept)")
    serve.add_argument("--helper-port", type=_port, metavar="PORT", help="with --lan: the helper page's port (kept)")
    serve.add_argument(
        "--cert", type=Path, metavar="FILE", help="with --lan: a certificate of your own, with its chain"
    )
    serve.add_argument("--key", type=Path, metavar="FILE", help="with --lan: the key of that certificate")
    demo_ = command(
        "demo", _demo, "Make a fresh demo garage, apart from any other, and serve it to this machine alone."
    )
    link = command("link", _link, "Make a link that pairs one device, once, within five minutes.")
    served_at = link.add_mutually_exclusive_group()
    served_at.add_argument(
        "--at", type=_origin, metavar="ADDRESS", help="where browsers find it, behind a reverse proxy"
    )
    serve.add_argument(
        "--port", type=_port, help=f"the port to listen on (usual: {USUAL_PORT}; with --lan the kept one)"
    )
    demo_.add_argument("--port", type=_port, help=f"the port to listen on (usual: {USUAL_PORT})")
    served_at.add_argument("--port", type=_port, help="the port it is served on to this machine alone")


def _serve(asked: argparse.Namespace) -> int:
    if (asked.cert is None) != (asked.key is None):
        raise NotDoneError("--cert and --key go together: one is no use without the other.")
    if not asked.lan and (asked.name or asked.helper_port or asked.cert):
        raise NotDoneError("--name, --helper-port, --cert and --key are for the home network: add --lan.")
    from app import serving  # only now: what can not be is said at once

    serving.write_log()
    if asked.lan:
        return _serve_lan(asked)
    return _serve_proxied(asked) if asked.proxied else _serve_here(asked)


def _serve_here(asked: argparse.Namespace) -> int:
    from app import serving
    from app.phone import terminal
    from app.phone.pairing import new_link

    port = USUAL_PORT if asked.port is None else asked.port
    with serving.listen(THIS_MACHINE, port) as listening, closing(opened(settings_of(asked))) as garage:
        here = serving.address(listening)
        print(f"Witnessmark is at {here}  (Ctrl-C stops it)")
        print(terminal.link_here(new_link(garage, here)), flush=True)
        serving.serve(serving.configured(garage), listening)
    return 0


def _serve_lan(asked: argparse.Namespace) -> int:
    from app.main import create_app
    from app.phone import lan, names

    settings = settings_of(asked)
    own = lan.OwnCertificate(asked.cert, asked.key) if asked.cert else None
    with closing(opened(settings)) as garage:
        place = names.settle(
            settings.lan, name=asked.name, port=asked.port, helper_port=asked.helper_port, public=own is not None
        )
        lan.run(create_app(garage, place.origin), settings.lan, place, own)
    return 0


def _serve_proxied(asked: argparse.Namespace) -> int:
    from app import serving
    from app.main import create_app
    from app.phone import lan

    port = USUAL_PORT if asked.port is None else asked.port
    with serving.listen(THIS_MACHINE, port) as listening, closing(opened(settings_of(asked))) as garage:
        print(f"The reverse proxy finds Witnessmark at {serving.address(listening)}  (Ctrl-C stops it)")
        print(f"Browsers find it at {asked.proxied}/")
        print(f"To pair one, type in another terminal:  witnessmark link --at {asked.proxied}", flush=True)
        serving.serve(lan.behind_proxy(create_app(garage, asked.proxied), port), listening)
    return 0


def _link(asked: argparse.Namespace) -> int:
    from app.phone import names, terminal
    from app.phone.pairing import new_link
    from app.records.garage import Garage

    settings = settings_of(asked)
    if not settings.database.is_file():
        raise NotDoneError(f"There is no garage in {settings.data}.")
    place = None if asked.at or asked.port else names.kept(settings.lan)
    away = asked.at or (place.origin if place else None)
    with closing(Garage.open(settings)) as garage:
        if away:
            print(terminal.link_shown(new_link(garage, away), coloured=sys.stdout.isatty()))
        else:
            print(terminal.link_here(new_link(garage, f"http://{THIS_MACHINE}:{asked.port or USUAL_PORT}")))
    return 0


def _demo(asked: argparse.Namespace) -> int:
    from app import serving
    from app.records import demo

    serving.write_log()

    port = USUAL_PORT if asked.port is None else asked.port
    at = datetime.now().astimezone()
    with (
        serving.listen(THIS_MACHINE, port, or_any=asked.port is None) as listening,
        closing(demo.fresh(getattr(asked, "data", None), at)) as garage,
    ):
        print(f"This garage is made anew each time, in {garage.settings.data}")
        print(f"Witnessmark's demo is at {serving.address(listening)}  (Ctrl-C stops it)", flush=True)
        serving.serve(serving.configured(garage, gated=False), listening)
    return 0


def _port(text: str) -> int:
    if not (text.isdecimal() and int(text) < 65536):
        raise argparse.ArgumentTypeError("a port is a number up to 65535")
    return int(text)


def _origin(text: str) -> str:
    try:
        found = urlsplit(text)
        port = "" if found.port is None else f":{found.port}"
    except ValueError:
        raise _NO_ORIGIN from None
    if found.scheme != "https" or not found.hostname or found.path.strip("/") or found.query or found.fragment:
        raise _NO_ORIGIN
    return f"https://{found.hostname}{port}" if ":" not in found.hostname else f"https://[{found.hostname}]{port}"
