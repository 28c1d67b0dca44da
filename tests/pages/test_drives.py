import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Enter
from tests.seen import seen

NEW = "/cars/tern/drives/new"
FORM = {
    "entry": "5f0c5b1e-0b0e-4a55-9f5e-0a4a7d0d5a03",
    "record": "d1",
    "odometer": "184 210",
    "heat_cycles": "2",
    "at": "2026-04-18T10:40",
    "note": "To the coast",
}


def test_a_drive_is_noted_and_listed(client: TestClient, enter: Enter, tern: str) -> None:
    enter("drive", "d0", car=tern, at="2026-04-01T10:00:00.000Z", odometer=184_000)
    assert client.post(NEW, data=FORM).headers["location"] == "/cars/tern"
    shown = seen(client.get(NEW).text)
    assert "2 heat cycles · To the coast" in shown
    assert "184 210 km" in shown


def test_sending_it_twice_notes_it_once(client: TestClient, garage: Garage, tern: str) -> None:
    client.post(NEW, data=FORM)
    client.post(NEW, data=FORM)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT sum(heat_cycles) FROM drive").scalar() == 2


def test_one_heat_cycle_is_the_usual(client: TestClient, tern: str) -> None:
    assert 'name="heat_cycles" value="1"' in client.get(NEW).text


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"odometer": ""}, "This is needed."),
        ({"odometer": "-1"}, "less than 0"),
        ({"heat_cycles": "1.5"}, "Write a whole number"),
        ({"at": "2126-01-01T00:00"}, "This is still to come."),
    ],
)
def test_refused_input_keeps_what_was_typed(client: TestClient, tern: str, wrong: dict[str, str], says: str) -> None:
    answer = client.post(NEW, data=FORM | wrong)
    assert answer.status_code == 422
    assert says in answer.text
    assert "To the coast" in answer.text


def test_an_odometer_running_backwards_is_asked_about_and_taken_when_sure(
    client: TestClient, enter: Enter, tern: str
) -> None:
    enter("drive", "d0", car=tern, at="2026-04-01T10:00:00.000Z", odometer=284_000)
    assert "instrument cluster" in client.post(NEW, data=FORM).text
    assert client.post(NEW, data=FORM | {"sure": "odometer"}).status_code == 303


def test_a_drive_of_no_car_is_not_found(client: TestClient) -> None:
    assert client.get("/cars/none/drives/new").status_code == 404
