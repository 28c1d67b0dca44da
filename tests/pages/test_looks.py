import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.leaned_on import LeanedOn, leaned_on
from app.records.logbook import now
from tests.conftest import Enter
from tests.pages.seen import seen

URL = "/jobs/job1/looked-at/tern.gauge_hose"


@pytest.fixture
def leaned(enter: Enter, tern: str) -> str:
    enter("job", "job1", car=tern, title="Coupler", opened_at=now(), air_temp_c=6)
    enter("touch", "job1.tern.gauge_hose", job="job1", line="tern.gauge_hose", how="reached_past", at=now())
    return "job1"


def _line(garage: Garage) -> LeanedOn:
    with garage.read() as db:
        (found,) = leaned_on(db, "job1")
    return found


def test_a_line_leaned_on_is_to_be_looked_at_and_says_why(client: TestClient, leaned: str) -> None:
    shown = seen(client.get(f"/jobs/{leaned}").text)
    assert "Reached past · hard plasticLook at it before you close up" in shown
    assert "At 6 °C plastic breaks more easily." in shown


def test_one_tap_says_it_is_sound_and_a_second_changes_nothing(client: TestClient, garage: Garage, leaned: str) -> None:
    for _ in range(2):
        assert client.post(URL, data={"good": "yes"}).headers["location"] == f"/jobs/{leaned}#leaned-on"
    assert _line(garage).good == 1
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'check'").scalar() == 1


def test_a_look_is_called_back_and_made_again(client: TestClient, garage: Garage, leaned: str) -> None:
    client.post(URL, data={})
    client.post(f"{URL}/undo", data={})
    assert _line(garage).good is None
    client.post(URL, data={})
    assert _line(garage).good == 1


def test_found_something_leads_to_a_finding_on_that_line(client: TestClient, leaned: str) -> None:
    assert f'href="/jobs/{leaned}/findings/new?at=tern.gauge_hose"' in client.get(f"/jobs/{leaned}").text
    assert 'value="tern.gauge_hose" selected' in client.get(f"/jobs/{leaned}/findings/new?at=tern.gauge_hose").text


def test_one_tap_says_it_is_not_sound_and_another_that_it_is(client: TestClient, garage: Garage, leaned: str) -> None:
    client.post(URL, data={"good": "no"})
    assert _line(garage).good == 0
    client.post(URL, data={"good": "yes"})
    assert _line(garage).good == 1


def test_a_line_this_job_did_not_lean_on_is_said_so(client: TestClient, leaned: str) -> None:
    for path in ("/jobs/job1/looked-at/tern.inlet", "/jobs/job1/looked-at/tern.inlet/undo", "/jobs/x/looked-at/y"):
        assert client.post(path, data={}).status_code == 404
