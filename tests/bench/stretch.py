"""A stretch of time solved: what every volume and every part did."""

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

from tests.bench import constants as c
from tests.bench.motion import Flows, Motion, Vector
from tests.bench.plant import Plant
from tests.bench.setting import MOVING, Setting


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch solved: times from its start, states by column, and its equations to ask about flows."""

    motion: Motion
    times: Vector
    states: Vector

    def node(self, name: str) -> Vector:
        """A volume's pressure over time, kPa."""
        index = self.motion.place.get(name)
        return np.full(len(self.times), c.AMBIENT_KPA) if index is None else self.states[index]

    def moving(self, name: str) -> Vector:
        """A moving part over time."""
        found: Vector = self.states[self.motion.at[name]]
        return found

    def flows(self, index: int) -> Flows:
        """All flows at one sample."""
        return self.motion.flows(float(self.times[index]), self.states[:, index].tolist())

    @property
    def last(self) -> Vector:
        """The state at its end."""
        end: Vector = self.states[:, -1]
        return end


def run(plant: Plant, setting: Setting, start: Vector, sample_s: float = 0.05, *, max_step: float = np.inf) -> Stretch:
    """Integrate one stretch (LSODA: it changes to a stiff method by itself). Raises RuntimeError when it gives up."""
    motion = Motion(plant, setting)
    times = np.linspace(0.0, setting.seconds, max(round(setting.seconds / sample_s), 1) + 1)
    solved = solve_ivp(
        motion.derivative,
        (0.0, setting.seconds),
        start,
        method="LSODA",
        t_eval=times,
        rtol=1e-4,
        atol=1e-4,
        max_step=max_step,
    )
    if not solved.success:
        raise RuntimeError(f"{plant.layout.value} {plant.fault.name}: {solved.message}")
    return Stretch(motion, times, solved.y)


def rest(plant: Plant) -> Vector:
    """The state of a car that has never run: everything at ambient, idle control halfway."""
    moving = {
        "rpm": c.IDLE_RPM,
        "idle_air": 0.3,
        "rotor_kj": 0.02,
        "boost_sum": c.VANE_DUTY if plant.diesel else c.LEARNT_DUTY,
    }
    pressures = [c.AMBIENT_KPA] * len(plant.nodes)
    return np.array([*pressures, *(moving.get(name, 0.0) for name in MOVING)])
