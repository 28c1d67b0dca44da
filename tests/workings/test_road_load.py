"""Power from a speed log, against the road-load equation reckoned another way."""

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from app.workings.road_load import KMH, ImpossibleRoad, Load, air_density, coast_down_s, mean_power_w

#: A middling car on a level road, and the same on a slope of 2 %.
LEVEL = Load(1400, 0.68, rolling=0.012, rotating=1.05, density=1.20)
UPHILL = Load(1400, 0.68, rolling=0.012, rotating=1.05, grade_percent=2.0, density=1.20)


def test_power_at_100_kmh_on_a_slope_is_that_of_the_road_load_equation() -> None:
    """The road-load equation of the coast-down standards (SAE J1263 and J2263, from memory), reckoned apart."""
    watts = UPHILL.power_w(100 * KMH, 1.5)
    assert watts / 1e3 == pytest.approx(82.1962, rel=5e-6)
    assert watts / 745.69987 == pytest.approx(110.227, rel=5e-6)  # mechanical horsepower, 550 ft·lbf/s
    assert watts / 735.49875 == pytest.approx(111.756, rel=5e-6)  # metric horsepower, 75 kgf·m/s


def test_a_coast_down_takes_as_long_as_its_integral() -> None:
    """100 to 80 km/h in 19.52542 s: the closed form, and scipy's integral of k·m·dv/F."""
    seconds = coast_down_s(LEVEL, 100 * KMH, 80 * KMH)
    assert seconds == pytest.approx(19.52542, rel=1e-6)
    integral, _ = quad(lambda v: LEVEL.rotating * LEVEL.mass_kg / LEVEL.force_n(v), 80 * KMH, 100 * KMH)
    assert seconds == pytest.approx(integral, rel=1e-9)


def test_without_air_and_with_no_way_to_go_a_coast_down_is_as_plain_as_it_should_be() -> None:
    vacuum = Load(1000, 0.0, rolling=0.01, rotating=1.0)
    assert coast_down_s(vacuum, 20, 10) == pytest.approx(10 / (0.01 * 9.80665))
    assert coast_down_s(LEVEL, 20, 20) == 0
    with pytest.raises(ImpossibleRoad):
        coast_down_s(LEVEL, 10, 20)
    with pytest.raises(ImpossibleRoad):
        coast_down_s(Load(1000, 0.5, grade_percent=-5), 20, 10)


@settings(max_examples=40, deadline=None)
@given(st.floats(600, 3000), st.floats(0.3, 1.2), st.floats(0, 8), st.floats(20_000, 300_000))
def test_the_mean_power_of_a_run_at_one_power_is_that_power(
    mass: float, area: float, grade: float, watts: float
) -> None:
    """Speed under constant power, stepped finely by Runge and Kutta's method, gives the power back."""
    load = Load(mass, area, grade_percent=grade)
    at, speed, step = [0.0], [12.0], 0.02

    def gains(v: float) -> float:
        return (watts / v - load.force_n(v)) / (load.rotating * load.mass_kg)

    for n in range(150):
        v = speed[-1]
        a = gains(v)
        b = gains(v + a * step / 2)
        c = gains(v + b * step / 2)
        d = gains(v + c * step)
        speed.append(v + step * (a + 2 * b + 2 * c + d) / 6)
        at.append((n + 1) * step)
    assert mean_power_w(load, at, speed) == pytest.approx(watts, rel=1e-3)


def test_a_steady_run_takes_what_rolling_and_air_take() -> None:
    v = 90 * KMH
    assert mean_power_w(LEVEL, [0, 1, 5], [v, v, v]) == pytest.approx(LEVEL.power_w(v))


def test_air_weighs_what_the_standard_atmosphere_says() -> None:
    """U.S. Standard Atmosphere 1976: 1.2250 kg/m³ at sea level."""
    assert air_density(101.325, 15) == pytest.approx(1.2250, abs=5e-5)


@pytest.mark.parametrize("figures", [(0, 0.6), (-1, 0.6), (1400, -0.1), (float("nan"), 0.6), (1400, float("inf"))])
def test_a_car_that_can_not_be_is_refused(figures: tuple[float, float]) -> None:
    with pytest.raises(ImpossibleRoad):
        Load(*figures)


@pytest.mark.parametrize("run", [([], []), ([0.0], [1.0]), ([1.0, 1.0], [1.0, 2.0]), ([0.0, 1.0], [1.0])])
def test_a_run_of_no_time_has_no_power(run: tuple[list[float], list[float]]) -> None:
    with pytest.raises(ImpossibleRoad):
        mean_power_w(LEVEL, *run)
    with pytest.raises(ImpossibleRoad):
        air_density(0, 15)


def test_a_slope_pulls_by_its_sine() -> None:
    steep = Load(1000, 0.0, rolling=0.0, grade_percent=100)
    assert steep.steady_n == pytest.approx(1000 * 9.80665 / sqrt(2))
