"""No token and no secret ever reaches a log, whatever goes right or wrong and however much is logged."""

import logging
from datetime import UTC, datetime
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

from app.phone.cookie import HOST_COOKIE
from app.records import devices
from app.records.garage import Garage

from .conftest import Pair
from .test_lan import serving

OURS = {"sec-fetch-site": "same-origin"}


class FailsOn:
    """The application, failing with an exception on one path: what fails is logged with its traceback."""

    def __init__(self, app: ASGIApp, path: str) -> None:
        self.app = app
        self.path = path

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["path"] == self.path:
            raise RuntimeError("the disk caught fire")
        await self.app(scope, receive, send)


def test_no_token_and_no_secret_reaches_a_log_or_the_terminal(
    app: FastAPI, pair: Pair, folder: Path, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    garage: Garage = app.state.garage
    tokens = [devices.make_link(garage.engine, datetime.now(UTC)) for _ in range(3)]
    phone = pair("phone")
    cookie = f"{HOST_COOKIE}={phone.id}.{phone.secret}"
    caplog.set_level(1)  # everything, uvicorn's own tracing among it
    for name in ("uvicorn.error", "uvicorn.access", "uvicorn.asgi", "asyncio", "sqlalchemy.engine", "zeroconf"):
        logging.getLogger(name).setLevel(1)
    with serving(FailsOn(app, f"/pair/{tokens[2]}"), folder) as served:
        assert served.ask(f"/pair/{tokens[0]}", accept="text/html")[0] == 200
        assert served.ask("/cars", cookie=cookie)[0] == 200
        assert served.ask("/cars", cookie=f"{HOST_COOKIE}={phone.id}.wrong{phone.secret}")[0] == 401
        status, _, body = served.ask(f"/pair/{tokens[2]}", cookie=cookie)
        assert (status, "caught fire" in body) == (500, False)
        assert served.ask(f"/pair/{tokens[1]}x")[0] == 403
        said = served.said
    out, err = capfd.readouterr()
    everything = caplog.text + out + err + said
    assert "the disk caught fire" in everything  # the log does work
    for secret in (*tokens, phone.secret):
        assert secret not in everything
        assert secret[:20] not in everything


def test_who_was_paired_refused_and_removed_is_written_down(
    phone: TestClient, garage: Garage, pair: Pair, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO, "app")
    tablet = pair("tablet")
    token = devices.make_link(garage.engine, datetime.now(UTC))
    phone.post(f"/pair/{token}", headers=OURS)
    phone.post(f"/pair/{token}", headers=OURS)
    with garage.read() as db:
        own = next(one.id for one in devices.devices(db) if one.id != tablet.id)
    phone.headers["cookie"] = f"{HOST_COOKIE}={tablet.id}.{tablet.secret}"
    phone.post(f"/devices/{own}/remove", headers=OURS)
    assert [one.getMessage() for one in caplog.records if one.name.startswith("app.")] == [
        f"device {own} paired from 192.168.1.20",
        "a link was refused (used) from 192.168.1.20",
        f"device {own} removed by {tablet.id}",
    ]


def test_the_access_log_is_off(app: FastAPI, folder: Path, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(1)
    with serving(app, folder) as served:
        served.ask("/cars", accept="text/html")
        served.helper("/")
    assert not [one for one in caplog.records if one.name == "uvicorn.access" or "/cars" in one.getMessage()]
