"""What the car was doing when: pulls at full throttle, lift-offs, idles and the warm-up, found in a trace.

Whatever channels there are is used: the pedal or throttle if logged, else manifold pressure; road speed tells an idle
from coasting, and a pull from an engine revved at rest. Limits are common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from app.traces.channels import Mask, on_clock, opened, part, spans
from app.traces.gears import gear_of, gears, ratio_between
from app.traces.trace import Samples, Trace

FULL, LET_GO, HALF, SHUT = 0.92, 0.85, 0.5, 0.08
_LEAST_PULL_S, _LEAST_RISE_RPM, _LEAST_PULL_RPM = 1.2, 150.0, 1200.0
_REVVED_RPM_S = 5000.0  # faster than any gear lets an engine gain speed
_SHIFT = 0.93  # engine speed below this share of what it was: a gear was changed with the foot down
_ROLLING_KMH = 8.0
_SNAP_S, _LEAST_LIFT_S, _LONGEST_LIFT_S, _LIFT_RPM = 0.9, 0.7, 12.0, 1400.0
_BOOSTED_KPA = 15.0
_STANDING_KMH = 2.0
_IDLE_RPM = (400.0, 1600.0)
_STEADY_RPM_S = 150.0
_LEAST_IDLE_S, _SETTLES_S = 4.0, 2.0
_COLD_C, WARM_C = 60.0, 70.0
_USUAL_KPA = 100.0


class Doing(StrEnum):
    """What the car was doing."""

    PULL = "pull"
    LIFT_OFF = "lift_off"
    IDLE = "idle"
    WARM_UP = "warm_up"


DOING_LABEL = {
    Doing.PULL: "Full-throttle pull",
    Doing.LIFT_OFF: "Lift-off",
    Doing.IDLE: "Idle",
    Doing.WARM_UP: "Warm-up",
}


@dataclass(frozen=True, slots=True)
class Stretch:
    """From when to when (s since the trace began), and what is known of it.

    `ratio` is engine over road speed (rpm per km/h) and `gear` which of the gears driven in that is, 1 for the lowest,
    or the logger's own word for it. `warm` is None where coolant was not logged.
    """

    doing: Doing
    begins: float
    ends: float
    ratio: float | None = None
    gear: int | None = None
    warm: bool | None = None

    @property
    def seconds(self) -> float:
        """How long it lasts."""
        return self.ends - self.begins


def stretches(trace: Trace) -> list[Stretch]:
    """Every stretch there is, by its beginning."""
    if trace.at.size < 3:
        return []
    found = [*pulls(trace), *lift_offs(trace), *idles(trace), *warm_up(trace)]
    return sorted(found, key=lambda one: (one.begins, one.doing))


def pulls(trace: Trace) -> list[Stretch]:
    """Full throttle held in one gear while the engine gains speed."""
    wide = _flat_out(trace)
    if wide is None:
        return []
    rpm, known = on_clock(trace, "engine_speed"), gears(trace)
    found: list[Stretch] = []
    for whole in spans(wide, trace.at):
        for first, last in _by_gear(rpm, *whole):
            if not _gains(trace, rpm, first, last):
                continue
            begins, ends = float(trace.at[first]), float(trace.at[last])
            ratio = ratio_between(trace, first, last)
            noted = part(trace, "gear", begins, ends)[1]
            gear = round(float(np.median(noted))) if noted.size else gear_of(ratio, known)
            found.append(Stretch(Doing.PULL, begins, ends, ratio, gear, _warm(trace, begins, ends)))
    return found


def lift_offs(trace: Trace) -> list[Stretch]:
    """The throttle snapped shut while the car drives on: from that moment until it opens again."""
    share = opened(trace)
    if share is None:
        return []
    rpm, kmh = on_clock(trace, "engine_speed"), on_clock(trace, "road_speed")
    driving = ~(rpm < _LIFT_RPM) & ~(kmh < _ROLLING_KMH)
    found: list[Stretch] = []
    for first, last in spans(share <= SHUT, trace.at):
        from_row = first
        while from_row > 0 and trace.at[first] - trace.at[from_row - 1] <= _SNAP_S and share[from_row] < HALF:
            from_row -= 1
        if from_row == first or not share[from_row] >= HALF or not driving[first]:
            continue
        shut = slice(first, last + 1)
        kept = np.flatnonzero(driving[shut] & (trace.at[shut] - trace.at[from_row] <= _LONGEST_LIFT_S))
        begins, ends = float(trace.at[from_row]), float(trace.at[first + kept[-1]])
        if ends - trace.at[first] >= _LEAST_LIFT_S:
            found.append(Stretch(Doing.LIFT_OFF, begins, ends, warm=_warm(trace, begins, ends)))
    return found


def idles(trace: Trace) -> list[Stretch]:
    """The engine left alone at rest, without the seconds it takes to settle."""
    rpm = on_clock(trace, "engine_speed")
    if not np.isfinite(rpm).any():
        return []
    share, kmh = opened(trace), on_clock(trace, "road_speed")
    low, high = _IDLE_RPM
    alone: Mask = (rpm >= low) & (rpm <= high)
    if share is not None:
        alone &= ~(share > SHUT)
    if np.isfinite(kmh).any():
        alone &= kmh < _STANDING_KMH
    else:  # coasting down in gear looks much the same, but does not stay
        alone &= abs(np.gradient(rpm, trace.at)) < _STEADY_RPM_S
    found: list[Stretch] = []
    for first, last in spans(alone, trace.at):
        begins, ends = float(trace.at[first]), float(trace.at[last])
        if first > 0:
            begins += _SETTLES_S
        if ends - begins >= _LEAST_IDLE_S:
            found.append(Stretch(Doing.IDLE, begins, ends, warm=_warm(trace, begins, ends)))
    return found


def warm_up(trace: Trace) -> list[Stretch]:
    """From a cold start until the coolant is warm, or the trace ends."""
    coolant = on_clock(trace, "coolant")
    known = np.flatnonzero(np.isfinite(coolant))
    if not known.size or coolant[known[0]] >= _COLD_C:
        return []
    warm = known[coolant[known] >= WARM_C]
    ends = warm[0] if warm.size else known[-1]
    return [Stretch(Doing.WARM_UP, float(trace.at[known[0]]), float(trace.at[ends]), warm=False)]


def _flat_out(trace: Trace) -> Mask | None:
    share = opened(trace)
    if share is not None:
        return _held(share, FULL, LET_GO)
    if not trace.has("manifold_pressure"):
        return None
    kpa, air = on_clock(trace, "manifold_pressure"), on_clock(trace, "barometer")
    over = kpa - np.where(np.isfinite(air), air, _USUAL_KPA)
    return _held(over, _BOOSTED_KPA, _BOOSTED_KPA / 2)


def _held(values: Samples, from_: float, until: float) -> Mask:
    """True from where `from_` is reached until it falls below `until`, so that a tremble on the limit cuts nothing."""
    state = np.where(values >= from_, 1, np.where(values < until, 0, -1))
    state[~np.isfinite(values)] = 0
    rows = np.where(state >= 0, np.arange(state.size), 0)
    np.maximum.accumulate(rows, out=rows)
    held: Mask = state[rows] == 1
    return held


def _by_gear(rpm: Samples, first: int, last: int) -> Iterator[tuple[int, int]]:
    """A run of rows cut where engine speed drops as it does when a higher gear goes in."""
    begins = top = row = first
    while row <= last:
        if not rpm[row] < rpm[top]:
            top = row
        elif rpm[row] < _SHIFT * rpm[top]:
            yield begins, top
            while row < last and rpm[row + 1] < rpm[row]:
                row += 1
            begins = top = row
        row += 1
    yield begins, last


def _gains(trace: Trace, rpm: Samples, first: int, last: int) -> bool:
    seconds = float(trace.at[last] - trace.at[first])
    if seconds < _LEAST_PULL_S:
        return False
    kmh = on_clock(trace, "road_speed")[first : last + 1]
    if np.isfinite(kmh).any() and not np.nanmedian(kmh) >= _ROLLING_KMH:
        return False
    there = rpm[first : last + 1]
    if not np.isfinite(there).any():
        kpa = on_clock(trace, "manifold_pressure")[first : last + 1]
        faster = np.isfinite(kmh).any() and np.nanmax(kmh) - np.nanmin(kmh) >= _ROLLING_KMH
        return bool(faster) or bool((kpa >= _USUAL_KPA + _BOOSTED_KPA).any())
    rise = float(np.nanmax(there[-3:]) - np.nanmin(there[:3]))
    fast_enough = float(np.nanmedian(there)) >= _LEAST_PULL_RPM
    return fast_enough and rise >= _LEAST_RISE_RPM and rise / seconds < _REVVED_RPM_S


def _warm(trace: Trace, begins: float, ends: float) -> bool | None:
    coolant = part(trace, "coolant", begins - 30, ends + 30)[1]
    return bool(np.median(coolant) >= WARM_C) if coolant.size else None
