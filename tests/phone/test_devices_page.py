"""The page of devices: named, removed, put back, added."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime

from fastapi import FastAPI
from starlette.testclient import TestClient

from app.phone.cookie import HOST_COOKIE, PLAIN_COOKIE
from app.records import devices
from app.records.garage import Garage

from ..conftest import Count, Enter
from .conftest import AT_HOME, Pair

OURS = {"sec-fetch-site": "same-origin"}


def test_each_device_stands_with_its_name_last_visit_and_entries(phone: TestClient, pair: Pair, enter: Enter) -> None:
    tablet = pair("tablet <b>")
    enter("car", "tern", device_=tablet.id, name="Tern", layout="direct-signal")
    text = phone.get("/devices").text
    assert "bay phone (this device)" in text
    assert "tablet &lt;b&gt;</strong>" in text
    assert "1 entry" in text
    assert "0 entries" in text
    assert "Last seen today" in text


def test_a_removed_device_is_out_with_its_very_next_request(app: FastAPI, phone: TestClient, pair: Pair) -> None:
    tablet = pair("tablet")
    cookie = {"cookie": f"{HOST_COOKIE}={tablet.id}.{tablet.secret}"}
    with TestClient(app, "https://tern.local", client=AT_HOME) as theirs:
        assert theirs.get("/cars", headers=cookie).status_code == 200  # and is remembered from now on
        removed = phone.post(f"/devices/{tablet.id}/remove", headers=OURS)
        assert removed.status_code == 303
        assert theirs.get("/cars", headers=cookie).status_code == 401
        after = phone.get(removed.headers["location"]).text
        assert "tablet is removed" in after
        phone.post(f"/devices/{tablet.id}/put-back", headers=OURS)
        assert theirs.get("/cars", headers=cookie).status_code == 200


def test_a_device_is_renamed(phone: TestClient, pair: Pair, garage: Garage) -> None:
    tablet = pair("tablet")
    assert phone.post(f"/devices/{tablet.id}/rename", data={"name": " bench  tablet "}, headers=OURS).status_code == 303
    with garage.read() as db:
        assert "bench tablet" in {one.name for one in devices.devices(db)}


def test_an_unknown_device_is_not_found(phone: TestClient) -> None:
    for what in ("rename", "remove", "put-back"):
        assert phone.post(f"/devices/none/{what}", headers=OURS).status_code == 404


def test_opening_the_page_makes_no_link(phone: TestClient, garage: Garage) -> None:
    phone.get("/devices")
    assert phone.get("/devices/link").status_code == 405
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM pairing_token WHERE used_at IS NULL").scalar() == 0


def test_a_fresh_link_comes_as_a_code_and_as_text(app: FastAPI, phone: TestClient, garage: Garage) -> None:
    app.state.origin = "https://tern.local:8443"
    answer = phone.post("/devices/link", headers=OURS)
    assert answer.headers["cache-control"] == "no-store"
    found = re.search(r"https://tern\.local:8443/pair/([\w-]{43})", answer.text)
    assert found is not None
    with garage.read() as db:
        assert devices.link_stands(db, found[1], datetime.now(UTC)) == "good"
    drawn = re.search(r"<svg.*?</svg>", answer.text, re.DOTALL)
    assert drawn is not None
    tree = ET.fromstring(drawn[0])  # noqa: S314  # our own page
    assert not [one for one in tree.iter() if "style" in one.attrib or one.tag.endswith("style")]


def test_a_garage_on_this_machine_alone_says_how_to_reach_phones(app: FastAPI, pair: Pair) -> None:
    credential = pair("laptop")
    cookie = {"cookie": f"{PLAIN_COOKIE}={credential.id}.{credential.secret}"} | OURS
    with TestClient(app, "http://localhost:8765", client=("127.0.0.1", 5)) as here:
        text = here.post("/devices/link", headers=cookie).text
    assert "http://localhost:8765/pair/" in text
    assert "witnessmark serve --lan" in text


def test_more_devices_cost_no_more_queries(
    phone: TestClient, pair: Pair, garage: Garage, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    counts = []
    for _ in range(2):
        phone.get("/devices")
        with count_queries(garage) as count:
            phone.get("/devices")
        counts.append(count.total)
        for n in range(10):
            pair(f"device {n}")
    assert counts[0] == counts[1]
