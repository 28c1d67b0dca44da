import re
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records.entry import Value
from app.records.garage import Garage
from tests.conftest import Count, Enter

CountQueries = Callable[[Garage], AbstractContextManager[Count]]
IDLE = "/cars/tern/readings/new/idle_vacuum"
FORM = {
    "entry": "5f0c5b1e-0b0e-4a55-9f5e-0a4a7d0d5a01",
    "record": "reading-1",
    "value": "17,4",
    "unit": "inHg",
    "basis": "vacuum",
    "condition": "warm",
    "taken_at": "2026-04-18T10:40",
    "odometer": "",
    "note": "",
}


def _idle(enter: Enter, n: int, value: float, **more: Value) -> None:
    fields: dict[str, Value] = {"unit": "inHg", "basis": "vacuum", "healthy": True, "condition": "warm"}
    at = f"2026-{n // 28 + 1:02}-{n % 28 + 1:02}T10:00:00.000Z"
    enter("reading", f"idle{n}", car="tern", what="idle_vacuum", value=value, taken_at=at, **(fields | more))


@pytest.fixture
def usual(enter: Enter, tern: str) -> str:
    """Tern idles at 19.5, give or take 0.6 inHg."""
    enter("baseline", "tern.idle_vacuum.warm", car=tern, what="idle_vacuum", condition="warm", centre=19.5, spread=0.6,
          unit="inHg", basis="vacuum")  # fmt: skip
    return tern


def test_a_reading_is_kept_and_shown_against_its_baseline(client: TestClient, usual: str) -> None:
    answer = client.post(IDLE, data=FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/readings/reading-1")
    shown = client.get("/readings/reading-1").text
    assert "2.1 below your usual 19.5 ± 0.6 inHg" in shown
    assert "below the usual band 18.9 to 20.1" in shown
    assert 'href="/cars/tern/tickets/new?reading=reading-1"' in shown


def test_a_usual_reading_offers_no_fault(client: TestClient, usual: str) -> None:
    client.post(IDLE, data=FORM | {"value": "19.4"})
    shown = client.get("/readings/reading-1").text
    assert "0.1 below your usual 19.5 ± 0.6 inHg" in shown
    assert "Report a fault" not in shown


def test_a_reading_on_a_mountain_says_what_the_air_does(client: TestClient, usual: str) -> None:
    client.post(IDLE, data=FORM | {"value": "14.5", "altitude_m": "1524"})
    shown = client.get("/readings/reading-1").text
    assert "your usual 14.5 ± 0.6 inHg" in shown
    assert "84.3 kPa here, and at 101.3 kPa where 19.5 ± 0.6 inHg is usual" in shown
    assert "Report a fault" not in shown


def test_sending_the_form_twice_keeps_one_reading(client: TestClient, garage: Garage, tern: str) -> None:
    client.post(IDLE, data=FORM)
    client.post(IDLE, data=FORM)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM reading").scalar() == 1


@pytest.mark.parametrize(
    ("kind", "wrong", "field", "says"),
    [
        ("idle_vacuum", {"value": ""}, "value", "This is needed."),
        ("idle_vacuum", {"value": "a lot"}, "value", "Write a number"),
        ("idle_vacuum", {"value": "200", "unit": "psi"}, "value", "200 psi is deeper than"),
        ("peak_boost", {"value": "200", "unit": "psi", "basis": "gauge", "condition": "full_throttle"}, "value",
         "200 psi can&#39;t be right for peak boost. Look at the unit."),
        ("idle_vacuum", {"unit": "s"}, "unit", "s does not measure pressure."),
        ("idle_vacuum", {"unit": "furlong"}, "unit", "furlong is no unit this program knows."),
        ("idle_vacuum", {"basis": "gauge"}, "basis", "Idle vacuum is read as vacuum or absolute pressure."),
        ("idle_vacuum", {"condition": "full_throttle"}, "condition", "not taken under that condition"),
        ("idle_vacuum", {"barometer_value": "30", "barometer_unit": "psi"}, "barometer_value", "The air is never at"),
        ("idle_vacuum", {"barometer_value": "990"}, "barometer_unit", "Say which unit."),
        ("idle_vacuum", {"taken_at": "2126-04-18T10:40"}, "taken_at", "This is still to come."),
        ("idle_vacuum", {"taken_at": "soon"}, "taken_at", "Write a date and a time"),
        ("vacuum_recovery", {"unit": "inHg", "condition": "lift_off"}, "unit", "inHg does not measure time."),
        ("free", {"condition": "any"}, "free_name", "Say what was read."),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("tern")
def test_refused_input_says_so_at_its_field_and_keeps_the_rest(
    client: TestClient, kind: str, wrong: dict[str, str], field: str, says: str
) -> None:
    answer = client.post(f"/cars/tern/readings/new/{kind}", data=FORM | {"note": "hood open"} | wrong)
    assert answer.status_code == 422
    assert says in answer.text
    assert "hood open" in answer.text
    if field in {"value", "taken_at", "free_name", "barometer_value"}:
        assert re.search(rf'name="{field}"[^>]*aria-invalid="true"', answer.text)
        assert f'id="{field}-hint"' in answer.text


def test_an_odometer_that_runs_backwards_is_asked_about(client: TestClient, enter: Enter, tern: str) -> None:
    enter("drive", "d1", car=tern, at="2026-04-01T10:00:00.000Z", odometer=184_210)
    answer = client.post(IDLE, data=FORM | {"odometer": "12"})
    assert answer.status_code == 422
    assert "right (a new instrument cluster)?" in answer.text
    assert 'name="sure" value="odometer"' in answer.text
    assert client.post(IDLE, data=FORM | {"odometer": "12", "sure": "odometer"}).status_code == 303


def test_a_weather_reports_barometer_is_asked_about_high_up(client: TestClient, tern: str) -> None:
    high = FORM | {"altitude_m": "1600", "barometer_value": "1016", "barometer_unit": "mbar", "value": "14"}
    answer = client.post(IDLE, data=high)
    assert answer.status_code == 422
    assert "reduced to sea level" in answer.text
    assert client.post(IDLE, data=high | {"sure": "barometer_value"}).status_code == 303


def test_a_weather_reports_figure_is_kept_as_the_airs_own_where_it_is_said_to_be_one(
    client: TestClient, garage: Garage, tern: str
) -> None:
    """102.0 kPa a mile up is 84.0043 kPa: the altimeter setting of the ICAO, from memory."""
    high = FORM | {"altitude_m": "1609.344", "barometer_value": "102.0", "barometer_unit": "kPa", "value": "14"}
    assert "keep 84 kPa" in client.post(IDLE, data=high).text
    answer = client.post(IDLE, data=high | {"sure": "barometer_value.report"})
    assert answer.status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT barometer_value, ambient_kpa FROM reading").all() == [(84.0, 84.0)]
    assert "A barometer beside the car is the air itself." in client.get(answer.headers["location"]).text


def test_marking_healthy_is_one_tap_and_can_be_taken_back(client: TestClient, enter: Enter, tern: str) -> None:
    _idle(enter, 1, 19.5, healthy=False)
    past = "/cars/tern/readings/idle_vacuum?condition=warm"
    answer = client.post("/readings/idle1/healthy", data={"healthy": "yes", "from": "list"})
    assert answer.headers["location"] == past
    assert "learned from 1 healthy reading" in client.get(past).text
    client.post("/readings/idle1/healthy", data={"healthy": "no"})
    assert "nothing usual yet" in client.get(past).text


def test_marking_healthy_with_neither_yes_nor_no_is_refused(client: TestClient, enter: Enter, tern: str) -> None:
    _idle(enter, 1, 19.5)
    assert client.post("/readings/idle1/healthy", data={"healthy": "maybe"}).status_code == 422


def test_the_form_starts_in_the_unit_read_last_and_under_the_usual_condition_unless_asked(
    client: TestClient, enter: Enter, tern: str
) -> None:
    _idle(enter, 1, 65.0, unit="kPa", condition="warm_air_conditioning")
    form = client.get(IDLE).text
    assert 'name="unit" value="kPa" checked' in form
    assert 'name="condition" value="warm" checked' in form
    assert 'value="warm_air_conditioning" checked' in client.get(f"{IDLE}?condition=warm_air_conditioning").text


def test_the_caution_stands_above_the_box(client: TestClient, tern: str) -> None:
    form = client.get("/cars/tern/readings/new/peak_boost").text
    assert form.index("never the driver") < form.index('name="value"')


def test_a_car_without_a_turbocharger_is_not_asked_for_boost(client: TestClient, enter: Enter, tern: str) -> None:
    enter("car", tern, turbocharged=False)
    assert "Peak boost" not in client.get("/cars/tern/readings/new").text


def test_a_free_reading_has_its_own_name_and_unit(client: TestClient, tern: str) -> None:
    free = FORM | {"free_name": "Front left tyre", "unit": "bar", "value": "2.2", "condition": "any"}
    assert client.post("/cars/tern/readings/new/free", data=free).status_code == 303
    shown = client.get("/cars/tern/readings").text
    assert "Front left tyre" in shown
    link = re.search(r'href="(/cars/tern/readings/free\?[^"]+)"', shown)
    assert link is not None
    assert client.get(link.group(1).replace("&amp;", "&")).status_code == 200
    assert '<option value="Front left tyre">' in client.get("/cars/tern/readings/new/free").text


def test_a_long_history_comes_in_pages(client: TestClient, enter: Enter, tern: str) -> None:
    for n in range(33):
        _idle(enter, n, 19.5)
    first = client.get("/cars/tern/readings/idle_vacuum").text
    assert "condition=warm&amp;page=2" in first
    second = client.get("/cars/tern/readings/idle_vacuum?condition=warm&page=2").text
    assert second.count('action="/readings/') == 3
    assert "Older" not in second


@pytest.mark.usefixtures("tern")
@pytest.mark.parametrize("path", ["/cars/tern/readings", "/cars/tern/readings/idle_vacuum", "/readings/idle1"])
def test_more_readings_cost_no_more_queries(
    client: TestClient, garage: Garage, enter: Enter, count_queries: CountQueries, path: str
) -> None:
    _idle(enter, 1, 19.5)
    with count_queries(garage) as few:
        client.get(path)
    for n in range(2, 30):
        _idle(enter, n, 19.5)
        enter("reading", f"free{n}", car="tern", what="free", free_name=f"Tyre {n}", condition="any", value=n,
              unit="bar", taken_at="2026-04-18T10:00:00.000Z")  # fmt: skip
    with count_queries(garage) as many:
        client.get(path)
    assert many.total == few.total


def test_a_struck_out_reading_says_so_and_counts_for_nothing(client: TestClient, enter: Enter, tern: str) -> None:
    _idle(enter, 1, 19.5)
    enter("reading", "idle1", void_reason="Gauge hose was off")
    assert "Gauge hose was off" in client.get("/readings/idle1").text
    assert "No reading yet" in client.get("/cars/tern/readings").text


@pytest.mark.parametrize(
    "path",
    [
        "/readings/none",
        "/cars/none/readings",
        "/cars/tern/readings/mood",
        "/cars/tern/readings/new/mood",
        "/cars/tern/readings/idle_vacuum?condition=upside_down",
        "/cars/tern/readings/idle_vacuum",
        "/cars/tern/baselines/free/any",
        "/cars/tern/baselines/idle_vacuum/full_throttle",
    ],
)
def test_what_is_not_there_is_said_plainly(client: TestClient, tern: str, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "That did not work" in answer.text


@pytest.mark.parametrize("page", ["0", "-1", "x", "99999999999999999999"])
def test_a_page_that_is_no_number_is_the_first(client: TestClient, enter: Enter, tern: str, page: str) -> None:
    _idle(enter, 1, 19.5)
    assert client.get(f"/cars/tern/readings/idle_vacuum?page={page}").status_code == 200


def test_an_empty_form_is_refused_and_shown_again(client: TestClient, tern: str) -> None:
    assert client.post(IDLE, data={}).status_code == 422
