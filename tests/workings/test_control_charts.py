"""The worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods (doi:10.18434/M32189), section 6.3.2."""

from math import pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from app.workings.control_charts import (
    D2,
    D4,
    NothingToChart,
    cusum,
    ewma,
    ewma_limits,
    individuals,
    moving_range_limit,
    moving_ranges,
)

#: 6.3.2.2, flow rate of 10 batches.
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
#: 6.3.2.4, 20 values; the flow rates are its second half.
WEIGHTED = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *FLOW]
#: 6.3.2.4, as printed to two decimals, after each of them.
PRINTED = [
    *(50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33),
    *(50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99),
]
#: 6.3.2.3, 20 group means, and the two sums as printed.
MEANS = [
    *(324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600),
    *(324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350),
]
HIGH = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04]
LOW = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0]
#: Printed to two decimals, with ties rounded either way.
PRINTED_TO = 0.0051
READINGS = st.lists(st.integers(-800, 800).map(lambda n: n / 8), min_size=2, max_size=40)


def test_single_readings_have_the_handbook_s_limits() -> None:
    # NIST/SEMATECH 6.3.2.2: 50.81, MR 1.8778, 55.8041 and 45.8159, in control
    assert moving_ranges(FLOW) == pytest.approx([2.0, 2.3, 1.4, 3.5, 3.4, 1.4, 0.2, 1.2, 1.5])
    found = individuals(FLOW)
    assert (found.lower, found.centre, found.upper) == pytest.approx((45.8159, 50.81, 55.8041), abs=5e-5)
    assert all(found.holds(value) for value in FLOW)


def test_the_moving_range_has_the_handbook_s_limit() -> None:
    # NIST/SEMATECH 6.3.2.1, constants for n = 2: 3.267 times 1.8778
    assert moving_range_limit(FLOW) == pytest.approx(6.1347, abs=5e-5)


def test_the_constants_are_the_rounded_ones_of_two_normal_values() -> None:
    # 2/sqrt(pi) and 1 + 3 d3/d2 with d3 = sqrt(2 - 4/pi), of which the handbook prints three decimals
    d2, d3 = 2 / sqrt(pi), sqrt(2 - 4 / pi)
    assert pytest.approx(d2, abs=5e-4) == D2
    assert pytest.approx(1 + 3 * d3 / d2, abs=5e-4) == D4


def test_the_weighted_mean_is_the_handbook_s() -> None:
    # NIST/SEMATECH 6.3.2.4: weight 0.3, started at 50
    assert ewma(WEIGHTED, 0.3, 50.0) == pytest.approx(PRINTED, abs=PRINTED_TO)


def test_the_weighted_mean_s_limits_are_the_handbook_s() -> None:
    # NIST/SEMATECH 6.3.2.4: s = 2.0539, 52.5884 and 47.4115 (it rounds the root to 0.4201); in control
    limits = ewma_limits(50.0, 2.0539, 0.3)
    assert (limits.upper, limits.lower) == pytest.approx((52.5884, 47.4115), abs=1.1e-4)
    assert all(limits.holds(value) for value in ewma(WEIGHTED, 0.3, 50.0))


@pytest.mark.parametrize(("count", "half"), [(1, 1.84851), (5, 2.551611)])
def test_the_limits_are_narrower_at_first(count: int, half: float) -> None:
    # Montgomery, Statistical Quality Control, from memory; after one value it has to be 3 s times the weight
    limits = ewma_limits(50.0, 2.0539, 0.3, count)
    assert limits.upper - 50 == pytest.approx(half, abs=1e-6)
    assert ewma_limits(0, 1, 0.3, 1).upper == pytest.approx(3 * 0.3)


def test_the_cumulative_sums_are_the_handbook_s_and_signal_where_it_says() -> None:
    # NIST/SEMATECH 6.3.2.3: target 325, k = 0.3175, h = 4.1959 as printed; groups 14 to 20 signal
    found = cusum(MEANS, 325.0, 0.3175)
    assert [high for high, _ in found] == pytest.approx(HIGH, abs=PRINTED_TO)
    assert [low for _, low in found] == pytest.approx(LOW, abs=PRINTED_TO)
    assert [n for n, both in enumerate(found, 1) if max(both) > 4.1959] == [*range(14, 21)]


@settings(deadline=None)  # the library takes its time when first asked
@given(READINGS)
def test_a_general_library_filters_the_same(values: list[float]) -> None:
    theirs, _ = signal.lfilter([0.3], [1, -0.7], values, zi=[0.7 * 5.0])
    assert ewma(values, 0.3, 5.0) == pytest.approx(list(theirs), abs=1e-9)


@given(READINGS, st.integers(-1000, 1000))
def test_what_is_moved_as_a_whole_moves_its_limits_and_nothing_else(values: list[float], by: int) -> None:
    moved = [value + by for value in values]
    assert moving_ranges(moved) == moving_ranges(values)
    assert individuals(moved).upper == pytest.approx(individuals(values).upper + by)
    assert cusum(moved, by, 0.5) == cusum(values, 0, 0.5)


@given(READINGS, st.floats(0.5, 20))
def test_a_ceiling_only_ever_lowers_a_sum(values: list[float], ceiling: float) -> None:
    for capped, free in zip(cusum(values, 0, 0.5, ceiling), cusum(values, 0, 0.5), strict=True):
        assert max(capped) <= ceiling
        assert all(one <= other for one, other in zip(capped, free, strict=True))


def test_what_no_chart_can_be_drawn_of_is_refused() -> None:
    for refused in (
        lambda: moving_ranges([1.0]),
        lambda: individuals([1.0, float("nan")]),
        lambda: ewma([1.0], 0, 0),
        lambda: ewma([1.0], 1.1, 0),
        lambda: ewma_limits(0, 0, 0.3),
        lambda: ewma_limits(0, 1, 0.3, 0),
        lambda: cusum([1.0], 0, -1),
        lambda: cusum([1.0], 0, 1, 0),
    ):
        with pytest.raises(NothingToChart):
            refused()
