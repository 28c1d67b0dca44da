"""Did it do anything? On pulls whose truth is known: how often the interval holds it, and how often it cries wolf."""

from dataclasses import astuple, replace

import numpy as np
import pytest

from app.traces.comparison import (
    Compared,
    Run,
    band_of,
    boost_in,
    compare,
    curve,
    gears_of,
    in_gear,
    passing,
    power_in,
    seconds_through,
)
from app.traces.trace import Trace
from app.workings.road_load import Load
from tests.traces.engine import DRAG_AREA, MASS, RATIOS, ROLLING, ROTATING, Car
from tests.traces.runs import BAND, GEAR, Scatter, made, mean_truth, runs, stronger, truth_of

LOAD = Load(MASS, DRAG_AREA, ROLLING, ROTATING, density=1.2)
RATIO = RATIOS[GEAR - 1]
REPEATS = 400
EACH = 5


def figures(one: Run) -> tuple[float | None, float | None, float | None]:
    return boost_in(one, BAND), seconds_through(one, BAND), power_in(one, BAND, RATIO, LOAD)


def three(before: list[Run], after: list[Run]) -> list[Compared]:
    told = [[figures(one) for one in side] for side in (before, after)]
    found = [
        compare(key, "", *([("log", one[n]) for one in side] for side in told))
        for n, key in enumerate(("boost", "seconds", "power"))
    ]
    assert None not in found
    return [one for one in found if one is not None]


def many(change: Car, seed: int, repeats: int = REPEATS) -> list[list[Compared]]:
    dice = np.random.default_rng(seed)
    first, second = (runs(dice, car, repeats * EACH, Scatter()) for car in (Car(), change))
    return [three(first[n : n + EACH], second[n : n + EACH]) for n in range(0, repeats * EACH, EACH)]


def test_the_interval_covers_the_true_difference_as_often_as_it_says() -> None:
    """95 %; over 400 repeats chance alone leaves 92.9 to 97.1 % (two standard deviations)."""
    change = stronger(Car(), 0.03, 4.0)
    before, after = (astuple(mean_truth(car, Scatter())) for car in (Car(), change))
    told = many(change, 11)
    for n in range(3):
        true = after[n] - before[n]
        intervals = [one[n].interval for one in told]
        covered = np.mean([i is not None and i.low <= true <= i.high for i in intervals])
        assert 0.925 <= covered <= 0.98, (n, covered)


def test_where_nothing_was_changed_a_difference_is_claimed_no_more_often_than_it_says() -> None:
    """5 %; over 400 repeats chance alone leaves at most 7.2 % (two standard deviations)."""
    told = many(Car(), 12)
    for n in range(3):
        claimed = np.mean([i is not None and i.shows for i in (one[n].interval for one in told)])
        assert claimed <= 0.072, (n, claimed)


def test_a_difference_that_is_there_and_large_is_found_nearly_always() -> None:
    told = many(stronger(Car(), 0.08, 10.0), 13, 100)
    assert np.mean([all(i is not None and i.shows for i in (x.interval for x in one)) for one in told]) > 0.95


def test_one_runs_figures_are_what_it_truly_was() -> None:
    """Against the run itself, before any sensor saw it: boost, time through the band, power at the wheels."""
    calm = Scatter(0.0, 0.0, 0.0)
    true = astuple(truth_of(*(one if n == 0 else one[0] for n, one in enumerate(made_once(calm)))))
    seen = np.array([figures(one) for one in runs(np.random.default_rng(3), Car(), 30, calm)], dtype=float)
    assert seen.mean(axis=0) == pytest.approx(true, rel=0.006)


def made_once(scatter: Scatter) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return made(np.random.default_rng(3), Car(), 1, scatter)


def test_what_two_percent_would_take_is_said() -> None:
    dice = np.random.default_rng(4)
    boost, *_ = three(runs(dice, Car(), 3, Scatter()), runs(dice, Car(), 3, Scatter()))
    assert boost.needed is not None
    assert boost.more == max(boost.needed - 3, 0)


def test_days_count_as_runs_once_there_are_three_of_them_on_each_side() -> None:
    figures_ = [("mon", 1.0), ("mon", 1.2), ("tue", 2.0), ("wed", 3.0)]
    by_day = compare("x", "s", figures_, figures_)
    assert by_day is not None
    assert by_day.by_log
    assert by_day.before == (1.1, 2.0, 3.0)
    by_pull = compare("x", "s", figures_, figures_[:3])
    assert by_pull is not None
    assert not by_pull.by_log
    assert len(by_pull.before) == 4


def test_one_run_a_side_gives_figures_and_no_interval() -> None:
    one = compare("x", "s", [("a", 1.0)], [("b", 2.0)])
    assert one is not None
    assert one.interval is None
    assert one.means == (1.0, 2.0)
    assert compare("x", "s", [("a", None)], [("b", 2.0)]) is None


def test_pulls_are_sorted_by_gear_and_by_whether_they_pass_the_band() -> None:
    dice = np.random.default_rng(5)
    third = runs(dice, Car(), 3, Scatter())
    fourth = [replace(one, pull=replace(one.pull, ratio=35.0)) for one in runs(dice, Car(), 2, Scatter())]
    assert gears_of([*third, *fourth]) == pytest.approx([RATIO, 35.0])
    assert in_gear([*third, *fourth], RATIO) == third
    band = band_of(third)
    assert band is not None
    assert passing(third, band) == third
    assert passing(third, (band[0], 9000.0)) == []
    shape = curve(third, band)
    assert shape.kpa.shape == (3, shape.rpm.size)
    assert np.isfinite(shape.middle()).all()
    assert band_of([]) is None


def test_a_log_without_boost_still_gives_time_and_power() -> None:
    one = runs(np.random.default_rng(6), Car(), 1, Scatter())[0]
    channels = {name: of for name, of in one.trace.channels.items() if name != "manifold_pressure"}
    bare = replace(one, trace=Trace(one.trace.at, channels))
    assert boost_in(bare, BAND) is None
    assert seconds_through(bare, BAND) > 1
    assert power_in(bare, BAND, RATIO, LOAD) == pytest.approx(power_in(one, BAND, RATIO, LOAD))
