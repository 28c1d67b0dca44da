"""Decay of pressure and vacuum, against an integration of the balances it was derived from, and by its properties."""

from math import pi, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from app.workings.decay import (
    ImpossibleDecay,
    constants_between,
    cooled,
    fitted_rate,
    hole_of,
    ratio_after,
    slope,
    time_constant,
)
from app.workings.orifice import CRITICAL, GAMMA, GAS_CONSTANT, flow_function

AIR = 101.325
TANK = time_constant(2000, 0.1, 20)  # 2 l, 0.1 mm
PIPE = time_constant(10_000, 1.0, 20)  # 10 l, 1 mm

VACUUM = st.floats(0.02, 0.999)
PRESSURE = st.floats(1.001, 6)
START = st.one_of(VACUUM, PRESSURE)


def integrated(start_kpa: float, volume_ml: float, mm: float, until_kpa: float, *, fast: bool) -> float:
    """Seconds by scipy's integration of mass and, fast, of energy: the second opinion."""
    volume, area, kelvin = volume_ml * 1e-6, 0.61 * pi / 4 * (mm * 1e-3) ** 2, 293.15

    def rates(_: float, held: tuple[float, float]) -> list[float]:
        mass, temperature = held
        inside = mass * GAS_CONSTANT * temperature / volume
        before, ratio = (AIR * 1e3, inside / (AIR * 1e3)) if inside < AIR * 1e3 else (inside, AIR * 1e3 / inside)
        upstream = kelvin if inside < AIR * 1e3 else temperature
        flow = area * before / sqrt(GAS_CONSTANT * upstream) * flow_function(min(1.0, ratio))
        come = flow if inside < AIR * 1e3 else -flow
        warmed = come / mass * (GAMMA * upstream - temperature) if fast else 0.0
        return [come, warmed]

    def is_there(_: float, held: tuple[float, float]) -> float:
        return held[0] * GAS_CONSTANT * held[1] / volume - until_kpa * 1e3

    is_there.terminal = True  # type: ignore[attr-defined]  # scipy's way of saying so
    begun = [start_kpa * 1e3 * volume / (GAS_CONSTANT * kelvin), kelvin]
    told = solve_ivp(rates, (0, 1e5), begun, events=is_there, rtol=1e-10, atol=1e-14)
    return float(told.t_events[0][0])


@pytest.mark.parametrize(
    ("way", "one", "size", "fast", "seconds"),
    [
        ((20.0, CRITICAL * AIR), TANK, (2000, 0.1), False, 695.4359),
        ((20.0, 90.0), TANK, (2000, 0.1), False, 1555.0572),
        ((20.0, 90.0), TANK, (2000, 0.1), True, 1110.7552),
        ((250.0, AIR / CRITICAL), PIPE, (10_000, 1.0), False, 27.84734),
        ((250.0, 120.0), PIPE, (10_000, 1.0), False, 81.23496),
        ((250.0, AIR / CRITICAL), PIPE, (10_000, 1.0), True, 20.27227),
        ((250.0, 120.0), PIPE, (10_000, 1.0), True, 61.29563),
    ],
    ids=[
        "vacuum, while choked",
        "vacuum, to the end",
        "vacuum, no heat across",
        "pressure, while choked",
        "pressure, to the end",
        "pressure, no heat across, while choked",
        "pressure, no heat across",
    ],
)
def test_a_decay_takes_as_long_as_the_balance_says_when_it_is_integrated(
    way: tuple[float, float], one: float, size: tuple[float, float], fast: bool, seconds: float
) -> None:
    """Derived here; the figures come from scipy's solve_ivp on mass and energy, and are integrated once more."""
    start, end = way
    assert constants_between(start / AIR, end / AIR, fast=fast) * one == pytest.approx(seconds, rel=1e-6)
    assert integrated(start, *size, end, fast=fast) == pytest.approx(seconds, rel=1e-6)


def test_a_perfect_vacuum_is_gone_after_a_set_number_of_time_constants_and_not_ever_more_slowly() -> None:
    """1.85164, and the integral of dr/ψ(r) by scipy's quad."""
    assert constants_between(0, 1) == pytest.approx(1.85164, abs=1e-6)
    assert constants_between(0, 1) == pytest.approx(quad(lambda r: 1 / flow_function(r), 0, 1, limit=200)[0], rel=1e-6)
    assert ratio_after(0, 1.8517) == 1.0


def test_a_closed_volume_that_cools_seems_to_leak() -> None:
    """Ideal gas: 201.325 kPa from 50 to 20 °C lose 18.6902 kPa with no hole at all."""
    assert 201.325 - cooled(201.325, 50, 20) == pytest.approx(18.6902, abs=1e-4)


@given(START, st.floats(0, 1), st.booleans())
def test_time_and_pressure_undo_each_other(start: float, share: float, fast: bool) -> None:
    whole = constants_between(start, 1, fast=fast)
    end = ratio_after(start, whole * share, fast=fast)
    assert constants_between(start, end, fast=fast) == pytest.approx(whole * share, rel=1e-7, abs=1e-7)


@given(START, st.floats(0, 3), st.floats(0, 3), st.booleans())
def test_it_only_ever_comes_nearer_to_the_air_around(start: float, one: float, more: float, fast: bool) -> None:
    early, late = ratio_after(start, one, fast=fast), ratio_after(start, one + more, fast=fast)
    assert abs(late - 1) <= abs(early - 1) + 1e-9 <= abs(start - 1) + 2e-9


@given(START, st.floats(0.05, 0.95))
def test_no_heat_across_is_the_faster_of_the_two(start: float, share: float) -> None:
    end = start + (1 - start) * share
    slow, fast = constants_between(start, end), constants_between(start, end, fast=True)
    assert slow / GAMMA * (1 - 1e-9) <= fast <= slow * (1 + 1e-9)


@given(START, st.floats(0.01, 0.9))
def test_the_slope_is_how_the_ratio_changes(start: float, share: float) -> None:
    at = start + (1 - start) * share
    step = 1e-6
    assume(constants_between(at, 1) > 10 * step)
    assert abs(ratio_after(at, step) - at) / step == pytest.approx(slope(at), rel=1e-3, abs=1e-6)


@given(st.floats(1, 50_000), st.floats(0.005, 5), st.floats(-20, 60))
def test_hole_and_time_constant_undo_each_other(volume: float, mm: float, celsius: float) -> None:
    assert hole_of(1 / time_constant(volume, mm, celsius), volume, celsius) == pytest.approx(mm, rel=1e-9)


@given(START, st.floats(1, 3600), st.lists(st.floats(0.02, 0.9), min_size=1, max_size=8))
def test_readings_of_one_hole_give_that_hole_back(start: float, one: float, shares: list[float]) -> None:
    whole = constants_between(start, 1)
    readings = [(share * whole * one, ratio_after(start, share * whole)) for share in shares]
    assert fitted_rate(start, readings) == pytest.approx(1 / one, rel=1e-6)


def test_a_reading_that_is_off_pulls_less_among_others() -> None:
    good = [(10.0 * n, ratio_after(0.4, 0.01 * 10 * n)) for n in range(1, 6)]
    alone = fitted_rate(0.4, [(50.0, good[-1][1] + 0.02)])
    assert 0.01 < fitted_rate(0.4, [*good[:-1], (50.0, good[-1][1] + 0.02)]) < alone


def test_a_volume_found_level_with_the_air_says_how_large_the_hole_is_at_the_least() -> None:
    assert fitted_rate(0.4, [(30.0, 1.0), (60.0, 1.0)]) == pytest.approx(constants_between(0.4, 1) / 30)


def test_a_smaller_hole_with_a_wider_edge_lets_the_same_air_through() -> None:
    """Two litres from 20 to 15 inHg of vacuum in 8 h at 20 °C: 8.62474 µm at a Cd of 1, 11.0428 at 0.61; bisection of
    an integrated fill, scipy."""
    inch = 3.386389
    rate = constants_between((AIR - 20 * inch) / AIR, (AIR - 15 * inch) / AIR) / (8 * 3600)
    assert hole_of(rate, 2000, 20, 1.0) * 1e3 == pytest.approx(8.62474, rel=2e-5)
    assert hole_of(rate, 2000, 20) * 1e3 == pytest.approx(11.0428, rel=2e-5)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: constants_between(0.5, 0.4),
        lambda: constants_between(0.5, 1.1),
        lambda: constants_between(1.5, 0.9),
        lambda: constants_between(float("nan"), 1),
        lambda: ratio_after(0.5, -1),
        lambda: fitted_rate(0.5, []),
        lambda: fitted_rate(0.5, [(0, 0.6)]),
        lambda: time_constant(0, 1, 20),
        lambda: hole_of(-1, 10, 20),
        lambda: cooled(100, 20, -300),
    ],
)
def test_what_can_not_be_is_refused(ask: object) -> None:
    assert callable(ask)
    with pytest.raises(ImpossibleDecay):
        ask()
