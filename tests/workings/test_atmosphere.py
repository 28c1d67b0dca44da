"""The U.S. Standard Atmosphere 1976, its equations and constants, and two libraries that hold it too."""

import ambiance
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from app.workings.atmosphere import (
    STANDARD_KPA,
    BarometerFigure,
    OutsideAtmosphere,
    barometer_figure,
    geopotential_m,
    sea_level_pressure_kpa,
    standard_density,
    standard_pressure_kpa,
    standard_temperature_k,
    station_pressure_kpa,
)

ROADS = st.floats(-430, 5900)  # from the shore of the lowest lake to the highest pass, from memory


def geometric_m(geopotential: float) -> float:
    """The libraries take the height a map gives; printed formulas take the geopotential one."""
    return 6356766 * geopotential / (6356766 - geopotential)


@pytest.mark.parametrize(
    ("height", "kpa", "kelvin", "density"),
    # U.S. Standard Atmosphere 1976 / ICAO Doc 7488, from its equations and constants
    [
        (0, 101.325, 288.15, 1.225),
        (500, 95.4608, 284.9, 1.16727),
        (1000, 89.8746, 281.65, 1.11164),
        (1524, 84.3073, 278.244, 1.05555),
        (2000, 79.4952, 275.15, 1.00649),
        (3000, 70.1085, 268.65, 0.90912),
    ],
)
def test_the_standard_air_thins_with_height(height: float, kpa: float, kelvin: float, density: float) -> None:
    assert standard_pressure_kpa(height) == pytest.approx(kpa, rel=1e-5)
    assert standard_temperature_k(height) == pytest.approx(kelvin, rel=1e-5)
    assert standard_density(height) == pytest.approx(density, rel=1e-5)


@pytest.mark.parametrize("height", [-400, 0, 500, 1000, 1524, 2000, 3000, 5000, 9000])
def test_two_atmosphere_libraries_agree(height: float) -> None:
    theirs = ambiance.Atmosphere(geometric_m(height))
    other = ATMOSPHERE_1976(geometric_m(height))
    assert standard_pressure_kpa(height) * 1e3 == pytest.approx(float(theirs.pressure[0]), rel=1e-6)
    assert standard_temperature_k(height) == pytest.approx(float(theirs.temperature[0]), rel=1e-6)
    assert standard_density(height) == pytest.approx(float(theirs.density[0]), rel=1e-6)
    assert standard_pressure_kpa(height) * 1e3 == pytest.approx(other.P, rel=1e-6)
    assert standard_density(height) == pytest.approx(other.rho, rel=1e-6)


def test_a_map_s_thousand_metres_is_a_little_less_geopotential() -> None:
    # U.S. Standard Atmosphere 1976, r0 = 6 356 766 m: 999.843 m, 89.87628 kPa
    assert geopotential_m(1000) == pytest.approx(999.843, abs=1e-3)
    assert standard_pressure_kpa(geopotential_m(1000)) == pytest.approx(89.87628, abs=2e-5)


@pytest.mark.parametrize("height", [-400, 500, 1524, 3000, 5000])
def test_a_library_turns_a_map_s_height_into_the_same_geopotential(height: float) -> None:
    assert geopotential_m(height) == pytest.approx(ATMOSPHERE_1976(height).H, abs=1e-6)


def test_a_weather_report_of_102_kpa_is_84_kpa_a_mile_up() -> None:
    # the altimeter setting's definition (from memory): QNH 102.0 kPa at 1609.344 m is 84.0043 kPa
    assert station_pressure_kpa(102.0, 1609.344) == pytest.approx(84.0043, abs=2e-4)


@pytest.mark.parametrize("reduced", [98.0, 100.0, 101.325, 102.0])
def test_a_weather_report_shifts_the_standard_atmosphere_in_height(reduced: float) -> None:
    # Second opinion: find the height where the library's atmosphere has that pressure, then climb from there.
    low, high = -1000.0, 1000.0
    for _ in range(60):
        middle = (low + high) / 2
        above = float(ambiance.Atmosphere(geometric_m(middle)).pressure[0]) > reduced * 1e3
        low, high = (middle, high) if above else (low, middle)
    station = float(ambiance.Atmosphere(geometric_m(low + 1609.344)).pressure[0])
    assert station_pressure_kpa(reduced, 1609.344) * 1e3 == pytest.approx(station, rel=1e-6)


def test_the_smithsonian_form_differs_by_a_barometer_s_mounting_height() -> None:
    # Smithsonian Meteorological Tables (1951) p. 269, p = [A^n - 1013.25^n 0.0065/288 H]^(1/n) + 0.3 mb: a published
    # library test prints 950.96498 hPa for 29.8 inHg at 500 m. The 0.3 mb is for a barometer 10 feet above the ground.
    assert station_pressure_kpa(29.8 * 3.386389, 500) == pytest.approx(95.096498 - 0.03, abs=0.005)


def test_at_sea_level_there_is_nothing_to_reduce() -> None:
    assert station_pressure_kpa(99.2, 0) == pytest.approx(99.2)


@given(st.floats(90, 108), ROADS)
def test_reduced_and_back_is_the_same_barometer(reduced: float, height: float) -> None:
    assert sea_level_pressure_kpa(station_pressure_kpa(reduced, height), height) == pytest.approx(reduced, rel=1e-9)


@given(ROADS)
def test_standard_weather_gives_the_standard_air(height: float) -> None:
    assert station_pressure_kpa(STANDARD_KPA, height) == pytest.approx(standard_pressure_kpa(height), rel=1e-9)


@given(ROADS, st.floats(1, 1000))
def test_higher_is_always_thinner(height: float, climb: float) -> None:
    assert standard_pressure_kpa(height + climb) < standard_pressure_kpa(height)
    assert standard_density(height + climb) < standard_density(height)


@pytest.mark.parametrize(
    ("kpa", "height", "kind"),
    [
        (102.0, 1609.344, BarometerFigure.REDUCED),
        (101.3, 500, BarometerFigure.REDUCED),
        (84.0, 1609.344, BarometerFigure.STATION),
        (89.9, 1000, BarometerFigure.STATION),
        (101.3, 100, BarometerFigure.EITHER),
        (95.5, 500, BarometerFigure.EITHER),
        (14.7, 0, BarometerFigure.NEITHER),
        (1013.0, 1000, BarometerFigure.NEITHER),
    ],
)
def test_a_barometer_figure_is_judged_by_its_height(kpa: float, height: float, kind: BarometerFigure) -> None:
    assert barometer_figure(kpa, height) is kind


@given(st.floats(97, 104), st.floats(900, 5900))
def test_above_900_metres_a_weather_report_is_always_caught(reduced: float, height: float) -> None:
    assert barometer_figure(reduced, height) is BarometerFigure.REDUCED


@given(st.floats(95, 104.9), ROADS)
def test_the_air_s_own_pressure_is_never_called_reduced(weather: float, height: float) -> None:
    kind = barometer_figure(station_pressure_kpa(weather, height), height)
    assert kind in {BarometerFigure.STATION, BarometerFigure.EITHER}


@pytest.mark.parametrize("height", [-5001, 11001, float("nan")])
def test_a_height_no_road_reaches_is_refused(height: float) -> None:
    with pytest.raises(OutsideAtmosphere, match=r"^no road runs at a height of "):
        standard_pressure_kpa(height)
    with pytest.raises(OutsideAtmosphere, match=r"^no road runs at a height of "):
        station_pressure_kpa(101.3, height)


@pytest.mark.parametrize("kpa", [0, -1, float("nan"), float("inf")])
def test_a_barometer_stands_above_zero(kpa: float) -> None:
    with pytest.raises(OutsideAtmosphere, match=r"^a barometer cannot stand at "):
        station_pressure_kpa(kpa, 100)


def test_a_barometer_too_low_for_its_height_is_refused() -> None:
    with pytest.raises(OutsideAtmosphere, match=r"^0.05 kPa cannot be the barometer for a height of 11000 m$"):
        station_pressure_kpa(0.05, 11000)
