"""Student's t and Welch's interval, against scipy."""

from math import isinf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from app.workings.student import TooFewRuns, runs_to_show, t_cdf, t_quantile, welch

FIGURES = st.lists(st.floats(-1e3, 1e3).map(lambda one: round(one, 3)), min_size=2, max_size=12)


@pytest.mark.parametrize(
    ("freedom", "t"), [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042), (120, 1.980)]
)
def test_the_quantiles_are_those_of_the_tables(freedom: int, t: float) -> None:
    """NIST/SEMATECH e-Handbook 1.3.6.7.2, critical values of Student's t, 0.975."""
    assert t_quantile(0.975, freedom) == pytest.approx(t, abs=5e-4)


@settings(deadline=None)
@given(st.floats(0.001, 0.999), st.floats(1, 500))
def test_quantiles_agree_with_scipy(share: float, freedom: float) -> None:
    assert t_quantile(share, freedom) == pytest.approx(stats.t.ppf(share, freedom), rel=1e-8, abs=1e-8)


@settings(deadline=None)
@given(st.floats(-60, 60), st.floats(0.5, 500))
def test_shares_agree_with_scipy(t: float, freedom: float) -> None:
    assert t_cdf(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), rel=1e-9, abs=1e-12)


@settings(deadline=None)
@given(FIGURES, FIGURES)
def test_welchs_interval_agrees_with_scipy(before: list[float], after: list[float]) -> None:
    if len(set(before)) < 2 or len(set(after)) < 2:
        return  # scipy gives no interval of what does not scatter
    ours = welch(before, after)
    theirs = stats.ttest_ind(after, before, equal_var=False)
    interval = theirs.confidence_interval(0.95)
    assert ours.freedom == pytest.approx(theirs.df, rel=1e-9)
    assert (ours.low, ours.high) == pytest.approx((interval.low, interval.high), rel=1e-7, abs=1e-9)


def test_runs_that_agree_to_the_last_digit_leave_no_doubt() -> None:
    same = welch([5.0, 5.0], [6.0, 6.0])
    assert (same.low, same.difference, same.high) == (1.0, 1.0, 1.0)
    assert same.shows
    assert not welch([5.0, 5.0], [5.0, 5.0]).shows


def test_one_run_says_nothing_of_how_runs_scatter() -> None:
    for before, after in (([1.0], [1.0, 2.0]), ([1.0, 2.0], [])):
        with pytest.raises(TooFewRuns):
            welch(before, after)
        with pytest.raises(TooFewRuns):
            runs_to_show(before, after, 1.0)


def test_the_number_of_runs_named_shows_the_difference_four_times_in_five() -> None:
    """Seeded: runs of scatter 1 and a true difference of 1.2, as many as are named."""
    dice = np.random.default_rng(7)
    runs = runs_to_show(dice.normal(0, 1, 2000).tolist(), dice.normal(0, 1, 2000).tolist(), 1.2)
    assert runs is not None
    shown = sum(welch(dice.normal(0, 1, runs).tolist(), dice.normal(1.2, 1, runs).tolist()).shows for _ in range(1000))
    assert 0.75 <= shown / 1000 <= 0.87
    assert runs_to_show([0.0, 1.0], [0.0, 1.0], 1e-4) is None


def test_what_makes_no_sense_is_refused() -> None:
    for share in (0.0, 1.0, 1.5):
        with pytest.raises(ValueError, match="share"):
            t_quantile(share, 3)
    with pytest.raises(TooFewRuns):
        t_cdf(1.0, 0.0)
    with pytest.raises(ValueError, match="number"):
        welch([1.0, float("nan")], [1.0, 2.0])
    with pytest.raises(ValueError, match="above nought"):
        runs_to_show([1.0, 2.0], [1.0, 2.0], 0.0)
    assert not isinf(t_quantile(0.999, 1))
