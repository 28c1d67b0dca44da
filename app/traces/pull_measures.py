"""What a full-throttle pull shows: boost, whether it stands still, how soon it comes, and the trims under load.

Limits are common practice, no source.
"""

from dataclasses import replace

import numpy as np

from app.airpath.readings import Condition, ReadingKind
from app.traces.channels import part
from app.traces.j1979 import CEILING_KPA
from app.traces.shown import Shown
from app.traces.stretches import Stretch
from app.traces.trace import Samples, Trace
from app.traces.wander import wander

HUNTS_KPA = 4.0
"""Boost that swings by more than this either way wanders: about 1 psi from top to bottom can be seen on a gauge."""
FEW_PSI_KPA = 45.0
"""Boost that stands still below this is spring pressure or a protective limit, if more was asked for (6.5 psi)."""
_NO_BOOST_KPA = 15.0
_REACHED = 0.9  # of the boost it comes to
_SETTLES_S = 0.5  # after that it may overshoot once
_LEAST_HELD_S = 1.2
_ASKED_FOR = 85.0  # %: a boost valve driven this far asks for more than it gets
_CUT_OFF = f" {CEILING_KPA:g} kPa is the most this car's data can say: how far it went above is not known."
_LOAD_AFTER_S = 0.5  # trims and the mixture need a moment


def of_pull(trace: Trace, pull: Stretch, air: float | None) -> list[Shown]:
    """Everything one pull shows."""
    boost = _boost(trace, pull, air)
    if _is_cut_off(trace, pull):  # how far it went above nobody can know, so it is neither a reading nor a sign
        boost = [
            replace(one, words=one.words + _CUT_OFF, reading=None, condition=None, sign=None, outcome=None)
            for one in boost
            if one.key in {"peak_boost", "steady_boost"}
        ]
    return [*boost, *_trim(trace, pull)]


def _is_cut_off(trace: Trace, pull: Stretch) -> bool:
    """Whether pressure stands at the most that a reader of one byte can say."""
    kpa = part(trace, "manifold_pressure", pull.begins, pull.ends)[1]
    return bool((kpa == CEILING_KPA).sum() >= 3 and kpa.max() == CEILING_KPA)


def gear_name(stretch: Stretch) -> str:
    """`gear 3 (36.2 rpm per km/h)`; what is known of it."""
    if stretch.ratio is None:
        return f"gear {stretch.gear}" if stretch.gear else "a gear that can't be told"
    by = f"{stretch.ratio:.1f} rpm per km/h"
    return f"gear {stretch.gear} ({by})" if stretch.gear else f"the gear of {by}"


def _boost(trace: Trace, pull: Stretch, air: float | None) -> list[Shown]:
    at, kpa = part(trace, "manifold_pressure", pull.begins, pull.ends)
    if kpa.size < 5:
        return []
    level = float(np.median(np.sort(kpa)[kpa.size // 2 :]))
    found = [_peak(pull, at, kpa, air)]
    if air is not None and level - air < _NO_BOOST_KPA:
        held_from = float(at[0]) + _SETTLES_S
    else:
        reached = float((air if air is not None else kpa[0]) * (1 - _REACHED) + level * _REACHED)
        when = _first_above(at, kpa, reached)
        found += _spool(trace, pull, when, reached, (level, float(kpa[0]), air))
        held_from = when + _SETTLES_S
    held = at >= held_from
    if held.sum() >= 5 and at[-1] - held_from >= _LEAST_HELD_S:
        found += _held(trace, pull, at[held], kpa[held], air)
    return found


def _peak(pull: Stretch, at: Samples, kpa: Samples, air: float | None) -> Shown:
    smooth = np.median(np.stack((kpa[:-2], kpa[1:-1], kpa[2:])), axis=0)  # one wild sample is no peak
    top = int(np.argmax(smooth)) + 1
    return Shown(
        "peak_boost", "Peak boost", pull, float(at[max(top - 5, 0)]), float(at[min(top + 5, at.size - 1)]),
        "manifold_pressure", float(smooth[top - 1]), "kPa", f"The highest boost of the pull in {gear_name(pull)}.",
        ReadingKind.PEAK_BOOST, Condition.FULL_THROTTLE, ambient_kpa=air,
    )  # fmt: skip


def _spool(
    trace: Trace, pull: Stretch, when: float, reached: float, levels: tuple[float, float, float | None]
) -> list[Shown]:
    """How soon boost came, where the pull began with next to none."""
    level, first, air = levels
    if air is None or first - air > 0.4 * (level - air) or when <= pull.begins:
        return []
    there, rpm = part(trace, "engine_speed", pull.begins, pull.ends)
    span = (
        f", from {np.interp(pull.begins, there, rpm):.0f} to {np.interp(when, there, rpm):.0f} rpm" if rpm.size else ""
    )
    words = f"From full throttle to {reached - air:.0f} kPa of boost, nine tenths of what it comes to{span}."
    name = f"Spool time in {gear_name(pull)}"
    return [
        Shown(
            "spool", "Spool time", pull, pull.begins, when, "manifold_pressure", when - pull.begins, "s", words,
            ReadingKind.FREE, Condition.ANY, free_name=name,
        )
    ]  # fmt: skip


def _held(trace: Trace, pull: Stretch, at: Samples, kpa: Samples, air: float | None) -> list[Shown]:
    begins, ends, level = float(at[0]), float(at[-1]), float(np.median(kpa))
    how = wander(at, kpa)
    capped = air is not None and _is_capped(trace, (begins, ends), level - air, how.swing if how else 0.0)
    words = f"Held for {ends - begins:.1f} s of full throttle in {gear_name(pull)}."
    if capped:
        words += " It stands at a few psi while the boost valve is asked for more."
    found = [
        Shown(
            "steady_boost", "Boost held", pull, begins, ends, "manifold_pressure", level, "kPa", words,
            ReadingKind.STEADY_BOOST, Condition.FULL_THROTTLE, sign="boost_level",
            outcome="capped_low" if capped else None, ambient_kpa=air,
        )
    ]  # fmt: skip
    if how is not None and (air is None or level - air >= _NO_BOOST_KPA):
        beat = f", {how.hz:.1f} times a second" if how.hz else ""
        erratic = how.swing >= HUNTS_KPA
        said = f"It swings {how.swing:.1f} kPa either way{beat}." if erratic else "It stands still."
        found.append(
            Shown(
                "boost_stability", "Boost up and down", pull, begins, ends, "manifold_pressure", how.swing, "kPa",
                f"{said} Above {HUNTS_KPA:g} kPa it counts as wandering.", sign="boost_stability",
                outcome="erratic" if erratic else "steady",
            )
        )  # fmt: skip
    return found


def _is_capped(trace: Trace, when: tuple[float, float], boost: float, swing: float) -> bool:
    duty = part(trace, "boost_duty", *when)[1]
    asked = duty.size > 0 and float(np.median(duty)) >= _ASKED_FOR
    return asked and _NO_BOOST_KPA / 2 < boost <= FEW_PSI_KPA and swing < HUNTS_KPA


def _trim(trace: Trace, pull: Stretch) -> list[Shown]:
    found = trim_in(trace, pull.begins + _LOAD_AFTER_S, pull.ends)
    if found is None:
        return []
    percent, words = found
    return [
        Shown(
            "fuel_trim_load", "Fuel trim under load", pull, pull.begins + _LOAD_AFTER_S, pull.ends, "fuel_trim_short",
            percent, "%", f"{words} Some engines don't trim at full throttle; the figure then says nothing.",
            ReadingKind.FUEL_TRIM_LOAD, Condition.FULL_THROTTLE, sign="fuel_trim_load",
        )
    ]  # fmt: skip


def trim_in(trace: Trace, begins: float, ends: float) -> tuple[float, str] | None:
    """Short and long trim added up between two moments, %, and which of them that is; None without either."""
    parts = {name: part(trace, f"fuel_trim_{name}", begins, ends)[1] for name in ("short", "long")}
    noted = {name: float(np.mean(values)) for name, values in parts.items() if values.size >= 3}
    if not noted:
        return None
    if len(noted) == 2:
        return sum(noted.values()), f"Short {noted['short']:+.1f} % and long {noted['long']:+.1f} %."
    return sum(noted.values()), f"The {next(iter(noted))} trim alone; the other was not logged."


def _first_above(at: Samples, kpa: Samples, reached: float) -> float:
    """When a rising figure first came to `reached`, between two samples by a straight line."""
    row = int(np.argmax(kpa >= reached))
    if row == 0:
        return float(at[0])
    share = (reached - kpa[row - 1]) / (kpa[row] - kpa[row - 1])
    return float(at[row - 1] + share * (at[row] - at[row - 1]))
