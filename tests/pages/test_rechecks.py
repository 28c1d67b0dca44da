import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records import rechecks
from app.records.garage import Garage
from app.records.logbook import now
from app.records.rechecks import RecheckRow
from tests.conftest import Count, Enter
from tests.pages.seen import seen

SINCE = "2026-04-01T09:00:00.000Z"


@pytest.fixture
def clamps(enter: Enter, tern: str) -> str:
    about = {"car": tern, "joint": "tern.coupler.to", "what": "Throttle coupler, at the throttle"}
    enter("recheck", "r1", **about, since_at=SINCE, since_odometer=184_000, after_heat_cycles=3, after_distance=100)
    return "r1"


def _due(garage: Garage) -> list[RecheckRow]:
    with garage.read() as db:
        return rechecks.due(db, "tern")


def _form(**more: str) -> dict[str, str]:
    plain = {"entry": str(uuid.uuid4()), "done_at": now()}
    return plain | {"torque_value": "", "torque_unit": "N.m", "good": "yes", "odometer": ""} | more


def test_a_re_check_says_how_much_of_its_limit_is_done(client: TestClient, enter: Enter, clamps: str) -> None:
    enter("drive", "d1", car="tern", at="2026-04-03T09:00:00.000Z", odometer=184_040, heat_cycles=2)
    shown = client.get("/cars/tern/rechecks").text
    assert "40 of 100 km used" in seen(shown)
    assert "2 of 3 heat cycles used" in seen(shown)
    assert "soon" in shown


def test_doing_one_records_the_check_and_takes_it_off_the_list(client: TestClient, garage: Garage, clamps: str) -> None:
    form = _form(torque_value="5", mark="in_line")
    for _ in range(2):
        assert client.post(f"/rechecks/{clamps}", data=form).headers["location"] == "/cars/tern/rechecks"
    assert _due(garage) == []
    with garage.read() as db:
        found = db.exec_driver_sql("SELECT recheck, joint, torque_value, mark, good FROM joint_check").all()
    assert found == [("r1", "tern.coupler.to", 5.0, "in_line", 1)]


def test_the_next_one_is_set_in_the_same_act_when_it_is_ticked(client: TestClient, garage: Garage, clamps: str) -> None:
    form = _form(next="yes", after_heat_cycles="10", after_distance="", after_days="90", odometer="184 100")
    for _ in range(2):
        assert client.post(f"/rechecks/{clamps}", data=form).status_code == 303
    (following,) = _due(garage)
    assert (following.joint, following.after_heat_cycles, following.after_distance, following.after_days) == (
        "tern.coupler.to",
        10,
        None,
        90,
    )
    assert following.what == "Throttle coupler, at the throttle"


def test_a_refused_check_keeps_every_value_and_stays_due(client: TestClient, garage: Garage, clamps: str) -> None:
    form = _form(torque_value="tight", note="By feel", next="yes", after_distance="250")
    answer = client.post(f"/rechecks/{clamps}", data=form)
    assert answer.status_code == 422
    assert "Write a number" in answer.text
    for kept in (
        'value="tight"',
        "By feel",
        'value="yes" checked',
        'value="250"',
    ):
        assert kept in answer.text
    assert [one.id for one in _due(garage)] == [clamps]


def test_a_next_one_without_a_limit_does_nothing_at_all(client: TestClient, garage: Garage, clamps: str) -> None:
    answer = client.post(f"/rechecks/{clamps}", data=_form(next="yes"))
    assert answer.status_code == 422
    assert "Say when it is due" in answer.text
    assert [one.id for one in _due(garage)] == [clamps]


def test_an_odometer_running_backwards_is_asked_about(client: TestClient, enter: Enter, clamps: str) -> None:
    enter("drive", "d1", car="tern", at="2026-04-03T09:00:00.000Z", odometer=184_040)
    form = _form(odometer="12")
    assert client.post(f"/rechecks/{clamps}", data=form).status_code == 422
    assert client.post(f"/rechecks/{clamps}", data=form | {"sure": "odometer"}).status_code == 303


def test_one_not_done_after_all_is_due_again(client: TestClient, garage: Garage, clamps: str) -> None:
    client.post(f"/rechecks/{clamps}", data=_form())
    assert "Not done after all" in seen(client.get(f"/rechecks/{clamps}").text)
    client.post(f"/rechecks/{clamps}/undo", data={})
    assert [one.id for one in _due(garage)] == [clamps]
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM joint_check WHERE void_reason IS NULL").scalar() == 0
    client.post(f"/rechecks/{clamps}", data=_form())
    assert _due(garage) == []
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM joint_check WHERE void_reason IS NULL").scalar() == 1


def test_one_is_set_by_hand_once(client: TestClient, garage: Garage, tern: str) -> None:
    form = {"entry": str(uuid.uuid4()), "record": "r2", "what": "Oil level", "since_at": now(), "after_days": "7"}
    for _ in range(2):
        assert client.post(f"/cars/{tern}/rechecks/new", data=form).status_code == 303
    assert [one.sentence for one in _due(garage)] == ["Due after 7 days, 0 gone by"]


def test_one_that_is_about_nothing_on_the_air_path_is_checked_by_its_own_words(
    client: TestClient, enter: Enter, garage: Garage, tern: str
) -> None:
    enter("recheck", "r2", car=tern, what="Oil level", since_at=SINCE, after_days=7)
    assert client.post("/rechecks/r2", data=_form()).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT what FROM joint_check").scalar() == "Oil level"


def test_a_refused_one_keeps_every_value(client: TestClient, tern: str) -> None:
    form = {
        "record": "r2",
        "what": "Oil level",
        "since_at": "2026-04-18T10:40",
        "line": "tern.inlet",
        "note": "Dipstick",
    }
    answer = client.post(f"/cars/{tern}/rechecks/new", data=form)
    assert answer.status_code == 422
    assert "Say when it is due" in answer.text
    for kept in ("Oil level", 'value="2026-04-18T10:40"', 'value="tern.inlet" selected', "Dipstick"):
        assert kept in answer.text


def test_a_car_with_nothing_due_says_what_sets_one(client: TestClient, tern: str) -> None:
    assert "Closing a job offers a re-check" in client.get(f"/cars/{tern}/rechecks").text


def test_an_unknown_one_is_said_to_be_unknown(client: TestClient, tern: str) -> None:
    assert client.get("/rechecks/nothing").status_code == 404
    assert client.post("/rechecks/nothing", data=_form()).status_code == 404


def test_more_re_checks_need_no_more_queries(
    client: TestClient,
    enter: Enter,
    garage: Garage,
    clamps: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    with count_queries(garage) as few:
        client.get("/cars/tern/rechecks")
    for n in range(4):
        enter("recheck", f"more{n}", car="tern", line="tern.inlet", what="Clamp", since_at=SINCE, after_days=n + 1)
    with count_queries(garage) as many:
        client.get("/cars/tern/rechecks")
    assert many.total == few.total
