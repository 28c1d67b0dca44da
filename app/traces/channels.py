"""Channels made ready to be looked along: on every row of the clock, and the runs of rows in which something holds."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from app.traces.trace import Samples, Trace

Mask = NDArray[np.bool_]

LONGEST_HOLE = 2.5
"""Seconds without a figure over which a straight line is still drawn; beyond, nothing is known."""
_SHUT_AT_MOST, _WIDE_AT_LEAST = 25.0, 70.0  # %: what a shut and a wide open throttle may read
_LEAST_WIDE = 0.5  # s


def on_clock(trace: Trace, name: str) -> Samples:
    """A channel with a figure on every row of the clock, in its own unit; NaN where the logger was silent too long.

    Loggers ask for one channel after the other, so each has figures on some rows only.
    """
    values = trace.channels.get(name)
    if values is None:
        return np.full(trace.at.shape, np.nan)
    known = np.isfinite(values)
    if known.all() or not known.any():
        return values
    there = trace.at[known]
    filled = np.interp(trace.at, there, values[known])
    after = np.searchsorted(there, trace.at, side="left").clip(0, len(there) - 1)
    before = (np.searchsorted(there, trace.at, side="right") - 1).clip(0, len(there) - 1)
    too_far = (there[after] - there[before] > LONGEST_HOLE) | (trace.at < there[0]) | (trace.at > there[-1])
    filled[too_far & ~known] = np.nan
    return filled


def spans(holds: Mask, at: Samples) -> Iterator[tuple[int, int]]:
    """Each run of rows in which `holds` is true, as (first row, last row); a hole in the clock ends a run."""
    if not holds.size:
        return
    cut = np.zeros(holds.shape, dtype=bool)
    cut[1:] = np.diff(at) > LONGEST_HOLE
    begins = np.flatnonzero(holds & (np.concatenate(([True], ~holds[:-1])) | cut))
    ends = np.flatnonzero(holds & (np.concatenate((~holds[1:], [True])) | np.concatenate((cut[1:], [True]))))
    yield from zip(begins.tolist(), ends.tolist(), strict=True)


def part(trace: Trace, name: str, begins: float, ends: float) -> tuple[Samples, Samples]:
    """The figures a channel really has between two moments (s): when, and what."""
    values = trace.channels.get(name)
    if values is None:
        return np.empty(0), np.empty(0)
    here = (trace.at >= begins) & (trace.at <= ends) & np.isfinite(values)
    return trace.at[here], values[here]


def opened(trace: Trace) -> Samples | None:
    """How far the pedal is down, else the throttle open, 0 to 1; None where neither was logged.

    Sensors seldom read 0 % shut and 100 % wide open. Shut is what the channel reads at its lowest, if that is near 0;
    wide open what it reads at its highest for half a second, if that is so high that it can be nothing else.
    """
    name = next((one for one in ("pedal", "throttle") if trace.has(one)), None)
    if name is None:
        return None
    values = on_clock(trace, name)
    known = values[np.isfinite(values)]
    low = float(np.quantile(known, 0.01))
    rows = max(1, round(_LEAST_WIDE / max(step(trace), 1e-3)))
    high = float(np.partition(known, -min(rows, known.size))[-min(rows, known.size)])
    shut = low if low <= _SHUT_AT_MOST else 0.0
    wide = high if high >= _WIDE_AT_LEAST else 100.0
    share: Samples = np.clip((values - shut) / (wide - shut), 0.0, 1.0)
    return share


def step(trace: Trace) -> float:
    """The usual time from row to row, s; infinite for a trace of one row."""
    return float(np.median(np.diff(trace.at))) if trace.at.size > 1 else float("inf")
