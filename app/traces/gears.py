"""Which gear a car is in, from engine speed over road speed: gear by gear the two hold one ratio."""

import numpy as np

from app.traces.channels import on_clock
from app.traces.trace import Samples, Trace

SAME = 0.05
"""Ratios this near (as a share) are one gear: tyres and coarse speeds make 2 % of it, the next gear 15 % or more."""
_LEAST_KMH, _LEAST_RPM = 15.0, 1100.0  # below, the clutch slips and a speed in whole km/h says too little
_LEAST_S = 3.0  # in a gear, before it counts as one
_BIN = 0.015  # of the logarithm


def ratio_along(trace: Trace) -> Samples:
    """Engine speed over road speed on every row, rpm per km/h; NaN where it means nothing."""
    rpm, kmh = on_clock(trace, "engine_speed"), on_clock(trace, "road_speed")
    told = (kmh >= _LEAST_KMH) & (rpm >= _LEAST_RPM)
    ratio: Samples = np.full(trace.at.shape, np.nan)
    np.divide(rpm, kmh, out=ratio, where=told)
    return ratio


def gears(trace: Trace) -> tuple[float, ...]:
    """The ratios the car was driven in, rpm per km/h, the lowest gear first; nothing if it can't be told.

    A gear is where the ratio stays: a peak of the time spent at each. A gear that was not used is not among them.
    """
    ratio = ratio_along(trace)
    known = np.isfinite(ratio)
    if known.sum() < 5:
        return ()
    seconds = np.minimum(np.gradient(trace.at), 1.0)[known]
    logs = np.log(ratio[known])
    edges = np.arange(logs.min() - 4 * _BIN, logs.max() + 5 * _BIN, _BIN)
    spent, _ = np.histogram(logs, edges, weights=seconds)
    near = np.convolve(spent, np.ones(3), "same")
    found: list[float] = []
    for peak in np.argsort(near)[::-1]:
        if near[peak] < _LEAST_S:
            break
        middle = float((edges[peak] + edges[peak + 1]) / 2)
        if all(abs(middle - one) > 2 * SAME for one in found):
            found.append(float(np.median(logs[abs(logs - middle) < SAME])))
    return tuple(sorted((float(np.exp(one)) for one in found), reverse=True))


def ratio_between(trace: Trace, first: int, last: int) -> float | None:
    """The ratio held from one row to another; None where it was not held, or can't be told."""
    ratio = ratio_along(trace)[first : last + 1]
    known = ratio[np.isfinite(ratio)]
    if known.size < 3:
        return None
    middle = float(np.median(known))
    return middle if np.mean(abs(known / middle - 1) <= SAME) >= 0.75 else None


def gear_of(ratio: float | None, of: tuple[float, ...]) -> int | None:
    """Which of the gears found (1 for the lowest) a ratio is; None if it is none of them."""
    if ratio is None or not of:
        return None
    nearest = min(range(len(of)), key=lambda n: abs(of[n] / ratio - 1))
    return nearest + 1 if abs(of[nearest] / ratio - 1) <= 2 * SAME else None
