"""The helper page serves itself and the root certificate, and nothing else whatever is asked."""

import re
from ipaddress import ip_address

import pytest
from cryptography import x509
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from app.phone.authority import Authority
from app.phone.helper_page import CERTIFICATE, HelperPage
from app.phone.names import Place

PLACE = Place("tern.local", 8443, 8444)
SERVED = {
    "/",
    "/witnessmark.crt",
    "/witnessmark.pem",
    "/static/look.css",
    "/static/forms.css",
    "/static/phone.css",
    "/static/icon.svg",
    "/static/fonts/barlow-semi-condensed-latin-400-normal.woff2",
    "/static/fonts/barlow-semi-condensed-latin-600-normal.woff2",
}


@pytest.fixture(scope="module")
def helper(authority: Authority) -> TestClient:
    return TestClient(HelperPage(authority, PLACE, [ip_address("192.168.1.20"), ip_address("fd12::9")]))


def test_the_page_leads_to_the_certificate_and_on_to_the_garage(helper: TestClient, authority: Authority) -> None:
    text = helper.get("/").text
    for group in authority.fingerprint.split():
        assert f"<span>{group}</span>" in text
    for address in ("https://tern.local:8443/", "https://192.168.1.20:8443/", "https://[fd12::9]:8443/"):
        assert f'href="{address}"' in text
    for words in ("iPhone or iPad", "Certificate Trust Settings", "Android", "CA certificate", "To remove it again"):
        assert words in text


def test_everything_the_page_asks_for_is_there(helper: TestClient) -> None:
    asked = set(re.findall(r'(?:href|src)="(/[^"]*)"', helper.get("/").text))
    css = helper.get("/static/look.css").text
    asked |= {f"/static/{path}" for path in re.findall(r'url\("([^"]+)"\)', css)}
    assert asked
    assert asked <= SERVED


def test_the_certificate_comes_as_phones_take_it(helper: TestClient, authority: Authority) -> None:
    der, pem = helper.get("/witnessmark.crt"), helper.get("/witnessmark.pem")
    assert {one.headers["content-type"] for one in (der, pem)} == {CERTIFICATE} == {"application/x-x509-ca-cert"}
    assert x509.load_der_x509_certificate(der.content) == authority.root == x509.load_pem_x509_certificate(pem.content)
    assert der.headers["content-disposition"] == 'attachment; filename="witnessmark.crt"'
    assert b"PRIVATE" not in pem.content


def test_every_answer_is_strict(helper: TestClient) -> None:
    for path in (*SERVED, "/none"):
        answer = helper.get(path)
        assert answer.status_code == (404 if path == "/none" else 200)
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; style-src 'self'")
        assert "script-src" not in policy
        assert "frame-ancestors 'none'" in policy
        assert "set-cookie" not in answer.headers


def test_there_is_no_script_no_form_and_no_style_in_it(helper: TestClient) -> None:
    text = helper.get("/").text
    assert not re.search(r"<script|<form|<style|\sstyle=|\son\w+=", text)


@pytest.mark.parametrize(
    "path",
    [
        "/cars",
        "/devices",
        "/pair/x",
        "/static/",
        "/static/../authority.pem",
        "/static/vendor/htmx-4.0.1.min.js",
        "/authority.pem",
        "/lan/server.pem",
        "/static/look.css/",
        "/STATIC/look.css",
    ],
)
def test_all_else_is_not_there(helper: TestClient, path: str) -> None:
    assert helper.get(path).status_code == 404


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=100, deadline=None)
@given(path=st.text(st.characters(min_codepoint=33, max_codepoint=126, exclude_characters="?#\\"), max_size=40))
def test_no_path_whatever_reaches_anything_else(helper: TestClient, path: str) -> None:
    answer = helper.get(f"http://testserver/{path}")
    assert answer.status_code == 404 or answer.request.url.path in SERVED


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_it_takes_nothing(helper: TestClient, method: str) -> None:
    assert helper.request(method, "/").status_code == 404


def test_head_answers_like_get_without_the_body(helper: TestClient) -> None:
    asked, got = helper.head("/"), helper.get("/")
    assert asked.content == b""
    assert asked.headers["content-length"] == str(len(got.content))


def test_the_page_follows_the_machine_to_another_address(authority: Authority) -> None:
    page = HelperPage(authority, PLACE, [ip_address("192.168.1.20")])
    page.readdress(authority, PLACE, [ip_address("10.0.0.7")])
    text = TestClient(page).get("/").text
    assert "https://10.0.0.7:8443/" in text
    assert "192.168.1.20" not in text
