import re

import pytest
from starlette.testclient import TestClient

from app.records.boost_targets import boost_target
from app.records.garage import Garage
from tests.conftest import Enter

PAGE = "/cars/tern/boost-target"
POINTS = {"speed_1": "4000", "boost_1": "1,1", "speed_2": "2500", "boost_2": "0.6", "speed_3": "6500", "boost_3": "0.9"}
FORM = {"unit": "bar", "basis": "gauge", "tolerance": "0,1", "source": "Dyno sheet", "boost_limit": "1.4"}
CAUTION = "Boost over target: stay off full throttle"
BOOST = {"what": "peak_boost", "condition": "full_throttle", "unit": "bar", "basis": "gauge", "healthy": "no"}


@pytest.fixture
def aimed(client: TestClient, tern: str) -> None:
    """The car has a target."""
    assert client.post(PAGE, data=FORM | POINTS).headers["location"] == PAGE


def taken(client: TestClient, value: str, speed: str = "", **more: str) -> str:
    """Take a reading of peak boost; the text of its page."""
    data = BOOST | {"value": value, "engine_speed": speed, "taken_at": "2026-04-18T10:40"} | more
    answer = client.post("/cars/tern/readings/new/peak_boost", data=data)
    assert answer.status_code == 303
    return client.get(answer.headers["location"]).text


def test_a_car_without_a_target_says_what_one_is_good_for(client: TestClient, tern: str) -> None:
    assert "None stated" in client.get(PAGE).text
    assert CAUTION not in taken(client, "1.9", "4000")
    assert client.get("/cars/none/boost-target").status_code == 404


@pytest.mark.usefixtures("aimed")
def test_a_target_is_shown_as_a_curve_and_in_figures(client: TestClient, garage: Garage) -> None:
    text = client.get(PAGE).text
    assert 'aria-label="Target: 0.60 bar at 2\N{NO-BREAK SPACE}500 rpm, 1.10 bar at 4\N{NO-BREAK SPACE}000 rpm,' in text
    rows = re.findall(r'<tr><th scope="row">(.+?)</th><td>(.+?)</td><td>(.+?)</td></tr>', text)
    assert [row[1:] for row in rows] == [("0.60", "0.70"), ("1.10", "1.20"), ("0.90", "1.00"), ("never above", "1.40")]
    assert "Dyno sheet" in text
    with garage.read() as db:
        view = boost_target(db, "tern")
    assert view is not None
    assert view.target.at(3250) == pytest.approx(101.325 + 85)


@pytest.mark.parametrize(
    ("typed", "box", "says"),
    [
        ({"boost_2": ""}, "boost_2", "This is needed."),
        ({"speed_3": "fast"}, "speed_3", "Write a number, such as 5 or 5.5."),
        ({"speed_2": "4000"}, "curve", "Each engine speed can have one boost only."),
        ({"speed_2": "4"}, "curve", "An engine turns at 300 to 20000 rpm."),
        ({"boost_2": "60"}, "curve", "60 bar can&#39;t be right for peak boost. Look at the unit."),
        ({"boost_limit": "1"}, "boost_limit", "The target itself goes above that."),
        ({"tolerance": "-1"}, "tolerance", "It can&#39;t be less than 0."),
    ],
)
def test_what_makes_no_sense_is_said_at_its_box_and_nothing_typed_is_lost(
    client: TestClient, tern: str, typed: dict[str, str], box: str, says: str
) -> None:
    answer = client.post(PAGE, data=FORM | POINTS | typed)
    assert answer.status_code == 422
    assert re.search(rf'id="{box}-hint">{re.escape(says)}', answer.text), answer.text
    for name, value in (POINTS | typed).items():
        assert re.search(rf'name="{name}"[^>]* value="{re.escape(value)}"', answer.text), name
    assert "None stated" in client.get(PAGE).text


@pytest.mark.usefixtures("aimed")
@pytest.mark.parametrize(
    ("value", "speed", "says"),
    [
        ("0.95", "2500", "0.35 bar over the target at 2\N{NO-BREAK SPACE}500 rpm, 0.60."),
        ("1.25", "", "0.15 bar over the highest target, 1.10."),
        ("1,5", "4000", "0.10 bar above the limit of 1.40."),
        ("1.2", "4000", None),
        ("0.2", "", None),
    ],
)
def test_a_boost_over_target_is_flagged_wherever_it_stands(
    client: TestClient, value: str, speed: str, says: str | None
) -> None:
    text = taken(client, value, speed)
    lists = [client.get(page).text for page in ("/cars/tern", "/cars/tern/readings")]
    shown = "data-any-over>" if says else "data-any-over hidden>"
    assert all(shown in one for one in lists)
    assert (CAUTION in text) is (says is not None)
    if says:
        assert says in text
        assert all(says.removesuffix(".") in one for one in lists)


@pytest.mark.usefixtures("aimed")
def test_a_boost_under_target_is_said_without_a_caution(client: TestClient) -> None:
    text = taken(client, "0.8", "4000")
    assert "0.30 bar under the target at 4\N{NO-BREAK SPACE}000 rpm, 1.10." in text
    assert CAUTION not in text
    assert "On the target at" in taken(client, "1.15", "4000")


@pytest.mark.usefixtures("aimed")
def test_height_is_no_boost_and_no_lack_of_it(client: TestClient) -> None:
    # At 2000 m the air is at 79.5 kPa (U.S. Standard Atmosphere 1976): 1.3 bar there are 209.5 kPa, 1.08 by the sea.
    assert CAUTION in taken(client, "1.3", "4000")
    assert CAUTION not in taken(client, "1.3", "4000", altitude_m="2000")


@pytest.mark.usefixtures("aimed")
def test_the_next_boost_on_target_takes_the_caution_off_the_car_and_so_does_striking_it_out(client: TestClient) -> None:
    taken(client, "1.5", "4000")
    assert "data-any-over>" in client.get("/cars/tern").text
    taken(client, "1.1", "4000", taken_at="2026-04-18T11:00")
    assert "data-any-over hidden>" in client.get("/cars/tern").text
    text = taken(client, "1.5", "4000", taken_at="2026-04-18T12:00")
    reading = re.search(r"/records/reading/([\w-]+)/history", text)
    assert reading is not None
    client.post(f"/records/reading/{reading[1]}/void", data={"void_reason": "Misread"})
    assert "data-any-over hidden>" in client.get("/cars/tern").text
    assert CAUTION not in client.get(f"/readings/{reading[1]}").text.replace("data-any-over", "")


@pytest.mark.usefixtures("aimed")
def test_a_struck_out_target_flags_nothing(client: TestClient) -> None:
    client.post("/records/boost_target/tern.boost/void", data={"void_reason": "Of another engine"})
    assert CAUTION not in taken(client, "1.9", "4000")
    assert "None stated" in client.get(PAGE).text


def test_a_target_keeps_to_the_air_it_was_stated_in(client: TestClient, enter: Enter, tern: str) -> None:
    enter("boost_target", "tern.boost", car=tern, curve="[[3000, 200]]", tolerance=5, unit="kPa", basis="absolute")
    assert "On the target at" in taken(client, "1", "3000")
    assert "over the target" in taken(client, "1.1", "3000")
