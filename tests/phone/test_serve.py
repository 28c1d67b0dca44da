"""`witnessmark serve` on the home network, as a person starts it: one process, reached on loopback alone."""

import http.client
import re
import signal
import ssl
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization

from app.phone.authority import Authority
from app.phone.cookie import HOST_COOKIE, PLAIN_COOKIE
from app.phone.leaf import sign

from .test_lan import free_port

#: A name no multicast DNS announces: nothing of this test is heard outside this machine.
NAME = "tern-under-test.home.arpa"
PAGE = {"accept": "text/html"}
FORM = {"sec-fetch-site": "same-origin", "content-type": "application/x-www-form-urlencoded"}


def command(data: Path, *arguments: object) -> list[str]:
    return [sys.executable, "-W", "error", "-m", "app", "--data", str(data), *map(str, arguments)]


@dataclass
class Running:
    process: subprocess.Popen[str]
    said: str

    def stop(self, how: signal.Signals) -> tuple[int, str, str]:
        """Its status, and all it said on standard output and standard error from start to end."""
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=30)
        return self.process.returncode, self.said + out, err


@contextmanager
def started(data: Path, *arguments: object, until: str) -> Iterator[Running]:
    """The command, once it has said `until`."""
    process = subprocess.Popen(
        command(data, *arguments), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8"
    )
    assert process.stdout
    said = ""
    while until not in said and (line := process.stdout.readline()):
        said += line
    try:
        yield Running(process, said)
    finally:
        process.kill()
        process.communicate()


@dataclass
class Ways:
    """Into the garage and to its helper page, on loopback."""

    data: Path
    port: int
    helper_port: int

    def ask(self, method: str, path: str, headers: dict[str, str], body: str = "") -> http.client.HTTPResponse:
        """As a phone does that trusts the garage's authority and no other, and checks its name."""
        trusting = ssl.create_default_context(cafile=self.data.parent / "root.pem")
        with closing(http.client.HTTPSConnection("localhost", self.port, context=trusting, timeout=20)) as connection:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            answer.read()
            return answer

    def helper(self, path: str) -> tuple[int, bytes]:
        with closing(http.client.HTTPConnection("127.0.0.1", self.helper_port, timeout=20)) as connection:
            connection.request("GET", path)
            answer = connection.getresponse()
            return answer.status, answer.read()


@pytest.fixture
def ways(tmp_path: Path) -> Ways:
    return Ways(tmp_path / "data", free_port(), free_port())


def test_serving_the_home_network_from_start_to_end(ways: Ways) -> None:
    asked = ["serve", "--lan", "--name", NAME, "--port", ways.port, "--helper-port", ways.helper_port]
    with started(ways.data, *asked, until="Ctrl-C") as running:
        assert f"https://{NAME}:{ways.port}/" in running.said
        assert "witnessmark link" in running.said

        status, page = ways.helper("/")
        assert (status, b"Bring a phone to the garage" in page) == (200, True)
        status, root = ways.helper("/witnessmark.pem")
        assert status == 200
        (ways.data.parent / "root.pem").write_bytes(root)
        assert ways.helper("/cars")[0] == 404

        assert ways.ask("GET", "/cars", PAGE).status == 401
        made = subprocess.run(command(ways.data, "link"), capture_output=True, text=True, encoding="utf-8", check=True)
        (link,) = re.findall(rf"https://{re.escape(NAME)}:{ways.port}(/pair/\S+)", made.stdout)
        paired = ways.ask("POST", link, FORM, "name=bay+phone")
        assert paired.status == 303
        cookie = str(paired.headers["set-cookie"]).partition(";")[0]
        assert cookie.startswith(HOST_COOKIE)
        assert ways.ask("GET", "/cars", {"cookie": cookie}).status == 200
        assert ways.ask("POST", link, FORM, "name=other").status == 403

        status_at_end, out, err = running.stop(signal.SIGTERM)
    assert status_at_end == 0
    secret, token = cookie.partition("=")[2], link.rpartition("/")[2]
    for private in (token, secret, secret.partition(".")[2]):
        assert private not in out + err
    assert re.search(r"^\d{4}-\d\d-\d\dT[\d:.]{12}Z device [0-9a-f]{16} paired from 127\.0\.0\.1$", err, re.MULTILINE)
    assert re.search(r"Z a link was refused \(used\) from 127\.0\.0\.1$", err, re.MULTILINE)
    assert len(err.splitlines()) == 2, err
    for port in (ways.port, ways.helper_port):
        with pytest.raises(ConnectionRefusedError):
            http.client.HTTPConnection("127.0.0.1", port, timeout=5).connect()


def test_openssl_refuses_a_public_name_from_the_authority_it_made(ways: Ways, tmp_path: Path) -> None:
    asked = ["serve", "--lan", "--name", NAME, "--port", ways.port, "--helper-port", ways.helper_port]
    with started(ways.data, *asked, until="Ctrl-C") as running:
        assert running.stop(signal.SIGINT)[0] == 0
    now = datetime.now(UTC)
    authority = Authority.open(ways.data / "lan", now)
    pem = serialization.Encoding.PEM
    (tmp_path / "root.pem").write_bytes(authority.root.public_bytes(pem))
    (tmp_path / "issuing.pem").write_bytes(authority.issuing.public_bytes(pem))
    said = {}
    for name in (NAME, "bank.example.com"):
        _, certificate = sign(authority, name, [], now)
        (tmp_path / "leaf.pem").write_bytes(certificate.public_bytes(pem))
        verify = ["openssl", "verify", "-x509_strict", "-CAfile", "root.pem", "-untrusted", "issuing.pem", "leaf.pem"]
        done = subprocess.run(verify, cwd=tmp_path, capture_output=True, text=True, check=False)
        said[name] = (done.returncode, done.stdout + done.stderr)
    assert said[NAME][0] == 0, said
    assert said["bank.example.com"][0] != 0
    assert "permitted subtree violation" in said["bank.example.com"][1]
    shown = subprocess.run(
        ["openssl", "x509", "-in", "issuing.pem", "-noout", "-text"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert "X509v3 Name Constraints: critical" in shown
    assert "DNS:local" in shown


def test_a_garage_served_again_is_the_same_to_a_phone(ways: Ways) -> None:
    asked = ["serve", "--lan", "--name", NAME, "--port", ways.port, "--helper-port", ways.helper_port]
    for again in (asked, ["serve", "--lan"]):
        with started(ways.data, *again, until="Ctrl-C"):
            if again is asked:
                (ways.data.parent / "root.pem").write_bytes(ways.helper("/witnessmark.pem")[1])
            assert ways.ask("GET", "/cars", PAGE).status == 401


def test_a_browser_on_this_machine_comes_in_by_the_printed_link_and_it_is_said_once(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with started(data, "serve", "--port", 0, until="/pair/") as running:
        (link,) = re.findall(r"http://\S+/pair/\S+", running.said)
        parts = urlsplit(link)
        with closing(http.client.HTTPConnection(parts.hostname or "", parts.port, timeout=20)) as connection:
            connection.request("POST", parts.path, "name=bench+laptop", FORM)
            paired = connection.getresponse()
            paired.read()
            cookie = str(paired.headers["set-cookie"]).partition(";")[0]
            assert (paired.status, cookie.partition("=")[0]) == (303, PLAIN_COOKIE)
            statuses = []
            for method, path, headers in (
                ("GET", "/cars", {"cookie": cookie}),
                ("GET", "/cars", {}),
                ("POST", parts.path, FORM),
            ):
                connection.request(method, path, headers=headers)
                answer = connection.getresponse()
                answer.read()
                statuses.append(answer.status)
        assert statuses == [200, 401, 403]
        status, out, err = running.stop(signal.SIGTERM)
    token = parts.path.rpartition("/")[2]
    assert (status, out.count(token), token in err, cookie.partition(".")[2] in out + err) == (0, 1, False, False)


def test_behind_a_proxy_only_https_comes_in(tmp_path: Path) -> None:
    port = free_port()
    said = ("serve", "--proxied", "https://garage.example", "--port", port)
    with started(tmp_path / "data", *said, until="witnessmark link --at https://garage.example") as running:
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
            told = []
            for headers in ({}, {"x-forwarded-proto": "https", "x-forwarded-for": "198.51.100.7"}):
                connection.request("GET", "/cars", headers=headers)
                answer = connection.getresponse()
                answer.read()
                told.append(answer.status)
        made = subprocess.run(
            command(tmp_path / "data", "link", "--at", "https://garage.example"),
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=True,
        )
        assert running.stop(signal.SIGTERM)[0] == 0
    assert told == [400, 401]
    assert re.search(r"^https://garage\.example/pair/\S{43}$", made.stdout, re.MULTILINE)


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["serve", "--lan", "--cert", "x.pem"], "go together"),
        (["serve", "--name", "tern"], "add --lan"),
        (["serve", "--lan", "--name", "garage.example"], "nobody can own"),
        (["serve", "--lan", "--proxied", "https://garage.example"], "not allowed with"),
        (["serve", "--proxied", "http://garage.example"], "an address is https://"),
        (["serve", "--proxied", "https://["], "an address is https://"),
        (["link"], "There is no garage in"),
    ],
)
def test_what_can_not_be_served_is_said_plainly(tmp_path: Path, arguments: list[str], why: str) -> None:
    done = subprocess.run(command(tmp_path / "data", *arguments), capture_output=True, text=True, check=False)
    assert (done.returncode, why in done.stderr, "Traceback" in done.stderr) == (2, True, False), done.stderr


def test_a_certificate_of_ones_own_may_have_a_public_name(ways: Ways, tmp_path: Path) -> None:
    theirs = Authority.open(tmp_path / "theirs", datetime.now(UTC))
    key, certificate = sign(theirs, NAME, [], datetime.now(UTC))
    assert isinstance(certificate, x509.Certificate)
    pem = serialization.Encoding.PEM
    (tmp_path / "own.pem").write_bytes(certificate.public_bytes(pem) + theirs.issuing.public_bytes(pem))
    plain = serialization.NoEncryption()
    (tmp_path / "own.key").write_bytes(key.private_bytes(pem, serialization.PrivateFormat.PKCS8, plain))
    own = ["--cert", tmp_path / "own.pem", "--key", tmp_path / "own.key"]
    asked = ["serve", "--lan", "--name", "garage.example", "--port", ways.port, *own]
    with started(ways.data, *asked, until="Ctrl-C") as running:
        assert f"https://garage.example:{ways.port}/" in running.said
        assert "fingerprint" not in running.said
        assert running.stop(signal.SIGTERM)[0] == 0
