"""What the stretches of a trace show: each figure with the part that shows it, and what the record could keep."""

import numpy as np

from app.traces.channels import part
from app.traces.idle_measures import of_idle
from app.traces.pull_measures import of_pull
from app.traces.recovery import of_lift_off
from app.traces.shown import Shown
from app.traces.stretches import Doing, Stretch
from app.traces.trace import Trace


def shown(trace: Trace, found: list[Stretch], ambient_kpa: float | None = None) -> list[Shown]:
    """Everything the stretches show, in their order.

    `ambient_kpa` is the air's pressure where the trace has no barometer of its own; without either, boost is told in
    absolute pressure alone.
    """
    idle_kpa = _idle_kpa(trace, found)
    things: list[Shown] = []
    for stretch in found:
        air = air_in(trace, stretch, ambient_kpa)
        if stretch.doing is Doing.PULL:
            things += of_pull(trace, stretch, air)
        elif stretch.doing is Doing.LIFT_OFF:
            things += of_lift_off(trace, stretch, air, idle_kpa)
        elif stretch.doing is Doing.IDLE and stretch.warm is not False:
            things += of_idle(trace, stretch, air)
    return things


def air_in(trace: Trace, stretch: Stretch, ambient_kpa: float | None) -> float | None:
    """The air's pressure during a stretch, kPa absolute: by the trace's own barometer, else as given."""
    noted = part(trace, "barometer", stretch.begins - 60, stretch.ends + 60)[1]
    return float(np.median(noted)) if noted.size else ambient_kpa


def _idle_kpa(trace: Trace, found: list[Stretch]) -> float | None:
    """Manifold pressure at warm idle in this trace, kPa absolute."""
    levels = [
        float(np.median(kpa))
        for one in found
        if one.doing is Doing.IDLE and one.warm is not False
        for _, kpa in [part(trace, "manifold_pressure", one.begins, one.ends)]
        if kpa.size
    ]
    return float(np.median(levels)) if levels else None
