"""What a car is put through: warm idle, brake presses, a night, the first start, light load, a full pull, lift-off."""

from dataclasses import dataclass, replace

import numpy as np

from tests.bench import constants as c
from tests.bench.motion import Vector
from tests.bench.plant import Plant
from tests.bench.setting import MOVING, Mode, Setting
from tests.bench.stretch import Stretch, rest, run

IDLE_S = 12.0
NIGHT_S = 8 * 3600.0
PULL_S, DIESEL_PULL_S = 8.0, 14.0  # until boost control has settled
_PULL_RPM, _DIESEL_PULL_RPM, _CRUISE_RPM = 3500.0, 2500.0, 2500.0  # a middle gear; assumption
_COASTS_S = 0.5  # clutch down: drag over inertia takes 3500 to idle in about a second


@dataclass(frozen=True, slots=True)
class Day:
    """Every stretch of one car's day. `lift_off` is None without a throttle."""

    idle: Stretch
    presses: tuple[Stretch, ...]
    first_start: Stretch
    light: Stretch
    pull: Stretch
    lift_off: Stretch | None


def settled(plant: Plant) -> Vector:
    """The state of a car that has idled until nothing moves."""
    return run(plant, Setting(Mode.IDLING, 40.0), rest(plant), 1.0).last


def carried_over(start: Vector, of: Plant, to: Plant) -> Vector:
    """One plant's state as another's start: volumes by name, those it lacks at ambient."""
    pressures = dict(zip(of.nodes, start[: len(of.nodes)].tolist(), strict=True))
    return np.array([*(pressures.get(node, c.AMBIENT_KPA) for node in to.nodes), *start[len(of.nodes) :].tolist()])


def idle(plant: Plant, start: Vector, load_nm: float = 0.0) -> Stretch:
    """Warm idle until it has settled, if it will."""
    return run(plant, Setting(Mode.IDLING, IDLE_S, load_nm=load_nm), start, max_step=_closely(plant))


def brake_presses(plant: Plant, start: Vector) -> tuple[Stretch, ...]:
    """Two presses of the pedal at idle with a second after each."""
    held = Setting(Mode.IDLING, c.PRESS_S, pedal=True)
    stretches = []
    for setting in (held, replace(held, seconds=0.9, pedal=False)) * 2:
        stretches.append(run(plant, setting, start, 0.3))
        start = stretches[-1].last
    return tuple(stretches)


def overnight(plant: Plant, start: Vector) -> Stretch:
    """Eight hours with the engine off."""
    return run(plant, Setting(Mode.STANDING, NIGHT_S), start, NIGHT_S / 8)


def first_start(plant: Plant, morning: Vector, warm: Vector) -> Stretch:
    """The first three seconds at idle speed: volumes as the night left them, controls as they were learnt."""
    start = np.array([*morning[: len(plant.nodes)], *warm[len(plant.nodes) :]])
    start[len(plant.nodes) + MOVING.index("rotor_kj")] = 0.02
    return run(plant, Setting(Mode.IDLING, 3.0), start, max_step=_closely(plant))


def light_load(plant: Plant, start: Vector) -> Stretch:
    """Two seconds at part throttle."""
    return run(plant, Setting(Mode.DRIVEN, 2.0, c.CRUISE_THROTTLE_M2, _CRUISE_RPM), start)


def full_pull(plant: Plant, start: Vector) -> Stretch:
    """Full throttle at steady revs, boost under control."""
    rpm, seconds = (_DIESEL_PULL_RPM, DIESEL_PULL_S) if plant.diesel else (_PULL_RPM, PULL_S)
    setting = Setting(Mode.DRIVEN, seconds, c.OPEN_THROTTLE_M2, rpm, boosting=True)
    return run(plant, setting, start, max_step=_closely(plant))


def lift_off(plant: Plant, start: Vector, idle_air: float, idle_rpm: float = c.IDLE_RPM) -> Stretch:
    """The throttle snapped shut, clutch down; idle air and revs end where this car's idle left them."""
    shut = c.SHUT_THROTTLE_M2 + c.IDLE_AIR_M2 * idle_air
    return run(plant, Setting(Mode.DRIVEN, 5.0, shut, max(idle_rpm, c.STALLED_RPM), _COASTS_S, overrun=True), start)


def day(plant: Plant, start: Vector) -> Day:
    """Put the plant through everything, from a settled warm state."""
    warm = idle(plant, start)
    presses = brake_presses(plant, warm.last)
    morning = overnight(plant, warm.last)
    light = light_load(plant, warm.last)
    pull = full_pull(plant, light.last)
    air, rpm = (float(warm.moving(name)[-1]) for name in ("idle_air", "rpm"))
    shut = None if plant.diesel else lift_off(plant, pull.last, air, rpm)
    return Day(warm, presses, first_start(plant, morning.last, warm.last), light, pull, shut)


def _closely(plant: Plant) -> float:
    """The longest step that still sees a split breathe."""
    return 0.15 if any(way.breathes for way in plant.ways) else float("inf")
