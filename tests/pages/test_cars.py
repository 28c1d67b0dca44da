import pytest
from starlette.testclient import TestClient

from app.airpath.words import Layout
from app.records.air_path import lines_of
from app.records.garage import Garage
from tests.conftest import Enter

FORM = {
    "entry": "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0009",
    "record": "heron",
    "name": "Heron",
    "about": "2.0 estate",
    "distance_unit": "mi",
    "altitude_m": "240",
    "layout": "stored-vacuum",
}


@pytest.mark.parametrize("layout", list(Layout))
def test_a_car_starts_with_everything_its_layout_has(client: TestClient, garage: Garage, layout: Layout) -> None:
    answer = client.post("/cars/new", data=FORM | {"layout": layout})
    assert (answer.status_code, answer.headers["location"]) == (303, "/cars/heron")
    assert "2.0 estate" in client.get("/cars/heron").text
    with garage.read() as db:
        lines = lines_of(db, "heron")
        joints = db.exec_driver_sql("SELECT count(*) FROM joint").scalar()
    assert len(lines) > 10
    assert joints == 2 * len(lines)
    for line in lines:
        assert f'href="/lines/{line.id}"' in client.get("/cars/heron/air-path").text


def test_sending_a_new_car_twice_makes_one(client: TestClient, garage: Garage) -> None:
    for _ in range(2):
        assert client.post("/cars/new", data=FORM).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM car").scalar() == 1
        assert db.exec_driver_sql("SELECT count(*) = count(DISTINCT record) FROM entry").scalar() == 1


@pytest.mark.parametrize("wrong", [{"name": " "}, {"layout": ""}, {"layout": "a boat"}, {"altitude_m": "up there"}])
def test_a_refused_car_keeps_what_was_typed_and_adds_nothing(
    client: TestClient, garage: Garage, wrong: dict[str, str]
) -> None:
    answer = client.post("/cars/new", data=FORM | wrong)
    assert answer.status_code == 422
    assert 'name="about" value="2.0 estate"' in answer.text
    assert 'value="mi" checked' in answer.text
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry").scalar() == 0


def test_an_empty_form_is_told_of_all_it_lacks_at_once(client: TestClient) -> None:
    text = client.post("/cars/new", data={"name": ""}).text
    assert "Choose the one most like the car" in text
    assert "This is needed." in text
    assert "This is needed." not in client.post("/cars/new", data={"name": "Heron"}).text


def test_an_empty_garage_says_what_to_do_first(client: TestClient) -> None:
    for path in ("/", "/cars"):
        assert "No car yet." in client.get(path).text


def test_the_list_says_which_car_is_fit(client: TestClient, enter: Enter, tern: str) -> None:
    assert "Fit to run, as far as the record knows" in client.get("/cars").text
    then = "2024-01-02T10:00:00.000Z"
    enter("ticket", "ticket1", car=tern, what="Boost wanders", noticed_at=then)
    text = client.get("/cars").text
    assert "1 open ticket" in text
    assert "Fit to run" not in text
    enter("finding", "finding1", car=tern, what="Rubbed hose", weight="act", seen_at=then)
    text = client.get("/cars").text
    assert "Not fit to run" in text
    assert 'class="ring off"' in text
