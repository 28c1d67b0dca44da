import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.logbook import now
from tests.conftest import Count, Enter
from tests.pages.seen import seen


def _days_ago(days: int) -> str:
    return (datetime.now(UTC).astimezone().date() - timedelta(days=days)).isoformat()


def _form(**more: str) -> dict[str, str]:
    plain = {"entry": str(uuid.uuid4()), "record": "w1", "name": "The long one", "smallest": "40", "largest": "200"}
    return plain | {"unit": "N.m", "lever_mm": "450", "calibrated_on": ""} | more


def test_one_is_added_once_with_its_settings(client: TestClient) -> None:
    form = _form()
    for _ in range(2):
        assert client.post("/wrenches/new", data=form).headers["location"] == "/wrenches"
    shown = seen(client.get("/wrenches").text)
    assert shown.count("The long one") == 1
    assert "40 to 200 N·m" in shown
    assert "When it was calibrated is not known" in shown


@pytest.mark.parametrize(("days", "old"), [(0, False), (364, False), (365, True), (800, True)])
def test_a_calibration_more_than_a_year_old_is_said_to_be(
    client: TestClient, enter: Enter, days: int, old: bool
) -> None:
    enter("wrench", "w1", name="The long one", largest=200, unit="N.m", calibrated_on=_days_ago(days))
    assert ("more than a year ago" in seen(client.get("/wrenches").text)) is old
    assert "Common practice, no source" in client.get("/wrenches").text


@pytest.mark.parametrize(("smallest", "largest"), [("200", "40"), ("40", "40"), ("40", "")])
def test_settings_that_can_t_be_are_refused_and_kept(client: TestClient, smallest: str, largest: str) -> None:
    answer = client.post("/wrenches/new", data=_form(smallest=smallest, largest=largest))
    assert answer.status_code == 422
    assert f'value="{smallest}"' in answer.text


def test_one_is_edited_and_gone_and_then_offered_no_more(client: TestClient, enter: Enter, tern: str) -> None:
    enter("wrench", "w1", name="The long one", smallest=40, largest=200, unit="N.m", lever_mm=450)
    enter("fastener", "f1", car=tern, name="Wheels", of="wheel")
    assert "The long one" in client.get("/fasteners/f1").text
    assert client.post("/wrenches/w1", data=_form(retired_on=_days_ago(1))).status_code == 303
    assert "Gone yesterday" in seen(client.get("/wrenches").text)
    assert "The long one" not in client.get("/fasteners/f1").text


def test_its_uses_in_the_record_are_counted_since_it_was_calibrated(
    client: TestClient, enter: Enter, tern: str
) -> None:
    enter("wrench", "w1", name="The long one", largest=200, unit="N.m", calibrated_on=_days_ago(10))
    for n, at in enumerate(("2020-01-01T09:00:00.000Z", now(), now())):
        enter("check", f"k{n}", car=tern, what="Bolts", wrench="w1", done_at=at)
    assert "2 checks in the record made with it since it was calibrated" in seen(client.get("/wrenches/w1").text)


def test_a_joint_s_check_offers_it_and_keeps_it(client: TestClient, enter: Enter, garage: Garage, tern: str) -> None:
    enter("wrench", "w1", name="The small one", smallest=2, largest=10, unit="N.m")
    enter("joint", "tern.coupler.to", torque_value=5, torque_unit="N.m", torque_source="The maker's manual")
    enter("job", "j1", car=tern, title="Turbo", opened_at=now())
    enter("touch", "j1.tern.coupler", job="j1", line="tern.coupler", how="disconnected", at=now())
    here = "/jobs/j1/loose-ends/tern.coupler.to"
    page = client.get(here).text
    assert "The small one, 2 to 10" in page
    assert f"/workings/extension?torque=5&amp;unit=N.m&amp;back={here}" in page
    assert "/workings/hose-clamp?hose=reused" in page
    form = {"entry": str(uuid.uuid4()), "torque_value": "20", "torque_unit": "N.m", "wrench": "w1", "good": "yes"}
    refused = client.post(here, data=form)
    assert refused.status_code == 422
    assert "is beyond what this wrench sets" in refused.text
    assert client.post(here, data=form | {"torque_value": "5.25"}).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT wrench, torque_value FROM joint_check").all() == [("w1", 5.25)]


def test_more_wrenches_need_no_more_queries(
    client: TestClient,
    enter: Enter,
    garage: Garage,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    enter("wrench", "w1", name="The long one", largest=200, unit="N.m")
    with count_queries(garage) as few:
        client.get("/wrenches")
    for n in range(4):
        enter("wrench", f"more{n}", name=f"Wrench {n}", largest=60 + n, unit="N.m")
    with count_queries(garage) as many:
        client.get("/wrenches")
    assert many.total == few.total


def test_what_is_not_there_is_said_to_be_unknown(client: TestClient) -> None:
    assert client.get("/wrenches/none").status_code == 404
    assert client.post("/wrenches/none", data=_form()).status_code == 404
