import re

from starlette.testclient import TestClient

from app.records import loose_ends, touches
from app.records.garage import Garage
from app.records.logbook import now
from tests.conftest import Enter
from tests.pages.seen import seen

URL = "/jobs/job1/touch/tern.coupler"


def _job(enter: Enter, job: str = "job1") -> None:
    enter("job", job, car="tern", title="Throttle coupler", opened_at="2026-04-18T08:40:00.000Z", air_temp_c=6)


def _states(garage: Garage) -> list[str]:
    with garage.read() as db:
        return [end.state for end in loose_ends.of_job(db, "job1")]


def test_one_tap_records_how_a_line_was_touched(client: TestClient, enter: Enter, garage: Garage, tern: str) -> None:
    _job(enter)
    for how in ("reached_past", "clamp_moved", "disconnected", "replaced"):
        answer = client.post(URL, data={"how": how})
        assert (answer.status_code, answer.headers["location"]) == (303, "/jobs/job1")
        with garage.read() as db:
            assert [touch.how for touch in touches.touches_in(db, "job1")] == [how]


def test_the_choices_name_the_ends_by_what_they_sit_on(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    shown = seen(client.get(URL).text)
    assert re.findall(r"Off at (?:both ends|the [a-z]+)", shown) == [
        "Off at both ends",
        "Off at the compressor",
        "Off at the throttle",
    ]


def test_one_end_off_leaves_one_loose_end(client: TestClient, enter: Enter, garage: Garage, tern: str) -> None:
    _job(enter)
    client.post(URL, data={"how": "disconnected", "ends": "to"})
    assert _states(garage) == ["off"]
    shown = seen(client.get("/jobs/job1").text)
    assert "Throttle coupler, at the throttle" in shown
    assert "1 of 1 to go" in shown


def test_what_was_chosen_is_shown(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    client.post(URL, data={"how": "disconnected", "ends": "from"})
    pressed = re.findall(r'aria-pressed="true">(.+?)</button>', client.get(URL).text)
    assert [seen(button) for button in pressed] == ["Off at the compressor"]


def test_a_second_tap_on_the_same_choice_changes_nothing(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    _job(enter)
    for _ in range(2):
        assert client.post(URL, data={"how": "clamp_moved"}).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'touch'").scalar() == 1


def test_a_touch_is_called_back_and_can_be_made_again(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    _job(enter)
    client.post(URL, data={"how": "disconnected"})
    assert client.post(f"{URL}/undo", data={}).status_code == 303
    assert _states(garage) == []
    client.post(URL, data={"how": "disconnected", "ends": "to"})
    assert _states(garage) == ["off"]


def test_a_joint_that_comes_off_again_is_not_held_on_by_its_old_check(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    _job(enter)
    client.post(URL, data={"how": "disconnected", "ends": "to"})
    client.post("/jobs/job1/loose-ends/tern.coupler.to", data={"done_at": now(), "good": "yes"})
    assert _states(garage) == ["checked"]
    client.post(f"{URL}/undo", data={})
    client.post(URL, data={"how": "disconnected", "ends": "to"})
    assert _states(garage) == ["off"]


def test_a_line_found_to_be_replaced_keeps_the_check_of_its_joint(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    _job(enter)
    client.post(URL, data={"how": "disconnected", "ends": "to"})
    client.post("/jobs/job1/loose-ends/tern.coupler.to", data={"done_at": now(), "good": "yes"})
    client.post(URL, data={"how": "replaced"})
    assert sorted(_states(garage)) == ["checked", "off"]


def test_a_replaced_line_leads_to_what_is_fitted_now(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    client.post(URL, data={"how": "replaced"})
    assert "What is fitted now" in seen(client.get(URL).text)


def test_a_component_is_touched_like_a_line_and_leaves_no_loose_end(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    _job(enter)
    shown = client.get("/jobs/job1/touch/tern.throttle").text
    assert "Taken off" in shown
    assert "both ends" not in seen(shown)
    client.post("/jobs/job1/touch/tern.throttle", data={"how": "disconnected"})
    assert _states(garage) == []
    assert "Taken off" in seen(client.get("/jobs/job1/things").text)


def test_a_retired_line_is_refused_with_its_date_and_reason(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    enter("line", "tern.coupler", retired_on="2026-04-02", retired_reason="Replaced by a metal pipe")
    for answer in (client.get(URL), client.post(URL, data={"how": "disconnected"})):
        assert "for good on 2 Apr 2026 (Replaced by a metal pipe)" in answer.text
    assert client.post(URL, data={"how": "disconnected"}).status_code == 422


def test_an_unknown_line_is_said_to_be_unknown(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    path = "/jobs/job1/touch/tern.nothing"
    assert client.get(path).status_code == 404
    assert client.post(path, data={"how": "replaced"}).status_code == 404


def test_a_choice_that_does_not_exist_is_refused_in_words(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    answer = client.post(URL, data={"how": "cut in two"})
    assert answer.status_code == 422
    assert "Choose one of these: reached past, clamp moved, disconnected, replaced." in answer.text


def test_near_the_turbocharger_the_caution_stands_by_the_choices(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    caution = "Engine cold before you reach round the turbocharger"
    assert caution in seen(client.get(URL).text)
    assert caution not in seen(client.get("/jobs/job1/touch/tern.inlet").text)
    enter("job", "job1", engine_cold="yes")
    assert caution not in seen(client.get(URL).text)


def test_what_a_job_written_down_later_touched_was_touched_when_the_job_was(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    enter("job", "job1", car=tern, title="Clutch", opened_at="2026-02-01T09:00:00.000Z")
    client.post(URL, data={"how": "disconnected"})
    with garage.read() as db:
        assert [one.at for one in touches.touches_in(db, "job1")] == ["2026-02-01T09:00:00.000Z"]


def test_what_was_touched_is_listed_across_jobs_with_the_way_since(client: TestClient, enter: Enter, tern: str) -> None:
    _job(enter)
    enter("job", "job2", car=tern, title="Inlet", opened_at="2026-04-20T08:00:00.000Z", odometer=184_210)
    enter("touch", "job2.tern.inlet", job="job2", line="tern.inlet", how="clamp_moved", at="2026-04-20T09:00:00.000Z")
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="replaced", at="2026-04-18T09:00:00.000Z")
    enter("drive", "d1", car=tern, at="2026-04-22T09:00:00.000Z", odometer=184_295)
    shown = seen(client.get(f"/cars/{tern}/touched").text).partition("Touches")[2]
    assert shown.index("Throttle to manifold") < shown.index("Throttle coupler")
    assert "85 km since" in shown
    only = client.get(f"/cars/{tern}/touched?line=tern.coupler").text
    assert "/jobs/job1" in only
    assert "/jobs/job2" not in only


def test_touches_come_fifty_at_a_time(client: TestClient, enter: Enter, tern: str) -> None:
    for n in range(51):
        _job(enter, f"job{n}")
        enter(
            "touch",
            f"job{n}.tern.inlet",
            job=f"job{n}",
            line="tern.inlet",
            how="reached_past",
            at=f"2026-04-18T09:{n:02}:00.000Z",
        )
    first = client.get(f"/cars/{tern}/touched").text
    more = re.findall(r'href="(/cars/tern/touched\?before=[^"]+)"', first)
    assert len(more) == 1
    assert re.findall(r'href="/jobs/(job\d+)\?', client.get(more[0]).text) == ["job0"]
