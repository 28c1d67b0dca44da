"""Thinning for a chart loses no peak, keeps the order of time, and is small."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.traces.thin import part_of, spread_of, thinned, within
from app.traces.trace import Trace

figures = st.floats(-1000, 1000) | st.just(float("nan"))


@st.composite
def traces(draw: st.DrawFn) -> Trace:
    values = draw(st.lists(figures, min_size=2, max_size=300))
    steps = draw(st.lists(st.floats(0, 3), min_size=len(values) - 1, max_size=len(values) - 1))
    return Trace(np.r_[0.0, np.cumsum(steps)], {"throttle": np.array(values)})


@given(traces(), st.integers(1, 40), st.floats(0, 1), st.floats(0, 1))
def test_the_least_and_greatest_of_every_window_stay_and_nothing_is_made_up(
    trace: Trace, columns: int, one: float, other: float
) -> None:
    start, end = sorted((one * trace.seconds, other * trace.seconds))
    found = thinned(trace, ["throttle"], start, end, columns)
    line, there = found.channels["throttle"], trace.channels["throttle"]
    part = part_of(trace, start, end)
    assert line.shape == found.at.shape
    assert found.at.size <= max(2 * columns, 2)
    assert np.all(np.diff(found.at) >= 0)
    assert set(line[np.isfinite(line)]) <= set(there[part][np.isfinite(there[part])])
    told = spread_of(there[within(trace, start, end)])
    if told.low is not None and told.high is not None:
        assert np.nanmin(line) <= told.low
        assert np.nanmax(line) >= told.high


@given(traces(), st.integers(1, 40))
def test_of_the_whole_exactly_the_least_and_greatest_stay(trace: Trace, columns: int) -> None:
    line = thinned(trace, ["throttle"], 0, trace.seconds, columns).channels["throttle"]
    drawn, told = spread_of(line), spread_of(trace.channels["throttle"])
    assert (drawn.low, drawn.high) == (told.low, told.high)


def test_one_sample_at_fifty_a_second_for_an_hour_is_seen() -> None:
    at = np.arange(0, 3600, 0.02)
    figures = np.full(at.size, 100.0)
    figures[123_457] = 250.0
    found = thinned(Trace(at, {"manifold_pressure": figures}), ["manifold_pressure"], 0, 3600, 400)
    assert found.at.size == 800
    assert np.flatnonzero(found.channels["manifold_pressure"] == 250.0).size == 1


def test_a_line_goes_the_way_the_figures_went() -> None:
    at = np.arange(100.0)
    rising = Trace(at, {"up": at, "down": -at})
    found = thinned(rising, ["up", "down"], 0, 99, 10)
    assert np.all(np.diff(found.channels["up"]) > 0)
    assert np.all(np.diff(found.channels["down"]) < 0)


def test_few_samples_are_given_as_they_are_and_with_one_either_side() -> None:
    trace = Trace(np.arange(10.0), {"gear": np.arange(10.0)})
    assert thinned(trace, ["gear"], 3.5, 5.5, 100).at.tolist() == [3.0, 4.0, 5.0, 6.0]
    assert thinned(trace, ["gear"], 0, 9, 100).at.size == 10


def test_what_is_not_there_is_no_figure() -> None:
    assert spread_of(np.array([np.nan])) == spread_of(np.array([]))
    with pytest.raises(KeyError):
        thinned(Trace(np.arange(3.0)), ["gear"], 0, 2, 4)
    with pytest.raises(ValueError, match="at least one column"):
        thinned(Trace(np.arange(3.0)), [], 0, 2, 0)
