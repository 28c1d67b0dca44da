"""The target against numpy's own interpolation, and where a pressure lies beside it."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.boost_target import BoostTarget, Side

speeds = st.lists(st.integers(500, 9000), min_size=1, max_size=12, unique=True).map(sorted)
pressures = st.floats(60, 400)


@st.composite
def targets(draw: st.DrawFn) -> BoostTarget:
    points = [(float(speed), draw(pressures)) for speed in draw(speeds)]
    limit = draw(st.none() | st.floats(400, 600))
    return BoostTarget(points, draw(st.floats(0, 30)), limit)


@given(targets(), st.floats(0, 12_000))
def test_between_the_points_it_runs_straight_and_beyond_them_it_stays(target: BoostTarget, rpm: float) -> None:
    expected = np.interp(rpm, [speed for speed, _ in target.points], [kpa for _, kpa in target.points])
    assert target.at(rpm) == pytest.approx(float(expected), rel=1e-12)


@given(targets(), pressures, st.none() | st.floats(0, 12_000))
def test_what_is_over_stays_over_with_more_and_the_highest_target_is_the_mildest_judge(
    target: BoostTarget, kpa: float, rpm: float | None
) -> None:
    here = target.beside(kpa, rpm)
    if here.is_over:
        assert target.beside(kpa + 5, rpm).is_over
    if target.beside(kpa, None).is_over:
        assert here.is_over
    if here.side is Side.ON and rpm is not None:
        assert abs(here.off_kpa) <= target.tolerance_kpa + 1e-6


def test_the_edge_of_the_tolerance_is_on_target_and_a_hair_beyond_is_not() -> None:
    target = BoostTarget([(2000, 150.0), (4000, 200.0)], 5.0, 230.0)
    assert target.at(3000) == 175.0
    sides = {kpa: target.beside(kpa, 3000).side for kpa in (169.9, 170.0, 180.0, 180.1, 230.0, 230.1)}
    assert sides == {
        169.9: Side.UNDER,
        170.0: Side.ON,
        180.0: Side.ON,
        180.1: Side.OVER,
        230.0: Side.OVER,
        230.1: Side.LIMIT,
    }
    assert target.beside(230.1, 3000).off_kpa == pytest.approx(0.1)


def test_without_an_engine_speed_the_highest_target_counts_and_nothing_is_under_it() -> None:
    target = BoostTarget([(2000, 150.0), (4000, 200.0), (6000, 180.0)], 5.0)
    assert [target.beside(kpa, None).side for kpa in (120.0, 204.0, 206.0)] == [Side.ON, Side.ON, Side.OVER]


_TWICE, _FALLING = [(3000.0, 150.0), (3000.0, 160.0)], [(3000.0, 150.0), (2000.0, 160.0)]


@pytest.mark.parametrize(("points", "tolerance"), [([], 1.0), (_TWICE, 1.0), (_FALLING, 1.0), (_FALLING[:1], -1.0)])
def test_what_is_no_curve_is_refused(points: list[tuple[float, float]], tolerance: float) -> None:
    with pytest.raises(ValueError, match="nought" if tolerance < 0 else "rising"):
        BoostTarget(points, tolerance)


def test_rising_means_rising_everywhere() -> None:
    points = [(float(n), 150.0) for n in range(1000, 5000, 500)]
    BoostTarget(points, 1.0)
    for one, other in pairwise(range(len(points))):
        swapped = [*points]
        swapped[one], swapped[other] = swapped[other], swapped[one]
        with pytest.raises(ValueError, match="rising"):
            BoostTarget(swapped, 1.0)
