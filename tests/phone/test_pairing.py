"""A link becomes a paired device: once, in time, over a connection nobody else reads."""

from datetime import UTC, datetime, timedelta
from http.cookies import SimpleCookie

import pytest
from fastapi import FastAPI
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from app.phone.cookie import PLAIN_COOKIE
from app.phone.pairing import LONGEST_NAME, clean_name, guess_name, new_link
from app.records import devices
from app.records.garage import Garage

from .conftest import AT_HOME

OURS = {"sec-fetch-site": "same-origin"}
IPHONE = {"user-agent": "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X)"}


def link(garage: Garage, ago: timedelta = timedelta(0)) -> str:
    return f"/pair/{devices.make_link(garage.engine, datetime.now(UTC) - ago)}"


def test_a_link_leads_to_a_paired_device(stranger: TestClient, garage: Garage) -> None:
    path = link(garage)
    asked = stranger.get(path, headers=IPHONE)
    assert asked.status_code == 200
    assert 'value="iPhone"' in asked.text
    taken = stranger.post(path, data={"name": "bay phone"}, headers=OURS)
    assert (taken.status_code, taken.headers["location"]) == (303, "/")
    assert stranger.get("/cars").status_code == 200  # the client kept the cookie
    with garage.read() as db:
        assert [one.name for one in devices.devices(db)] == ["bay phone"]


def test_the_cookie_is_held_to_this_host_over_https(stranger: TestClient, garage: Garage) -> None:
    (line,) = [
        one
        for one in stranger.post(link(garage), headers=OURS).headers.get_list("set-cookie")
        if one.startswith("__Host-device=")
    ]
    said = {part.strip().partition("=")[0].lower(): part.partition("=")[2] for part in line.split(";")[1:]}
    assert said == {"path": "/", "max-age": str(400 * 86400), "httponly": "", "samesite": "Strict", "secure": ""}
    assert len(line.partition(";")[0]) < 100


def test_on_this_machine_the_cookie_has_no_prefix_and_stays_on_it(app: FastAPI, garage: Garage) -> None:
    with TestClient(app, "http://localhost:8765", client=("127.0.0.1", 5), follow_redirects=False) as here:
        lines = here.post(link(garage), headers=OURS).headers.get_list("set-cookie")
        jar = SimpleCookie("\n".join(lines))
        assert PLAIN_COOKIE in jar
        assert any(
            one.startswith(f"{PLAIN_COOKIE}=")
            and "HttpOnly" in one
            and "SameSite=Strict" in one
            and "Secure" not in one
            for one in lines
        )
        assert here.get("/cars").status_code == 200


def test_over_plain_http_from_another_machine_nothing_is_paired(app: FastAPI, garage: Garage) -> None:
    path = link(garage)
    with TestClient(app, "http://192.168.1.5:8765", client=AT_HOME) as elsewhere:
        assert elsewhere.get(path).status_code == 403
        refused = elsewhere.post(path, headers=OURS)
        assert refused.status_code == 403
        assert "https address" in refused.text
        assert "__Host-device" not in refused.headers.get("set-cookie", "")
    with garage.read() as db:
        assert devices.link_stands(db, path.removeprefix("/pair/"), datetime.now(UTC)) == "good"


def test_programs_that_preview_links_do_not_use_them_up(stranger: TestClient, garage: Garage) -> None:
    path = link(garage)
    for method in ("GET", "HEAD", "GET", "OPTIONS"):
        stranger.request(method, path)
    assert stranger.post(path, headers=OURS).status_code == 303


def test_a_used_link_says_so(stranger: TestClient, garage: Garage) -> None:
    path = link(garage)
    stranger.post(path, headers=OURS)
    stranger.cookies.clear()
    for answer in (stranger.get(path), stranger.post(path, headers=OURS)):
        assert answer.status_code == 403
        assert "has been used already" in answer.text
        assert "witnessmark link" in answer.text


def test_an_old_link_says_so(stranger: TestClient, garage: Garage) -> None:
    path = link(garage, ago=timedelta(minutes=5))
    for answer in (stranger.get(path), stranger.post(path, headers=OURS)):
        assert answer.status_code == 403
        assert "more than five minutes old" in answer.text


def test_ten_wrong_links_and_then_a_wait(stranger: TestClient, garage: Garage) -> None:
    for n in range(10):
        assert stranger.get(f"/pair/guess{n}").status_code == 403
    for answer in (stranger.get("/pair/guess"), stranger.post(link(garage), headers=OURS)):
        assert answer.status_code == 429
        assert answer.headers["retry-after"] == "60"
        assert "Wait a minute" in answer.text


def test_wrong_links_from_one_address_do_not_keep_another_out(app: FastAPI, garage: Garage) -> None:
    with TestClient(app, "https://tern.local", client=("192.168.1.66", 5)) as noisy:
        for n in range(12):
            noisy.post(f"/pair/guess{n}", headers=OURS)
    with TestClient(app, "https://tern.local", client=AT_HOME, follow_redirects=False) as other:
        assert other.post(link(garage), headers=OURS).status_code == 303


def test_pages_with_a_link_in_their_address_are_not_kept_by_the_browser(stranger: TestClient, garage: Garage) -> None:
    path = link(garage)
    for answer in (stranger.get(path), stranger.post(path, headers=OURS), stranger.get("/pair/none")):
        assert answer.headers["cache-control"] == "no-store"


def test_pairing_again_on_a_paired_device_keeps_it_the_same_device(phone: TestClient, garage: Garage) -> None:
    answer = phone.post(link(garage), data={"name": "bay phone, new case"}, headers=OURS)
    assert answer.status_code == 303
    with garage.read() as db:
        assert [one.name for one in devices.devices(db)] == ["bay phone, new case"]
    assert phone.get("/cars").status_code == 401  # still sending its old secret


@pytest.mark.parametrize("token", ["a" * 5000, "%00", "..%2f..", "🔧", "'; DROP TABLE device; --"])
def test_no_odd_token_breaks_anything(stranger: TestClient, token: str) -> None:
    assert stranger.get(f"/pair/{token}").status_code in {401, 403, 404}
    assert stranger.post(f"/pair/{token}", headers=OURS).status_code in {401, 403, 404}


def test_a_form_that_is_far_too_large_is_refused(stranger: TestClient, garage: Garage) -> None:
    path = link(garage)
    many = {f"box{n}": "x" for n in range(50)}
    assert stranger.post(path, files={"name": ("a", b"x" * 100)}, data=many, headers=OURS).status_code == 400
    assert stranger.post(path, headers=OURS).status_code == 303


@given(st.text(max_size=300))
def test_a_name_is_one_printable_line_of_bearable_length(text: str) -> None:
    name = clean_name(text, "This device")
    assert 0 < len(name) <= LONGEST_NAME
    assert name.isprintable()
    assert name == name.strip()


@pytest.mark.parametrize(
    ("agent", "name"),
    [
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X)", "iPhone"),
        ("Mozilla/5.0 (Linux; Android 15) Chrome/140", "Android phone"),
        ("Mozilla/5.0 (X11; Linux x86_64) Firefox/140", "Linux computer"),
        ("", "This device"),
    ],
)
def test_a_name_is_offered(agent: str, name: str) -> None:
    assert guess_name(agent) == name


def test_a_link_stands_under_the_garages_own_address(garage: Garage) -> None:
    made = new_link(garage, "https://tern.local:8443/")
    assert made.startswith("https://tern.local:8443/pair/")
    with garage.read() as db:
        assert devices.link_stands(db, made.rpartition("/")[2], datetime.now(UTC)) == "good"
