"""A demo stands open, to the machine it runs on and to nobody else; a real garage never does."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.main import create_app
from app.records.garage import Garage
from app.settings import Settings

from .conftest import AT_HOME

HERE = ("127.0.0.1", 50_000)


@pytest.fixture(scope="module")
def open_demo(told_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    garage = Garage.open(Settings(Path(shutil.copytree(told_demo, tmp_path_factory.mktemp("demo") / "demo"))))
    yield create_app(garage, gated=False)
    garage.close()


@contextmanager
def visiting(app: FastAPI, address: str, peer: tuple[str, int]) -> Iterator[TestClient]:
    with TestClient(app, address, client=peer) as client:
        yield client


@pytest.mark.parametrize("address", ["http://127.0.0.1:8765", "http://localhost:8765", "http://[::1]:8765"])
def test_its_own_machine_comes_in_with_one_click(open_demo: FastAPI, address: str) -> None:
    with visiting(open_demo, address, HERE) as client:
        assert "Tern" in client.get("/").text
        assert client.post("/settings", data={"gloves": "on"}).status_code == 200


def test_nobody_else_on_the_network_does(open_demo: FastAPI) -> None:
    with visiting(open_demo, "http://localhost:8765", AT_HOME) as client:
        answer = client.get("/")
    assert (answer.status_code, "Tern" in answer.text) == (403, False)
    assert "content-security-policy" in answer.headers


@pytest.mark.parametrize(
    "address", ["http://demo.example", "http://127.0.0.1.demo.example", "http://garage.local:8765"]
)
def test_a_name_made_to_point_at_this_machine_does_not_lead_in(open_demo: FastAPI, address: str) -> None:
    with visiting(open_demo, address, HERE) as client:
        assert client.get("/").status_code == 403


def test_a_host_that_is_none_does_not_lead_in(open_demo: FastAPI) -> None:
    with visiting(open_demo, "http://localhost", HERE) as client:
        assert client.get("/", headers={"host": "["}).status_code == 403


def test_the_devices_page_of_a_demo_says_there_is_nothing_to_pair(open_demo: FastAPI) -> None:
    with visiting(open_demo, "http://localhost", HERE) as client:
        text = client.get("/devices").text
    assert "nothing has to be paired" in text
    assert "Add a device" not in text


def test_a_real_garage_never_stands_open(garage: Garage, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="only a demo"):
        create_app(garage, gated=False)
