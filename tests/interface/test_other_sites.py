"""A page of another site can make no browser write here, whichever form it aims at; every answer has strict headers."""

from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.testclient import TestClient

from app.records.garage import Garage

from .conftest import ROUTES, WRITES

STRICT = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
FROM_ELSEWHERE = (
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"sec-fetch-site": "cross-site", "origin": "http://localhost"},
    {"origin": "https://other.example"},
    {"origin": "https://localhost.other.example"},
    {"origin": "http://localhost:8000"},
    {"origin": "null"},
    {"origin": "http://["},
)


@pytest.fixture(scope="module")
def stumbling(app: FastAPI, cookie: str) -> Iterator[TestClient]:
    """A paired browser in a garage with one page that fails."""

    def fail(_: Request) -> Response:
        raise RuntimeError("the disk caught fire")

    app.router.routes.append(Route("/stumbles", fail, methods=["GET", "POST"]))
    with TestClient(
        app, "http://localhost", client=("127.0.0.1", 5), follow_redirects=False, raise_server_exceptions=False
    ) as client:
        client.headers["cookie"] = cookie
        yield client
    app.router.routes.pop()


def entries(garage: Garage) -> int:
    with garage.read() as db:
        return int(db.exec_driver_sql("SELECT count(*) FROM entry").scalar_one())


def an_address(path: str) -> str:
    return path.replace("{", "").replace("}", "")


@pytest.mark.parametrize("path", WRITES)
def test_no_form_is_taken_from_another_site(inside: TestClient, demo_garage: Garage, path: str) -> None:
    before = entries(demo_garage)
    for headers in FROM_ELSEWHERE:
        answer = inside.post(an_address(path), headers=headers, data={"name": "Tern"})
        assert (answer.status_code, answer.text) == (403, "This was sent from another site and was not taken."), headers
    assert entries(demo_garage) == before


@pytest.mark.parametrize("path", WRITES)
def test_our_own_pages_may_send_every_form(inside: TestClient, path: str) -> None:
    for headers in ({"sec-fetch-site": "same-origin"}, {"origin": "http://localhost"}):
        answer = inside.post(an_address(path).replace("/token", "/x"), headers=headers)
        assert "sent from another site" not in answer.text


def test_nothing_but_get_and_post_is_offered() -> None:
    assert {method for route in ROUTES for method in route.methods or ()} == {"GET", "POST"}


@pytest.mark.parametrize(
    ("method", "path", "headers", "status"),
    [
        ("GET", "/cars", {}, 200),
        ("GET", "/static/look.css", {}, 200),
        ("POST", "/settings", {}, 303),
        ("POST", "/cars/new", {"sec-fetch-site": "cross-site"}, 403),
        ("GET", "/nowhere", {}, 404),
        ("GET", "/static/nowhere.css", {}, 404),
        ("GET", "/jobs/none", {}, 404),
        ("DELETE", "/cars", {}, 405),
        ("POST", "/cars", {}, 405),
        ("POST", "/cars/new", {}, 422),
        ("GET", "/stumbles", {}, 500),
        ("POST", "/stumbles", {}, 500),
        ("GET", "/cars", {"cookie": ""}, 401),
        ("POST", "/cars/new", {"cookie": ""}, 401),
    ],
)
def test_every_answer_has_strict_headers(
    stumbling: TestClient, method: str, path: str, headers: dict[str, str], status: int
) -> None:
    answer = stumbling.request(method, path, headers=headers)
    assert answer.status_code == status
    assert {name: answer.headers[name] for name in STRICT} == STRICT
    policy = answer.headers["content-security-policy"]
    for part in ("default-src 'none'", "script-src 'self'", "style-src 'self'", "frame-ancestors 'none'"):
        assert part in policy
    assert "unsafe" not in policy
    assert "cache-control" in answer.headers


def test_what_went_wrong_is_not_told(stumbling: TestClient) -> None:
    answer = stumbling.get("/stumbles")
    assert "fire" not in answer.text
    assert answer.text.startswith("Something went wrong here, not with what you did.")
