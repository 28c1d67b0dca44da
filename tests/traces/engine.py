"""The invented car of the generator: gears, an engine with a turbocharger, and what can be wrong with it."""

from dataclasses import dataclass

from app.workings.orifice import GAS_CONSTANT, KELVIN, flow, flow_function

RATIOS = (118.0, 69.0, 46.5, 35.0, 28.0)
"""Engine over road speed in each gear, rpm per km/h."""
AIR_KPA, AIR_C = 98.6, 18.0
MASS, DRAG_AREA, ROLLING, ROTATING = 1400.0, 0.68, 0.012, 1.05
STEP = 0.05  # s, of the sums
NM_PER_KPA = 1.35  # torque by manifold pressure, as the whole engine breathes and burns
FILLS_LOAD = 0.90  # volumetric efficiency


@dataclass(frozen=True, slots=True)
class Car:
    """A healthy car as it stands; a fault is another figure."""

    displacement_l: float = 1.9
    idle_rpm: float = 850.0
    idle_kpa: float = 33.5
    idle_hunts_rpm: float = 0.0
    needle_kpa: float = 0.0
    boost_kpa: float = 92.0
    boost_swing_kpa: float = 0.0
    boost_swing_hz: float = 1.3
    boost_duty: float = 55.0
    recovery_s: float = 0.12  # time constant of the manifold when the throttle shuts
    trim_idle: float = 1.0
    trim_load: float = 0.5
    hole_mm: float = 0.0  # behind the airflow meter, to the open air
    strength: float = 1.0  # of torque by manifold pressure
    air_kpa: float = AIR_KPA
    fills_idle: float = 0.60  # volumetric efficiency
    meter: float = 1.0  # what the airflow meter makes of the air it sees

    def spooled(self, rpm: float) -> float:
        """The share of its boost it can make at an engine speed."""
        return min(max((rpm - 1500.0) / 1100.0, 0.0), 1.0)

    def pulls_by(self, kpa: float, rpm: float) -> float:
        """Torque, N·m: by manifold pressure, less what the engine drags, and less again at its top end."""
        return (NM_PER_KPA * self.strength * kpa - 35.0) * (1 - max(rpm - 4800.0, 0.0) / 6000.0)

    def breathes(self, kpa: float, rpm: float, celsius: float = AIR_C + 20) -> float:
        """Air into the engine, g/s: a four-stroke fills half its displacement a turn."""
        share = self.fills_idle if kpa < 60 else FILLS_LOAD
        density = kpa * 1e3 / (GAS_CONSTANT * (celsius + KELVIN))
        return share * density * self.displacement_l * 1e-3 / 2 * rpm / 60 * 1e3

    def idles_at(self) -> float:
        """Manifold pressure at idle, kPa absolute: the throttle as without the hole, the speed held."""
        throttle, kpa = self.breathes(self.idle_kpa, self.idle_rpm), self.idle_kpa
        for _ in range(60):
            through = throttle * flow_function(kpa / self.air_kpa) / flow_function(self.idle_kpa / self.air_kpa)
            wanted = kpa * (through + self.leaks(kpa)) / self.breathes(kpa, self.idle_rpm)
            kpa += 0.5 * (min(wanted, 59.9) - kpa)
        return kpa

    def leaks(self, kpa: float) -> float:
        """Air in through the hole, g/s; out of it under boost, below nought."""
        if self.hole_mm == 0 or kpa == self.air_kpa:
            return 0.0
        if kpa < self.air_kpa:
            return flow(self.hole_mm, self.air_kpa, kpa, AIR_C)
        return -flow(self.hole_mm, kpa, self.air_kpa, AIR_C + 20)


def gear_at(kmh: float) -> int:
    """Which gear an easy driver is in, 1 to 5."""
    return 1 + sum(kmh >= limit for limit in (16.0, 33.0, 52.0, 72.0))


def resists_n(speed: float, wind: float = 0.0) -> float:
    """What holds the car at a speed (m/s, head wind too), N."""
    through = speed + wind
    return MASS * 9.80665 * ROLLING + 0.5 * 1.2 * DRAG_AREA * through * abs(through)
