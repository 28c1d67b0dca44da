"""What a phone fetches, in bytes as they travel: the first load, and every further page of the demo garage's car."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.main import create_app
from app.pages.worker import shell_addresses
from app.phone.cookie import PLAIN_COOKIE
from app.records.garage import Garage
from app.settings import Settings
from tests.conftest import paired

FIRST_LOAD, FURTHER_PAGE = 150_000, 15_000
#: Kinds of record with a page each.
SHOWN = ("job", "ticket", "line", "component", "stopgap", "recheck", "finding", "reading", "photo")


@pytest.fixture(scope="module")
def demo_garage(told_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garage]:
    garage = Garage.open(Settings(Path(shutil.copytree(told_demo, tmp_path_factory.mktemp("demo") / "demo"))))
    yield garage
    garage.close()


@pytest.fixture(scope="module")
def phone(demo_garage: Garage) -> Iterator[TestClient]:
    """A paired phone, which asks for everything compressed."""
    here = ("127.0.0.1", 50_000)
    with TestClient(create_app(demo_garage), "http://localhost", client=here, follow_redirects=False) as opened:
        opened.cookies.set(PLAIN_COOKIE, paired(demo_garage, "phone"))
        opened.headers["accept-encoding"] = "gzip"
        yield opened


def travels(phone: TestClient, address: str) -> int:
    """How many bytes an answer comes to on its way."""
    with phone.stream("GET", address) as answer:
        assert answer.status_code == 200, address
        return sum(len(part) for part in answer.iter_raw())


def test_the_first_load_with_all_that_the_phone_then_keeps_is_small(phone: TestClient) -> None:
    page = travels(phone, "/cars/tern")
    kept = {address: travels(phone, address) for address in (*shell_addresses(), "/sw.js", "/manifest.webmanifest")}
    assert page + sum(kept.values()) <= FIRST_LOAD, kept


def test_every_further_page_is_small(phone: TestClient, demo_garage: Garage) -> None:
    listed = [one["address"] for one in phone.get("/cars/tern/take-along.json").json()["pages"]]
    with demo_garage.read() as db:
        ids = [(kind, of) for kind in SHOWN for (of,) in db.exec_driver_sql(f"SELECT id FROM {kind}").all()]  # noqa: S608
    pages = {*listed, *(f"/{kind}s/{of}" for kind, of in ids)}
    weights = {page: travels(phone, page) for page in pages if phone.get(page).status_code == 200}
    assert len(weights) > 250
    assert {page: weight for page, weight in weights.items() if weight > FURTHER_PAGE} == {}
