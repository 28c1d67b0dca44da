"""Which source of the air's pressure wins, and a weather report's figure as the air's own."""

import pytest

from app.workings.ambient import AirSource, air_around, from_report, is_air
from app.workings.atmosphere import OutsideAtmosphere


@pytest.mark.parametrize(
    ("known", "source", "kpa"),
    [
        ({"barometer_kpa": 98.2, "logged_kpa": 97.9, "height_m": 240.0}, AirSource.BAROMETER, 98.2),
        ({"logged_kpa": 97.9, "height_m": 240.0}, AirSource.LOG, 97.9),
        # U.S. Standard Atmosphere 1976 at 1524 m: 84.3073 kPa
        ({"height_m": 1524.0}, AirSource.HEIGHT, 84.3073),
        ({}, AirSource.STANDARD, 101.325),
    ],
)
def test_the_best_source_there_is_wins(known: dict[str, float], source: AirSource, kpa: float) -> None:
    found = air_around(**known)
    assert found.source is source
    assert found.kpa == pytest.approx(kpa, abs=1e-3)
    assert found.why.endswith(".")


@pytest.mark.parametrize("stuck", [0.0, 3.0, 255.0, float("nan")])
def test_a_log_s_sensor_that_failed_is_passed_over_and_said(stuck: float) -> None:
    found = air_around(None, stuck, 1524.0)
    assert found.source is AirSource.HEIGHT
    assert "which is no air" in found.why
    assert not is_air(stuck)


def test_two_barometers_that_disagree_are_said_to() -> None:
    assert "one of the two is wrong" in air_around(98.0, 84.0).why
    assert "wrong" not in air_around(98.0, 97.5).why


def test_a_mile_up_a_weather_report_hides_18_kpa() -> None:
    # The altimeter setting of the ICAO, from memory: 102.0 kPa reported at 1609.344 m is 84.0043 kPa
    assert from_report(102.0, 1609.344).kpa == pytest.approx(84.0043, abs=2e-4)


def test_a_height_no_road_reaches_is_refused_only_where_it_is_needed() -> None:
    with pytest.raises(OutsideAtmosphere):
        air_around(None, None, 20_000.0)
    assert air_around(98.0, None, 20_000.0).kpa == 98.0
