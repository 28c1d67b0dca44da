"""Stretches of a log in which the boost went over the car's target."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.traces.trace import Trace
from app.workings.boost_target import BoostTarget

#: A shorter while on target between two stretches makes one of them, s. (Common practice, no source.)
JOINED_S = 1.0
#: One sample alone over target is a slip of the sensor unless it passes the limit. (Common practice, no source.)
LEAST_SAMPLES = 2


@dataclass(frozen=True, slots=True)
class Stretch:
    """From `start` to `end`, s since the log's first sample. At its worst, `at`, the manifold held `kpa` (absolute) at
    `rpm` (None where the log has no engine speed), `off_kpa` above `target_kpa`; `is_limit` if it passed the limit."""

    start: float
    end: float
    at: float
    kpa: float
    rpm: float | None
    off_kpa: float
    target_kpa: float
    is_limit: bool


def target_along(trace: Trace, target: BoostTarget) -> np.ndarray:
    """The target at every sample, kPa absolute: the highest where the engine speed is not known."""
    none = np.full(trace.at.shape, np.nan)
    rpm = trace.channels.get("engine_speed", none)
    speeds, kpa = zip(*target.points, strict=True)
    return np.where(np.isfinite(rpm), np.interp(np.nan_to_num(rpm), speeds, kpa), target.highest_kpa)


def stretches_over(trace: Trace, target: BoostTarget) -> Sequence[Stretch]:
    """Where the manifold's pressure is over the target by more than its tolerance, or above the limit, in order."""
    if not trace.has("manifold_pressure"):
        return ()
    kpa = trace.channels["manifold_pressure"]
    aim = target_along(trace, target)
    above_limit = kpa > (np.inf if target.limit_kpa is None else target.limit_kpa)
    is_over = above_limit | (kpa - aim > target.tolerance_kpa)  # of NaN, false
    over = np.flatnonzero(is_over)
    if not over.size:
        return ()
    breaks = np.flatnonzero(np.diff(trace.at[over]) > JOINED_S) + 1
    found = (one for one in np.split(over, breaks) if one.size >= LEAST_SAMPLES or above_limit[one].any())
    return tuple(_stretch(trace, one, kpa, aim, above_limit) for one in found)


def _stretch(trace: Trace, over: np.ndarray, kpa: np.ndarray, aim: np.ndarray, above_limit: np.ndarray) -> Stretch:
    worst = int(over[np.argmax((kpa - aim)[over])])
    rpm = float(trace.channels["engine_speed"][worst]) if "engine_speed" in trace.channels else None
    return Stretch(
        float(trace.at[over[0]]),
        float(trace.at[over[-1]]),
        float(trace.at[worst]),
        float(kpa[worst]),
        rpm if rpm is not None and np.isfinite(rpm) else None,
        float(kpa[worst] - aim[worst]),
        float(aim[worst]),
        bool(above_limit[over].any()),
    )
