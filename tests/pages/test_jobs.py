import re
import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.pages.kept_for_good import PLACEHOLDER
from app.records.garage import Garage
from app.records.logbook import now
from tests.conftest import Count, Enter
from tests.pages.seen import seen

DAY = "2026-04-{:02}T09:00:00.000Z"
FORM = {"entry": str(uuid.uuid4()), "record": "job1", "title": "Throttle coupler", "opened_at": "2026-04-18T10:40"}


def _job(enter: Enter, job: str = "job1", **more: object) -> None:
    fields = {"title": job, "opened_at": DAY.format(1), "air_temp_c": 6, "engine_cold": "yes"} | more
    enter("job", job, car="tern", **fields)


def test_a_job_is_opened_with_its_conditions(client: TestClient, tern: str) -> None:
    form = FORM | {"odometer": "184 210", "air_temp_c": "6", "engine_cold": "yes"}
    answer = client.post(f"/cars/{tern}/jobs/new", data=form)
    assert (answer.status_code, answer.headers["location"]) == (303, "/jobs/job1")
    shown = seen(client.get("/jobs/job1").text)
    assert "Throttle coupler" in shown
    assert re.search(r"Tern · .*10:40 · 6 °C · engine cold", shown)


def test_the_same_form_sent_twice_opens_one_job(client: TestClient, garage: Garage, tern: str) -> None:
    for _ in range(2):
        assert client.post(f"/cars/{tern}/jobs/new", data=FORM).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'job'").scalar() == 1


def test_a_refused_job_keeps_every_value_and_says_what_is_wrong(client: TestClient, tern: str) -> None:
    form = FORM | {"title": "", "air_temp_c": "warm", "note": "Under the car", "engine_cold": "no"}
    answer = client.post(f"/cars/{tern}/jobs/new", data=form)
    assert answer.status_code == 422
    assert "This is needed." in answer.text
    assert "Write a number" in answer.text
    for kept in ('value="warm"', "Under the car", 'value="2026-04-18T10:40"', 'value="no" checked', FORM["entry"]):
        assert kept in answer.text


def test_an_odometer_running_backwards_is_asked_about_and_then_taken(
    client: TestClient, enter: Enter, tern: str
) -> None:
    _job(enter, "before", odometer=184_210)
    form = FORM | {"odometer": "12"}
    asked = client.post(f"/cars/{tern}/jobs/new", data=form)
    assert asked.status_code == 422
    assert "new instrument cluster" in asked.text
    assert client.post(f"/cars/{tern}/jobs/new", data=form | {"sure": "odometer"}).status_code == 303


def test_the_last_known_odometer_figure_is_a_hint(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter, "before", odometer=184_210)
    shown = client.get(f"/cars/{tern}/jobs/new").text
    assert "Last known: 184\N{NO-BREAK SPACE}210\N{NO-BREAK SPACE}km" in shown


def test_cautions_stand_where_a_job_begins(client: TestClient, tern: str) -> None:
    shown = client.get(f"/cars/{tern}/jobs/new").text
    assert "go cold before you reach round the turbocharger" in shown
    assert "coolant line" in shown


def test_a_job_on_a_warm_engine_carries_the_caution_with_it(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter, engine_cold="no")
    assert "The engine was warm when you began" in seen(client.get("/jobs/job1").text)


def test_an_unknown_car_or_job_is_said_to_be_unknown(client: TestClient, tern: str) -> None:
    for path in ("/cars/gull/jobs", "/cars/gull/jobs/new", "/jobs/job1", "/jobs/job1/things", "/jobs/job1/close"):
        answer = client.get(path)
        assert answer.status_code == 404
        assert "There is no such" in answer.text


def test_every_line_can_be_tapped_on_the_drawing_and_everything_in_the_list(
    client: TestClient, enter: Enter, tern: str
) -> None:
    _job(enter)
    drawn, listed = client.get("/jobs/job1").text, client.get("/jobs/job1/things").text
    for line in ("coupler", "gauge_hose", "inlet"):
        assert drawn.count(f'href="/jobs/job1/touch/tern.{line}"') == 1
        assert f'href="/jobs/job1/touch/tern.{line}"' in listed
    assert 'href="/jobs/job1/touch/tern.compressor"' in listed


def test_a_job_that_nobody_knows_of_yet_has_a_page_to_fill(client: TestClient, tern: str) -> None:
    blank = client.get(f"/cars/{tern}/jobs/blank").text
    assert f'data-record="job/{PLACEHOLDER}"' in blank
    assert "0 of 0 to go" not in seen(blank)
    assert client.get("/cars/gull/jobs/blank").status_code == 404


def test_a_job_begun_at_a_moment_nobody_wrote_down_begins_now(client: TestClient, tern: str) -> None:
    client.post(f"/cars/{tern}/jobs/new", data=FORM | {"opened_at": ""})
    assert "Tern · today" in seen(client.get("/jobs/job1").text)


def test_open_jobs_come_first_and_the_others_fifty_at_a_time(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter, "old-and-open")
    for n in range(52):
        _job(enter, f"shut{n:02}", opened_at=f"2026-05-01T10:{n:02}:00.000Z", closed_at=DAY.format(28))
    first = client.get(f"/cars/{tern}/jobs").text
    opened, _, closed = first.partition(">Closed</h2>")
    assert 'href="/jobs/old-and-open?car=tern"' in opened
    shown = ["old-and-open", *re.findall(r'href="/jobs/(shut[^"]+)"', closed)]
    assert shown[0] == "old-and-open"
    assert shown[1:] == [f"shut{n:02}" for n in range(51, 1, -1)]
    second = client.get(f"/cars/{tern}/jobs?before={shown[-1]}").text
    assert re.findall(r'href="/jobs/([^"]+)"', second) == ["shut01", "shut00"]


def test_a_car_without_jobs_says_what_to_do_next(client: TestClient, tern: str) -> None:
    assert "No job yet. Open one" in client.get(f"/cars/{tern}/jobs").text


def test_what_stands_at_the_top_can_be_put_right(client: TestClient, enter: Enter, garage: Garage, tern: str) -> None:
    _job(enter, odometer=184_210)
    form = FORM | {"title": "Coupler and inlet", "odometer": "184210", "engine_cold": "yes"}
    assert client.post("/jobs/job1/edit", data=form).status_code == 303
    assert "Coupler and inlet" in client.get("/jobs/job1").text
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE record = 'job1'").scalar() == 2


def test_a_job_opened_by_mistake_leaves_every_list(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    assert client.post("/jobs/job1/void", data={}).headers["location"] == "/cars/tern/jobs"
    assert "job1" not in client.get(f"/cars/{tern}/jobs").text


@pytest.mark.parametrize("path", ["/jobs/job1", "/jobs/job1/close", "/cars/tern/touched", "/cars/tern/jobs"])
def test_more_touches_need_no_more_queries(
    *,
    client: TestClient,
    enter: Enter,
    garage: Garage,
    tern: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
    path: str,
) -> None:
    _job(enter)
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=now())
    with count_queries(garage) as few:
        client.get(path)
    for line, how in (("gauge_hose", "reached_past"), ("inlet", "replaced")):
        enter("touch", f"job1.tern.{line}", job="job1", line=f"tern.{line}", how=how, at=now())
    for n in range(4):
        enter("finding", f"f{n}", car=tern, job="job1", what="Oil mist", seen_at=now())
        enter("part_change", f"p{n}", job="job1", line="tern.inlet", on_part="Clamp", at=now())
    _job(enter, "job2")
    with count_queries(garage) as many:
        client.get(path)
    assert many.total == few.total
