from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Enter

NEW = {
    "entry": "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0005",
    "record": "catch-can",
    "name": "Catch can",
    "kind": "catch_can",
    "fitted_on": "2024-02-01",
    "fitted_odometer": "183000",
}


def test_a_component_added_twice_is_there_once_and_drawn(client: TestClient, garage: Garage, tern: str) -> None:
    for _ in range(2):
        answer = client.post("/cars/tern/components/new", data=NEW)
        assert (answer.status_code, answer.headers["location"]) == (303, "/components/catch-can")
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM component").scalar() == 5
    assert "<title>Catch can</title>" in client.get("/cars/tern/air-path").text


def test_a_refused_component_keeps_its_values(client: TestClient, tern: str) -> None:
    answer = client.post("/cars/tern/components/new", data=NEW | {"kind": "", "fitted_odometer": "far"})
    assert answer.status_code == 422
    assert 'id="kind-hint">This is needed.' in answer.text
    assert 'name="name" value="Catch can"' in answer.text
    assert 'name="fitted_odometer" value="far"' in answer.text


def test_a_component_tells_its_lines_and_what_was_done_to_it(client: TestClient, enter: Enter, tern: str) -> None:
    at = "2024-01-02T10:00:00.000Z"
    enter("job", "job1", car=tern, title="Manifold off", opened_at=at)
    enter("touch", "job1.tern.manifold", job="job1", component="tern.manifold", how="disconnected", at=at)
    enter("part_change", "change1", job="job1", component="tern.manifold", off_part="Old gasket", at=at)
    text = client.get("/components/tern.manifold").text
    for said in ("Gauge hose, manifold to gauge", "Throttle to manifold", "Manifold off", "Off: Old gasket"):
        assert said in text
    assert "Throttle coupler" not in text


def test_an_edit_changes_what_it_says_and_keeps_its_place(client: TestClient, garage: Garage, tern: str) -> None:
    form = {"name": "Plenum", "kind": "manifold", "x": "20", "y": "20", "w": "90", "h": "40", "note": ""}
    assert client.post("/components/tern.manifold/edit", data=form).status_code == 303
    with garage.read() as db:
        last = db.exec_driver_sql("SELECT fields FROM entry ORDER BY seq DESC LIMIT 1").scalar()
    assert last == '{"name":"Plenum"}'


def test_a_component_with_lines_on_it_is_not_retired(client: TestClient, enter: Enter, tern: str) -> None:
    form = {"retired_on": "2024-03-01"}
    answer = client.post("/components/tern.gauge/retire", data=form)
    assert answer.status_code == 422
    assert "Lines still end at it." in answer.text
    enter("line", "tern.gauge_hose", retired_on="2024-03-01")
    assert client.post("/components/tern.gauge/retire", data=form).status_code == 303
    assert "<title>Boost gauge</title>" not in client.get("/cars/tern/air-path").text
    assert client.post("/components/tern.gauge/bring-back", data={}).status_code == 303
    assert "<title>Boost gauge</title>" in client.get("/cars/tern/air-path").text


def test_an_unknown_component_is_said_to_be_unknown(client: TestClient, tern: str) -> None:
    for path in ("", "/edit", "/retire"):
        assert client.get(f"/components/none{path}").status_code == 404
