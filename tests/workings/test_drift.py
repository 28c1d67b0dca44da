"""Which readings drift: what has to hold for any, and how often a healthy car is told of a drift, by simulation."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.drift import ENOUGH, Rule, Way, judge, settled
from app.workings.spread import Baseline

RULES = st.sampled_from(Rule)
USUAL = Baseline(20.0, 0.5, 0)
#: Figures binary arithmetic is exact about, so that nothing hangs on a last digit.
READINGS = st.lists(st.integers(-64, 64).map(lambda n: 20 + n / 16), min_size=1, max_size=40)


@given(READINGS, RULES, st.integers(-50, 50))
def test_shifting_all_readings_and_what_is_usual_changes_no_verdict(values: list[float], rule: Rule, by: int) -> None:
    moved = judge([value + by for value in values], Baseline(USUAL.centre + by, USUAL.spread, 0), rule).drift
    here = judge(values, USUAL, rule).drift
    assert (moved and (moved.way, moved.since)) == (here and (here.way, here.since))


@given(READINGS, RULES, st.sampled_from([0.25, 0.5, 2.0, 8.0]))
def test_another_unit_changes_no_verdict(values: list[float], rule: Rule, one: float) -> None:
    there = judge([value * one for value in values], Baseline(USUAL.centre * one, USUAL.spread * one, 0), rule).drift
    here = judge(values, USUAL, rule).drift
    assert (there and (there.way, there.since)) == (here and (here.way, here.since))


@given(READINGS, RULES)
def test_readings_turned_upside_down_drift_the_other_way(values: list[float], rule: Rule) -> None:
    other = judge([40 - value for value in values], USUAL, rule).drift
    here = judge(values, USUAL, rule).drift
    assert (other is None) == (here is None)
    if other and here:
        assert {other.way, here.way} == {Way.UP, Way.DOWN}
        assert other.since == here.since
        assert other.shift == pytest.approx(-here.shift)


@given(READINGS, RULES)
def test_a_drift_is_away_from_what_is_usual_and_ends_at_the_last_reading(values: list[float], rule: Rule) -> None:
    drift = judge(values, USUAL, rule).drift
    if drift is not None:
        assert 0 <= drift.since < len(values)
        assert (drift.shift > 0) == (drift.way is Way.UP)


def test_a_slow_slide_is_told_and_since_when() -> None:
    # Its first step, half a spread off, is not told from chance yet: the drift begins with the one after.
    slide = [20.0, 20.25, 19.75, 20.0, 20.25, 19.75, 19.5, 19.25, 19.0, 18.75]
    for rule in (Rule.EWMA, Rule.CUSUM):
        drift = judge([*slide, 18.5, 18.5], USUAL, rule).drift
        assert drift is not None
        assert (drift.way, drift.since) == (Way.DOWN, 6)


@pytest.mark.parametrize("rule", [Rule.EWMA, Rule.CUSUM])
def test_one_wild_reading_is_a_fault_and_no_drift(rule: Rule) -> None:
    steady = [20.0, 20.25, 19.75, 20.0, 20.25]
    assert judge([*steady, 5.0], USUAL, rule).drift is None
    assert judge([*steady, 5.0, 20.0], USUAL, rule).drift is None


@pytest.mark.parametrize("rule", Rule)
@pytest.mark.parametrize("long", [3, 10, 30])
def test_three_good_readings_end_a_drift_however_long_it_was(rule: Rule, long: int) -> None:
    assert judge([20.0] * 5 + [15.0] * long + [20.0] * 3, USUAL, rule).drift is None


@pytest.mark.parametrize("rule", Rule)
def test_no_reading_is_no_drift(rule: Rule) -> None:
    assert judge([], USUAL, rule).drift is None
    with pytest.raises(ValueError, match="a number"):
        judge([float("nan")], USUAL, rule)


def test_a_slow_drift_that_was_called_healthy_hardly_widens_what_it_is_held_to() -> None:
    steady = [20.0, 20.2, 19.8, 20.1, 19.9, 20.0, 20.2, 19.8, 20.1, 19.9]
    slide = [*steady, *(20 - 0.1 * n for n in range(1, 11))]
    before, after = settled(steady, 0.1), settled(slide, 0.1)
    assert before is not None
    assert after is not None
    assert after.spread <= before.spread


def test_too_few_healthy_readings_settle_nothing_and_the_gauge_is_never_outdone() -> None:
    assert settled([20.0] * (ENOUGH - 1), 0.1) is None
    assert settled([20.0] * ENOUGH, 0.1) == Baseline(20.0, 0.1, ENOUGH)


@pytest.mark.parametrize(("rule", "most"), [(Rule.EWMA, 0.010), (Rule.CUSUM, 0.008), (Rule.INDIVIDUALS, 0.014)])
def test_a_healthy_car_is_seldom_told_of_a_drift(rule: Rule, most: float) -> None:
    # The figures in app/workings/drift.py's docstring (0.5, 0.3 and 0.7 % or so), by 3000 cars of 20 readings.
    draw, told = Random(1), 0  # noqa: S311  # a simulation, not a secret
    for _ in range(3000):
        values = [draw.gauss(0, 1) for _ in range(20)]
        held_to = settled(values, 1e-9)
        assert held_to is not None
        told += judge(values, held_to, rule).drift is not None
    assert 0 < told / 3000 < most


@pytest.mark.parametrize(("rule", "least", "most"), [(Rule.EWMA, 8, 15), (Rule.CUSUM, 9, 15)])
def test_a_slide_of_one_spread_is_told_after_a_dozen_readings(rule: Rule, least: float, most: float) -> None:
    draw, needed, usual = Random(2), 0, Baseline(0.0, 1.0, 0)  # noqa: S311  # a simulation, not a secret
    for _ in range(300):
        values = [draw.gauss(0, 1) for _ in range(10)]
        while len(values) == 10 or judge(values, usual, rule).drift is None:
            values.append(draw.gauss(1, 1))
        needed += len(values) - 10
    assert least < needed / 300 < most
