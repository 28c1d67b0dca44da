"""The short way to a page answers what the long way through the framework does."""

import re
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.main import create_app
from app.pages import ROUTERS
from app.pages.crossroads import Crossroads
from app.phone.cookie import PLAIN_COOKIE
from app.records.garage import Garage
from tests.conftest import held_clock, paired

PAGES = Crossroads(route for router in ROUTERS for route in router.routes)


def words_of(path: str) -> dict[str, str] | None:
    found = PAGES.plain(path)
    return None if found is None else found[1]


def test_the_words_of_an_address_are_handed_to_its_page() -> None:
    assert words_of("/cars/tern/readings/idle_vacuum") == {"car_id": "tern", "kind": "idle_vacuum"}
    assert words_of("/loggers") == {}


def test_an_address_that_leaves_a_word_out_goes_the_long_way() -> None:
    assert words_of("/cars/tern/readings/") is None
    assert words_of("/cars//readings") is None
    assert words_of("/nowhere") is None


def test_what_asks_for_more_than_words_goes_the_long_way() -> None:
    assert words_of("/cars/tern/tickets") is None  # a number, of a page
    assert words_of("/entries") is None  # there is a form to be sent, and nothing to be seen


def test_a_word_in_a_path_wins_over_an_id() -> None:
    assert words_of("/logs/compare") == {}
    assert words_of("/logs/log-1") == {"log_id": "log-1"}


@pytest.fixture
def both(garage: Garage, tern: str) -> Iterator[tuple[TestClient, TestClient]]:
    """A browser that is answered the short way, and one to whom every page goes the long way."""
    cookie = paired(garage, "bench laptop")

    def opened(app: FastAPI) -> TestClient:
        client = TestClient(app, "http://localhost", client=("127.0.0.1", 5), follow_redirects=False)
        client.cookies.set(PLAIN_COOKIE, cookie)
        return client

    long = create_app(garage)
    long.user_middleware = [one for one in long.user_middleware if "said_no" not in one.kwargs]
    assert tern
    with opened(create_app(garage)) as first, opened(long) as second:
        yield first, second


@pytest.mark.parametrize(
    "address",
    [
        "/loggers",
        "/cars/tern",
        "/cars/none",
        "/cars/tern/",
        "/cars/tern/hoses/list?line=tern.hose&allowance=12",
        "/cars/tern/hoses/list?" + "&".join(["line=x"] * 300),
        "/cars/tern/compare?at=line/tern.hose&part=a&part=b&kind=hose",
        "/cars/tern/compare?" + "&".join(["part=x"] * 51),
        "/cars/tern/before-after?job=" + "x" * 201,
        "/labels?for=line/tern.hose&start=3",
        "/labels",
        "/nowhere",
    ],
)
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST"])
def test_the_short_way_and_the_long_answer_the_same(
    both: tuple[TestClient, TestClient], method: str, address: str
) -> None:
    with held_clock():
        short, long = (client.request(method, address) for client in both)
    assert short.status_code == long.status_code
    assert _but_for_the_moment(short.text) == _but_for_the_moment(long.text)
    told = [{name: said for name, said in one.headers.items() if name != "content-length"} for one in (short, long)]
    assert told[0] == told[1]  # but for the length: moments and new ids pack a little better or worse


def _but_for_the_moment(text: str) -> str:
    ids = re.sub(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-a[0-9a-f]{3}-[0-9a-f]{12}", "<id>", text)
    return re.sub(r"\d{4}-\d\d-\d\dT\d\d:\d\d[:.\dZ]*", "<now>", ids)
