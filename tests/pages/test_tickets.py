import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.tickets import TicketRow, ticket
from tests.conftest import Count, Enter

Counting = Callable[[Garage], AbstractContextManager[Count]]


def ago(days: float) -> str:
    return moment_text(datetime.now(UTC) - timedelta(days=days))


def typed(days: float) -> str:
    """A moment as a box takes it: this machine's own time, to the minute."""
    return (datetime.now(UTC) - timedelta(days=days)).astimezone().strftime("%Y-%m-%dT%H:%M")


def report(client: TestClient, **fields: str) -> Response:
    given = {"entry": str(uuid.uuid4()), "record": "t1", "what": "Boost wanders", "noticed_at": typed(1)}
    return client.post("/cars/tern/tickets/new", data=given | fields)


def the(garage: Garage, ticket_id: str = "t1") -> TicketRow:
    with garage.read() as db:
        found = ticket(db, ticket_id)
    assert found is not None
    return found


def test_a_reported_fault_is_an_open_ticket(client: TestClient, garage: Garage, tern: str) -> None:
    answer = report(client, noticed_odometer="184 210", note="Only above 3000 rpm")
    assert (answer.status_code, answer.headers["location"]) == (303, "/tickets/t1")
    found = the(garage)
    assert (found.stands, found.noticed_odometer, found.note) == ("open", 184210, "Only above 3000 rpm")


def test_reporting_twice_opens_one_ticket(client: TestClient, garage: Garage, tern: str) -> None:
    form = {"entry": str(uuid.uuid4()), "noticed_at": typed(1)}
    assert [report(client, **form).status_code for _ in range(2)] == [303, 303]
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM ticket").scalar() == 1
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'ticket'").scalar() == 1


def test_a_fault_noticed_in_the_future_is_refused_with_all_that_was_typed(client: TestClient, tern: str) -> None:
    at = typed(-2)
    answer = report(client, noticed_at=at, note="Keep me")
    assert answer.status_code == 422
    assert "This is still to come." in answer.text
    assert 'aria-describedby="noticed_at-hint"' in answer.text
    for kept in ("Boost wanders", at, "Keep me", 'value="t1"'):
        assert kept in answer.text


def test_a_fault_needs_words(client: TestClient, tern: str) -> None:
    answer = report(client, what=" ")
    assert answer.status_code == 422
    assert 'id="what-hint">This is needed.' in answer.text


def test_an_odometer_that_runs_backwards_is_asked_about_and_taken_once_sure(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("drive", "d1", car=tern, at=ago(5), odometer=184_000)
    asked = report(client, noticed_odometer="12")
    assert asked.status_code == 422
    assert 'name="sure" value="odometer"' in asked.text
    assert report(client, noticed_odometer="12", sure="odometer").status_code == 303
    assert the(garage).noticed_odometer == 12


def test_a_ticket_begun_from_a_reading_has_its_sign(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    low = {"car": tern, "what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    for n, value in enumerate((19.4, 19.5, 19.6)):
        enter("reading", f"r{n}", value=value, taken_at=ago(30 + n), healthy=True, **low)
    enter("reading", "bad", value=17.5, taken_at=ago(1), **low)
    blank = client.get(f"/cars/{tern}/tickets/new?reading=bad")
    assert 'value="Idle vacuum is a little low"' in blank.text
    assert "17.5 inHg, held to this car&#39;s usual 19.5" in blank.text
    assert report(client, reading="bad").status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT id, outcome, reading FROM sign").all() == [
            ("t1.idle_vacuum", "slightly_low", "bad")
        ]


def test_a_reading_of_another_car_begins_nothing(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("car", "lark", name="Lark", layout="direct-signal")
    enter("reading", "r", car="lark", what="vacuum_recovery", condition="lift_off", value=3, unit="s", taken_at=ago(1))
    assert report(client, reading="r").status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM sign").scalar() == 0


def test_what_was_noticed_can_be_put_right(client: TestClient, garage: Garage, tern: str) -> None:
    report(client)
    assert 'value="Boost wanders"' in client.get("/tickets/t1/edit").text
    fields = {"entry": str(uuid.uuid4()), "what": "Boost surges", "noticed_at": typed(3), "noticed_odometer": ""}
    assert client.post("/tickets/t1/edit", data=fields).status_code == 303
    assert the(garage).what == "Boost surges"
    refused = client.post("/tickets/t1/edit", data=fields | {"noticed_at": "some day"})
    assert refused.status_code == 422
    assert "Write a date and a time" in refused.text


def test_the_list_has_the_unproved_first_and_turns_pages(client: TestClient, enter: Enter, tern: str) -> None:
    assert "No ticket yet" in client.get(f"/cars/{tern}/tickets").text
    for n in range(41):
        enter("ticket", f"t{n}", car=tern, what=f"Hiss {n}", noticed_at=ago(50 - n))
    enter("ticket", "t40", found_at=ago(5), repaired_at=ago(4), proved_at=ago(3), proof_reason="Gone")
    first = client.get(f"/cars/{tern}/tickets").text
    assert first.index("Hiss 39") < first.index("Hiss 0<")
    assert "Hiss 40" not in first
    assert "Hiss 40" in client.get(f"/cars/{tern}/tickets?page=2").text


@pytest.mark.parametrize(
    "address",
    [
        "/tickets/none",
        "/tickets/none/touched",
        "/tickets/none/found",
        "/tickets/none/repaired",
        "/tickets/none/proved",
        "/tickets/none/edit",
        "/cars/none/tickets",
        "/cars/none/tickets/new",
        "/cars/tern/tickets?page=0",
        "/tickets/t1/suspects/none",
    ],
)
def test_an_unknown_ticket_car_or_suspect_is_said_so(client: TestClient, tern: str, address: str) -> None:
    report(client)
    assert client.get(address).status_code == 404


def test_twice_the_signs_touches_and_checks_add_no_query(
    client: TestClient, garage: Garage, enter: Enter, tern: str, count_queries: Counting
) -> None:
    def fill(job: str, signs: tuple[tuple[str, str], ...]) -> None:
        enter("job", job, car=tern, title="Coupler", opened_at=ago(3))
        for line in ("coupler", "gauge_hose", "inlet"):
            enter("touch", f"{job}.tern.{line}", job=job, line=f"tern.{line}", how="disconnected", at=ago(3))
            check = {"ticket": "t1", "line": f"tern.{line}", "method": "smoke", "result": "sound", "done_at": ago(0)}
            enter("direct_check", f"{job}.{line}", **check)
        for sign, outcome in signs:
            enter("sign", f"t1.{sign}", ticket="t1", sign=sign, outcome=outcome, noted_at=ago(0))

    def counts() -> list[int]:
        found = []
        for address in ("/tickets/t1", "/tickets/t1/touched", "/tickets/t1/suspects/tern.coupler"):
            with count_queries(garage) as count:
                assert client.get(address).status_code == 200
            found.append(count.total)
        return found

    report(client)
    fill("j1", (("hiss", "at_idle"),))
    before = counts()
    fill("j2", (("idle_quality", "high"), ("boost_stability", "erratic"), ("idle_vacuum", "very_low")))
    assert counts() == before
