from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.records.events import coming_events
from app.records.garage import Garage
from tests.conftest import Enter
from tests.seen import seen

NEW = "/cars/tern/events/new"


def _day(ahead: int) -> str:
    return (datetime.now(UTC).astimezone() + timedelta(days=ahead)).date().isoformat()


def _form(**more: str) -> dict[str, str]:
    return {"record": "e1", "name": "Hill climb", "kind": "sprint", "on_day": _day(14), "note": "Bring spares"} | more


def test_an_event_is_planned_and_counted_down_to(client: TestClient, tern: str) -> None:
    assert client.post(NEW, data=_form()).headers["location"] == "/cars/tern/events"
    shown = seen(client.get("/cars/tern/events").text)
    assert "Hill climb" in shown
    assert "in 14 days" in shown


def test_the_next_event_is_the_first_from_today_on(garage: Garage, enter: Enter, tern: str) -> None:
    for event, ahead in (("past", -1), ("later", 30), ("today", 0)):
        enter("event", event, car=tern, name=event, kind="track_day", on_day=_day(ahead))
    with garage.read() as db:
        (found,) = coming_events(db, tern)[:1]
    assert found is not None
    assert found.name == "today"


def test_calling_off_can_be_undone(client: TestClient, garage: Garage, tern: str) -> None:
    client.post(NEW, data=_form())
    assert client.post("/events/e1/off", data={}).status_code == 303
    shown = seen(client.get("/cars/tern/events").text)
    assert "Hill climb Sprint" in shown.partition("Gone by or called off")[2]
    assert "Nothing planned." in shown
    with garage.read() as db:
        assert coming_events(db, tern) == []
    client.post("/events/e1/on", data={})
    with garage.read() as db:
        assert coming_events(db, tern) != []


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"name": ""}, "This is needed."),
        ({"kind": ""}, "This is needed."),
        ({"kind": "parade"}, "Choose one of these: drive home, sprint, track day, long trip."),
        ({"on_day": "soon"}, "Write a date"),
    ],
)
def test_refused_input_keeps_what_was_typed(client: TestClient, tern: str, wrong: dict[str, str], says: str) -> None:
    answer = client.post(NEW, data=_form(**wrong))
    assert answer.status_code == 422
    assert says in answer.text
    assert "Bring spares" in answer.text


def test_an_event_that_is_not_there_is_said_plainly(client: TestClient) -> None:
    assert client.post("/events/none/off", data={}).status_code == 404
