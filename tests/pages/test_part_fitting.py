"""Fitting a part and taking one off: one act in a job."""

from datetime import timedelta
from typing import Any

from starlette.testclient import TestClient

from app.pages.words import today
from app.records import loose_ends
from app.records.air_path import lines_of
from app.records.build_sheet import build_sheet
from app.records.garage import Garage
from tests.conftest import Enter

ENTRY = "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0002"
AT = "2024-03-01T09:30:00.000Z"
FORM = {
    "entry": ENTRY,
    "at": AT,
    "fitted_on": "2024-03-01",
    "fitted_odometer": "184000",
    "new_job": "made",
    "job": "made",
}


def _row(garage: Garage, table: str, record: str) -> dict[str, Any]:
    with garage.read() as db:
        return dict(db.exec_driver_sql(f"SELECT * FROM {table} WHERE id = ?", (record,)).mappings().one())  # noqa: S608


def test_a_hose_is_fitted_its_line_replaced_and_the_old_one_shelved_in_one_act(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("part", "new", car=tern, name="Silicone 63", kind="hose", state="here", line="tern.coupler", bore_mm=63)
    enter("line", "tern.coupler", part="Moulded elbow", length_mm=90)
    page = client.get("/parts/new/fit").text
    assert 'value="Moulded elbow"' in page
    form = FORM | {"job_title": "Coupler", "part": "Silicone 63", "material": "silicone", "bore_mm": "63"}
    form |= {"length_mm": "90", "off_part": "Moulded elbow", "off_to": "shelf", "off_record": "old"}
    form |= {"from_hold": "t_bolt", "to_hold": "t_bolt"}
    for _ in range(2):  # the answer was lost, and the form sent again
        assert client.post("/parts/new/fit", data=form).headers["location"] == "/parts/new"
    part, old = _row(garage, "part", "new"), _row(garage, "part", "old")
    assert (part["state"], part["job"], part["fitted_odometer"], part["fitted_at"]) == ("fitted", "made", 184_000, AT)
    assert (old["name"], old["state"], old["line"], old["bore_mm"]) == ("Moulded elbow", "shelf", "tern.coupler", 63)
    assert _row(garage, "job", "made")["title"] == "Coupler"
    with garage.read() as db:
        line = lines_of(db, tern)[0]
        assert (line.state, line.part, line.fitted_on) == ("replaced", "Silicone 63", "2024-03-01")
        assert [end.state for end in loose_ends.of_job(db, "made")] == ["off", "off"]
        changed = db.exec_driver_sql("SELECT job, line, off_part, on_part FROM part_change").all()
        assert changed == [("made", "tern.coupler", "Moulded elbow", "Silicone 63")]
        assert db.exec_driver_sql("SELECT how, ends FROM touch").all() == [("replaced", "both")]


def test_what_was_fitted_there_goes_where_the_form_says(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "j", car=tern, title="Dampers", opened_at="2024-03-01T08:00:00.000Z")
    at = {"car": tern, "position": "Front left damper"}
    enter("part", "plain", name="Plain damper", state="fitted", **at)
    enter("part", "sport", name="Sport damper", state="here", **at)
    assert 'name="was.plain"' in client.get("/parts/sport/fit").text
    form = FORM | {"job": "j", "was.plain": "shelf", "off_part": "Plain damper", "part": "Sport damper"}
    assert client.post("/parts/sport/fit", data=form).status_code == 303
    assert _row(garage, "part", "plain")["state"] == "shelf"
    assert _row(garage, "part", "plain")["removed_at"] == AT
    with garage.read() as db:
        changed = db.exec_driver_sql("SELECT position, off_part, on_part FROM part_change").all()
        assert changed == [("Front left damper", "Plain damper", "Sport damper")]
        assert db.exec_driver_sql("SELECT count(*) FROM touch").scalar() == 0
        (here,) = [one for section in build_sheet(db, tern) for one in section.positions if one.of == "position"]
    assert (here.part, [was.what for was in here.before]) == ("Sport damper", ["Plain damper"])


def test_a_clamp_of_a_line_moves_its_clamp_and_replaces_no_line(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "j", car=tern, title="Clamps", opened_at="2024-03-01T08:00:00.000Z")
    enter("part", "c", car=tern, name="T-bolt 70", kind="clamp", state="here", line="tern.coupler")
    assert client.post("/parts/c/fit", data=FORM | {"job": "j", "off_part": ""}).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT how FROM touch").all() == [("clamp_moved",)]
        assert lines_of(db, tern)[0].state == "original"


def test_work_is_done_in_a_job_and_changes_no_part(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("part", "tune", car=tern, name="Tune", kind="work")
    assert "It is done" in client.get("/parts/tune/fit").text
    assert client.post("/parts/tune/fit", data=FORM).status_code == 303
    assert _row(garage, "part", "tune")["state"] == "fitted"
    assert _row(garage, "job", "made")["title"] == "Fit: Tune"
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM part_change").scalar() == 0


def test_a_fitting_needs_a_job_that_is_open_and_a_day_gone_by(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("part", "p", car=tern, name="Damper", state="here", position="Front")
    enter("job", "shut", car=tern, title="Shut", opened_at="2024-02-01T08:00:00.000Z", closed_at=AT)
    tomorrow = (today() + timedelta(days=1)).isoformat()
    for wrong, said in (
        ({"job": "shut"}, "Choose the job this is done in"),
        ({"job": ""}, "Choose the job this is done in"),
        ({"fitted_on": ""}, "Write the day."),
        ({"fitted_on": "2024-02-31"}, "Write a date and a time"),
        ({"fitted_on": tomorrow}, "This is still to come."),
    ):
        answer = client.post("/parts/p/fit", data=FORM | wrong)
        assert answer.status_code == 422
        assert said in answer.text
    assert _row(garage, "part", "p")["state"] == "here"


def test_an_odometer_that_ran_backwards_is_asked_about_once(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("drive", "d", car=tern, at="2024-02-01T08:00:00.000Z", odometer=185_000)
    enter("part", "p", car=tern, name="Damper", state="here", position="Front")
    answer = client.post("/parts/p/fit", data=FORM)
    assert answer.status_code == 422
    assert 'name="sure" value="odometer"' in answer.text
    assert client.post("/parts/p/fit", data=FORM | {"sure": "odometer"}).status_code == 303


def test_a_part_is_taken_off_to_the_shelf_or_gone(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="Silicone 63", kind="hose", state="fitted", line="tern.coupler")
    assert client.get("/parts/p/remove").status_code == 200
    nothing = client.post("/parts/p/remove", data=FORM)
    assert nothing.status_code == 422
    assert "Say what becomes of it." in nothing.text
    assert client.post("/parts/p/remove", data=FORM | {"off_to": "gone"}).status_code == 303
    part = _row(garage, "part", "p")
    assert (part["state"], part["removed_at"]) == ("gone", AT)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT how, ends FROM touch").all() == [("disconnected", "both")]
        assert db.exec_driver_sql("SELECT off_part, on_part FROM part_change").all() == [("Silicone 63", None)]


def test_a_retired_line_takes_no_part(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="Hose", kind="hose", state="here", line="tern.coupler")
    enter("line", "tern.coupler", retired_on="2024-02-01")
    answer = client.post("/parts/p/fit", data=FORM)
    assert answer.status_code == 422
    assert "Its line is retired." in answer.text
