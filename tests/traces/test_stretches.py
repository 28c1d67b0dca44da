"""Pulls, lift-offs and idles are found where they were, whatever the logger noted; and nothing else is."""

from collections.abc import Sequence

import numpy as np
import pytest

from app.traces.channels import on_clock, spans
from app.traces.gears import gears
from app.traces.stretches import Doing, Stretch, stretches
from app.traces.trace import Trace
from tests.traces.engine import RATIOS, Car
from tests.traces.generator import CYCLE, Sensors, Truth, csv_text, drive

SHORT = CYCLE[:140]
SENSORS = {
    "usual": Sensors(),
    "slow": Sensors(rate=4.0),
    "fine": Sensors(rate=25.0, kpa_step=0.1, kmh_step=0.1),
    "one channel after the other": Sensors(rate=30.0, turns=True),
}


def of(found: Sequence[Stretch], doing: Doing) -> list[tuple[float, float]]:
    return [(one.begins, one.ends) for one in found if one.doing is doing]


def agree(found: Sequence[tuple[float, float]], true: Sequence[tuple[float, float]], within: float) -> None:
    assert len(found) == len(true), (found, true)
    for (a, b), (c, d) in zip(found, true, strict=True):
        assert a == pytest.approx(c, abs=within)
        assert b == pytest.approx(d, abs=within)


def holds_all_of(truth: Truth, found: Sequence[Stretch], within: float) -> None:
    agree(of(found, Doing.PULL), [(a, b) for a, b, _ in truth.pulls], within)
    agree(of(found, Doing.LIFT_OFF), truth.lift_offs, within)


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("sensors", SENSORS.values(), ids=SENSORS.keys())
def test_every_pull_and_lift_off_is_found_and_no_other(seed: int, sensors: Sensors) -> None:
    trace, truth = drive(seed, sensors=sensors, cycle=SHORT)
    holds_all_of(truth, stretches(trace), 0.45)


def test_a_whole_speed_cycle_driven_gently_holds_no_pull_and_no_lift_off() -> None:
    trace, truth = drive(5, pulls=(), cycle=CYCLE)
    assert truth.pulls == []
    found = stretches(trace)
    assert of(found, Doing.PULL) == []
    assert of(found, Doing.LIFT_OFF) == []


def test_every_idle_is_found_and_what_is_found_is_one() -> None:
    trace, truth = drive(6)
    found = of(stretches(trace), Doing.IDLE)
    for begins, ends in truth.idles:
        if ends - begins >= 8:
            assert any(a <= begins + 4 and b >= ends - 1 for a, b in found), (begins, ends)
    still = np.zeros(trace.at.size, dtype=bool)
    for begins, ends in truth.idles:
        still |= (trace.at >= begins) & (trace.at <= ends)
    for begins, ends in found:
        assert still[(trace.at >= begins + 0.3) & (trace.at <= ends - 0.8)].mean() > 0.97


def test_the_warm_up_ends_when_the_coolant_is_warm() -> None:
    trace, truth = drive(7)
    ((begins, ends),) = of(stretches(trace), Doing.WARM_UP)
    assert begins == 0
    assert ends == pytest.approx(truth.warm_at, abs=6)
    warm = Trace(trace.at, dict(trace.channels) | {"coolant": np.full(trace.at.size, 88.0)})
    assert of(stretches(warm), Doing.WARM_UP) == []


def test_the_gears_are_those_of_the_gearbox_and_each_pull_has_its_own() -> None:
    trace, truth = drive(8, cycle=CYCLE[:1000])
    assert gears(trace) == pytest.approx(RATIOS, rel=0.03)
    pulls = [one for one in stretches(trace) if one.doing is Doing.PULL]
    assert [one.gear for one in pulls] == [gear for *_, gear in truth.pulls]
    for one, (*_, gear) in zip(pulls, truth.pulls, strict=True):
        assert one.ratio == pytest.approx(RATIOS[gear - 1], rel=0.02)


def test_a_gear_changed_with_the_foot_down_makes_two_pulls() -> None:
    trace, truth = drive(9, pulls=(), cycle=SHORT, flat_shift=True)
    found = [one for one in stretches(trace) if one.doing is Doing.PULL]
    agree([(one.begins, one.ends) for one in found], [(a, b) for a, b, _ in truth.pulls], 0.45)
    assert [one.ratio for one in found] == pytest.approx([RATIOS[1], RATIOS[2]], rel=0.03)


@pytest.mark.parametrize(
    "left_out",
    [("coolant", "barometer"), ("road_speed",), ("fuel_trim_short", "fuel_trim_long", "air_flow", "boost_duty")],
    ids=" and ".join,
)
def test_channels_that_were_not_logged_are_done_without(left_out: tuple[str, ...]) -> None:
    trace, truth = drive(10, cycle=SHORT)
    bare = Trace(trace.at, {name: of for name, of in trace.channels.items() if name not in left_out})
    found = stretches(bare)
    agree(of(found, Doing.PULL), [(a, b) for a, b, _ in truth.pulls], 0.45)
    assert of(found, Doing.IDLE)
    if "coolant" in left_out:
        assert {one.warm for one in found} == {None}


def test_without_pedal_and_throttle_pulls_are_told_by_boost() -> None:
    trace, truth = drive(11, cycle=SHORT)
    bare = Trace(trace.at, {name: of for name, of in trace.channels.items() if name != "pedal"})
    found = of(stretches(bare), Doing.PULL)
    assert len(found) == len(truth.pulls)
    for (begins, ends), (true_from, true_to, _) in zip(found, truth.pulls, strict=True):
        assert true_from <= begins <= true_from + 2.5  # boost has to gather first
        assert ends == pytest.approx(true_to, abs=0.6)


def test_a_throttle_that_never_reads_a_hundred_is_full_where_it_reads_highest() -> None:
    trace, truth = drive(12, cycle=SHORT)
    pedal = trace.channels["pedal"]
    plate = Trace(
        trace.at, dict(trace.channels) | {"throttle": 12.0 + (pedal - 14.9) * 66 / 66.3, "pedal": pedal * np.nan}
    )
    agree(of(stretches(plate), Doing.PULL), [(a, b) for a, b, _ in truth.pulls], 0.45)


def test_a_logger_that_fell_silent_in_the_middle_of_a_pull_leaves_two() -> None:
    trace, truth = drive(13, cycle=SHORT, pulls=((4, 2000.0, 4300.0),))
    ((begins, ends, _),) = truth.pulls
    silent = (trace.at > begins + 2.5) & (trace.at < ends - 2.5)
    assert trace.at[silent].size > 30
    kept = Trace(trace.at[~silent], {name: of[~silent] for name, of in trace.channels.items()})
    assert len(of(stretches(kept), Doing.PULL)) == 2


@pytest.mark.parametrize("rows", [0, 1, 2, 3, 10])
def test_a_trace_of_hardly_anything_shows_nothing(rows: int) -> None:
    at = np.arange(rows, dtype=float)
    assert stretches(Trace(at)) == []
    assert stretches(Trace(at, {"engine_speed": np.full(rows, np.nan), "pedal": np.full(rows, 100.0)})) == []


def test_a_figure_is_drawn_on_over_a_short_hole_and_not_over_a_long_one() -> None:
    nan = np.nan
    trace = Trace(np.array([0.0, 1.0, 2.0, 9.0, 10.0]), {"coolant": np.array([10.0, nan, 30.0, nan, 80.0])})
    assert on_clock(trace, "coolant").tolist()[:3] == [10.0, 20.0, 30.0]
    assert np.isnan(on_clock(trace, "coolant")[3])
    assert np.isnan(on_clock(trace, "pedal")).all()
    assert list(spans(np.ones(5, dtype=bool), trace.at)) == [(0, 2), (3, 4)]


def test_the_generators_table_has_a_row_for_each_moment() -> None:
    trace, _ = drive(14, Car(), Sensors(rate=2.0), pulls=(), cycle=CYCLE[:60])
    lines = csv_text(trace).splitlines()
    assert len(lines) == trace.at.size + 1
    assert lines[0].startswith("Time (s),Engine speed (rpm),Road speed (km/h),manifold pressure (kPa)")
