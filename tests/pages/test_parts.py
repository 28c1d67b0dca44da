import uuid

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.logbook import now
from tests.conftest import Enter
from tests.pages.seen import seen


@pytest.fixture
def job(enter: Enter, tern: str) -> str:
    enter("job", "job1", car=tern, title="Coupler", opened_at=now())
    return "job1"


def _form(**more: str) -> dict[str, str]:
    plain = {"entry": str(uuid.uuid4()), "record": "p1", "off_part": "Worm-drive clamp", "on_part": "T-bolt clamp"}
    return plain | {"line": "", "component": "", "position": "", "at": now()} | more


def test_a_part_off_and_a_part_on_are_listed_on_the_job_once(client: TestClient, garage: Garage, job: str) -> None:
    form = _form(line="tern.coupler")
    for _ in range(2):
        assert client.post(f"/jobs/{job}/parts/new", data=form).headers["location"] == f"/jobs/{job}#parts"
    assert "Off: Worm-drive clamp · On: T-bolt clamp" in seen(client.get(f"/jobs/{job}").text)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM part_change").scalar() == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({}, "Say which one thing this is about"),
        ({"line": "tern.inlet", "position": "Front"}, "Say which one thing this is about"),
        ({"position": "Front", "off_part": "", "on_part": ""}, "Say what came off, what went on, or both."),
        ({"position": "Front", "at": "2199-01-01T10:00"}, "still to come"),
    ],
)
def test_a_refused_change_keeps_every_value(client: TestClient, job: str, wrong: dict[str, str], said: str) -> None:
    answer = client.post(f"/jobs/{job}/parts/new", data=_form(note="Torn") | wrong)
    assert answer.status_code == 422
    assert said in answer.text
    assert "Torn" in answer.text
    for kept in (wrong | {"record": "p1"}).values():
        assert kept in answer.text


def test_a_change_put_down_by_mistake_is_taken_back(client: TestClient, job: str) -> None:
    client.post(f"/jobs/{job}/parts/new", data=_form(position="Front left pads"))
    assert "Front left pads" in seen(client.get(f"/jobs/{job}").text)
    assert client.post(f"/jobs/{job}/parts/p1/void", data={}).status_code == 303
    assert "Front left pads" not in seen(client.get(f"/jobs/{job}").text)
    assert client.post(f"/jobs/{job}/parts/p1/void", data={}).status_code == 404


def test_the_form_knows_what_it_was_opened_for(client: TestClient, job: str) -> None:
    assert 'value="tern.inlet" selected' in client.get(f"/jobs/{job}/parts/new?at=tern.inlet").text
