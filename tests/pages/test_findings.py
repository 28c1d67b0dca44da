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
    plain = {"entry": str(uuid.uuid4()), "record": "f1", "what": "Oil mist", "weight": "watch", "seen_at": now()}
    return plain | {"line": "", "component": ""} | more


def test_a_finding_is_kept_once_and_listed_on_its_job(client: TestClient, garage: Garage, job: str) -> None:
    form = _form(component="tern.compressor")
    for _ in range(2):
        assert client.post(f"/jobs/{job}/findings/new", data=form).headers["location"] == f"/jobs/{job}#findings"
    assert "Oil mistCompressor · seen today" in seen(client.get(f"/jobs/{job}").text)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'finding'").scalar() == 1


def test_a_refused_finding_keeps_every_value(client: TestClient, job: str) -> None:
    form = _form(what="", weight="act", line="tern.inlet", seen_at="2199-01-01T10:00")
    answer = client.post(f"/jobs/{job}/findings/new", data=form)
    assert answer.status_code == 422
    assert "This is needed." in answer.text
    for kept in ('value="act" checked', 'value="tern.inlet" selected', 'value="2199-01-01T10:00"', 'value="f1"'):
        assert kept in answer.text


def test_findings_stand_in_the_order_they_were_entered(client: TestClient, job: str) -> None:
    for record, weight in (("f2", "note"), ("f1", "act")):
        client.post(f"/jobs/{job}/findings/new", data=_form(record=record, weight=weight, what=f"Oil mist {record}"))
    shown = seen(client.get(f"/jobs/{job}").text)
    assert shown.index("Oil mist f2") < shown.index("Oil mist f1")
    assert "to do" in shown


def test_a_finding_is_settled_later_and_unsettled_again(client: TestClient, job: str) -> None:
    client.post(f"/jobs/{job}/findings/new", data=_form())
    settled = {"settled_how": "New seal", "settled_at": now()}
    assert client.post("/findings/f1", data=settled).headers["location"] == f"/jobs/{job}#findings"
    assert "New seal" in seen(client.get(f"/jobs/{job}").text)
    client.post("/findings/f1/unsettle", data={})
    assert "New seal" not in seen(client.get("/findings/f1").text)


def test_settling_without_saying_how_is_refused(client: TestClient, job: str) -> None:
    client.post(f"/jobs/{job}/findings/new", data=_form())
    answer = client.post("/findings/f1", data={"settled_how": " ", "settled_at": "2026-04-18T10:40"})
    assert answer.status_code == 422
    assert "Say how it was settled." in answer.text
    assert 'value="2026-04-18T10:40"' in answer.text


def test_settling_in_the_future_is_refused_in_words(client: TestClient, job: str) -> None:
    client.post(f"/jobs/{job}/findings/new", data=_form())
    answer = client.post("/findings/f1", data={"settled_how": "New seal", "settled_at": "2199-01-01T10:00"})
    assert answer.status_code == 422
    assert "still to come" in answer.text
    assert "New seal" in answer.text


def test_a_finding_put_down_by_mistake_is_taken_out(client: TestClient, job: str) -> None:
    client.post(f"/jobs/{job}/findings/new", data=_form())
    assert client.post("/findings/f1/void", data={}).status_code == 303
    assert "Oil mist" not in seen(client.get(f"/jobs/{job}").text)
    assert client.get("/findings/f1").status_code == 404


def test_a_finding_made_outside_a_job_leads_back_to_its_car(client: TestClient, enter: Enter, tern: str) -> None:
    enter("finding", "f9", car=tern, what="Stone in the radiator", seen_at=now())
    assert f'href="/cars/{tern}"' in client.get("/findings/f9").text
    answer = client.post("/findings/f9", data={"settled_how": "Picked out", "settled_at": now()})
    assert answer.headers["location"] == f"/cars/{tern}"
