"""The robust baseline: Rousseeuw and Croux (1993), Croux and Rousseeuw (1992), and simulation as a second opinion."""

from math import sqrt
from random import Random
from statistics import NormalDist, fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.spread import (
    EDGE_SPREADS,
    OUTSIDE_SPREADS,
    Baseline,
    NothingToLearnFrom,
    Where,
    learn,
    place,
    robust_spread,
)

READINGS = st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=30)


@pytest.mark.parametrize(
    ("values", "deviation", "few"),
    [
        # the examples of R's stats::mad help page, printed there without a scale: 2 and 2.5
        ([1, 2, 3, 4, 5, 6, 7, 8, 100], 2.0, 1.107),
        ([1, 2, 3, 5, 7, 8], 2.5, 1.200),
        # ten and up: n/(n - 0.8)
        ([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], 2.5, 10 / 9.2),
    ],
)
def test_the_spread_is_the_scaled_median_deviation(values: list[float], deviation: float, few: float) -> None:
    # 1.4826: Rousseeuw and Croux (1993) p. 1273; the factor for few values: Croux and Rousseeuw (1992) p. 414
    assert robust_spread(values) == pytest.approx(1.4826 * few * deviation)


def test_the_scale_is_the_normal_distribution_s_own() -> None:
    assert robust_spread([-1.0, 0.0, 1.0]) / 1.495 == pytest.approx(1 / NormalDist().inv_cdf(0.75), abs=5e-5)


def test_two_values_tell_what_a_moving_range_chart_says() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.1, n = 2: range/d2, d2 = 1.128 (2/sqrt(pi))
    assert robust_spread([20.0, 21.0]) == pytest.approx(1 / 1.128, rel=1e-3)


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 7, 8, 9, 10, 20])
def test_few_values_do_not_look_calmer_than_many(count: int) -> None:
    draws = 20_000
    values = NormalDist().samples(count * draws, seed=1992)
    seen = fmean(robust_spread(values[start : start + count]) for start in range(0, count * draws, count))
    assert seen == pytest.approx(1.0, abs=4 * 0.8 / sqrt(draws) + 0.003)


def test_one_reading_wrongly_called_healthy_hardly_matters() -> None:
    honest = learn([18.0, 18.5, 19.0, 18.5, 18.0, 19.0, 18.5], 0.5)
    with_fault = learn([18.0, 18.5, 19.0, 18.5, 18.0, 19.0, 9.0], 0.5)
    assert with_fault.centre == honest.centre
    assert place(9.0, with_fault).where is Where.OUTSIDE


def test_readings_that_agree_exactly_keep_the_gauge_s_resolution() -> None:
    assert learn([20.0, 20.0, 20.0, 20.0], 1.0) == Baseline(centre=20.0, spread=1.0, count=4)


def test_a_single_reading_is_a_centre_with_a_wide_berth() -> None:
    assert learn([20.0], 0.5) == Baseline(centre=20.0, spread=1.0, count=1)


def test_two_readings_that_agree_by_luck_keep_the_wide_berth() -> None:
    assert learn([20.0, 20.0], 0.5) == Baseline(centre=20.0, spread=1.0, count=2)


def test_two_readings_far_apart_are_believed() -> None:
    baseline = learn([16.0, 20.0], 0.5)
    assert baseline.centre == 18.0
    assert baseline.spread == pytest.approx(4 / 1.128, rel=1e-3)


@given(READINGS, st.floats(1e-3, 10))
def test_the_spread_is_never_finer_than_the_gauge(values: list[float], resolution: float) -> None:
    baseline = learn(values, resolution)
    assert baseline.spread >= resolution
    assert min(values) <= baseline.centre <= max(values)
    assert baseline.count == len(values)


@given(READINGS, st.floats(1e-3, 10), st.randoms(use_true_random=False))
def test_the_order_of_readings_does_not_matter(values: list[float], resolution: float, random: Random) -> None:
    shuffled = random.sample(values, len(values))
    assert learn(shuffled, resolution) == learn(values, resolution)


@given(READINGS, st.floats(1e-3, 10), st.floats(-1e3, 1e3))
def test_the_other_end_of_the_scale_makes_no_difference(values: list[float], resolution: float, reading: float) -> None:
    # vacuum counted down is absolute pressure counted up: the verdict must be the same
    one = place(reading, learn(values, resolution))
    mirrored = place(-reading, learn([-value for value in values], resolution))
    assert mirrored.spreads == pytest.approx(-one.spreads)
    assert mirrored.where is one.where


@pytest.mark.parametrize(
    ("value", "spreads", "where"),
    [
        (18.0, 0.0, Where.INSIDE),
        (18.4, 2.0, Where.INSIDE),
        (17.6, -2.0, Where.INSIDE),
        (18.41, 2.05, Where.EDGE),
        (18.6, 3.0, Where.EDGE),
        (17.4, -3.0, Where.EDGE),
        (18.61, 3.05, Where.OUTSIDE),
        (12.0, -30.0, Where.OUTSIDE),
    ],
)
def test_a_reading_is_placed_with_the_limit_itself_still_on_the_near_side(
    value: float, spreads: float, where: Where
) -> None:
    placing = place(value, Baseline(centre=18.0, spread=0.2, count=9))
    assert placing.spreads == pytest.approx(spreads)
    assert placing.where is where


def test_a_limit_is_not_lost_to_the_last_binary_digit() -> None:
    assert EDGE_SPREADS < (15.4 - 15.0) / 0.2
    assert place(15.4, Baseline(centre=15.0, spread=0.2, count=9)).where is Where.INSIDE


@pytest.mark.parametrize(("limit", "one_in"), [(EDGE_SPREADS, 22), (OUTSIDE_SPREADS, 370)])
def test_the_limits_cry_wolf_as_seldom_as_they_say(limit: float, one_in: int) -> None:
    assert 1 / (2 * NormalDist().cdf(-limit)) == pytest.approx(one_in, rel=0.01)


@pytest.mark.parametrize("values", [[], [18.0, float("nan")], [float("inf")]])
def test_nothing_is_learned_from_nothing(values: list[float]) -> None:
    with pytest.raises(NothingToLearnFrom):
        learn(values, 0.5)


@pytest.mark.parametrize("resolution", [0.0, -1.0, float("nan"), float("inf")])
def test_a_gauge_has_a_resolution(resolution: float) -> None:
    with pytest.raises(NothingToLearnFrom, match=r"^the least difference the gauge shows has to be above zero$"):
        learn([18.0], resolution)


@pytest.mark.parametrize("spread", [0.0, -1.0, float("nan"), float("inf")])
def test_a_baseline_typed_in_needs_a_spread(spread: float) -> None:
    with pytest.raises(ValueError, match="a spread above zero"):
        Baseline(centre=18.0, spread=spread, count=0)


def test_what_is_not_a_number_is_not_placed() -> None:
    with pytest.raises(ValueError, match=r"^a reading has to be a number$"):
        place(float("nan"), Baseline(centre=18.0, spread=0.2, count=9))
