"""Springs, valves and the engine as a pump, one at a time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.bench import constants as c
from tests.bench.parts import compressor_out, diverter_lift, engine_air, flap_lift, follow, torque, vanes_shut


def test_a_two_litre_engine_at_idle_swallows_some_four_grams_a_second() -> None:
    """From memory: two to four on a meter at warm idle."""
    assert 2e-3 < engine_air(850, 35.0, 101.325, 315.0) < 5e-3


def test_the_compressor_at_full_energy_makes_more_than_twice_ambient() -> None:
    assert compressor_out(c.AMBIENT_KPA, c.TURBO_INERTIA_J, 1.0) > 2 * c.AMBIENT_KPA
    assert compressor_out(c.AMBIENT_KPA, 0.0, 1.0) == c.AMBIENT_KPA


def test_vacuum_opens_the_diverter_valve_and_boost_on_both_sides_holds_it_shut() -> None:
    boost = c.AMBIENT_KPA + c.TARGET_BOOST_KPA
    assert diverter_lift(boost, c.AMBIENT_KPA, boost, c.DIVERTER_SPRING_KPA) == 0.0
    assert diverter_lift(boost, c.AMBIENT_KPA, 40.0, c.DIVERTER_SPRING_KPA) == 1.0


def test_without_its_signal_the_spring_alone_holds_the_diverter_valve_to_half_boost() -> None:
    half = c.AMBIENT_KPA + c.TARGET_BOOST_KPA / 2
    assert diverter_lift(half, c.AMBIENT_KPA, c.AMBIENT_KPA, c.DIVERTER_SPRING_KPA) == 0.0


def test_the_wastegate_stays_shut_without_pressure_and_opens_past_its_spring() -> None:
    assert flap_lift(c.AMBIENT_KPA, 150.0, 1.0) == 0.0
    assert flap_lift(c.AMBIENT_KPA + 70.0, 150.0, 1.0) == 1.0


def test_a_diesel_s_vanes_rest_open_without_vacuum() -> None:
    assert vanes_shut(c.AMBIENT_KPA) == 0.0
    assert vanes_shut(20.0) == 1.0


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 0.3))
def test_a_part_that_sticks_does_not_stir_until_it_is_pushed_hard_enough(at: float, to: float, sticks: float) -> None:
    moves = follow(at, to, sticks)
    if abs(to - at) <= sticks:
        assert moves == 0.0
    else:
        assert (moves > 0) == (to > at)


@given(st.floats(0.5, 2.0))
def test_no_mixture_pulls_harder_than_the_right_one(mixture: float) -> None:
    assert torque(4e-3, 850, mixture, 1.0) <= torque(4e-3, 850, 1.0, 1.0)


def test_exhaust_left_behind_takes_room_from_fresh_air() -> None:
    assert engine_air(3000, 100.0, 250.0, 315.0) < engine_air(3000, 100.0, 101.0, 315.0)
    slow, fast = (engine_air(rpm, 100.0, 101.325, 315.0) for rpm in (1500, 3000))
    assert fast == pytest.approx(2 * slow)
