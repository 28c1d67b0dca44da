import pytest

from app.pages.doubts import LEAP, REPORTED, barometer_doubts, odometer_doubt
from app.records.cars import CarRow, car
from app.records.garage import Garage
from tests.conftest import Enter

MONDAY, TUESDAY, WEDNESDAY = (f"2026-03-0{n}T10:00:00.000Z" for n in (2, 3, 4))


def _ask(garage: Garage, reads: str, at: str = "") -> str | None:
    with garage.read() as db:
        row = car(db, "tern")
        assert isinstance(row, CarRow)
        return odometer_doubt(db, row, reads, at)


@pytest.fixture
def driven(enter: Enter, tern: str) -> str:
    enter("drive", "d1", car=tern, at=MONDAY, odometer=184_000)
    enter("drive", "d2", car=tern, at=WEDNESDAY, odometer=184_210)
    return tern


def test_a_figure_that_runs_backwards_is_asked_about(garage: Garage, driven: str) -> None:
    asked = _ask(garage, "12")
    assert asked is not None
    assert asked.startswith("The odometer read 184\N{NO-BREAK SPACE}210")
    assert "on 4 Mar 2026. Is 12" in asked
    assert asked.endswith("right (a new instrument cluster)?")


def test_a_leap_is_asked_about_and_says_how_far(garage: Garage, driven: str) -> None:
    asked = _ask(garage, "194 210")
    assert asked is not None
    assert "10\N{NO-BREAK SPACE}000\N{NO-BREAK SPACE}km further" in asked


@pytest.mark.parametrize("reads", ["184210", "184 500", "184210,5", str(184_210 + LEAP)])
def test_a_figure_a_little_further_on_is_not_asked_about(garage: Garage, driven: str, reads: str) -> None:
    assert _ask(garage, reads) is None


@pytest.mark.parametrize(("reads", "at"), [("far", ""), ("", ""), ("12", "last week"), ("nan", "")])
def test_what_cannot_be_read_is_left_to_the_door(garage: Garage, driven: str, reads: str, at: str) -> None:
    assert _ask(garage, reads, at) is None


def test_a_moment_in_the_past_is_held_to_what_was_known_then(garage: Garage, driven: str) -> None:
    assert _ask(garage, "184100", TUESDAY) is None
    assert _ask(garage, "183900", TUESDAY) is not None


def test_the_first_figure_of_a_car_is_not_asked_about(garage: Garage, tern: str) -> None:
    assert _ask(garage, "250000") is None


def test_a_weather_reports_barometer_is_asked_about_where_it_differs() -> None:
    """835 hPa at 1600 m: U.S. Standard Atmosphere 1976."""
    asked = barometer_doubts("1016", "mbar", "1600")
    assert "at about 835.2 mbar" in asked["barometer_value"]


def test_it_is_offered_as_the_airs_own() -> None:
    """102.0 kPa at 1609.344 m is 84.0043 kPa: the altimeter setting of the ICAO, from memory."""
    asked = barometer_doubts("102.0", "kPa", "1609.344")
    assert asked[REPORTED] == "It is a weather report's: keep 84 kPa, the air's own at 1609 m."


@pytest.mark.parametrize(
    ("figure", "unit", "altitude"),
    [("840", "mbar", "1600"), ("1016", "mbar", "50"), ("1016", "mbar", ""), ("", "", "1600"), ("1016", "furlong", "9")],
)
def test_a_barometer_that_may_be_right_is_not_asked_about(figure: str, unit: str, altitude: str) -> None:
    assert barometer_doubts(figure, unit, altitude) == {}
