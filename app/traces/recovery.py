"""What a lift-off shows: how soon vacuum is back when the throttle shuts after boost."""

import numpy as np

from app.airpath.readings import Condition, ReadingKind
from app.traces.channels import part
from app.traces.shown import Shown
from app.traces.stretches import Stretch
from app.traces.trace import Trace

_BOOSTED_KPA = 10.0
_BEFORE_S = 1.0
_BACK = 0.9  # of the way from boost to the vacuum it ends at
NEVER_S = 10.0
"""By then nobody calls it slow any more."""
_USUAL_KPA = 100.0


def of_lift_off(trace: Trace, lift: Stretch, air: float | None, idle_kpa: float | None) -> list[Shown]:
    """The time from the throttle shutting until nine tenths of the way back to vacuum; nothing without boost before it.

    `idle_kpa` is what the engine idles at in this trace; without it, the way ends where the lift-off itself does.
    """
    before = part(trace, "manifold_pressure", lift.begins - _BEFORE_S, lift.begins)[1]
    at, kpa = part(trace, "manifold_pressure", lift.begins, lift.ends)
    if not before.size or kpa.size < 4:
        return []
    high = float(np.median(before))
    if high - (air if air is not None else _USUAL_KPA) < _BOOSTED_KPA:
        return []
    lowest = float(np.quantile(kpa, 0.1))
    end = lowest if idle_kpa is None else max(lowest, idle_kpa) if lowest < idle_kpa else idle_kpa
    limit = high + _BACK * (end - high)
    row = int(np.argmax(kpa <= limit))
    back = bool(kpa[row] <= limit)
    if not back and lift.seconds < NEVER_S:
        return []  # the throttle opened again, or the car stood, before it could be seen
    if not back:
        seconds, until = lift.seconds, lift.ends
    elif row == 0:
        seconds, until = 0.0, float(at[0])
    else:
        share = (limit - kpa[row - 1]) / (kpa[row] - kpa[row - 1])
        until = float(at[row - 1] + share * (at[row] - at[row - 1]))
        seconds = until - lift.begins
    words = f"From {high:.0f} kPa absolute nine tenths of the way to {end:.0f} kPa once the throttle shuts."
    if not back:
        words = f"After {seconds:.0f} s it still was not back at {end:.0f} kPa absolute."
    return [
        Shown(
            "vacuum_recovery", "Vacuum recovery after lift-off", lift, max(lift.begins - _BEFORE_S, 0.0),
            max(until, min(lift.begins + 2, lift.ends)), "manifold_pressure", seconds, "s", words,
            ReadingKind.VACUUM_RECOVERY, Condition.LIFT_OFF, sign="vacuum_recovery",
        )
    ]  # fmt: skip
