import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.records.entry import Value
from app.records.fields import moment_text
from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.seen import seen

CountQueries = Callable[[Garage], AbstractContextManager[Count]]
NEW = "/cars/tern/stopgaps/new"
FORM = {
    "entry": "5f0c5b1e-0b0e-4a55-9f5e-0a4a7d0d5a02",
    "record": "gap-1",
    "line": "tern.gauge_hose",
    "used": "Barb and cable tie",
    "fitted_at": "2026-04-18T10:40",
    "fitted_odometer": "184000",
    "limit_distance": "300",
    "part_name": "Tee",
    "part_bore_mm": "4",
    "part_stands": "full vacuum, 1.5 bar, 120 °C",
}


def _ago(**days: float) -> str:
    return moment_text(datetime.now(UTC) - timedelta(**days))


def _gap(enter: Enter, gap: str = "gap-1", **more: Value) -> None:
    fields: dict[str, Value] = {"line": "tern.gauge_hose", "used": "Barb and cable tie", "limit_distance": 300}
    enter("stopgap", gap, car="tern", fitted_at=_ago(days=3), fitted_odometer=184_000, **(fields | more))


def _state(garage: Garage, line: str = "tern.gauge_hose") -> str:
    with garage.read() as db:
        return str(db.exec_driver_sql("SELECT state FROM line WHERE id = ?", (line,)).scalar_one())


def test_putting_one_on_marks_the_line_in_the_same_act(client: TestClient, garage: Garage, tern: str) -> None:
    answer = client.post(NEW, data=FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/stopgaps/gap-1")
    assert _state(garage) == "stopgap"
    shown = seen(client.get("/stopgaps/gap-1").text)
    assert "0 of 300 km used" in shown
    assert "Tee not ordered yet" in shown


def test_sending_the_form_twice_makes_one_stopgap(client: TestClient, garage: Garage, tern: str) -> None:
    client.post(NEW, data=FORM)
    client.post(NEW, data=FORM)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM stopgap").scalar() == 1
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE kind = 'stopgap'").scalar() == 1


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"used": ""}, "This is needed."),
        ({"limit_distance": ""}, "Give it a limit: a distance, days or heat cycles."),
        ({"limit_distance": "-5"}, "It has to be more than 0."),
        ({"limit_days": "2.5"}, "Write a whole number"),
        ({"line": ""}, "Say which one thing this is about"),
        ({"component": "tern.throttle"}, "Say which one thing this is about"),
        ({"line": "tern.heater"}, "This line is not on this car."),
        ({"line": "", "component": "moon"}, "This component is not on this car."),
        ({"fitted_at": "2126-01-01T10:00"}, "This is still to come."),
        ({"part_bore_mm": "wide"}, "Write a number"),
    ],
)
@pytest.mark.usefixtures("tern")
def test_refused_input_keeps_what_was_typed(
    client: TestClient, garage: Garage, wrong: dict[str, str], says: str
) -> None:
    answer = client.post(NEW, data=FORM | wrong)
    assert answer.status_code == 422
    assert says in answer.text
    assert "full vacuum, 1.5 bar, 120 °C" in answer.text
    assert _state(garage) == "original"


def test_a_stopgap_on_a_retired_line_is_refused(client: TestClient, enter: Enter, tern: str) -> None:
    enter("line", "tern.gauge_hose", retired_on="2026-01-01", retired_reason="Gauge gone")
    answer = client.post(NEW, data=FORM)
    assert answer.status_code == 422
    assert "This line is off the car for good." in answer.text


def test_an_odometer_running_backwards_is_asked_about(client: TestClient, enter: Enter, tern: str) -> None:
    enter("drive", "d1", car=tern, at="2026-04-01T10:00:00.000Z", odometer=184_210)
    assert "instrument cluster" in client.post(NEW, data=FORM).text
    assert client.post(NEW, data=FORM | {"sure": "odometer"}).status_code == 303


def test_the_address_can_say_what_it_is_on(client: TestClient, enter: Enter, tern: str) -> None:
    assert '<option value="tern.coupler" selected>' in client.get(NEW + "?line=tern.coupler").text
    assert '<option value="tern.gauge" selected>' in client.get(NEW + "?component=tern.gauge").text
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=_ago(days=1), found_at=_ago(hours=1),
          found_line="tern.coupler")  # fmt: skip
    form = client.get(NEW + "?ticket=t1").text
    assert '<option value="tern.coupler" selected>' in form
    assert 'name="ticket" value="t1"' in form


def test_a_line_that_may_not_fail_says_do_not_drive(client: TestClient, enter: Enter, tern: str) -> None:
    enter("line", "tern.gauge_hose", role="brake_servo")
    assert "do not drive on a stopgap" in client.get(NEW + "?line=tern.gauge_hose").text
    _gap(enter)
    assert "do not drive on this" in seen(client.get("/stopgaps/gap-1").text)


def test_past_its_limit_it_says_so(client: TestClient, enter: Enter, tern: str) -> None:
    _gap(enter)
    enter("drive", "d1", car=tern, at=_ago(days=1), odometer=184_320)
    assert "Past its limit." in seen(client.get("/stopgaps/gap-1").text)
    assert "320 of 300 km used Permanent part not ordered yet past" in seen(client.get("/cars/tern/stopgaps").text)


def test_the_order_is_written_down_without_touching_the_rest(client: TestClient, garage: Garage, enter: Enter,
                                                             tern: str) -> None:  # fmt: skip
    _gap(enter, part_name="Tee")
    tomorrow = (datetime.now(UTC).astimezone() + timedelta(days=1)).date().isoformat()
    day = {"ordered_on": "2026-04-18", "expected_on": tomorrow, "part_name": "Tee", "part_bore_mm": ""}
    assert client.post("/stopgaps/gap-1/order", data=day).status_code == 303
    assert "Tee ordered, due tomorrow" in seen(client.get("/stopgaps/gap-1").text)
    with garage.read() as db:
        last = db.exec_driver_sql("SELECT fields FROM entry ORDER BY seq DESC LIMIT 1").scalar_one()
    assert set(re.findall(r'"(\w+)":', last)) == {"ordered_on", "expected_on"}


def test_a_wrong_day_of_order_is_said_at_its_box(client: TestClient, enter: Enter, tern: str) -> None:
    _gap(enter)
    answer = client.post("/stopgaps/gap-1/order", data={"part_name": "Tee", "ordered_on": "soon"})
    assert answer.status_code == 422
    assert "Write a date, such as" in answer.text


@pytest.mark.parametrize(
    ("on_now", "state"), [("part", "replaced"), ("old", "original"), ("another", "stopgap")]
)  # fmt: skip
def test_ending_it_says_what_the_line_is_now(
    client: TestClient, garage: Garage, tern: str, on_now: str, state: str
) -> None:
    client.post(NEW, data=FORM)
    ended = {"on_now": on_now, "ended_at": "2026-04-20T18:00", "ended_how": ""}
    assert client.post("/stopgaps/gap-1/end", data=ended).status_code == 303
    assert _state(garage) == state
    shown = seen(client.get("/stopgaps/gap-1").text)
    assert "Write down the new part" in shown
    assert "Ended 20 Apr 2026" in shown
    assert "No stopgap on this car." in seen(client.get("/cars/tern/stopgaps").text)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"on_now": ""}, "Say what is on there now."),
        ({"ended_at": ""}, "Write when it ended."),
        ({"ended_at": "later"}, "Write a date and a time"),
        ({"ended_at": "2020-01-01T10:00"}, "That is before it was put on, "),
        ({"ended_at": "2126-01-01T10:00"}, "This is still to come."),
    ],
)
def test_an_end_that_makes_no_sense_is_refused(client: TestClient, tern: str, wrong: dict[str, str], says: str) -> None:
    client.post(NEW, data=FORM)
    good = {"on_now": "part", "ended_at": "2026-04-20T18:00", "ended_how": "Tee came by post"}
    answer = client.post("/stopgaps/gap-1/end", data=good | wrong)
    assert answer.status_code == 422
    assert says in answer.text
    assert "Tee came by post" in answer.text


@pytest.mark.usefixtures("tern")
def test_more_stopgaps_cost_no_more_queries(
    client: TestClient, garage: Garage, enter: Enter, count_queries: CountQueries
) -> None:
    _gap(enter)
    with count_queries(garage) as few:
        client.get("/cars/tern/stopgaps")
    for n in range(2, 12):
        _gap(enter, f"gap-{n}")
    with count_queries(garage) as many:
        client.get("/cars/tern/stopgaps")
    assert many.total == few.total


def test_a_stopgap_that_is_not_there_is_said_plainly(client: TestClient, tern: str) -> None:
    assert client.get("/stopgaps/none").status_code == 404
    assert client.post("/stopgaps/none/end", data={}).status_code == 404
    assert client.get("/cars/none/stopgaps/new").status_code == 404
