"""Before and after: pulls in one gear held against each other, and whether they show that a change did anything.

Each pull gives one figure of each kind, taken over the same band of engine speed; the two handfuls of figures are
compared by Welch's interval. Samples within a pull move together and are never counted as runs of their own.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.traces.channels import on_clock
from app.traces.gears import SAME
from app.traces.stretches import Stretch
from app.traces.trace import Samples, Trace
from app.workings.road_load import KMH, ImpossibleRoad, Load, mean_power_w
from app.workings.student import Interval, TooFewRuns, runs_to_show, welch

WORTH_SHOWING = 0.02
"""The share of the figure that is said to take so many more runs."""
STEP_RPM = 100.0
_LEAST_BAND_RPM = 500.0
_FOOT = 0.15  # of the common band, left out at its lower end: there the turbocharger still gathers speed
_MOST_RUNS = 0.85  # of the runs have begun, or not yet ended
_MANY_LOGS = 3  # on each side, from which logs and not pulls are the runs


@dataclass(frozen=True, slots=True)
class Run:
    """One pull of one log, from just before it to its end."""

    log: str
    trace: Trace
    pull: Stretch

    def rpm(self) -> tuple[Samples, Samples]:
        """Engine speed over the pull: when (s), and how fast, only ever rising."""
        here = (self.trace.at >= self.pull.begins) & (self.trace.at <= self.pull.ends)
        rpm = on_clock(self.trace, "engine_speed")[here]
        at = self.trace.at[here]
        known = np.isfinite(rpm)
        return at[known], np.maximum.accumulate(rpm[known])


@dataclass(frozen=True, slots=True)
class Curve:
    """Boost against engine speed, kPa absolute, one row a run; NaN where a run has none."""

    rpm: Samples
    kpa: Samples

    def middle(self) -> Samples:
        """The mean of the runs at each engine speed at which all of them have a figure."""
        mean: Samples = self.kpa.mean(axis=0)
        return mean


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure before and after, one a run, in `unit`; `interval` is None where there are too few runs to say.

    `by_log`: a log's runs were first averaged, so that what differs from day to day is in the interval.
    """

    key: str
    unit: str
    before: tuple[float, ...]
    after: tuple[float, ...]
    interval: Interval | None
    by_log: bool

    @property
    def means(self) -> tuple[float, float]:
        """The mean before and after."""
        return float(np.mean(self.before)), float(np.mean(self.after))

    @property
    def needed(self) -> int | None:
        """How many runs a side would show 2 % if they scatter as these do; None if too many, or nobody can know."""
        before, _ = self.means
        if self.interval is None or before == 0:
            return None
        return runs_to_show(self.before, self.after, WORTH_SHOWING * abs(before))

    @property
    def more(self) -> int | None:
        """How many more runs each side would need to show 2 %; 0 if there are enough already."""
        needed = self.needed
        return None if needed is None else max(needed - min(len(self.before), len(self.after)), 0)


def gears_of(runs: Sequence[Run]) -> list[float]:
    """The gears runs were made in, as ratios (rpm per km/h), the one with the most runs first."""
    groups: list[list[float]] = []
    for ratio in sorted(one.pull.ratio for one in runs if one.pull.ratio is not None):
        if groups and ratio / float(np.median(groups[-1])) - 1 <= 2 * SAME:
            groups[-1].append(ratio)
        else:
            groups.append([ratio])
    return [float(np.median(one)) for one in sorted(groups, key=len, reverse=True)]


def in_gear(runs: Sequence[Run], ratio: float) -> list[Run]:
    """The runs made in the gear of that ratio."""
    return [one for one in runs if one.pull.ratio is not None and abs(one.pull.ratio / ratio - 1) <= 2 * SAME]


def band_of(runs: Sequence[Run]) -> tuple[float, float] | None:
    """The band of engine speed (rpm) nearly every run passes through, without its foot; None if they share too little.

    A run that began late or was broken off early doesn't narrow it for all: `passing` leaves it out.
    """
    ends = [(float(rpm[0]), float(rpm[-1])) for _, rpm in (one.rpm() for one in runs) if rpm.size]
    if not ends or len(ends) < len(runs):
        return None
    low = float(np.quantile([one[0] for one in ends], _MOST_RUNS))
    high = float(np.quantile([one[1] for one in ends], 1 - _MOST_RUNS))
    low += _FOOT * (high - low)
    low, high = float(np.ceil(low / 50) * 50), float(np.floor(high / 50) * 50)
    return (low, high) if high - low >= _LEAST_BAND_RPM else None


def passing(runs: Sequence[Run], band: tuple[float, float]) -> list[Run]:
    """The runs that pass through the whole band."""
    ends = [(one, one.rpm()[1]) for one in runs]
    return [one for one, rpm in ends if rpm.size and rpm[0] <= band[0] and rpm[-1] >= band[1]]


def curve(runs: Sequence[Run], band: tuple[float, float]) -> Curve:
    """Boost of each run against engine speed, every 100 rpm through the band."""
    grid = np.arange(band[0], band[1] + 1, STEP_RPM)
    rows = [_against(one, grid) for one in runs]
    return Curve(grid, np.array(rows) if rows else np.empty((0, grid.size)))


def boost_in(run: Run, band: tuple[float, float]) -> float | None:
    """Mean manifold pressure over a band of engine speed, kPa absolute; None where it was not logged."""
    kpa = _against(run, np.arange(band[0], band[1] + 1, STEP_RPM / 2))
    return float(kpa.mean()) if np.isfinite(kpa).all() else None


def seconds_through(run: Run, band: tuple[float, float]) -> float:
    """The time from one engine speed to another in the gear, s, each crossing by a line through what is near."""
    at, rpm = run.rpm()
    return _crossing(at, rpm, band[1]) - _crossing(at, rpm, band[0])


def power_in(run: Run, band: tuple[float, float], ratio: float, load: Load) -> float | None:
    """Mean power at the wheels through a band, kW, by energy; None where it can't be told.

    Road speed is engine speed by the gear's ratio, which the logger knows far more finely: in a pull in gear the two
    are locked to one another (not so with a slipping clutch or torque converter).
    """
    at, rpm = run.rpm()
    begins, ends = _crossing(at, rpm, band[0]), _crossing(at, rpm, band[1])
    inside = (at > begins) & (at < ends)
    moments = [begins, *at[inside].tolist(), ends]
    speeds = [band[0], *rpm[inside].tolist(), band[1]]
    try:
        return mean_power_w(load, moments, [one / ratio * KMH for one in speeds]) / 1e3
    except ImpossibleRoad:
        return None


def compare(
    key: str, unit: str, before: Sequence[tuple[str, float | None]], after: Sequence[tuple[str, float | None]]
) -> Compared | None:
    """Hold one figure of the runs before against that of the runs after, each with the log it is of.

    With three logs or more on each side the log is the run: what differs from day to day (weather, fuel, road) is then
    in the interval. With fewer, the pulls are, and it is not. None without a figure on both sides.
    """
    told = [[(log, one) for log, one in side if one is not None] for side in (before, after)]
    if not all(told):
        return None
    by_log = all(len({log for log, _ in side}) >= _MANY_LOGS for side in told)
    first, second = (_by_log(side) if by_log else tuple(one for _, one in side) for side in told)
    try:
        interval = welch(first, second)
    except TooFewRuns:
        interval = None
    return Compared(key, unit, first, second, interval, by_log)


def _by_log(side: Sequence[tuple[str, float]]) -> tuple[float, ...]:
    of: dict[str, list[float]] = defaultdict(list)
    for log, one in side:
        of[log].append(one)
    return tuple(float(np.mean(ones)) for ones in of.values())


def _against(run: Run, grid: Samples) -> Samples:
    at, rpm = run.rpm()
    kpa = on_clock(run.trace, "manifold_pressure")
    known = np.isfinite(kpa)
    if not rpm.size or not known.any():
        return np.full(grid.shape, np.nan)
    there = np.interp(at, run.trace.at[known], kpa[known])
    figures: Samples = np.interp(grid, rpm, there, left=np.nan, right=np.nan)
    return figures


def _crossing(at: Samples, rpm: Samples, of: float) -> float:
    """When engine speed passes a figure: on the line through the samples within 0.3 s, at least four of them."""
    row = int(np.searchsorted(rpm, of))
    guess = float(np.interp(of, rpm, at))
    near = np.flatnonzero(abs(at - guess) <= 0.3)
    if near.size < 4:
        low = min(max(row - 2, 0), max(at.size - 4, 0))
        near = np.arange(low, min(low + 4, at.size))
    slope, height = np.polyfit(at[near] - guess, rpm[near], 1)
    return guess if slope <= 0 else float(np.clip(guess + (of - height) / slope, at[0], at[-1]))
