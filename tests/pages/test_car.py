from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.seen import seen

THEN = "2024-01-02T10:00:00.000Z"


def _work(enter: Enter, tern: str, n: int) -> None:
    enter("job", f"job{n}", car=tern, title=f"Job {n}", opened_at=THEN)
    for line in ("tern.coupler", "tern.inlet"):
        enter("touch", f"job{n}.{line}", job=f"job{n}", line=line, how="disconnected", at=THEN)
    enter("stopgap", f"gap{n}", car=tern, what=f"Clip {n}", used="Tie", fitted_at=THEN, limit_days=9999)
    enter("recheck", f"recheck{n}", car=tern, what=f"Clamps {n}", since_at=THEN, after_days=3)
    enter("finding", f"finding{n}", car=tern, what=f"Rubbed {n}", weight="act", seen_at=THEN)
    enter("ticket", f"ticket{n}", car=tern, what=f"Boost wanders {n}", noticed_at=THEN)
    enter("sign", f"ticket{n}.hiss", ticket=f"ticket{n}", sign="hiss", outcome="under_boost", noted_at=THEN)
    read = {"car": tern, "what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    enter("reading", f"reading{n}", value=19.5, taken_at=THEN, **read)


def test_the_page_says_unfit_why_and_for_what(client: TestClient, enter: Enter, tern: str) -> None:
    day = (datetime.now(UTC).astimezone() + timedelta(days=14)).date().isoformat()
    enter("event", "event1", car=tern, name="Hill climb", kind="sprint", on_day=day)
    _work(enter, tern, 1)
    text = seen(client.get("/cars/tern").text)
    for said in (
        "Not fit to run Hill climb, in 14 days",
        "4 loose ends, 4 still off",
        "Rubbed 1",
        "Clip 1, stopgap",
        "Clamps 1, re-check",
        "Boost wanders 1",
        "Noticed 2 Jan 2024",
        "Idle vacuum",
        "2 touched, 0 back on, 0 checked",
        "0 / 4",
    ):
        assert said in text
    text = client.get("/cars/tern").text
    assert 'class="odds"' in text
    for link in ("air-path", "build-sheet", "touched", "jobs", "tickets", "readings", "stopgaps", "rechecks", "events"):
        assert f'href="/cars/tern/{link}"' in text


def test_a_fit_car_says_so_only_as_far_as_the_record_knows(client: TestClient, tern: str) -> None:
    text = seen(client.get("/cars/tern").text)
    assert "Fit to run as far as the record knows" in text
    assert "Nothing loose, nothing due" in text


@pytest.mark.parametrize("link", ["air-path", "build-sheet", "touched", "jobs", "jobs/new", "tickets", "tickets/new"])
def test_every_way_on_from_the_car_leads_somewhere(client: TestClient, tern: str, link: str) -> None:
    assert client.get(f"/cars/tern/{link}").status_code == 200


@pytest.mark.parametrize(
    "link", ["readings", "readings/new", "stopgaps", "rechecks", "events", "drives/new", "edit", "lines/new"]
)
def test_every_other_way_on_leads_somewhere_too(client: TestClient, tern: str, link: str) -> None:
    assert client.get(f"/cars/tern/{link}").status_code == 200


def test_ten_times_the_work_asks_no_more_questions(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    tern: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    def asked() -> list[int]:
        counts = []
        for path in ("/cars", "/cars/tern"):
            with count_queries(garage) as count:
                assert client.get(path).status_code == 200
            counts.append(count.total)
        return counts

    _work(enter, tern, 1)
    before = asked()
    for n in range(2, 11):
        _work(enter, tern, n)
        enter("car", f"car{n}", name=f"Car {n}", layout="direct-signal")
    assert asked() == before


def test_an_edit_changes_the_car_and_nothing_else(client: TestClient, garage: Garage, tern: str) -> None:
    form = {
        "entry": "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0007",
        "name": "Tern",
        "about": "1.9 turbo estate",
        "altitude_m": "240",
        "note": "",
        "fuel": "petrol",
        "turbocharged": "yes",
        "has_airflow_meter": "no",
        "throttle_vacuum": "yes",
        "distance_unit": "km",
    }
    for _ in range(2):
        assert client.post("/cars/tern/edit", data=form).headers["location"] == "/cars/tern"
    with garage.read() as db:
        fields = db.exec_driver_sql("SELECT fields FROM entry ORDER BY seq DESC LIMIT 1").scalar()
    assert fields == '{"altitude_m":240.0,"has_airflow_meter":false}'


def test_a_refused_edit_keeps_what_was_typed(client: TestClient, tern: str) -> None:
    answer = client.post("/cars/tern/edit", data={"name": " ", "altitude_m": "9000", "about": "Estate"})
    assert answer.status_code == 422
    assert 'name="altitude_m" value="9000"' in answer.text
    assert 'name="about" value="Estate"' in answer.text
    assert 'id="name-hint">This is needed.' in answer.text


def test_an_unknown_car_is_said_to_be_unknown(client: TestClient) -> None:
    for path in ("", "/edit", "/air-path", "/build-sheet", "/lines/new", "/components/new"):
        answer = client.get(f"/cars/none{path}")
        assert answer.status_code == 404
        assert "There is no such car." in answer.text
