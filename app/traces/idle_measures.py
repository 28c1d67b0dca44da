"""What a warm idle shows: vacuum and its needle, engine speed, trims and airflow.

Limits are common practice, no source.
"""

import numpy as np

from app.airpath.readings import Condition, ReadingKind
from app.traces.channels import part
from app.traces.pull_measures import trim_in
from app.traces.shown import Shown
from app.traces.stretches import Stretch
from app.traces.trace import Trace
from app.traces.wander import wander

WAVERS_KPA = 1.7
"""A needle that swings half an inch of mercury either way is seen to wander."""
HUNTS_RPM = 40.0
HIGH_RPM = 1150.0
_SLOW_HZ = 2.0  # a logger does not see what flicks in time with the engine
_LEAST_S = 6.0
_UNSURE = " Coolant was not logged: keep it only if the engine was warm."


def of_idle(trace: Trace, idle: Stretch, air: float | None) -> list[Shown]:
    """Everything one idle shows. Where coolant was not logged, no sign is proposed: the engine may have been cold."""
    found = [*_vacuum(trace, idle, air), *_speed(trace, idle), *_fuel(trace, idle), *_airflow(trace, idle)]
    return found if idle.warm else [_unsure(one) for one in found if one.reading is not None]


def _unsure(one: Shown) -> Shown:
    return Shown(
        one.key, one.label, one.stretch, one.begins, one.ends, one.channel, one.value, one.unit, one.words + _UNSURE,
        one.reading, one.condition, one.free_name, ambient_kpa=one.ambient_kpa,
    )  # fmt: skip


def _vacuum(trace: Trace, idle: Stretch, air: float | None) -> list[Shown]:
    at, kpa = part(trace, "manifold_pressure", idle.begins, idle.ends)
    if kpa.size < 5:
        return []
    level = float(np.median(kpa))
    vacuum = f" That is {air - level:.1f} kPa of vacuum." if air is not None else ""
    found = [
        Shown(
            "idle_vacuum", "Idle vacuum", idle, idle.begins, idle.ends, "manifold_pressure", level, "kPa",
            f"The middle of {idle.seconds:.0f} s of idle.{vacuum}", ReadingKind.IDLE_VACUUM, Condition.WARM,
            sign="idle_vacuum", ambient_kpa=air,
        )
    ]  # fmt: skip
    how = wander(at, kpa)
    if how is not None and idle.seconds >= _LEAST_S:
        wavers = how.swing >= WAVERS_KPA and (how.hz is None or how.hz <= _SLOW_HZ)
        beat = f", {how.hz:.1f} times a second" if how.hz and wavers else ""
        said = f"It swings {how.swing:.1f} kPa either way{beat}." if wavers else "It stands still."
        found.append(
            Shown(
                "idle_needle", "Vacuum up and down", idle, idle.begins, idle.ends, "manifold_pressure", how.swing,
                "kPa",
                f"{said} Above {WAVERS_KPA:g} kPa it counts as wandering. Whether the needle flicks, a log can't show.",
                sign="idle_needle", outcome="wavering" if wavers else "steady",
            )
        )  # fmt: skip
    return found


def _speed(trace: Trace, idle: Stretch) -> list[Shown]:
    at, rpm = part(trace, "engine_speed", idle.begins, idle.ends)
    how = wander(at, rpm)
    if how is None or idle.seconds < _LEAST_S:
        return []
    level = float(np.median(rpm))
    hunts, high = how.swing >= HUNTS_RPM, level >= HIGH_RPM
    beat = f", once in {1 / how.hz:.1f} s" if how.hz and hunts else ""
    said = f"It goes up and down by {how.swing:.0f} rpm{beat}." if hunts else "It stands still."
    return [
        Shown(
            "idle_speed", "Idle speed", idle, idle.begins, idle.ends, "engine_speed", level, "rpm",
            f"The middle of {idle.seconds:.0f} s of idle.", ReadingKind.FREE, Condition.ANY,
            free_name="Idle speed, warm",
        ),
        Shown(
            "idle_quality", "Idle up and down", idle, idle.begins, idle.ends, "engine_speed", how.swing, "rpm",
            f"{said} Above {HUNTS_RPM:g} rpm it counts as hunting. Whether it is rough, a log can't show.",
            sign="idle_quality", outcome="hunting" if hunts else "high" if high else "smooth",
        ),
    ]  # fmt: skip


def _fuel(trace: Trace, idle: Stretch) -> list[Shown]:
    found = trim_in(trace, idle.begins, idle.ends)
    if found is None:
        return []
    percent, words = found
    return [
        Shown(
            "fuel_trim_idle", "Fuel trim at idle", idle, idle.begins, idle.ends, "fuel_trim_short", percent, "%", words,
            ReadingKind.FUEL_TRIM_IDLE, Condition.WARM, sign="fuel_trim_idle",
        )
    ]  # fmt: skip


def _airflow(trace: Trace, idle: Stretch) -> list[Shown]:
    grams = part(trace, "air_flow", idle.begins, idle.ends)[1]
    if grams.size < 3:
        return []
    return [
        Shown(
            "airflow_idle", "Airflow at idle", idle, idle.begins, idle.ends, "air_flow", float(np.median(grams)), "g/s",
            f"The middle of {idle.seconds:.0f} s of idle.", ReadingKind.AIRFLOW_IDLE, Condition.WARM,
        )
    ]  # fmt: skip
