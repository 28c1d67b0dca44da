"""Nothing but static files, the pairing pages and what installs the program answers an unpaired request."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import cast

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from app.pages import ROUTERS
from app.phone.cookie import HOST_COOKIE, PLAIN_COOKIE
from app.phone.gate import is_open
from app.records.garage import Garage

from ..conftest import Count
from .conftest import AT_HOME, Pair

OURS = {"sec-fetch-site": "same-origin"}
PAGE = {"accept": "text/html,application/xhtml+xml"}
STRICT = ("content-security-policy", "x-content-type-options", "referrer-policy", "cross-origin-opener-policy")


def every_route() -> list[tuple[str, str]]:
    """Method and path of every page there is."""
    routes = [cast(APIRoute, route) for router in ROUTERS for route in router.routes]
    return [(method, route.path) for route in routes for method in sorted(route.methods or ())]


def test_every_route_there_is_refuses_the_unpaired(stranger: TestClient) -> None:
    closed = [(method, path) for method, path in every_route() if not is_open(path)]
    assert len(closed) > 30
    for method, path in closed:
        answer = stranger.request(method, path.replace("{", "").replace("}", ""), headers=OURS)
        assert answer.status_code == 401, (method, path)
        assert answer.json() == {"detail": "This device is not paired with the garage."}


def test_every_route_there_is_shows_an_unpaired_browser_the_way_to_pair(stranger: TestClient) -> None:
    for path in sorted({path for method, path in every_route() if method == "GET" and not is_open(path)}):
        answer = stranger.get(path.replace("{", "").replace("}", ""), headers=PAGE)
        assert (answer.status_code, "This device is not paired" in answer.text) == (401, True), path


def test_a_path_that_is_no_route_says_no_more_than_one_that_is(stranger: TestClient) -> None:
    for method in ("GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "TRACE"):
        there, nowhere = (stranger.request(method, path, headers=OURS) for path in ("/cars", "/nowhere"))
        assert (there.status_code, there.text) == (nowhere.status_code, nowhere.text) == (401, there.text)


def test_what_is_open_is_what_the_list_says_and_no_more() -> None:
    found = {path for _, path in every_route() if is_open(path)}
    assert found <= {"/pair", "/pair/{token}", "/sw.js", "/manifest.webmanifest"}
    assert "/pair/{token}" in found


def test_a_browser_gets_the_page_that_says_how_to_get_a_link(stranger: TestClient) -> None:
    answer = stranger.get("/cars", headers=PAGE)
    assert answer.status_code == 401
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert "witnessmark link" in answer.text
    assert answer.headers["www-authenticate"] == 'Pairing realm="Witnessmark"'
    assert answer.headers["cache-control"] == "no-store"


def test_a_script_gets_json_though_it_takes_html(stranger: TestClient) -> None:
    answer = stranger.get("/cars", headers=PAGE | {"sec-fetch-mode": "cors"})
    assert (answer.status_code, answer.headers["content-type"]) == (401, "application/json")


@pytest.mark.parametrize("path", ["/cars", "/pair/x", "/static/look.css", "/static/none.css", "/none"])
def test_the_headers_are_strict_paired_or_not(stranger: TestClient, phone: TestClient, path: str) -> None:
    for client in (stranger, phone):
        answer = client.get(path, headers=PAGE)
        assert not [name for name in STRICT if name not in answer.headers], path


def test_a_write_from_another_site_is_refused_paired_or_not(stranger: TestClient, phone: TestClient) -> None:
    for client in (stranger, phone):
        for path in ("/cars/new", "/devices/link", "/pair/x"):
            assert client.post(path, headers={"sec-fetch-site": "cross-site"}).status_code == 403
            assert client.post(path, headers={"origin": "https://example.com"}).status_code == 403


def test_a_paired_device_comes_in(phone: TestClient) -> None:
    assert phone.get("/cars").status_code == 200


def test_static_files_are_for_everybody(stranger: TestClient) -> None:
    assert stranger.get("/static/look.css").status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "/static",
        "/static/../cars",
        "/static/%2e%2e/cars",
        "/static/..%2fcars",
        "//cars",
        "/pair/../cars",
        "/%2e/cars",
        "/pairs",
    ],
)
def test_no_odd_path_reaches_a_page_unpaired(stranger: TestClient, path: str) -> None:
    answer = stranger.get(path)
    assert answer.status_code in {401, 403, 404, 307}
    assert "Add a car" not in answer.text


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(value=st.text(st.characters(min_codepoint=33, max_codepoint=126), max_size=80))
def test_no_made_up_cookie_opens_the_gate(stranger: TestClient, value: str) -> None:
    for name in (HOST_COOKIE, PLAIN_COOKIE):
        assert stranger.get("/cars", headers={"cookie": f"{name}={value}"}).status_code == 401


def test_the_plain_cookie_is_not_believed_over_https_nor_from_another_machine(app: FastAPI, pair: Pair) -> None:
    credential = pair("laptop")
    cookie = {"cookie": f"{PLAIN_COOKIE}={credential.id}.{credential.secret}"}
    with TestClient(app, "http://localhost", client=("127.0.0.1", 5)) as here:
        assert here.get("/cars", headers=cookie).status_code == 200
    with TestClient(app, "http://localhost", client=AT_HOME) as elsewhere:
        assert elsewhere.get("/cars", headers=cookie).status_code == 401
    with TestClient(app, "https://localhost", client=("127.0.0.1", 5)) as over_https:
        assert over_https.get("/cars", headers=cookie).status_code == 401


def test_the_host_cookie_is_not_believed_over_plain_http(app: FastAPI, pair: Pair) -> None:
    credential = pair("laptop")
    with TestClient(app, "http://localhost", client=("127.0.0.1", 5)) as here:
        cookie = {"cookie": f"{HOST_COOKIE}={credential.id}.{credential.secret}"}
        assert here.get("/cars", headers=cookie).status_code == 401


def test_entries_say_which_device_made_them(phone: TestClient, garage: Garage, pair: Pair) -> None:
    credential = pair("tablet")
    cookie = {"cookie": f"{HOST_COOKIE}={credential.id}.{credential.secret}", "sec-fetch-site": "same-origin"}
    form = {"name": "Tern", "layout": "direct-signal", "distance_unit": "km"}
    assert phone.post("/cars/new", data=form, headers=cookie).status_code == 303
    with garage.read() as db:
        assert set(db.exec_driver_sql("SELECT DISTINCT entered_by FROM entry").scalars()) == {credential.id}


def test_a_second_request_asks_the_database_nothing_about_the_device(
    phone: TestClient, garage: Garage, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    phone.get("/static/look.css")
    with count_queries(garage) as count:
        phone.get("/static/look.css")
    assert count.total == 0


def test_a_socket_that_is_no_http_is_closed(stranger: TestClient) -> None:
    with pytest.raises(WebSocketDisconnect) as closed, stranger.websocket_connect("/cars"):
        pass
    assert closed.value.code == 1008
