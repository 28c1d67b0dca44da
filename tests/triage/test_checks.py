"""Direct checks: each suspect has some, each has its words, and each minds what a hand could meet."""

import pytest

from app.airpath.words import Layout, Material, Role, Suspect
from app.triage.check_words import CAUTION, HOW_TO, METHOD_LABEL, PASS
from app.triage.checks import caution_for, check_named, checks_for, how_to, what_a_pass_is
from app.triage.inputs import Candidate
from tests.triage.conftest import car


def line(role: Role, material: Material | None = Material.RUBBER, bore: float | None = 5.0) -> Candidate:
    return Candidate("line", role, "A line", material=material, bore_mm=bore)


def methods(candidate: Candidate, *, throttle_vacuum: bool = True) -> set[str]:
    return {check.method for check in checks_for(candidate, throttle_vacuum=throttle_vacuum)}


def test_everything_that_can_be_at_fault_can_be_checked_directly(layout: Layout) -> None:
    facts, candidates = car(layout)
    for candidate in candidates:
        for check in checks_for(candidate, throttle_vacuum=facts.throttle_vacuum):
            assert 0 < check.false_alarm < check.hit < 1
            assert check.minutes > 0
            assert 1 <= len(how_to(candidate, check.method)) <= 3
            assert what_a_pass_is(candidate, check.method)
            assert caution_for(candidate, check.method)
        assert checks_for(candidate, throttle_vacuum=facts.throttle_vacuum)


def test_every_method_has_all_its_words() -> None:
    assert set(METHOD_LABEL) == set(HOW_TO) == set(PASS) == set(CAUTION)


def test_a_hose_that_cannot_be_pinched_is_not_pinched() -> None:
    assert "pinch_off" in methods(line(Role.MANIFOLD_SMALL))
    assert "pinch_off" not in methods(line(Role.MANIFOLD_SMALL, Material.HARD_PLASTIC))
    assert "pinch_off" not in methods(line(Role.BREATHER, bore=25.0))
    assert "pinch_off" not in methods(line(Role.BRAKE_SERVO), throttle_vacuum=False)


def test_what_carries_boost_is_pressure_tested_and_what_holds_vacuum_is_pumped() -> None:
    assert {"pressure_test", "soapy_water"} <= methods(line(Role.CHARGE, bore=60.0))
    assert "hand_vacuum_pump" in methods(line(Role.VACUUM_STORE))
    assert checks_for(Candidate("x", Suspect.SOMETHING_ELSE, "")) == ()


def test_a_pressure_test_states_its_limit_and_a_servo_is_not_driven_on() -> None:
    assert "parts can fly off" in caution_for(line(Role.CHARGE), "pressure_test")
    assert "do not drive" in caution_for(line(Role.BRAKE_SERVO), "look_and_feel")
    assert "do not drive" in caution_for(line(Role.FUEL_REGULATOR), "look_and_feel")
    assert "no flammable spray" in caution_for(line(Role.CHARGE), "soapy_water")


def test_a_method_unusual_for_a_part_still_counts_and_one_that_is_none_is_refused() -> None:
    assert check_named(line(Role.GAUGE), "pressure_test").hit > 0.5
    assert check_named(line(Role.GAUGE), "swap").hit > 0.5
    with pytest.raises(KeyError):
        check_named(line(Role.GAUGE), "divination")
