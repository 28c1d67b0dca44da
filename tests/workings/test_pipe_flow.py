"""Air through a pipe: figures worked out from the formulas, published Fanno tables, and the library `fluids`."""

import pytest
from fluids.compressible import isothermal_gas
from fluids.friction import Colebrook
from hypothesis import given, settings
from hypothesis import strategies as st

from app.workings.pipe_flow import Air, ImpossibleFlow, Pipe, airflow_for_power, fanno_length, flow, friction_factor

CHARGE = Air(200.0, 50.0)
CHARGE_PIPE = Pipe(63.5, 1000.0, 1.5)


def test_a_charge_pipe_s_speed_mach_and_reynolds_number() -> None:
    # V = m/(rho A), M = V/sqrt(gamma R T), Re = rho V D/mu; Sutherland's constants of the U.S. Standard
    # Atmosphere 1976. CoolProp, as a real gas: 21.96191, 0.06091335, 153071.3
    found = flow(150.0, CHARGE, CHARGE_PIPE)
    assert found.speed_ms == pytest.approx(21.968, rel=1e-5)
    assert found.mach == pytest.approx(0.06096, rel=1e-4)  # printed to four figures
    assert found.reynolds == pytest.approx(153958, rel=1e-5)


def test_a_charge_pipe_s_friction_by_colebrook_and_white() -> None:
    # by Colebrook-White and Darcy-Weisbach; the library's own Colebrook gives 0.01663365
    found = flow(150.0, CHARGE, CHARGE_PIPE)
    assert found.friction == pytest.approx(0.0166337, rel=5e-6)
    incompressible = found.friction * CHARGE_PIPE.length_mm / CHARGE_PIPE.bore_mm * found.dynamic_pa
    assert incompressible == pytest.approx(136.279, rel=1e-5)


def test_a_charge_pipe_s_loss_as_air_expands_along_it() -> None:
    # isothermal gas-flow equation, p1^2 - p2^2 = (m/A)^2 R T (f L/D + 2 ln(p1/p2)); fluids.isothermal_gas: 137.0388
    assert flow(150.0, CHARGE, CHARGE_PIPE).loss_kpa * 1e3 == pytest.approx(137.0388, abs=1e-3)


@pytest.mark.parametrize(("mach", "length"), [(0.1, 66.922), (0.2, 14.533), (0.3, 5.2993), (0.5, 1.0691)])
def test_fanno_s_length_is_that_of_the_tables(mach: float, length: float) -> None:
    # published Fanno tables, gamma 1.4 (Farokhi, Aircraft Propulsion, app. E; the last two from memory)
    assert fanno_length(mach) == pytest.approx(length, abs=5e-4)


def test_a_turbo_inlet_pipe() -> None:
    # the same formulas, 150 g/s through 70 mm at 100 kPa absolute and 20 °C
    found = flow(150.0, Air(100.0, 20.0), Pipe(70.0, 300.0))
    assert found.speed_ms == pytest.approx(32.7987, rel=1e-5)
    assert found.mach == pytest.approx(0.095558, rel=1e-5)
    assert found.dynamic_pa == pytest.approx(639.19, rel=1e-5)


def test_air_for_a_power_is_what_the_words_mean() -> None:
    # 200 kW x 300 g/kWh is 60 kg/h of fuel, times 12 of air is 720 kg/h, which is 200 g/s
    assert airflow_for_power(200.0, 300.0, 12.0) == pytest.approx(200.0)


@settings(deadline=None)
@given(st.floats(2301, 1e7), st.floats(0, 0.05))
def test_friction_agrees_with_a_library(reynolds: float, roughness: float) -> None:
    assert friction_factor(reynolds, roughness) == pytest.approx(Colebrook(reynolds, roughness), rel=1e-9)


@settings(deadline=None)
@given(st.floats(20, 400), st.floats(40, 100), st.floats(50, 3000), st.floats(90, 300), st.floats(-20, 150))
def test_loss_agrees_with_a_library_or_both_say_that_it_will_not_fit(
    mass: float, bore: float, length: float, pressure: float, temperature: float
) -> None:
    air = Air(pressure, temperature)
    try:
        found = flow(mass, air, Pipe(bore, length))
    except ImpossibleFlow:
        # choked at its start, or along it: 1 - the isothermal limit of Mach 1/sqrt(gamma)
        assert mass / 1e3 / (air.density * Pipe(bore, length).area_m2) / air.sound_ms > 0.3
        return
    with_library = isothermal_gas(
        rho=air.density, fd=found.friction, P1=pressure * 1e3, m=mass / 1e3, D=bore / 1e3, L=length / 1e3
    )
    assert found.loss_kpa * 1e3 == pytest.approx(pressure * 1e3 - with_library, rel=1e-6, abs=1e-3)


@given(st.floats(20, 200), st.floats(50, 90), st.floats(0.5, 10))
def test_a_wider_pipe_costs_less(mass: float, bore: float, more: float) -> None:
    narrow, wide = flow(mass, CHARGE, Pipe(bore, 500)), flow(mass, CHARGE, Pipe(bore + more, 500))
    assert wide.loss_kpa < narrow.loss_kpa
    assert wide.speed_ms < narrow.speed_ms


def test_slow_air_flows_smoothly() -> None:
    assert friction_factor(1000.0, 0.01) == pytest.approx(0.064)  # 64/Re, whatever the wall


def test_more_air_than_fits_is_refused_with_a_sentence() -> None:
    with pytest.raises(ImpossibleFlow, match="500 g/s is more than a 20 mm pipe can pass"):
        flow(500.0, Air(100.0, 20.0), Pipe(20.0, 300.0))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Air(0.0, 20.0),
        lambda: Air(100.0, -300.0),
        lambda: Air(float("nan"), 20.0),
        lambda: Pipe(0.0, 100.0),
        lambda: Pipe(60.0, -1.0),
        lambda: Pipe(60.0, 100.0, -1.0),
        lambda: flow(0.0, CHARGE, CHARGE_PIPE),
        lambda: flow(float("inf"), CHARGE, CHARGE_PIPE),
        lambda: friction_factor(0.0, 0.0),
        lambda: fanno_length(0.0),
        lambda: airflow_for_power(0.0, 300.0, 12.0),
    ],
)
def test_what_can_not_be_is_refused(wrong: object) -> None:
    assert callable(wrong)
    with pytest.raises(ImpossibleFlow):
        wrong()
