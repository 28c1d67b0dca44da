"""Two logs over each other: steps of engine speed against a plain count, and a line against time."""

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.traces.overlay import by_speed, by_time, is_wide_open
from app.traces.trace import Trace
from tests.logs import drive

some = st.floats(0, 8000) | st.just(float("nan"))


@example([(math.nextafter(1500, 0), 1.0, 50.0)], False)
@given(st.lists(st.tuples(some, some, st.floats(0, 100)), min_size=1, max_size=80), st.booleans())
def test_a_step_of_engine_speed_holds_what_was_read_in_it(
    samples: list[tuple[float, float, float]], wide_open: bool
) -> None:
    rpm, figures, throttle = (np.array(one) for one in zip(*samples, strict=True))
    trace = Trace(np.arange(float(len(samples))), {"engine_speed": rpm, "air_flow": figures, "throttle": throttle})
    plain: dict[float, list[float]] = {}
    for speed, figure, pedal in samples:
        if np.isfinite(speed) and np.isfinite(figure) and (pedal >= 90 or not wide_open):
            plain.setdefault(speed // 500 * 500, []).append(figure)
    found = by_speed(trace, "air_flow", 500, wide_open=wide_open)
    assert [one.start for one in found] == sorted(plain)
    for one in found:
        mine = plain[one.start]
        assert (one.low, one.high, one.count) == (min(mine), max(mine), len(mine))
        assert one.mean == pytest.approx(sum(mine) / len(mine), abs=1e-9)


def test_with_the_throttle_wide_open_only_the_pulls_count() -> None:
    trace = drive(190)
    assert {one.start for one in by_speed(trace, "manifold_pressure", 500)} == {2000.0 + 500 * n for n in range(9)}
    opened = by_speed(trace, "manifold_pressure", 500, wide_open=True)
    assert min(one.low for one in opened) >= 100
    assert min(one.low for one in by_speed(trace, "manifold_pressure", 500)) == 60


def test_a_log_that_tells_nothing_of_the_throttle_has_nothing_wide_open() -> None:
    trace = drive(190)
    bare = Trace(trace.at, {name: trace.channels[name] for name in ("engine_speed", "manifold_pressure")})
    assert is_wide_open(bare) is None
    assert by_speed(bare, "manifold_pressure", 500, wide_open=True) == ()
    assert by_speed(bare, "throttle", 500) == ()
    with pytest.raises(ValueError, match="above nought"):
        by_speed(bare, "manifold_pressure", 0)


def test_against_time_a_log_begins_where_it_is_told_to() -> None:
    trace = drive(190, 210)
    line = by_time(trace, "manifold_pressure", 20.0, np.array([-20.5, 10.0, 19.0, 20.0]))
    assert np.isnan(line[[0, 3]]).all()
    assert line[1:3].tolist() == [210.0, 60.0]
    assert np.isnan(by_time(trace, "gear", 0.0, np.array([1.0]))).all()
