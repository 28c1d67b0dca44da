from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.records.cars import car
from app.records.events import event
from app.records.fit_to_run import fit_to_run
from app.records.garage import Garage
from app.records.logbook import now
from app.records.musts import START
from tests.conftest import Count, Enter
from tests.seen import seen

Counting = Callable[[Garage], AbstractContextManager[Count]]
HERE = "/events/e1"


def _day(ahead: int) -> str:
    return (datetime.now(UTC).astimezone() + timedelta(days=ahead)).date().isoformat()


def _ago(**back: int) -> str:
    return (datetime.now(UTC) - timedelta(**back)).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@pytest.fixture
def planned(enter: Enter, tern: str) -> str:
    """A sprint in a week, and two things that have to be true before it; the event's id."""
    enter("event", "e1", car=tern, name="Hill climb", kind="sprint", on_day=_day(7))
    enter("must", "m1", car=tern, before="any", what="Extinguisher fixed")
    enter("must", "m2", car=tern, before="sprint", what="Helmet in date")
    enter("must", "m3", car=tern, before="long_trip", what="Spare wheel blown up")
    return "e1"


def _page(client: TestClient) -> str:
    answer = client.get(HERE)
    assert answer.status_code == 200
    return seen(answer.text)


def _tick(client: TestClient, *musts: str, good: str = "yes") -> None:
    for must in musts:
        assert client.post(f"{HERE}/looked/{must}", data={"good": good}).status_code == 303


def test_only_what_belongs_to_this_kind_of_event_is_asked(client: TestClient, planned: str) -> None:
    shown = _page(client)
    assert "Extinguisher fixed" in shown
    assert "Helmet in date" in shown
    assert "Spare wheel" not in shown


def test_it_is_fit_once_everything_is_ticked(client: TestClient, planned: str) -> None:
    assert "Not fit to run yet" in _page(client)
    _tick(client, "m1", "m2")
    assert "Not fit to run yet" not in _page(client)
    _tick(client, "m2", good="no")
    assert "Not fit to run yet" in _page(client)


def test_a_note_stands_beside_its_answer_and_leaves_it_as_it_was(client: TestClient, planned: str) -> None:
    _tick(client, "m1", good="no")
    client.post(f"{HERE}/looked/m1", data={"note": "bracket cracked"})
    shown = _page(client)
    assert "bracket cracked" in shown
    assert "Not good, today" in shown


@pytest.mark.parametrize(
    ("kind", "fields", "says"),
    [
        ("finding", {"what": "Oil on the belt", "weight": "act", "seen_at": "@now"}, "Oil on the belt"),
        ("recheck", {"what": "Coupler clamp", "since_at": "@old", "after_days": 2}, "Coupler clamp, re-check"),
        (
            "stopgap",
            {"what": "Catch can", "used": "tape", "fitted_at": "@old", "limit_days": 3},
            "Catch can, stopgap, past its limit",
        ),
    ],
)
@pytest.mark.usefixtures("planned")
def test_the_record_answers_for_itself(
    client: TestClient, enter: Enter, kind: str, fields: dict[str, str], says: str
) -> None:
    _tick(client, "m1", "m2")
    assert says not in _page(client)
    moments = {"@now": now(), "@old": _ago(days=9)}
    enter(kind, "x1", car="tern", **{name: moments.get(str(value), value) for name, value in fields.items()})
    shown = _page(client)
    assert says in shown
    assert "Not fit to run yet" in shown


def test_a_joint_that_is_off_stands_in_the_way(client: TestClient, enter: Enter, planned: str) -> None:
    assert "No loose ends" in _page(client)
    enter("job", "j1", car="tern", title="Coupler", opened_at=now())
    enter("touch", "j1.tern.coupler", job="j1", line="tern.coupler", how="disconnected", at=now())
    assert "No loose ends" not in _page(client)


def test_wheels_count_as_checked_until_the_next_job_is_opened(client: TestClient, enter: Enter, planned: str) -> None:
    assert "tick it by hand" in _page(client)
    enter("fastener", "wb", car="tern", name="Wheel bolts", of="wheel", torque_value=110, torque_unit="N.m")
    assert "Wheel bolts: check the torque Never checked" in _page(client)
    told = {"good": "yes", "torque_value": "112", "torque_unit": "N.m"}
    assert client.post(f"{HERE}/wheels/wb", data=told).status_code == 303
    assert "Wheel bolts: torque checked" in _page(client)
    assert "112" in _page(client)
    enter("job", "j1", car="tern", title="Brake pads", opened_at=now())
    assert "a job was opened since: Brake pads" in _page(client)
    client.post(f"{HERE}/wheels/wb", data={"good": "no"})
    assert "Wheel bolts: check the torque Not good" in _page(client)


def test_the_record_answers_for_the_wheels_once_it_can(client: TestClient, enter: Enter, planned: str) -> None:
    client.post("/cars/tern/musts/start", data={})
    assert START["wheel_torque"] in _page(client)
    enter("fastener", "wb", car="tern", name="Wheel bolts", of="wheel")
    assert START["wheel_torque"] not in _page(client)


def test_signing_takes_a_name_and_while_something_is_open_a_reason(
    client: TestClient, garage: Garage, planned: str
) -> None:
    refused = client.post(f"{HERE}/sign", data={"signed_by": ""})
    assert refused.status_code == 422
    assert "Write your name." in refused.text
    refused = client.post(f"{HERE}/sign", data={"signed_by": "A. Driver"})
    assert "Say why you sign all the same." in refused.text
    assert "A. Driver" in refused.text
    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver", "signed_despite": "Checked at the track"})
    assert "with something open, because: Checked at the track" in _page(client)
    _tick(client, "m1", "m2")
    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver", "signed_despite": "left over"})
    with garage.read() as db:
        signed = event(db, "e1")
    assert signed is not None
    assert (signed.signed_by, signed.signed_despite) == ("A. Driver", None)


def test_what_changed_after_the_signature_is_shown_and_signing_again_clears_it(
    client: TestClient, enter: Enter, planned: str
) -> None:
    _tick(client, "m1", "m2")
    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver"})
    assert "Changed since it was signed" not in _page(client)
    enter("ticket", "t1", car="tern", what="Hiss under boost", noticed_at=now())
    _tick(client, "m2", good="no")
    shown = _page(client)
    assert "Changed since it was signed" in shown
    assert "Hiss under boost" in shown.partition("Changed since")[2]
    assert "Helmet in date" in shown.partition("Changed since")[2]
    _tick(client, "m2")
    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver"})
    assert "Changed since it was signed" not in _page(client)


def test_another_day_is_a_change_and_another_car_s_record_is_none(
    client: TestClient, enter: Enter, planned: str
) -> None:
    _tick(client, "m1", "m2")
    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver"})
    enter("car", "other", name="Other", layout="direct-signal")
    enter("ticket", "t2", car="other", what="Rattle", noticed_at=now())
    enter("event", "e1", note="Bring water")
    assert "Changed since it was signed" not in _page(client)
    enter("event", "e1", on_day=_day(8))
    assert "Changed since it was signed" in _page(client)


def test_what_happens_after_the_event_is_no_change_to_it(client: TestClient, enter: Enter, tern: str) -> None:
    enter("event", "e1", car=tern, name="Sprint", kind="sprint", on_day=_day(-3), at_=_ago(days=9))
    enter("event", "e1", signed_at=_ago(days=4), signed_by="A. Driver", at_=_ago(days=4))
    enter("must", "m1", car=tern, before="any", what="Late", at_=_ago(hours=100))
    assert "Late" not in _page(client).partition("Changed since")[2].partition("Sign again")[0]
    enter("ticket", "t1", car=tern, what="Rattle afterwards", noticed_at=now())
    assert "Changed since it was signed" not in _page(client)


def test_the_signature_can_be_taken_back(client: TestClient, planned: str) -> None:
    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver", "signed_despite": "To try"})
    assert "Signed by A. Driver" in _page(client)
    assert client.post(f"{HERE}/unsign", data={}).status_code == 303
    assert "Signed by A. Driver" not in _page(client)


def test_logging_the_event_moves_what_is_due(client: TestClient, enter: Enter, planned: str) -> None:
    enter("drive", "d0", car="tern", odometer=1000, heat_cycles=1, at=_ago(days=3))
    enter("recheck", "r1", car="tern", what="Manifold nuts", since_at=_ago(days=2), after_heat_cycles=3)
    assert "Manifold nuts, re-check" not in _page(client)
    told = {"odometer": "1150", "heat_cycles": "4", "at": "", "note": "four runs"}
    assert client.post(f"{HERE}/driven", data=told | {"at": _ago(minutes=1)}).status_code == 303
    shown = _page(client)
    assert "Logged: 1\u00a0150" in shown or "Logged: 1 150" in shown
    assert "Manifold nuts, re-check Due now" in shown


def test_an_odometer_that_leaps_is_asked_about(client: TestClient, enter: Enter, planned: str) -> None:
    enter("drive", "d0", car="tern", odometer=1000, heat_cycles=1, at=_ago(days=3))
    asked = client.post(f"{HERE}/driven", data={"odometer": "90000", "heat_cycles": "1", "at": now()})
    assert asked.status_code == 422
    assert "89\u00a0000" in asked.text
    sure = {"odometer": "90000", "heat_cycles": "1", "at": now(), "sure": "odometer"}
    assert client.post(f"{HERE}/driven", data=sure).status_code == 303


def test_the_form_to_log_it_lies_open_once_the_day_has_passed(client: TestClient, enter: Enter, tern: str) -> None:
    for name, ahead in (("e1", -1), ("e2", 5)):
        enter("event", name, car=tern, name="Sprint", kind="sprint", on_day=_day(ahead))
    opened = '<details class="plate" open><summary>Log distance and heat cycles'
    assert opened in client.get("/events/e1").text
    assert opened not in client.get("/events/e2").text


@pytest.mark.parametrize("what", ["", "/looked/m1", "/wheels/wb", "/sign", "/unsign", "/driven"])
def test_an_event_that_is_not_there_is_said_plainly(client: TestClient, tern: str, what: str) -> None:
    answer = client.post(f"/events/none{what}", data={}) if what else client.get("/events/none")
    assert answer.status_code == 404


def test_what_is_on_no_list_can_t_be_ticked(client: TestClient, planned: str) -> None:
    assert client.post(f"{HERE}/looked/nothing", data={"good": "yes"}).status_code == 404
    assert client.post(f"{HERE}/wheels/nothing", data={"good": "yes"}).status_code == 404


def test_the_page_asks_as_often_for_a_long_list_as_for_a_short_one(
    garage: Garage, client: TestClient, enter: Enter, planned: str, count_queries: Counting
) -> None:
    def asked() -> int:
        with count_queries(garage) as count:
            client.get(HERE)
        return count.total

    client.post(f"{HERE}/sign", data={"signed_by": "A. Driver", "signed_despite": "To count"})
    enter("fastener", "wb", car="tern", name="Wheel bolts", of="wheel")
    few = asked()
    for n in range(12):
        enter("must", f"more{n}", car="tern", before="any", what=f"Thing {n}")
        enter("looked_at", f"e1.more{n}", event="e1", must=f"more{n}", good=True, looked_at=now())
        enter("fastener", f"wb{n}", car="tern", name=f"Wheel bolts {n}", of="wheel")
    assert asked() == few


def test_the_read_model_and_the_page_agree_on_what_is_open(garage: Garage, client: TestClient, planned: str) -> None:
    _tick(client, "m1", "m2")
    with garage.read() as db:
        here, tern = event(db, "e1"), car(db, "tern")
        assert here is not None
        assert tern is not None
        assert fit_to_run(db, here, tern).fit
