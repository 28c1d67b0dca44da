"""What stretches show comes out as it was put in: on a healthy car nothing wrong, and each fault as what it is."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from app.airpath.readings import READINGS, ReadingKind
from app.traces.measures import shown
from app.traces.shown import Shown, chosen
from app.traces.stretches import stretches
from app.traces.trace import Trace
from app.traces.wander import wander
from app.triage.from_readings import USUAL_IDLE, boost_level, fuel_trim, idle_vacuum, vacuum_recovery
from app.triage.signs import SIGNS
from app.workings.spread import Baseline
from tests.traces.engine import AIR_KPA, Car
from tests.traces.generator import CYCLE, Sensors, drive

SHORT = CYCLE[:140]
#: The healthy car's own boost, as its baseline has it.
BOOST = Baseline(AIR_KPA * 0.98 + Car().boost_kpa, 2.0, 5)


def things(trace: Trace) -> dict[str, Shown]:
    return {one.key: one for one in chosen(shown(trace, stretches(trace))) if one.key != "spool"}


def signs(found: Mapping[str, Shown]) -> dict[str, str]:
    """Outcomes by sign: the trace's own, and those a baseline gives to its figures."""
    said = {one.sign: one.outcome for one in found.values() if one.sign and one.outcome}
    if "idle_vacuum" in found:
        said["idle_vacuum"] = idle_vacuum(found["idle_vacuum"].value, USUAL_IDLE)
    if "steady_boost" in found:
        said.setdefault("boost_level", boost_level(found["steady_boost"].value, AIR_KPA, BOOST))
    if "vacuum_recovery" in found:
        said["vacuum_recovery"] = vacuum_recovery(found["vacuum_recovery"].value)
    for key in ("fuel_trim_idle", "fuel_trim_load"):
        if key in found:
            said[key] = fuel_trim(found[key].value)
    return said


HEALTHY = {
    "idle_vacuum": "normal",
    "idle_needle": "steady",
    "idle_quality": "smooth",
    "boost_level": "on_target",
    "boost_stability": "steady",
    "vacuum_recovery": "prompt",
    "fuel_trim_idle": "normal",
    "fuel_trim_load": "normal",
}
FAULTS = {
    "boost hunts": (Car(boost_swing_kpa=9.0), {"boost_stability": "erratic"}),
    "boost is capped": (Car(boost_kpa=34.0, boost_duty=95.0), {"boost_level": "capped_low"}),
    "boost is low": (Car(boost_kpa=68.0), {"boost_level": "slightly_low"}),
    "boost is over target": (Car(boost_kpa=118.0), {"boost_level": "over_target"}),
    "idle vacuum is low": (Car(idle_kpa=46.0), {"idle_vacuum": "slightly_low"}),
    "the needle wavers": (Car(needle_kpa=4.0), {"idle_needle": "wavering"}),
    "the idle hunts": (Car(idle_hunts_rpm=90.0), {"idle_quality": "hunting"}),
    "the idle is high": (Car(idle_rpm=1300.0), {"idle_quality": "high"}),
    "vacuum is slow to come back": (Car(recovery_s=1.3), {"vacuum_recovery": "slow"}),
    "fuel is added at idle": (Car(trim_idle=14.0), {"fuel_trim_idle": "adding"}),
    "fuel is added under load": (Car(trim_load=12.0), {"fuel_trim_load": "adding"}),
    "fuel is taken away under load": (Car(trim_load=-12.0), {"fuel_trim_load": "removing"}),
    "air comes in through a hole": (Car(hole_mm=2.2), {"fuel_trim_idle": "adding"}),
}


@pytest.mark.parametrize(("seed", "rate"), [(1, 5.0), (2, 10.0), (3, 10.0), (4, 20.0), (5, 4.0)])
def test_a_healthy_drive_shows_nothing_wrong(seed: int, rate: float) -> None:
    trace, _ = drive(seed, sensors=Sensors(rate=rate), cycle=SHORT)
    assert signs(things(trace)) == HEALTHY


@pytest.mark.parametrize("fault", FAULTS, ids=str)
def test_a_fault_is_shown_as_what_it_is_and_nothing_else_is(fault: str) -> None:
    car, wrong = FAULTS[fault]
    trace, _ = drive(len(fault), car, cycle=SHORT)
    assert signs(things(trace)) == HEALTHY | wrong


def test_figures_are_those_of_the_car() -> None:
    car = Car(boost_swing_kpa=9.0, boost_swing_hz=1.3, idle_hunts_rpm=90.0)
    trace, _ = drive(3, car, cycle=SHORT)
    found = things(trace)
    assert found["steady_boost"].value == pytest.approx(AIR_KPA * 0.98 + car.boost_kpa, abs=2)
    assert found["boost_stability"].value == pytest.approx(9.0, abs=1.2)
    assert "1.3 times a second" in found["boost_stability"].words
    assert found["idle_quality"].value == pytest.approx(90, abs=12)
    assert "once in 2.2 s" in found["idle_quality"].words
    assert found["idle_vacuum"].value == pytest.approx(car.idle_kpa, abs=1)
    assert found["fuel_trim_idle"].value == pytest.approx(car.trim_idle, abs=1)
    assert found["airflow_idle"].value == pytest.approx(car.breathes(car.idle_kpa, car.idle_rpm), rel=0.05)
    spools = [one for one in chosen(shown(trace, stretches(trace))) if one.key == "spool"]
    assert [one.free_name for one in spools] == list(dict.fromkeys(one.free_name for one in spools))
    assert all(0.5 < one.value < 5 for one in spools)
    assert max(one.seconds for one in found.values() if one.channel == "manifold_pressure") <= trace.seconds


def test_everything_shown_lies_in_its_stretch_and_speaks_the_vocabulary() -> None:
    trace, _ = drive(4, cycle=SHORT)
    for one in shown(trace, stretches(trace)):
        assert one.stretch.begins - 1.01 <= one.begins <= one.ends <= one.stretch.ends
        if one.sign:
            assert one.outcome is None or one.outcome in SIGNS[one.sign].outcome_keys
        if one.reading:
            kind = READINGS[one.reading]
            assert one.condition in kind.conditions
            assert one.reading is ReadingKind.FREE or one.unit in kind.units
        assert one.reading or one.outcome
        assert trace.has(one.channel)


def test_without_coolant_an_idle_gives_figures_to_keep_and_no_sign() -> None:
    trace, _ = drive(5, cycle=SHORT)
    bare = Trace(trace.at, {name: of for name, of in trace.channels.items() if name != "coolant"})
    idle = [one for one in shown(bare, stretches(bare)) if one.stretch.doing == "idle"]
    assert idle
    assert all(one.sign is None and one.reading and "only if the engine was warm" in one.words for one in idle)


def test_a_cold_idle_says_nothing() -> None:
    trace, _ = drive(5, pulls=(), cycle=CYCLE[:60])
    cold = Trace(trace.at, dict(trace.channels) | {"coolant": np.full(trace.at.size, 20.0)})
    assert [one for one in shown(cold, stretches(cold)) if one.stretch.doing == "idle"] == []


def test_without_a_barometer_the_air_is_taken_as_given() -> None:
    trace, _ = drive(6, replace(Car(), boost_kpa=60.0), cycle=SHORT)
    bare = Trace(trace.at, {name: of for name, of in trace.channels.items() if name != "barometer"})
    found = {one.key: one for one in chosen(shown(bare, stretches(bare), 98.6))}
    assert found["steady_boost"].ambient_kpa == 98.6
    assert "spool" in found
    assert "spool" not in {one.key for one in shown(bare, stretches(bare))}


def test_boost_beyond_what_a_byte_can_say_is_no_reading_and_no_sign() -> None:
    trace, _ = drive(7, Car(boost_kpa=175.0), cycle=SHORT)
    cut = np.minimum(trace.channels["manifold_pressure"], 255.0)
    found = things(Trace(trace.at, dict(trace.channels) | {"manifold_pressure": cut}))
    for key in ("peak_boost", "steady_boost"):
        assert found[key].reading is None
        assert found[key].sign is None
        assert "how far it went above is not known" in found[key].words
    assert "boost_stability" not in found
    assert "vacuum_recovery" in found


@pytest.mark.parametrize("hz", [0.4, 1.3, 2.8])
def test_a_beat_is_found_by_size_and_pace_on_a_clock_that_is_not_even(hz: float) -> None:
    dice = np.random.default_rng(2)
    at = np.sort(dice.uniform(0, 12, 150))
    values = 190 + 0.4 * at - 0.03 * at**2 + 6 * np.sin(2 * np.pi * hz * at) + dice.normal(0, 0.8, at.size)
    values[70] = 20.0  # one wild sample
    found = wander(at, values)
    assert found is not None
    assert found.swing == pytest.approx(6, abs=0.6)
    assert found.hz == pytest.approx(hz, abs=0.06)


def test_noise_has_no_beat_and_too_little_is_no_wander() -> None:
    dice = np.random.default_rng(3)
    at = np.arange(0, 10, 0.1)
    found = wander(at, dice.normal(0, 1, at.size))
    assert found is not None
    assert found.hz is None
    assert wander(at[:4], at[:4]) is None
    still = wander(at, np.full(at.size, 7.0))
    assert still is not None
    assert still.swing == pytest.approx(0, abs=1e-9)
