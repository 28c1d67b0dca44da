"""What a log shows, and that nothing of it enters the record but by a tap."""

import re
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from app.traces.trace import Trace
from tests.conftest import Count, Enter
from tests.pages.logged import keep_log
from tests.pages.seen import seen
from tests.traces.engine import Car
from tests.traces.generator import CYCLE, drive

AT = "2026-04-18T10:40:00.000Z"


@pytest.fixture
def log(garage: Garage, enter: Enter, tern: str) -> str:
    """A log of a drive on which boost hunts."""
    trace, _ = drive(1, Car(boost_swing_kpa=9.0), cycle=CYCLE[:60])
    keep_log(garage, enter, "log-1", tern, trace, AT)
    return "log-1"


def forms(text: str, start: str) -> list[dict[str, str]]:
    """The hidden boxes of each form whose action begins so."""
    found = []
    for form in re.findall(rf'<form[^>]*action="{start}.*?</form>', text, re.DOTALL):
        boxes = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form))
        (action,) = re.findall(r'action="([^"]*)"', form)
        found.append(boxes | {"action": action.replace("&amp;", "&")})
    return found


def entries(garage: Garage) -> int:
    with garage.read() as db:
        return int(db.exec_driver_sql("SELECT count(*) FROM entry").scalar_one())


def test_its_stretches_and_figures_stand_on_the_page_each_with_the_part_that_shows_it(
    client: TestClient, log: str
) -> None:
    text = client.get(f"/logs/{log}/shows").text
    said = seen(text)
    assert "Boost up and down" in said
    assert "1.3 times a second" in said
    assert "Idle vacuum" in said
    assert text.count('<svg class="stretch"') == text.count('<section class="plate show')
    assert re.search(r'aria-label="Manifold pressure from \d+:\d\d to \d+:\d\d of the log: between', text)
    assert "Full-throttle pull" in said
    assert "Nothing here is in the record yet." in said
    assert said.index("Boost up and down") < said.index("Idle vacuum")  # what is wrong stands first


def test_looking_at_it_enters_nothing(client: TestClient, garage: Garage, log: str) -> None:
    before = entries(garage)
    client.get(f"/logs/{log}/shows")
    assert entries(garage) == before


def test_a_reading_is_kept_by_a_tap_with_its_conditions_and_only_once(
    client: TestClient, garage: Garage, log: str
) -> None:
    page = client.get(f"/logs/{log}/shows").text
    one = next(box for box in forms(page, "/cars/tern/readings/new/idle_vacuum"))
    before = entries(garage)
    sent = client.post(one["action"], data=one | {"healthy": "yes"})
    assert sent.status_code == 303
    assert client.post(one["action"], data=one | {"healthy": "yes"}).status_code == 303
    assert entries(garage) == before + 1
    reading = seen(client.get(sent.headers["location"]).text)
    assert "33" in reading
    assert "From the log Log log-1" in reading
    again = client.get(f"/logs/{log}/shows").text
    assert f'<a href="/readings/{one["record"]}">Kept as a reading</a></p>' in again
    assert re.search(rf'<form data-if="! reading/{re.escape(one["record"])} healthy" hidden', again)


def test_every_reading_it_proposes_is_one_the_record_takes(client: TestClient, log: str) -> None:
    found = forms(client.get(f"/logs/{log}/shows").text, "/cars/tern/readings/new/")
    assert len(found) >= 8
    for one in found:
        assert client.post(one["action"], data=one | {"healthy": "no"}).status_code == 303, one


def test_a_sign_goes_to_the_ticket_that_is_tapped_and_to_no_other(
    client: TestClient, garage: Garage, enter: Enter, log: str
) -> None:
    assert "No ticket is open." in seen(client.get(f"/logs/{log}/shows").text)
    for ticket in ("one", "two"):
        enter("ticket", ticket, car="tern", what=f"Fault {ticket}", noticed_at=AT)
    page = client.get(f"/logs/{log}/shows").text
    assert "Note on “Fault one”" in seen(page)
    one = next(box for box in forms(page, "/tickets/two/signs") if box["sign"] == "boost_stability")
    assert client.post(one["action"], data=one | {"outcome": "erratic"}).status_code == 303
    with garage.read() as db:
        noted = db.exec_driver_sql("SELECT ticket, sign, outcome FROM sign").all()
    assert [tuple(row) for row in noted] == [("two", "boost_stability", "erratic")]
    assert page.count('aria-pressed="true"') == 0
    assert client.get(f"/logs/{log}/shows").text.count('aria-pressed="true"') == 1


def test_boost_is_judged_by_the_car_s_own_baseline_and_by_nothing_else(
    client: TestClient, enter: Enter, log: str
) -> None:
    enter("ticket", "one", car="tern", what="Slow", noticed_at=AT)
    page = client.get(f"/logs/{log}/shows").text
    assert not [box for box in forms(page, "/tickets/one/signs") if box["sign"] == "boost_level"]
    assert "This car has no baseline for it yet" in seen(page)
    usual = {"what": "steady_boost", "condition": "full_throttle", "unit": "kPa", "basis": "absolute"}
    enter("baseline", "tern.steady_boost.full_throttle", car="tern", centre=230.0, spread=6.0, **usual)
    page = client.get(f"/logs/{log}/shows").text
    assert [box for box in forms(page, "/tickets/one/signs") if box["sign"] == "boost_level"]
    assert "boost is a little low" in seen(page)


def test_a_log_that_can_t_be_read_says_why(client: TestClient, enter: Enter, tern: str) -> None:
    enter("trace", "bare", car=tern, name="Bare", begun_at=AT)
    assert "Nobody said yet what the columns" in seen(client.get("/logs/bare/shows").text)
    assert client.get("/logs/none/shows").status_code == 404


def test_a_log_in_which_nothing_happens_says_what_it_would_take(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    trace, _ = drive(2, pulls=(), cycle=CYCLE[:30])
    keep_log(garage, enter, "dull", tern, Trace(trace.at[:50], {"coolant": trace.channels["coolant"][:50]}), AT)
    assert "No warm idle, pull or lift-off was found" in seen(client.get("/logs/dull/shows").text)


def test_more_tickets_and_figures_ask_the_record_no_more_often(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    log: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    enter("ticket", "one", car="tern", what="First", noticed_at=AT)
    client.get(f"/logs/{log}/shows")
    with count_queries(garage) as few:
        client.get(f"/logs/{log}/shows")
    for n in range(5):
        enter("ticket", f"more-{n}", car="tern", what="Another", noticed_at=AT)
    client.get(f"/logs/{log}/shows")
    with count_queries(garage) as many:
        client.get(f"/logs/{log}/shows")
    assert many.total == few.total
