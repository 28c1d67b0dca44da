"""Did it do anything? The page, on logs of drives whose truth is known."""

import re
from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Enter
from tests.pages.logged import keep_log
from tests.pages.seen import seen
from tests.traces.engine import Car
from tests.traces.generator import CYCLE, drive

PULLS = tuple((3, 1900.0, 5000.0) for _ in range(4))
PAGE = "/cars/tern/before-after"


def log_of(garage: Garage, enter: Enter, name: str, day: int, car: Car, **more: str) -> None:
    trace, _ = drive(day, car, cycle=CYCLE[:30], pulls=PULLS)
    keep_log(garage, enter, name, "tern", trace, f"2026-04-{day:02}T10:40:00.000Z", **more)


@pytest.fixture
def changed(garage: Garage, enter: Enter, tern: str) -> str:
    """A log before and a log after a job; boost was turned up in it."""
    enter("job", "j", car=tern, title="Boost turned up", opened_at="2026-04-10T08:00:00.000Z")
    enter("job", "j", closed_at="2026-04-10T12:00:00.000Z")
    log_of(garage, enter, "was", 8, Car(), note="95 octane, half a tank")
    log_of(garage, enter, "is", 12, Car(boost_kpa=104.0))
    return tern


def verdicts(page: str) -> dict[str, str]:
    found = re.findall(r'<h3>([^<]+)</h3><p class="verdict">([^<]+)</p>', page)
    return dict(found)


def test_a_job_or_a_day_is_chosen_first(client: TestClient, changed: str) -> None:
    page = client.get(PAGE)
    assert "Boost turned up" in seen(page.text)
    assert f'href="{PAGE}?job=j"' in page.text
    assert verdicts(client.get(f"{PAGE}?day=2026-04-10").text) == verdicts(client.get(f"{PAGE}?job=j").text)
    assert client.get(f"{PAGE}?job=none").status_code == 404


def test_more_boost_is_found_and_said_with_its_interval(client: TestClient, changed: str) -> None:
    page = client.get(f"{PAGE}?job=j&mass_kg=1400&drag_area_m2=0.68&air_before_c=18&air_after_c=18").text
    said = verdicts(page)
    boost = float(re.match(r"[\d.]+", said["Boost"])[0])  # type: ignore[index]
    assert 8 < boost < 13
    assert said["Boost"].endswith("%)")
    assert "higher" in said["Boost"]
    assert "shorter" in said["Time through the band"]
    assert "more" in said["Power at the wheels"]
    assert re.search(r"19 times in 20 the true difference lies between [\d.]+ kPa higher and [\d.]+ kPa higher", page)
    assert "nothing of what differs from one drive to another" in seen(page)
    assert "From 4 pulls before and 4 after." in seen(page)


def test_no_change_is_said_as_none_that_these_runs_can_show(
    client: TestClient, garage: Garage, enter: Enter, changed: str
) -> None:
    log_of(garage, enter, "same", 14, Car())
    page = client.get(f"{PAGE}?job=j&log=was&log=same").text
    assert verdicts(page)["Boost"] == "No change that these runs can show"
    assert re.search(r"(on each side would show|A change of) 2", seen(page))


def test_the_air_and_the_notes_of_each_log_stand_beside_it(client: TestClient, changed: str) -> None:
    said = seen(client.get(f"{PAGE}?job=j").text)
    assert "95 octane, half a tank" in said
    assert "4 pulls · air 99.0 kPa · intake 24 °C" in said


def test_the_curves_are_drawn_and_said_in_figures(client: TestClient, changed: str) -> None:
    page = client.get(f"{PAGE}?job=j").text
    assert page.count('<polyline class="one was"') == 4
    assert "Boost in kPa absolute against engine speed, from" in page
    rows = re.findall(r'<tr><th scope="row">[\d\s ]+</th><td>([\d.]+)</td><td>([\d.]+)</td>', page)
    assert len(rows) > 5
    assert all(float(after) > float(before) for before, after in rows[3:])


def test_what_is_typed_stays_in_its_box_and_what_is_wrong_is_said_there(client: TestClient, changed: str) -> None:
    page = client.get(f"{PAGE}?job=j&mass_kg=heavy&from_rpm=2800&to_rpm=4200")
    assert page.status_code == 422
    assert 'value="heavy"' in page.text
    assert 'id="mass_kg-hint"' in page.text
    assert "Between 2 800 and 4 200 rpm" in seen(page.text).replace("\N{NO-BREAK SPACE}", " ")


def test_a_correction_is_off_and_its_reason_stands_beside_it(client: TestClient, changed: str) -> None:
    at = f"{PAGE}?job=j&mass_kg=1400&air_before_c=10&air_after_c=35"
    plain, corrected = client.get(at).text, client.get(f"{at}&correct=yes").text
    assert "counts the air twice" in seen(plain)
    assert "SAE J1349" not in plain
    assert re.search(r"Before: × 0\.9\d\d", seen(corrected))
    assert re.search(r"After: × 1\.0\d\d", seen(corrected))
    assert verdicts(plain)["Power at the wheels"] != verdicts(corrected)["Power at the wheels"]


def test_far_from_the_standard_s_air_nothing_is_corrected(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "j", car=tern, title="High up", opened_at="2026-04-10T08:00:00.000Z")
    high = replace(Car(), air_kpa=82.0)
    log_of(garage, enter, "was", 8, high)
    log_of(garage, enter, "is", 12, high)
    at = f"{PAGE}?job=j&mass_kg=1400&air_before_c=20&air_after_c=20"
    assert "more than 7 % off" in seen(client.get(f"{at}&correct=yes").text).replace("\N{NO-BREAK SPACE}", " ")
    power = [re.search(r"[\d.]+ kW before", seen(client.get(one).text)) for one in (at, f"{at}&correct=yes")]
    assert power[0] is not None
    assert power[1] is not None
    assert power[0][0] == power[1][0]


def test_without_logs_on_both_sides_it_says_which_is_missing(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "j", car=tern, title="Nothing logged", opened_at="2026-04-10T08:00:00.000Z")
    assert "There is no log before it" in seen(client.get(f"{PAGE}?job=j").text)
    log_of(garage, enter, "was", 8, Car())
    assert "There is no log after it yet" in seen(client.get(f"{PAGE}?job=j").text)


def test_logs_without_pulls_in_a_common_gear_say_so(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "j", car=tern, title="Other gears", opened_at="2026-04-10T08:00:00.000Z")
    for name, day, gear in (("was", 8, 2), ("is", 12, 3)):
        trace, _ = drive(day, cycle=CYCLE[:30], pulls=((gear, 2000.0, 4800.0),))
        keep_log(garage, enter, name, tern, trace, f"2026-04-{day:02}T10:40:00.000Z")
    assert "no full-throttle pulls in the same gear" in seen(client.get(f"{PAGE}?job=j").text)
