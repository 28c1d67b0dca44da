"""Fixtures for what a phone needs: an authority, a garage behind its gate, and paired and unpaired clients on it."""

import asyncio
from collections.abc import Callable, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from app.main import create_app
from app.phone.authority import Authority, make
from app.phone.cookie import HOST_COOKIE
from app.records import devices
from app.records.devices import Credential
from app.records.garage import Garage

NOW = datetime(2026, 4, 18, 9, 30, tzinfo=UTC)
AT_HOME = ("192.168.1.20", 50_000)

T = TypeVar("T")
Pair = Callable[..., Credential]


@pytest.fixture(scope="session")
def authority() -> Authority:
    return make(NOW)


@pytest.fixture
def app(garage: Garage) -> FastAPI:
    return create_app(garage)


@pytest.fixture
def pair(garage: Garage) -> Pair:
    """Pair a device without a browser: pair("bay phone")."""

    def paired(name: str, at: datetime | None = None, held: Credential | None = None) -> Credential:
        when = at or datetime.now(UTC)
        credential = devices.swap(garage.engine, devices.make_link(garage.engine, when), name, when, held)
        assert isinstance(credential, Credential)
        return credential

    return paired


@pytest.fixture
def stranger(app: FastAPI) -> Iterator[TestClient]:
    """A browser on the home network that is not paired."""
    with TestClient(app, "https://tern.local:8443", client=AT_HOME, follow_redirects=False) as client:
        yield client


@pytest.fixture
def phone(app: FastAPI, pair: Pair) -> Iterator[TestClient]:
    """A paired browser on the home network."""
    credential = pair("bay phone")
    with TestClient(app, "https://tern.local:8443", client=AT_HOME, follow_redirects=False) as client:
        client.headers["cookie"] = f"{HOST_COOKIE}={credential.id}.{credential.secret}"
        yield client


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "lan"


def in_a_loop(steps: Coroutine[Any, Any, T]) -> T:
    """Run to the end, in a thread: a browser test on the same worker leaves a loop running in this one."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(asyncio.run, steps).result()
