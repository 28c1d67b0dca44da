"""Who may knock at the https door, and what the name stands for from then on."""

import pytest
from starlette.responses import PlainTextResponse
from starlette.testclient import TestClient

from app.phone.home_network import BehindProxy, HomeNetwork

YES = PlainTextResponse("yes")


def ask(peer: str, *, host: str = "tern.local:8443", private_only: bool = True) -> tuple[int, str | None]:
    app = HomeNetwork(YES, "tern.local", private_only=private_only)
    answer = TestClient(app, f"https://{host}", client=(peer, 5)).get("/")
    return answer.status_code, answer.headers.get("strict-transport-security")


@pytest.mark.parametrize("peer", ["192.168.1.20", "10.9.9.9", "127.0.0.1", "::1", "fe80::1%eth0", "::ffff:10.0.0.1"])
def test_a_neighbour_is_answered(peer: str) -> None:
    assert ask(peer)[0] == 200


@pytest.mark.parametrize("peer", ["8.8.8.8", "2001:db8::1", "::ffff:8.8.8.8", "", "unknown"])
def test_nobody_else_is(peer: str) -> None:
    assert ask(peer)[0] == 403


def test_with_a_certificate_of_ones_own_everybody_is() -> None:
    assert ask("8.8.8.8", private_only=False)[0] == 200


def test_the_name_means_https_from_now_on_for_a_year() -> None:
    assert ask("192.168.1.20")[1] == "max-age=31536000; includeSubDomains"
    assert ask("192.168.1.20", host="TERN.local")[1] is not None


@pytest.mark.parametrize("host", ["localhost:8443", "192.168.1.5:8443", "other.local:8443", "[::1]:8443", "localhost"])
def test_no_other_name_does(host: str) -> None:
    assert ask("192.168.1.20", host=host)[1] is None


def test_behind_a_proxy_only_https_is_let_through() -> None:
    app = BehindProxy(YES)
    assert TestClient(app, "https://garage.example").get("/").status_code == 200
    refused = TestClient(app, "http://garage.example").get("/")
    assert refused.status_code == 400
    assert "X-Forwarded-Proto" in refused.text


def test_a_refusal_has_strict_headers_too() -> None:
    far = TestClient(HomeNetwork(YES, "tern.local"), "https://tern.local", client=("8.8.8.8", 5)).get("/")
    plain = TestClient(BehindProxy(YES), "http://tern.local").get("/")
    for answer in (far, plain):
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
