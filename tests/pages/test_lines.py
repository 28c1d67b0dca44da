import re
from collections.abc import Callable
from contextlib import AbstractContextManager

from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.seen import seen

NEW = {
    "entry": "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0001",
    "record": "brake-hose",
    "number": "4",
    "name": "Brake servo hose",
    "role": "brake_servo",
    "material": "rubber",
    "bore_mm": "11,5",
    "length_mm": "640",
    "from_component": "tern.manifold",
    "to_component": "tern.gauge",
    "from_hold": "constant_tension",
    "to_hold": "push_on",
}


def test_a_line_tells_what_it_is_what_holds_it_and_what_was_done_to_it(
    client: TestClient, enter: Enter, tern: str
) -> None:
    enter("joint", "tern.coupler.to", torque_value=5, torque_unit="N.m", torque_source="Maker's manual, p. 12")
    enter("job", "job1", car=tern, title="Throttle off", opened_at="2024-01-02T10:00:00.000Z")
    touch = {"job": "job1", "line": "tern.coupler", "at": "2024-01-02T10:05:00.000Z"}
    enter("touch", "job1.tern.coupler", how="disconnected", **touch)
    text = client.get("/lines/tern.coupler").text
    for said in ("Throttle coupler", "silicone", "63 mm", "Compressor", "T-bolt clamp", "5.0", "Maker", "Throttle off"):
        assert said in seen(text)
    assert text.count('class="ring off"') == 2
    assert "disconnected 2 Jan 2024" in text


def test_an_unknown_line_is_said_to_be_unknown(client: TestClient, tern: str) -> None:
    for path in ("", "/edit", "/replace", "/retire"):
        answer = client.get(f"/lines/none{path}")
        assert answer.status_code == 404
        assert "There is no such line." in answer.text


def test_a_new_line_comes_with_both_joints_and_shows_on_the_drawing(
    client: TestClient, garage: Garage, tern: str
) -> None:
    answer = client.post("/cars/tern/lines/new", data=NEW)
    assert (answer.status_code, answer.headers["location"]) == (303, "/lines/brake-hose")
    with garage.read() as db:
        joints = db.exec_driver_sql(
            'SELECT id, "end", hold FROM joint WHERE line = ? ORDER BY id', ("brake-hose",)
        ).all()
    assert [tuple(joint) for joint in joints] == [
        ("brake-hose.from", "from", "constant_tension"),
        ("brake-hose.to", "to", "push_on"),
    ]
    assert "Brake servo hose" in client.get("/lines/brake-hose").text
    assert 'href="/lines/brake-hose"' in client.get("/cars/tern/air-path").text


def test_sending_the_new_line_twice_adds_one(client: TestClient, garage: Garage, tern: str) -> None:
    answers = [client.post("/cars/tern/lines/new", data=NEW) for _ in range(2)]
    assert [answer.headers.get("location") for answer in answers] == ["/lines/brake-hose"] * 2
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM line").scalar() == 4
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE record LIKE 'brake-hose%'").scalar() == 3


def test_a_refused_new_line_keeps_every_value_and_adds_nothing(client: TestClient, garage: Garage, tern: str) -> None:
    answer = client.post("/cars/tern/lines/new", data=NEW | {"bore_mm": "wide", "role": ""})
    assert answer.status_code == 422
    for name, value in (NEW | {"bore_mm": "wide"}).items():
        if name not in {"role", "material", "from_component", "to_component", "from_hold", "to_hold"}:
            assert f'name="{name}" value="{value}"' in answer.text
    assert '<option value="constant_tension" selected>' in answer.text
    assert "Write a number, such as 5 or 5.5." in answer.text
    assert 'id="role-hint">This is needed.' in answer.text
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM joint WHERE line = 'brake-hose'").scalar() == 0


def test_a_form_sent_without_its_hidden_boxes_is_refused_and_shown_again(client: TestClient, tern: str) -> None:
    for url in ("/cars/tern/lines/new", "/cars/tern/components/new"):
        assert client.post(url, data={"name": "Spare"}).status_code == 422


def test_a_line_from_a_component_to_itself_is_refused(client: TestClient, tern: str) -> None:
    for url in ("/cars/tern/lines/new", "/lines/tern.inlet/edit"):
        answer = client.post(url, data=NEW | {"to_component": "tern.manifold"})
        assert answer.status_code == 422
        assert "Choose the other end." in answer.text


def test_an_edit_sends_only_what_was_changed(client: TestClient, garage: Garage, tern: str) -> None:
    page = client.get("/lines/tern.coupler/edit").text
    form = dict(re.findall(r'<input id="\w+" name="(\w+)" value="([^"]*)"', page))
    chosen = dict(re.findall(r'<select id="\w+" name="(\w+)".*?<option value="([^"]*)" selected', page, re.DOTALL))
    form |= chosen | {"state": "original", "note": "", "length_mm": "90"}
    assert client.post("/lines/tern.coupler/edit", data=form).status_code == 303
    with garage.read() as db:
        last = db.exec_driver_sql("SELECT fields FROM entry ORDER BY seq DESC LIMIT 1").scalar()
    assert last == '{"length_mm":90.0}'


def test_an_edit_that_changes_nothing_enters_nothing(client: TestClient, garage: Garage, tern: str) -> None:
    with garage.read() as db:
        before = db.exec_driver_sql("SELECT count(*) FROM entry").scalar()
    answer = client.post("/lines/tern.coupler/edit", data={"name": "Throttle coupler", "bore_mm": "63", "note": ""})
    assert answer.status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry").scalar() == before


def test_a_line_moved_to_another_component_finds_a_new_way(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("line", "tern.coupler", route="[[110, 40], [110, 60]]")
    client.post("/lines/tern.coupler/edit", data={"to_component": "tern.gauge"})
    with garage.read() as db:
        found = db.exec_driver_sql("SELECT to_component, route FROM line WHERE id = 'tern.coupler'").one()
    assert tuple(found) == ("tern.gauge", None)


def test_an_odometer_that_runs_backwards_is_asked_about(client: TestClient, enter: Enter, tern: str) -> None:
    drive = {"car": tern, "at": "2024-02-01T10:00:00.000Z", "odometer": 184_000}
    enter("drive", "drive1", **drive)
    for url in ("/lines/tern.inlet/edit", "/lines/tern.inlet/replace"):
        form = {"fitted_on": "2024-03-01", "fitted_odometer": "84000"}
        asked = client.post(url, data=form)
        assert asked.status_code == 422
        assert 'name="sure" value="odometer"' in asked.text
        assert client.post(url, data=form | {"sure": "odometer"}).status_code == 303


def test_more_work_on_the_car_asks_no_more_questions(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    tern: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    def work(job: str) -> None:
        at = "2024-01-02T10:00:00.000Z"
        enter("job", job, car=tern, title="Off and on", opened_at=at)
        for line in ("tern.coupler", "tern.inlet"):
            enter("touch", f"{job}.{line}", job=job, line=line, how="disconnected", at=at)
            enter("check", f"{job}.{line}.to", car=tern, job=job, joint=f"{line}.to", done_at=at)
            enter("part_change", f"{job}.{line}", job=job, line=line, off_part="Old", at=at)
            enter("finding", f"{job}.{line}", car=tern, line=line, what="Rubbed", seen_at=at)

    def asked() -> list[int]:
        counts = []
        for path in (
            "/lines/tern.coupler",
            "/components/tern.throttle",
            "/cars/tern/air-path",
            "/cars/tern/build-sheet",
        ):
            with count_queries(garage) as count:
                assert client.get(path).status_code == 200
            counts.append(count.total)
        return counts

    work("job1")
    before = asked()
    for n in range(2, 5):
        work(f"job{n}")
    assert asked() == before
