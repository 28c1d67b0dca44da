import re
import uuid

import pytest
from starlette.testclient import TestClient

from app.records import jobs, loose_ends, rechecks
from app.records.garage import Garage
from app.records.jobs import JobRow
from app.records.logbook import now
from tests.conftest import Enter
from tests.pages.seen import seen

URL = "/jobs/job1/close"


@pytest.fixture
def off(enter: Enter, tern: str) -> str:
    enter("job", "job1", car=tern, title="Throttle coupler", opened_at=now(), odometer=184_210)
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", ends="to", at=now())
    return "job1"


def _form(**more: str | list[str]) -> dict[str, str | list[str]]:
    return {"entry": str(uuid.uuid4()), "closed_at": now(), "after_heat_cycles": "3", "after_distance": "100"} | more


def _job(garage: Garage) -> JobRow:
    with garage.read() as db:
        found = jobs.job(db, "job1")
    assert found is not None
    return found


def _ticks(page: str) -> list[str]:
    """What is ticked of the re-checks on offer; what stands in a template is only an offer that may yet come."""
    offered = re.sub(r"<template.*?</template>", "", page, flags=re.DOTALL)
    return re.findall(r'name="recheck" value="([^"]+)"[^>]* checked>', offered)


def _check(enter: Enter) -> None:
    joint = "tern.coupler.to"
    enter("loose_end", f"job1.{joint}", job="job1", joint=joint, back_on_at=now())
    enter("check", f"job1.{joint}", car="tern", job="job1", joint=joint, done_at=now())


def test_a_job_with_loose_ends_is_not_closed_and_says_which(client: TestClient, garage: Garage, off: str) -> None:
    assert "Throttle coupler, at the throttle" in seen(client.get(URL).text)
    answer = client.post(URL, data=_form())
    assert answer.status_code == 422
    assert "Joints not back on and checked: 1. See to them, or say why" in seen(answer.text)
    assert _job(garage).state == "open"


def test_loose_ends_are_carried_over_with_a_reason(client: TestClient, garage: Garage, off: str) -> None:
    assert client.post(URL, data=_form(carried_reason="Clamp comes Friday")).status_code == 303
    assert _job(garage).state == "carried"
    shown = seen(client.get("/jobs/job1").text)
    assert re.search(r"Closed today [0-9:]{5}, 1 not back on and checked: Clamp comes Friday", shown)
    assert "Clamp comes Friday" in client.get("/cars/tern/jobs").text


def test_what_was_carried_over_and_then_seen_to_is_closed(
    client: TestClient, enter: Enter, garage: Garage, off: str
) -> None:
    client.post(URL, data=_form(carried_reason="Clamp comes Friday"))
    _check(enter)
    assert _job(garage).state == "closed"


def test_a_job_with_everything_checked_is_closed(client: TestClient, enter: Enter, garage: Garage, off: str) -> None:
    _check(enter)
    assert client.post(URL, data=_form()).headers["location"] == "/jobs/job1"
    assert _job(garage).state == "closed"
    assert "Reopen the job" in seen(client.get("/jobs/job1").text)


def test_a_touch_that_comes_in_late_leaves_the_job_unfinished(
    client: TestClient, enter: Enter, garage: Garage, off: str
) -> None:
    _check(enter)
    client.post(URL, data=_form(carried_reason="Nothing to carry"))
    enter("touch", "job1.tern.inlet", job="job1", line="tern.inlet", how="disconnected", at=now())
    assert _job(garage).state == "unfinished"
    assert re.search(r"Closed today [0-9:]{5}, 2 not back on and checked", seen(client.get("/jobs/job1").text))
    with garage.read() as db:
        assert [job.id for job in jobs.open_jobs(db, "tern")] == ["job1"]


def test_a_closed_job_is_opened_again(client: TestClient, garage: Garage, off: str) -> None:
    client.post(URL, data=_form(carried_reason="Clamp comes Friday"))
    assert client.post("/jobs/job1/reopen", data={}).headers["location"] == "/jobs/job1"
    assert _job(garage).state == "open"
    assert client.post(URL, data=_form()).status_code == 422


def test_lines_leaned_on_and_not_looked_at_are_a_reminder_and_no_refusal(
    client: TestClient, enter: Enter, garage: Garage, off: str
) -> None:
    _check(enter)
    enter("touch", "job1.tern.gauge_hose", job="job1", line="tern.gauge_hose", how="reached_past", at=now())
    shown = seen(client.get(URL).text)
    assert "Leaned on, and not looked at" in shown
    assert "Gauge hose, manifold to gauge" in shown
    assert client.post(URL, data=_form()).status_code == 303


def test_closing_sets_the_re_checks_that_were_ticked_in_the_same_act(
    client: TestClient, enter: Enter, garage: Garage, off: str
) -> None:
    enter("touch", "job1.tern.inlet", job="job1", line="tern.inlet", how="clamp_moved", at=now())
    _check(enter)
    assert _ticks(client.get(URL).text) == ["tern.coupler.to", "tern.inlet"]
    form = _form(recheck=["tern.coupler.to", "tern.inlet"])
    for _ in range(2):
        assert client.post(URL, data=form).status_code == 303
    with garage.read() as db:
        found = {one.what: one for one in rechecks.due(db, "tern")}
    assert set(found) == {"Throttle coupler, at the throttle", "Throttle to manifold, clamp moved"}
    joint = found["Throttle coupler, at the throttle"]
    assert (joint.joint, joint.after_heat_cycles, joint.after_distance) == ("tern.coupler.to", 3, 100)
    assert joint.sentence == "Due after 3 heat cycles, 0 done, or 100 km, 0 done"


def test_a_re_check_without_a_limit_closes_nothing_and_loses_no_tick(
    client: TestClient, enter: Enter, garage: Garage, off: str
) -> None:
    _check(enter)
    form = _form(recheck=["tern.coupler.to"], after_heat_cycles="", after_distance="")
    answer = client.post(URL, data=form)
    assert answer.status_code == 422
    assert "Say when it is due" in answer.text
    assert _ticks(answer.text) == ["tern.coupler.to"]
    assert _job(garage).state == "open"


def test_a_tick_taken_away_stays_away_on_a_refused_form(client: TestClient, off: str) -> None:
    answer = client.post(URL, data=_form())
    assert _ticks(answer.text) == []


def test_what_is_carried_over_still_hangs_loose_on_the_car(client: TestClient, garage: Garage, off: str) -> None:
    client.post(URL, data=_form(carried_reason="Clamp comes Friday"))
    with garage.read() as db:
        assert [end.carried_reason for end in loose_ends.of_car(db, "tern")] == ["Clamp comes Friday"]
