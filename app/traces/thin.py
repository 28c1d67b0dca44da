"""A log thinned for drawing: of all that falls on one column of a chart, the least and the greatest figure.

Every peak stays, whatever it stood between: a line drawn through both covers what a line through all would cover.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from app.traces.trace import Samples, Trace


@dataclass(frozen=True, slots=True)
class Thinned:
    """A part of a trace with few points: `at` in s, rising, and for each channel a figure (or NaN) at each of them."""

    at: Samples
    channels: Mapping[str, Samples]


@dataclass(frozen=True, slots=True)
class Spread:
    """What a channel shows over a part of a trace; None where there is no figure in it."""

    low: float | None
    mean: float | None
    high: float | None


def part_of(trace: Trace, start: float, end: float) -> slice:
    """The samples from `start` to `end` s, and one either side, so that a line goes on to the edge of a chart."""
    first = int(np.searchsorted(trace.at, start, side="left"))
    last = int(np.searchsorted(trace.at, end, side="right"))
    return slice(max(0, first - 1), min(trace.at.size, last + 1))


def thinned(trace: Trace, names: list[str], start: float, end: float, columns: int) -> Thinned:
    """Some channels from `start` to `end` s, with at most two points for each of `columns` columns of a chart.

    As many samples as points, or fewer, are given as they are. Raises KeyError for a channel the trace does not have,
    ValueError for no columns.
    """
    if columns < 1:
        raise ValueError("A chart has at least one column.")
    part = part_of(trace, start, end)
    at = trace.at[part]
    if at.size <= 2 * columns:
        return Thinned(at, {name: trace.channels[name][part] for name in names})
    # Columns of equal time, of which those without a sample are left out.
    column = np.searchsorted(np.linspace(start, end, columns + 1)[1:-1], at, side="right")
    starts = np.flatnonzero(np.r_[True, column[1:] != column[:-1]])
    ends = np.r_[starts[1:], at.size] - 1
    both = np.empty(2 * starts.size)
    both[0::2], both[1::2] = at[starts], at[ends]
    return Thinned(both, {name: _ends(trace.channels[name][part], starts, ends) for name in names})


def _ends(figures: Samples, starts: np.ndarray, ends: np.ndarray) -> Samples:
    low, high = np.fmin.reduceat(figures, starts), np.fmax.reduceat(figures, starts)
    # Drawn in the order it went, so that the lines between the columns rise where the figures do.
    is_falling = figures[ends] < figures[starts]
    found = np.empty(2 * starts.size)
    found[0::2], found[1::2] = np.where(is_falling, high, low), np.where(is_falling, low, high)
    return found


def spread_of(figures: Samples) -> Spread:
    """The least, mean and greatest of a channel's figures."""
    there = figures[np.isfinite(figures)]
    if not there.size:
        return Spread(None, None, None)
    return Spread(float(there.min()), float(there.mean()), float(there.max()))


def within(trace: Trace, start: float, end: float) -> slice:
    """The samples from `start` to `end` s, both among them."""
    return slice(int(np.searchsorted(trace.at, start, "left")), int(np.searchsorted(trace.at, end, "right")))
