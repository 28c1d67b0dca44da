"""Two logs laid over each other: one channel of each against engine speed, or against time."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.traces.trace import Samples, Trace

#: A throttle (or, without one, a pedal) from here on counts as wide open, %. (Common practice, no source.)
WIDE_OPEN = 90.0


@dataclass(frozen=True, slots=True)
class Bin:
    """One step of engine speed, from `start` to `start` + the step, rpm: what the channel showed, and how often."""

    start: float
    low: float
    mean: float
    high: float
    count: int


def is_wide_open(trace: Trace) -> np.ndarray | None:
    """At which samples the throttle was wide open; None where the log tells nothing of it."""
    for name in ("throttle", "pedal"):
        if trace.has(name):
            return np.asarray(trace.channels[name] >= WIDE_OPEN)
    return None


def by_speed(trace: Trace, channel: str, step: float, *, wide_open: bool = False) -> Sequence[Bin]:
    """A channel in steps of engine speed (rpm), rising; those without a figure are left out.

    With `wide_open` only what was read with the throttle wide open counts; nothing in a log that does not tell. Raises
    ValueError for a step that is not above nought.
    """
    if not step > 0:
        raise ValueError("A step of engine speed is above nought.")
    if not trace.has(channel, "engine_speed"):
        return ()
    figures, rpm = trace.channels[channel], trace.channels["engine_speed"]
    counts = np.isfinite(figures) & np.isfinite(rpm)
    if wide_open:
        open_wide = is_wide_open(trace)
        counts &= False if open_wide is None else open_wide
    figures, steps = figures[counts], (rpm[counts] // step).astype(np.int64)
    if not figures.size:
        return ()
    order = np.argsort(steps, kind="stable")
    figures, steps = figures[order], steps[order]
    starts = np.flatnonzero(np.r_[True, steps[1:] != steps[:-1]])
    many = np.diff(np.r_[starts, steps.size])
    low, high = np.minimum.reduceat(figures, starts), np.maximum.reduceat(figures, starts)
    mean = np.add.reduceat(figures, starts) / many
    return [
        Bin(float(steps[at] * step), float(low[n]), float(mean[n]), float(high[n]), int(many[n]))
        for n, at in enumerate(starts)
    ]


def by_time(trace: Trace, channel: str, start: float, grid: Samples) -> Samples:
    """A channel at each moment of `grid`, s after `start` of the log; NaN before, after, and where it has no figure."""
    if not trace.has(channel):
        return np.full(grid.shape, np.nan)
    there = np.isfinite(trace.channels[channel])
    at = trace.at[there] - start
    return np.interp(grid, at, trace.channels[channel][there], left=np.nan, right=np.nan)
