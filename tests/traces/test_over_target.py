"""Where a log goes over the boost target: sample by sample the same as the target's own word for one reading."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.traces.over_target import JOINED_S, stretches_over, target_along
from app.traces.trace import Trace
from app.workings.boost_target import BoostTarget
from tests.logs import drive

TARGET = BoostTarget([(2000, 140.0), (3000, 200.0), (6000, 200.0), (7000, 180.0)], 8.0, 240.0)


@given(st.lists(st.tuples(st.floats(50, 300), st.floats(500, 8000) | st.none()), min_size=1, max_size=60))
def test_every_sample_over_target_is_in_a_stretch_and_none_begins_or_ends_with_another(
    samples: list[tuple[float, float | None]],
) -> None:
    kpa = np.array([one for one, _ in samples])
    rpm = np.array([np.nan if one is None else one for _, one in samples])
    trace = Trace(np.array([n / 10 for n in range(len(samples))]), {"manifold_pressure": kpa, "engine_speed": rpm})
    beside = [TARGET.beside(one, speed) for one, speed in samples]
    assert target_along(trace, TARGET) == pytest.approx([one.target_kpa for one in beside])
    found = stretches_over(trace, TARGET)
    marked = {n for one in found for n in range(round(one.start * 10), round(one.end * 10) + 1)}
    over = {n for n, one in enumerate(beside) if one.is_over}
    edges = {round(end * 10) for one in found for end in (one.start, one.end, one.at)}
    assert edges <= over
    alone = over - marked
    assert all(kpa[n] <= 240.0 for n in alone)  # only one sample by itself, and not above the limit, is left out
    assert all(not {n - 1, n + 1} & over for n in alone)


def test_a_pull_over_target_is_one_stretch_with_its_worst() -> None:
    (one,) = stretches_over(drive(195, 228), TARGET)
    assert 25 < one.start < one.at <= one.end < 35.1
    assert one.kpa == pytest.approx(228)
    assert one.off_kpa == pytest.approx(one.kpa - one.target_kpa)
    assert one.rpm == pytest.approx(6455, abs=50)
    assert not one.is_limit


def test_above_the_limit_one_sample_is_enough() -> None:
    trace = drive(190)
    trace.channels["manifold_pressure"][100] = 235.0
    assert stretches_over(trace, TARGET) == ()
    trace.channels["manifold_pressure"][100] = 241.0
    (one,) = stretches_over(trace, TARGET)
    assert one.is_limit
    assert one.start == one.end == 10.0


def test_two_stretches_near_each_other_are_one() -> None:
    trace = drive(190, rate=50)
    kpa = trace.channels["manifold_pressure"]
    apart = round(JOINED_S * 50)
    kpa[500:505] = kpa[504 + apart : 510 + apart] = 230.0
    assert len(stretches_over(trace, TARGET)) == 1
    kpa[504 + apart] = 190.0
    assert len(stretches_over(trace, TARGET)) == 2


def test_without_an_engine_speed_the_highest_target_counts_and_without_pressure_nothing_is_said() -> None:
    trace = drive(207, 209)
    both = {name: trace.channels[name] for name in ("manifold_pressure", "throttle")}
    (one,) = stretches_over(Trace(trace.at, both), TARGET)
    assert one.start > 20
    assert one.rpm is None
    assert stretches_over(Trace(trace.at, {"throttle": trace.channels["throttle"]}), TARGET) == ()
