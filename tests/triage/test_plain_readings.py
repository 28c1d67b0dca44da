"""A figure judged by plain limits comes to what the rules themselves say of it."""

import json

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.airpath.readings import ReadingKind
from app.triage.from_readings import first_start_vacuum, signs_from
from app.triage.plain_readings import LOW, Steps, plain_readings, steps_of
from app.workings.spread import Baseline

SIGN = {
    ReadingKind.IDLE_VACUUM: "idle_vacuum",
    ReadingKind.PEAK_BOOST: "boost_level",
    ReadingKind.STEADY_BOOST: "boost_level",
    ReadingKind.VACUUM_RECOVERY: "vacuum_recovery",
    ReadingKind.FUEL_TRIM_IDLE: "fuel_trim_idle",
    ReadingKind.FUEL_TRIM_LOAD: "fuel_trim_load",
}
usual = st.builds(Baseline, st.floats(-20, 300), st.floats(0.01, 20), st.just(3))
air = st.floats(60, 105)


def judged(steps: Steps, value: float) -> str | None:
    return next((outcome for limit, outcome in steps if limit is None or value <= limit), None)


def on_a_limit(steps: Steps, value: float) -> bool:
    return any(limit is not None and abs(limit - value) < 1e-9 for limit, _ in steps)


@given(st.sampled_from(list(SIGN)), st.none() | usual, air, st.floats(-40, 400))
def test_the_first_limit_it_does_not_pass_says_what_a_figure_shows(
    kind: ReadingKind, own: Baseline | None, ambient: float, value: float
) -> None:
    healthy = {kind: own} if own else {}
    steps = steps_of(kind, healthy, ambient)
    assume(not on_a_limit(steps, value))  # where the last binary digit decides
    assert judged(steps, value) == signs_from({kind: value}, healthy, ambient).get(SIGN[kind])


@given(st.none() | usual, st.none() | usual, st.floats(0, 110))
def test_low_at_the_first_start_waits_for_idle_vacuum(
    own: Baseline | None, idle: Baseline | None, value: float
) -> None:
    known = {ReadingKind.FIRST_START_VACUUM: own, ReadingKind.IDLE_VACUUM: idle}
    healthy = {kind: one for kind, one in known.items() if one}
    steps = steps_of(ReadingKind.FIRST_START_VACUUM, healthy, 101.325)
    assume(not on_a_limit(steps, value))
    base = own or idle
    said = first_start_vacuum(value, base) if base else first_start_vacuum(value)
    assert judged(steps, value) == (said or LOW)


def test_units_and_bases_are_numbers_too() -> None:
    plain = plain_readings({}, 100.0)
    idle = json.loads(json.dumps(plain["idle_vacuum"]))
    assert idle["bases"] == {"vacuum": [100.0, -1], "absolute": [0, 1]}
    assert idle["units"]["inHg"] == pytest.approx(3.386389, abs=1e-6)  # NIST SP 811 (2008) App. B.8
    assert "peak_boost" not in plain  # no two cars share a target
    assert "airflow_idle" not in plain
