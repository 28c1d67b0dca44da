"""The garage on the network for real: two servers, real sockets, certificates checked against the authority alone."""

import asyncio
import contextlib
import http.client
import ipaddress
import socket
import ssl
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import uvicorn
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from fastapi import FastAPI
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from app.phone.authority import make
from app.phone.cookie import HOST_COOKIE
from app.phone.lan import Lan, OwnCertificate, behind_proxy
from app.phone.leaf import sign
from app.phone.mdns import Announcement
from app.phone.names import Place, PlaceError
from app.phone.private_names import Address
from app.records import devices
from app.records.garage import Garage
from app.records.not_done import NotDoneError

from .conftest import in_a_loop
from .test_mdns import heard

HOME: Sequence[Address] = (ipaddress.ip_address("192.168.1.20"),)
MOVED: Sequence[Address] = (ipaddress.ip_address("192.168.1.77"),)
PAGE = {"accept": "text/html"}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class World:
    """What the machine round the garage is like; a test changes it and lets the garage look."""

    addresses: Sequence[Address] = HOME
    now: datetime = field(default_factory=lambda: datetime.now(UTC))


@dataclass
class Served:
    lan: Lan
    world: World
    said: str
    _loop: asyncio.AbstractEventLoop

    def look(self) -> bool:
        return asyncio.run_coroutine_threadsafe(self.lan.look(), self._loop).result(20)

    def trusting(self) -> ssl.SSLContext:
        """How a phone that took in the root, and has no other, checks the garage."""
        assert self.lan.authority is not None
        return ssl.create_default_context(cadata=self.lan.authority.root_pem.decode())

    def connect(self, name: str | None = None, context: ssl.SSLContext | None = None) -> ssl.SSLSocket:
        plain = socket.create_connection(("127.0.0.1", self.lan.place.port), 10)
        return (context or self.trusting()).wrap_socket(plain, server_hostname=name or self.lan.place.name)

    def ask(self, path: str, **headers: str) -> tuple[int, dict[str, str], str]:
        with self.connect() as secure:
            return exchange(secure, path, self.lan.place.name, headers)

    def helper(self, path: str) -> tuple[int, bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", self.lan.place.helper_port, timeout=10)
        try:
            connection.request("GET", path)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()


def exchange(secure: ssl.SSLSocket, path: str, host: str, headers: dict[str, str]) -> tuple[int, dict[str, str], str]:
    """One request on a connection that stays open."""
    lines = [f"GET {path} HTTP/1.1", f"Host: {host}", *(f"{name}: {value}" for name, value in headers.items())]
    secure.sendall("\r\n".join([*lines, "", ""]).encode())
    answer = http.client.HTTPResponse(secure)
    answer.begin()
    return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read().decode()


def certificate_of(secure: ssl.SSLSocket) -> x509.Certificate:
    der = secure.getpeercert(binary_form=True)
    assert der is not None
    return x509.load_der_x509_certificate(der)


@contextmanager
def serving(
    app: ASGIApp, folder: Path, own: OwnCertificate | None = None, name: str = "tern-under-test.home.arpa"
) -> Iterator[Served]:
    """The garage in a thread of its own, heard on the loopback interface only, stopped in order at the end."""
    world = World()
    place = Place(name, free_port(), free_port())
    ready: list[str] = []
    went: list[BaseException] = []
    up = threading.Event()
    holder: list[tuple[Lan, asyncio.AbstractEventLoop]] = []

    async def main() -> None:
        lan = Lan(
            app,
            folder,
            place,
            own,
            addresses=lambda: world.addresses,
            clock=lambda: world.now,
            announcement=Announcement(interfaces=["127.0.0.1"]),
        )
        holder.append((lan, asyncio.get_running_loop()))

        def shown(text: str) -> None:
            ready.append(text)
            up.set()

        await lan.serve(shown)

    def run() -> None:
        try:
            asyncio.run(main())
        except BaseException as error:  # noqa: BLE001  # handed to the test
            went.append(error)
        finally:
            up.set()

    thread = threading.Thread(target=run)
    thread.start()
    assert up.wait(30)
    if went:
        thread.join()
        raise went[0]
    lan, loop = holder[0]
    try:
        yield Served(lan, world, ready[0], loop)
    finally:
        with contextlib.suppress(RuntimeError):  # a test may have stopped it, and its loop, by itself
            loop.call_soon_threadsafe(lan.stop)
        thread.join(30)
        assert not thread.is_alive()
        assert not went


@pytest.fixture
def served(app: FastAPI, folder: Path) -> Iterator[Served]:
    with serving(app, folder) as one:
        yield one


def test_a_phone_that_trusts_the_root_gets_through_by_name_and_by_address(served: Served) -> None:
    for name in ("tern-under-test.home.arpa", "localhost", "192.168.1.20", "127.0.0.1"):
        with served.connect(name) as secure:
            assert secure.version() == "TLSv1.3"
    status, headers, text = served.ask("/cars", **PAGE)
    assert status == 401
    assert "This device is not paired" in text
    assert headers["strict-transport-security"] == "max-age=31536000; includeSubDomains"
    assert "server" not in headers


def test_a_phone_that_does_not_trust_it_does_not_get_through(served: Served) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        served.connect(context=ssl.create_default_context())
    with pytest.raises(ssl.SSLCertVerificationError, match="IP address mismatch"):
        served.connect("192.168.1.99")


def test_old_protocols_are_refused(served: Served) -> None:
    old = served.trusting()
    with pytest.warns(DeprecationWarning, match="TLSv1 is deprecated"):
        old.minimum_version = ssl.TLSVersion.TLSv1
    with pytest.warns(DeprecationWarning, match="TLSv1_1 is deprecated"):
        old.maximum_version = ssl.TLSVersion.TLSv1_1
    old.set_ciphers("ALL:@SECLEVEL=0")
    with pytest.raises((ssl.SSLError, ConnectionError)):
        served.connect(context=old)


def test_pairing_over_the_network_ends_inside(served: Served, garage: Garage) -> None:
    token = devices.make_link(garage.engine, datetime.now(UTC))
    with served.connect() as secure:
        assert exchange(secure, f"/pair/{token}", "tern-under-test.home.arpa", PAGE)[0] == 200
    connection = http.client.HTTPSConnection("localhost", served.lan.place.port, context=served.trusting(), timeout=10)
    connection.request(
        "POST",
        f"/pair/{token}",
        "name=bay+phone",
        {"sec-fetch-site": "same-origin", "content-type": "application/x-www-form-urlencoded"},
    )
    answer = connection.getresponse()
    answer.read()
    connection.close()
    assert answer.status == 303
    cookies = answer.headers.get_all("set-cookie") or []
    (cookie,) = [one.partition(";")[0] for one in cookies if one.startswith(HOST_COOKIE)]
    assert served.ask("/cars", cookie=cookie)[0] == 200


def test_the_helper_page_answers_plainly_and_has_no_way_into_the_garage(served: Served) -> None:
    status, body = served.helper("/")
    assert (status, b"https://tern-under-test.home.arpa:" in body) == (200, True)
    assert served.lan.authority is not None
    assert served.helper("/witnessmark.crt") == (200, served.lan.authority.root_der)
    for path in ("/cars", "/devices", "/pair/x", "/static/../../garage.sqlite3"):
        assert served.helper(path)[0] == 404


def test_its_name_is_heard_on_the_network_while_it_runs_and_follows_it(app: FastAPI, folder: Path) -> None:
    name = "tern-under-test.local"
    with serving(app, folder, name=name) as one:
        if one.lan.announcement.trouble is not None:
            pytest.skip(one.lan.announcement.trouble)
        assert in_a_loop(heard(name, "192.168.1.20")) == ["192.168.1.20"]
        one.world.addresses = MOVED
        one.look()
        assert "192.168.1.77" in in_a_loop(heard(name, "192.168.1.77"))
    assert in_a_loop(heard(name)) == []


def test_the_terminal_says_what_was_served(served: Served) -> None:
    assert f"https://tern-under-test.home.arpa:{served.lan.place.port}/" in served.said
    assert f"http://192.168.1.20:{served.lan.place.helper_port}/" in served.said


def test_a_new_address_renews_the_certificate_without_dropping_a_connection(served: Served) -> None:
    with served.connect() as before:
        assert exchange(before, "/pair", "tern-under-test.home.arpa", PAGE)[0] == 200
        first = certificate_of(before)
        served.world.addresses = MOVED
        assert served.look()
        with served.connect("192.168.1.77") as after:
            assert certificate_of(after).serial_number != first.serial_number
        assert exchange(before, "/pair", "tern-under-test.home.arpa", PAGE)[0] == 200
    with pytest.raises(ssl.SSLCertVerificationError):
        served.connect("192.168.1.20")
    assert b"https://192.168.1.77:" in served.helper("/")[1]


def test_a_certificate_nearly_over_is_renewed_while_running(served: Served) -> None:
    with served.connect() as secure:
        first = certificate_of(secure)
    served.world.now = first.not_valid_after_utc - timedelta(days=31)
    assert not served.look()
    served.world.now = first.not_valid_after_utc - timedelta(days=29)
    assert served.look()
    # The new one is not valid yet on this machine's real clock, so look at it without checking.
    unchecked = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    unchecked.check_hostname = False
    unchecked.verify_mode = ssl.CERT_NONE
    with served.connect(context=unchecked) as secure:
        assert certificate_of(secure).not_valid_after_utc > first.not_valid_after_utc + timedelta(days=300)


def test_a_restart_is_the_same_garage_to_a_phone(app: FastAPI, folder: Path) -> None:
    with serving(app, folder) as first:
        trusting = first.trusting()
    with serving(app, folder) as again, again.connect(context=trusting) as secure:
        assert secure.version() == "TLSv1.3"


def test_stopping_ends_both_servers_and_lets_go_of_the_ports(app: FastAPI, folder: Path) -> None:
    with serving(app, folder) as one:
        ports = (one.lan.place.port, one.lan.place.helper_port)
    for port in ports:
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", port), 5).close()


def test_an_answer_under_way_is_finished_before_the_end(folder: Path) -> None:
    begun, go_on = threading.Event(), threading.Event()

    async def slow(scope: Scope, receive: Receive, send: Send) -> None:
        begun.set()
        await asyncio.to_thread(go_on.wait, 20)
        await PlainTextResponse("finished")(scope, receive, send)

    answers: list[tuple[int, dict[str, str], str]] = []
    with serving(slow, folder) as one:
        asking = threading.Thread(target=lambda: answers.append(one.ask("/")))
        asking.start()
        assert begun.wait(20)
        one.lan._stopped.set()
        go_on.set()
        asking.join(20)
    assert [(status, text) for status, _, text in answers] == [(200, "finished")]


def test_a_taken_port_is_said_plainly_and_nothing_is_left_open(app: FastAPI, folder: Path) -> None:
    with socket.socket() as other:
        other.bind(("", 0))
        other.listen(1)
        place = Place("tern-under-test.home.arpa", free_port(), other.getsockname()[1])

        async def main() -> None:
            await Lan(app, folder, place, addresses=lambda: HOME).serve(lambda _: None)

        with pytest.raises(PlaceError, match="is taken by another program"):
            in_a_loop(main())
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", place.port), 5).close()


def test_a_certificate_of_ones_own_is_served_without_a_helper_page(app: FastAPI, folder: Path, tmp_path: Path) -> None:
    theirs = make(datetime.now(UTC))
    key, certificate = sign(theirs, "tern-under-test.home.arpa", [], datetime.now(UTC))
    own = OwnCertificate(tmp_path / "own.pem", tmp_path / "own.key")
    pem = serialization.Encoding.PEM
    own.certificate.write_bytes(certificate.public_bytes(pem) + theirs.issuing.public_bytes(pem))
    own.key.write_bytes(key.private_bytes(pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()))
    trusting = ssl.create_default_context(cadata=theirs.root_pem.decode())
    with serving(app, folder, own) as one:
        with one.connect(context=trusting) as secure:
            assert certificate_of(secure) == certificate
        with pytest.raises(ConnectionRefusedError):
            one.helper("/")
        assert "fingerprint" not in one.said
    assert not folder.exists()


def test_a_certificate_that_can_not_be_used_is_said_plainly(app: FastAPI, folder: Path, tmp_path: Path) -> None:
    own = OwnCertificate(tmp_path / "own.pem", tmp_path / "own.key")
    place = Place("tern.local", 1, 2)
    with pytest.raises(NotDoneError, match="can't be used: No such file"):
        Lan(app, folder, place, own)
    own.certificate.write_text("no certificate")
    own.key.write_text("no key")
    with pytest.raises(NotDoneError, match="read as PEM"):
        Lan(app, folder, place, own)


def test_behind_a_proxy_the_forwarded_scheme_is_believed_from_this_machine_alone() -> None:
    async def tell(scope: Scope, receive: Receive, send: Send) -> None:
        await PlainTextResponse(f"{scope['scheme']} {scope['client'][0]}")(scope, receive, send)

    config = behind_proxy(tell, 0)
    assert (config.host, config.proxy_headers, config.forwarded_allow_ips) == ("127.0.0.1", True, "127.0.0.1,::1")
    with running(config) as port:
        forwarded = {"x-forwarded-proto": "https", "x-forwarded-for": "198.51.100.7"}
        assert plain_get(port, forwarded) == (200, "https 198.51.100.7")
        assert plain_get(port, {})[0] == 400


def test_without_a_proxy_nothing_forwarded_is_believed(served: Served, garage: Garage) -> None:
    # An address of this machine's own claimed in a header must not count as this machine.
    told = [served.ask(f"/pair/guess{n}", **{"x-forwarded-for": f"10.0.0.{n}"})[0] for n in range(11)]
    assert told == [403] * 10 + [429]


@contextmanager
def running(config: uvicorn.Config) -> Iterator[int]:
    server = uvicorn.Server(config)
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        try:
            yield int(listening.getsockname()[1])
        finally:
            server.should_exit = True
            thread.join(20)


def plain_get(port: int, headers: dict[str, str], path: str = "/") -> tuple[int, str]:
    for _ in range(200):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        try:
            connection.request("GET", path, headers=headers)
            answer = connection.getresponse()
            return answer.status, answer.read().decode()
        except ConnectionRefusedError:
            threading.Event().wait(0.05)
        finally:
            connection.close()
    raise AssertionError("the server never answered")
