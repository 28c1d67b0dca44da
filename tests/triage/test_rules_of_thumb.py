"""What fitters say to each other about a petrol turbo engine with a throttle. Common practice, no source, all of it."""

import pytest

from app.airpath.words import Layout, Material, Role, Suspect, TouchKind
from app.triage import from_readings
from app.triage.inputs import Candidate, Evidence, Touched
from app.triage.model import facts_of, rank
from app.triage.touches import touch_weight
from app.workings.pressure import Basis, to_absolute_kpa
from app.workings.spread import Baseline
from app.workings.units import PressureUnit
from tests.triage.conftest import one_of, order, ranked, share

SIGNAL_SIDE = (Role.DIVERTER_SIGNAL, Suspect.CHANGEOVER_SOLENOID, Role.VACUUM_STORE)
CHARGE_SIDE = (Role.CHARGE, Role.RECIRCULATION)
BOOSTED = (Layout.STORED_VACUUM, Layout.DIRECT_SIGNAL, Layout.ELECTRIC_DIVERTER)
SIGNALLED = (Layout.STORED_VACUUM, Layout.DIRECT_SIGNAL)


def at_sea_level(inches: float) -> float:
    return to_absolute_kpa(inches, PressureUnit.INHG, Basis.VACUUM, 101.325)


@pytest.mark.parametrize("inches", [18.0, 19.5, 21.0])
def test_two_thirds_of_an_atmosphere_at_idle_is_healthy(inches: float) -> None:
    assert from_readings.idle_vacuum(at_sea_level(inches)) == "normal"


def test_air_conditioning_costs_three_inches_and_is_no_fault_against_its_own_baseline() -> None:
    with_it = Baseline(at_sea_level(16.5), 1.2, 5)
    assert from_readings.idle_vacuum(at_sea_level(16.5), with_it) == "normal"
    assert from_readings.idle_vacuum(at_sea_level(16.5), Baseline(at_sea_level(19.5), 1.2, 5)) == "slightly_low"


@pytest.mark.parametrize("layout", SIGNALLED)
def test_a_slow_needle_with_boost_fine_is_the_signal_side_before_the_charge_side(layout: Layout) -> None:
    ranking = ranked(layout, {"vacuum_recovery": "slow", "boost_level": "on_target"})
    assert order(ranking)[0] in SIGNAL_SIDE
    assert share(ranking, *SIGNAL_SIDE) > 3 * share(ranking, *CHARGE_SIDE)


@pytest.mark.parametrize("layout", SIGNALLED)
def test_a_prompt_needle_clears_the_signal_side(layout: Layout) -> None:
    before = ranked(layout, {"boost_level": "slightly_low"})
    after = ranked(layout, {"boost_level": "slightly_low", "vacuum_recovery": "prompt"})
    assert share(after, *SIGNAL_SIDE) < 0.5 * share(before, *SIGNAL_SIDE)
    assert order(after)[0] == Role.CHARGE


def test_vacuum_gone_after_a_night_is_the_store_the_more_the_smaller_the_daytime_effect() -> None:
    shares = []
    for idle in ("normal", "slightly_low", "very_low"):
        ranking = ranked(Layout.STORED_VACUUM, {"first_start_vacuum": "low_then_builds", "idle_vacuum": idle})
        shares.append(share(ranking, Role.VACUUM_STORE))
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.5


@pytest.mark.parametrize("layout", BOOSTED)
def test_flutter_on_lift_off_is_a_diverter_valve_that_is_not_opened(layout: Layout) -> None:
    ranking = ranked(layout, {"lift_off_sound": "flutter"})
    assert order(ranking)[0] in (*SIGNAL_SIDE, Suspect.DIVERTER_VALVE)


@pytest.mark.parametrize("role", [Role.DIVERTER_SIGNAL, Role.MANIFOLD_SMALL])
def test_a_larger_leak_lowers_idle_vacuum_and_a_small_one_makes_the_needle_wander(role: Role) -> None:
    plain = share(ranked(Layout.DIRECT_SIGNAL), role)
    assert share(ranked(Layout.DIRECT_SIGNAL, {"idle_vacuum": "slightly_low"}), role) > plain
    assert share(ranked(Layout.DIRECT_SIGNAL, {"idle_needle": "wavering"}), role) > plain


@pytest.mark.parametrize("layout", BOOSTED)
def test_boost_that_will_not_hold_still_is_the_control_solenoid_or_its_hoses(layout: Layout) -> None:
    assert set(order(ranked(layout, {"boost_stability": "erratic"}))[:2]) == {
        Role.BOOST_CONTROL,
        Suspect.BOOST_SOLENOID,
    }


@pytest.mark.parametrize("layout", BOOSTED)
def test_boost_stuck_at_a_few_psi_is_the_engine_computer_protecting_itself(layout: Layout) -> None:
    assert order(ranked(layout, {"boost_level": "capped_low"}))[0] == Suspect.POWER_LIMIT


@pytest.mark.parametrize("layout", BOOSTED)
def test_what_else_is_seen_tells_the_three_kinds_of_capped_boost_apart(layout: Layout) -> None:
    assert order(ranked(layout, {"boost_level": "capped_low"}, codes=("P0243",)))[0] == Suspect.BOOST_SOLENOID
    steady = ranked(layout, {"boost_level": "capped_low", "boost_stability": "steady"})
    erratic = ranked(layout, {"boost_level": "capped_low", "boost_stability": "erratic"})
    assert share(steady, Suspect.POWER_LIMIT) > share(steady, Suspect.WASTEGATE)
    assert share(erratic, Suspect.WASTEGATE) > share(erratic, Suspect.POWER_LIMIT)


@pytest.mark.parametrize("layout", BOOSTED)
def test_no_boost_at_all_is_a_large_pipe_off_or_split(layout: Layout) -> None:
    ranking = ranked(layout, {"boost_level": "none"})
    assert order(ranking)[0] == Role.CHARGE
    assert one_of(layout, Role.CHARGE).id in [suspect.id for suspect in ranking.suspects[:6]]


def test_a_little_short_but_steady_is_a_small_line_on_the_charge_side_or_the_manifold() -> None:
    thin = Candidate("thin", Role.CHARGE, "Sensor hose on the cold pipe", bore_mm=5.0)
    wide = Candidate("wide", Role.CHARGE, "Cold pipe", bore_mm=60.0)
    short = Evidence({"boost_level": "slightly_low", "boost_stability": "steady"})
    small = {
        each.id: each.probability for each in rank(facts_of(Layout.DIRECT_SIGNAL), [thin, wide], (), short).suspects
    }
    assert small["thin"] > small["wide"]
    assert Role.MANIFOLD_SMALL in order(ranked(Layout.DIRECT_SIGNAL, dict(short.signs)))[:3]


def test_a_hose_only_leaned_on_breaks_when_it_is_hard_plastic_old_and_cold() -> None:
    def added(material: Material, age: float, temp: float) -> float:
        line = Candidate("line", Role.BOOST_CONTROL, "Line", material=material, age_years=age)
        return touch_weight(line, Touched("line", TouchKind.REACHED_PAST, 1, 10, temp))[0]

    hard = added(Material.HARD_PLASTIC, 12, 2)
    assert hard > added(Material.HARD_PLASTIC, 1, 2) > added(Material.HARD_PLASTIC, 1, 20)
    assert hard > 3 * added(Material.RUBBER, 12, 2) > added(Material.SILICONE, 12, 2)


@pytest.mark.parametrize("layout", BOOSTED)
def test_a_weak_soft_inlet_sucked_flat_is_short_at_high_flow_and_sound_at_low(layout: Layout) -> None:
    fresh = Touched(one_of(layout, Role.INTAKE).id, TouchKind.REPLACED, 10, 300)
    signs = {"boost_level": "slightly_low", "hiss": "none", "idle_vacuum": "normal", "fuel_trim_idle": "normal"}
    assert order(ranked(layout, signs, fresh))[0] == Role.INTAKE


@pytest.mark.parametrize("layout", BOOSTED)
def test_a_charge_leak_never_overboosts_and_a_control_line_off_does(layout: Layout) -> None:
    ranking = ranked(layout, {"boost_level": "over_target"})
    assert order(ranking)[0] == Role.BOOST_CONTROL
    assert share(ranking, Role.CHARGE) < 0.03


def test_a_meter_turns_a_manifold_leak_into_trims_and_a_pressure_sensor_into_idle_speed() -> None:
    lean = {"fuel_trim_idle": "adding"}
    assert share(ranked(Layout.DIRECT_SIGNAL, lean), Role.MANIFOLD_SMALL) > share(
        ranked(Layout.ELECTRIC_DIVERTER, lean), Role.MANIFOLD_SMALL
    )
    fast = {"idle_quality": "high", "fuel_trim_idle": "normal"}
    assert order(ranked(Layout.ELECTRIC_DIVERTER, fast))[0] == Role.MANIFOLD_SMALL


def test_metered_air_lost_under_boost_takes_fuel_away_and_smokes_black() -> None:
    signs = {"fuel_trim_load": "removing", "exhaust_smoke": "black_under_boost"}
    assert order(ranked(Layout.STORED_VACUUM, signs))[0] == Role.CHARGE


def test_air_going_round_inside_the_metered_loop_changes_no_trim() -> None:
    short = {"boost_level": "slightly_low"}
    before = ranked(Layout.STORED_VACUUM, short)
    after = ranked(Layout.STORED_VACUUM, short | {"fuel_trim_load": "normal"})
    assert share(after, Suspect.DIVERTER_VALVE) > share(before, Suspect.DIVERTER_VALVE)
    assert share(after, Role.CHARGE) < share(before, Role.CHARGE)


@pytest.mark.parametrize("layout", [Layout.STORED_VACUUM, Layout.TURBO_DIESEL, Layout.NATURALLY_ASPIRATED])
def test_a_hard_pedal_is_the_servo(layout: Layout) -> None:
    assert order(ranked(layout, {"brake_pedal": "hard"}))[0] == Role.BRAKE_SERVO


def test_on_a_pump_a_hard_pedal_with_boost_stuck_low_is_what_both_live_on() -> None:
    signs = {"brake_pedal": "hard", "boost_level": "capped_low"}
    assert order(ranked(Layout.TURBO_DIESEL, signs))[0] == Role.VACUUM_STORE


def test_a_touched_line_of_a_plausible_role_beats_an_untouched_one_and_of_an_implausible_role_does_not() -> None:
    signs = {"hiss": "at_idle", "fuel_trim_idle": "adding", "idle_vacuum": "slightly_low"}
    breather = Touched(one_of(Layout.STORED_VACUUM, Role.BREATHER).id, TouchKind.DISCONNECTED, 2, 40)
    charge = Touched(one_of(Layout.STORED_VACUUM, Role.CHARGE).id, TouchKind.DISCONNECTED, 2, 40)
    assert order(ranked(Layout.STORED_VACUUM, signs))[0] == Role.MANIFOLD_SMALL
    assert order(ranked(Layout.STORED_VACUUM, signs, breather))[0] == Role.BREATHER
    assert order(ranked(Layout.STORED_VACUUM, signs, charge))[0] == Role.MANIFOLD_SMALL
