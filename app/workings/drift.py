"""Whether readings of one kind have left what is usual, and since which: one of three control charts judges.

How often a healthy car is told of a drift at one look, all its readings marked healthy and the limits learned from
them (7000 simulated cars each of 12, 20 and 40 normally spread readings): weighted mean 0.7, 0.5 and 0.2 %, cumulative
sum 0.1, 0.3 and 0.4 %, single readings 1.0, 0.5 and 0.5 %. With the true value and spread known, the weighted mean
calls one by mistake every 500 readings or so, the cumulative sum every 1400, single readings every 350. A slide of one
spread that stays takes 12 readings in the mean to be told by either of the first two, and 45 by single readings.
One wild reading alone is no drift to the first two. `tests/workings/test_drift.py` simulates this with a fixed seed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from statistics import fmean, median

from app.workings.control_charts import WIDTHS, Limits, cusum, ewma, ewma_limits, moving_range_spread
from app.workings.spread import Baseline

WEIGHT = 0.3
"""What the newest reading counts in the weighted mean (the weight of the NIST/SEMATECH e-Handbook's example)."""

SLACK = 0.5
"""In spreads: what a reading may be off without adding to the sum (half of the shift looked for, 6.3.2.3)."""

DECIDES = 6.0
"""In spreads: a sum beyond it signals. (Our own choice by simulation; the handbook's example has 6.6.)"""

CEILING = 1.2 * DECIDES
"""In spreads: no sum grows beyond it, so that two good readings end a drift however long it was (our own choice)."""

WILDEST = 3.0
"""In spreads: a reading further off counts as this much, for one wild reading is a fault and no drift (our own)."""

ENOUGH = 6
"""Healthy readings whose steps tell a spread to hold others to; fewer tell hardly anything (our own judgement)."""


class Rule(StrEnum):
    """Which chart judges."""

    EWMA = "ewma"
    CUSUM = "cusum"
    INDIVIDUALS = "individuals"


class Way(StrEnum):
    """Which way a reading went, in SI: a vacuum that fades is a pressure that goes up."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class Drift:
    """A drift that stands at the last reading: since the reading of index `since`, by `shift` in the mean (in SI)."""

    way: Way
    since: int
    shift: float


@dataclass(frozen=True, slots=True)
class Judged:
    """What one chart makes of readings: what it drew for each, and whether there is a drift at the last.

    `line` is the weighted mean and `limits` its own after each reading; of single readings there are limits only; of
    the cumulative sum neither, but `sums` (high, low) in spreads. All else in the unit of the readings.
    """

    rule: Rule
    usual: Baseline
    line: tuple[float, ...]
    limits: tuple[Limits, ...]
    sums: tuple[tuple[float, float], ...]
    drift: Drift | None


def settled(healthy: Sequence[float], resolution: float) -> Baseline | None:
    """What healthy readings, oldest first, are held to: their median, and the spread their steps tell (MR/1.128).

    Not the spread of a baseline: a drift widens that one, and would hide in it. Never below the gauge's `resolution`.
    None for fewer than ENOUGH. Raises ValueError for a reading or resolution that is not finite or makes no spread.
    """
    if len(healthy) < ENOUGH:
        return None
    return Baseline(median(healthy), max(moving_range_spread(healthy), resolution), len(healthy))


def judge(values: Sequence[float], usual: Baseline, rule: Rule) -> Judged:
    """Judge readings of one series, oldest first, against what is usual; both in one unit.

    Raises ValueError for a reading that is not finite.
    """
    if not all(isfinite(value) for value in values):
        raise ValueError("a reading has to be a number")
    off = [(value - usual.centre) / usual.spread for value in values]
    tamed = [max(-WILDEST, min(WILDEST, each)) for each in off]
    line: tuple[float, ...] = ()
    limits: tuple[Limits, ...] = ()
    sums: tuple[tuple[float, float], ...] = ()
    if rule is Rule.CUSUM:
        sums = tuple(cusum(tamed, 0.0, SLACK, CEILING))
        ways = [_way(high - DECIDES, low - DECIDES) for high, low in sums]
    elif rule is Rule.EWMA:
        means = ewma(tamed, WEIGHT, 0.0)
        reach = [ewma_limits(0.0, 1.0, WEIGHT, count) for count in range(1, len(tamed) + 1)]
        ways = [_way(mean - limit.upper, limit.lower - mean) for mean, limit in zip(means, reach, strict=True)]
        line = tuple(usual.centre + usual.spread * mean for mean in means)
        limits = tuple(_scaled(limit, usual) for limit in reach)
    else:
        ways = [_way(each - WIDTHS, -WIDTHS - each) for each in off]
        limits = (_scaled(Limits(-WIDTHS, 0.0, WIDTHS), usual),) * len(off)
    return Judged(rule, usual, line, limits, sums, _drift(values, tamed, usual, ways[-1] if ways else None))


_ROUNDING = 1e-9  # of a spread: a figure exactly on a limit is not pushed over it by its last binary digit


def _way(above: float, below: float) -> Way | None:
    return Way.UP if above > _ROUNDING else Way.DOWN if below > _ROUNDING else None


def _scaled(limits: Limits, usual: Baseline) -> Limits:
    lower, upper = (usual.centre + usual.spread * each for each in (limits.lower, limits.upper))
    return Limits(lower, usual.centre, upper)


def _drift(values: Sequence[float], tamed: Sequence[float], usual: Baseline, way: Way | None) -> Drift | None:
    """Since the reading after which the sum of that side was never again at nought.

    (The usual estimate of when a shift began: Montgomery, Statistical Quality Control, from memory.)
    """
    if way is None:
        return None
    side = 0 if way is Way.UP else 1
    sums = [both[side] for both in cusum(tamed, 0.0, SLACK)]
    since = next((n + 1 for n in range(len(sums) - 1, -1, -1) if sums[n] == 0.0), 0)
    since = min(since, len(values) - 1)
    return Drift(way, since, fmean(values[since:]) - usual.centre)
