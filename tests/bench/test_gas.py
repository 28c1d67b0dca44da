"""Orifice flow against published figures and worked cases."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.bench.gas import CHOKED, CRITICAL_RATIO, R_AIR, area, flow_function, in_series, mass_flow

KPA = st.floats(1.0, 400.0)


def test_air_chokes_at_the_published_ratio() -> None:
    assert pytest.approx(0.528282, abs=1e-6) == CRITICAL_RATIO  # NACA Report 1135 (1953)
    assert pytest.approx(0.684731, abs=1e-6) == CHOKED
    assert pytest.approx(0.0404147, abs=1e-6) == CHOKED / sqrt(R_AIR)  # the choked mass-flow parameter, SI


@pytest.mark.parametrize(
    ("diameter_mm", "up_kpa", "up_k", "down_kpa", "grams"),
    [
        (2.0, 201.325, 323.15, 101.325, 0.867391),  # boost leak, choked
        (2.0, 151.325, 313.15, 101.325, 0.632302),  # boost leak, not choked
        (3.175, 101.325, 288.15, 35.0, 1.165075),  # vacuum leak at idle, choked
    ],
)
def test_a_hole_lets_through_what_was_worked_out_for_it(
    diameter_mm: float, up_kpa: float, up_k: float, down_kpa: float, grams: float
) -> None:
    """Isentropic orifice, Cd 0.61, worked out apart from this program and by Mach number with fluids 1.3."""
    assert 1e3 * mass_flow(up_kpa, down_kpa, up_k, 0.61 * area(diameter_mm)) == pytest.approx(grams, rel=2e-6)


def test_a_store_fills_through_a_small_hole_in_the_worked_time() -> None:
    """Two litres from 20 to 90 kPa through 0.1 mm, isothermal: 1555.06 s in closed form."""
    cda, stiffness = 0.61 * area(0.1), R_AIR * 293.15 / 2e-3 / 1e3

    def full(_t: float, y: list[float]) -> float:
        return y[0] - 90.0

    full.terminal = True  # type: ignore[attr-defined]  # how solve_ivp is told to stop
    solved = solve_ivp(
        lambda _t, y: [stiffness * mass_flow(101.325, y[0], 293.15, cda)],
        (0, 3000),
        [20.0],
        events=full,
        rtol=1e-8,
        atol=1e-8,
    )
    assert solved.t_events[0][0] == pytest.approx(1555.0572, rel=1e-4)


@given(KPA, KPA)
def test_flow_runs_downhill_and_turns_with_the_pressures(one: float, other: float) -> None:
    there, back = mass_flow(one, other, 293.15, 1e-6), mass_flow(other, one, 293.15, 1e-6)
    assert there == -back
    assert there * (one - other) >= 0


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_the_deeper_the_drop_the_more_flows_until_it_chokes(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert flow_function(low) >= flow_function(high)


@given(st.floats(1e-9, 1e-3), st.floats(1e-9, 1e-3))
def test_two_holes_in_a_row_let_through_less_than_either(one: float, other: float) -> None:
    assert in_series(one, other) < min(one, other)
