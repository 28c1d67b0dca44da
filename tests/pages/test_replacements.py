from datetime import UTC, datetime, timedelta

from starlette.testclient import TestClient

from app.records import loose_ends
from app.records.air_path import lines_of
from app.records.garage import Garage
from tests.conftest import Enter

ENTRY = "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0002"
FORM = {
    "entry": ENTRY,
    "at": "2024-03-01T09:30:00.000Z",
    "fitted_on": "2024-03-01",
    "fitted_odometer": "184000",
    "material": "silicone",
    "bore_mm": "63",
    "length_mm": "90",
    "part": "Silicone coupler 63",
    "from_hold": "t_bolt",
    "to_hold": "constant_tension",
}


def test_a_replaced_line_is_what_the_form_says_and_starts_its_age_anew(
    client: TestClient, garage: Garage, tern: str
) -> None:
    assert client.post("/lines/tern.coupler/replace", data=FORM).status_code == 303
    with garage.read() as db:
        line = lines_of(db, tern)[0]
    assert (line.state, line.part, line.fitted_on, line.fitted_odometer, line.length_mm) == (
        "replaced",
        "Silicone coupler 63",
        "2024-03-01",
        184_000,
        90,
    )


def test_a_clamp_of_another_kind_drops_the_old_torque_figure_and_the_same_kind_keeps_it(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    for end in ("from", "to"):
        enter("joint", f"tern.coupler.{end}", torque_value=5, torque_unit="N.m", torque_source="Maker")
    client.post("/lines/tern.coupler/replace", data=FORM)
    with garage.read() as db:
        found = db.exec_driver_sql(
            "SELECT hold, torque_value, torque_source FROM joint WHERE line = 'tern.coupler' ORDER BY id"
        ).all()
    assert [tuple(row) for row in found] == [("t_bolt", 5, "Maker"), ("constant_tension", None, None)]


def test_replaced_in_a_job_both_ends_count_as_loose_and_the_parts_are_noted(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at="2024-03-01T09:00:00.000Z")
    form = FORM | {"job": "job1", "off_part": "Moulded elbow"}
    for _ in range(2):  # the answer was lost, and the form sent again
        assert client.post("/lines/tern.coupler/replace", data=form).status_code == 303
    with garage.read() as db:
        assert [end.state for end in loose_ends.of_job(db, "job1")] == ["off", "off"]
        assert db.exec_driver_sql("SELECT off_part, on_part FROM part_change").all() == [
            ("Moulded elbow", "Silicone coupler 63")
        ]
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'touch'").scalar() == 1


def test_a_closed_job_takes_no_replacement(client: TestClient, enter: Enter, tern: str) -> None:
    at = "2024-02-01T09:00:00.000Z"
    enter("job", "job1", car=tern, title="Coupler", opened_at=at, closed_at=at)
    answer = client.post("/lines/tern.coupler/replace", data=FORM | {"job": "job1"})
    assert answer.status_code == 422
    assert "Silicone coupler 63" in answer.text


def test_replacing_a_stopgap_ends_it_unless_told_not_to(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    gap = {"car": tern, "line": "tern.coupler", "used": "Tape", "fitted_at": "2024-02-01T10:00:00.000Z"}
    enter("stopgap", "gap1", limit_days=30, **gap)
    assert 'name="ends_stopgap" value="gap1" checked' in client.get("/lines/tern.coupler/replace").text
    client.post("/lines/tern.coupler/replace", data=FORM)
    with garage.read() as db:
        assert lines_of(db, tern)[0].state == "stopgap"
    client.post("/lines/tern.coupler/replace", data=FORM | {"entry": ENTRY[:-1] + "3", "ends_stopgap": "gap1"})
    with garage.read() as db:
        assert lines_of(db, tern)[0].state == "replaced"
        ended = db.exec_driver_sql("SELECT ended_at, ended_how FROM stopgap").one()
    assert tuple(ended) == ("2024-03-01T09:30:00.000Z", "Replaced by Silicone coupler 63")


def test_a_refused_replacement_keeps_the_box_for_the_stopgap_as_it_was(
    client: TestClient, enter: Enter, tern: str
) -> None:
    gap = {"car": tern, "line": "tern.coupler", "used": "Tape", "fitted_at": "2024-02-01T10:00:00.000Z"}
    enter("stopgap", "gap1", limit_days=30, **gap)
    for told, ticked in (({}, False), ({"ends_stopgap": "gap1"}, True)):
        answer = client.post("/lines/tern.coupler/replace", data=FORM | {"fitted_on": ""} | told)
        assert answer.status_code == 422
        assert ('name="ends_stopgap" value="gap1" checked' in answer.text) == ticked


def test_a_hidden_box_that_says_nonsense_is_not_shown_again(client: TestClient, tern: str) -> None:
    answer = client.post("/lines/tern.coupler/replace", data=FORM | {"fitted_on": "", "at": "yesterday"})
    assert answer.status_code == 422
    assert "yesterday" not in answer.text


def test_a_line_is_not_replaced_tomorrow_nor_on_no_day(client: TestClient, tern: str) -> None:
    tomorrow = (datetime.now(UTC).astimezone() + timedelta(days=1)).date().isoformat()
    for day, said in ((tomorrow, "This is still to come."), ("", "Write the day it was fitted.")):
        answer = client.post("/lines/tern.coupler/replace", data=FORM | {"fitted_on": day})
        assert answer.status_code == 422
        assert said in answer.text
        assert 'value="Silicone coupler 63"' in answer.text


def test_a_retired_line_leaves_the_air_path_keeps_its_page_and_comes_back(
    client: TestClient, garage: Garage, tern: str
) -> None:
    form = {"entry": ENTRY, "retired_on": "2024-03-01", "retired_reason": "Gauge reads the sensor now"}
    assert client.post("/lines/tern.gauge_hose/retire", data=form).status_code == 303
    with garage.read() as db:
        assert [line.id for line in lines_of(db, tern)] == ["tern.coupler", "tern.inlet"]
    assert "Gauge reads the sensor now" in client.get("/lines/tern.gauge_hose").text
    refused = client.post("/lines/tern.gauge_hose/replace", data=FORM)
    assert refused.status_code == 422
    assert "This line is retired. Bring it back first." in refused.text
    assert client.post("/lines/tern.gauge_hose/bring-back", data={"entry": ENTRY[:-1] + "4"}).status_code == 303
    with garage.read() as db:
        assert len(lines_of(db, tern)) == 3


def test_a_line_is_not_retired_without_a_day_and_a_reason(client: TestClient, tern: str) -> None:
    answer = client.post(
        "/lines/tern.gauge_hose/retire", data={"entry": ENTRY, "retired_on": "", "retired_reason": " "}
    )
    assert answer.status_code == 422
    assert "Write the day it came off." in answer.text
    assert "Say why, for whoever looks for it." in answer.text
