from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.gone import gone_from
from tests.conftest import Enter


def test_what_left_the_car_or_was_struck_out_can_still_be_found(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("line", "tern.gauge_hose", retired_on="2024-01-02")
    enter("component", "tern.gauge", retired_on="2024-01-03")
    enter("line", "tern.inlet", void_reason="Twice in the list")
    with garage.read() as db:
        assert [(it.kind, it.name) for it in gone_from(db, tern)] == [
            ("component", "Boost gauge"),
            ("line", "Gauge hose, manifold to gauge"),
            ("line", "Throttle to manifold"),
        ]
    text = client.get("/cars/tern/air-path").text
    for link in ("/components/tern.gauge", "/lines/tern.gauge_hose", "/records/line/tern.inlet/history"):
        assert f'href="{link}"' in text


def test_a_car_struck_out_is_listed_apart_until_taken_back(client: TestClient, tern: str) -> None:
    assert client.post("/records/car/tern/void", data={"void_reason": "Sold"}).status_code == 303
    assert client.get("/cars/tern").status_code == 404
    listed = client.get("/cars").text
    assert 'href="/records/car/tern/history"' in listed
    assert 'href="/cars/tern"' not in listed
    client.post("/records/car/tern/take-back", data={})
    assert client.get("/cars/tern").status_code == 200
    assert "/records/car/tern/history" not in client.get("/cars").text
