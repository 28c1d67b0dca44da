"""What it takes to move a car along a road, and so the power of one whose speed was logged.

P = v·(k·m·a + m·g·(Crr·cos θ + sin θ) + ½·ρ·CdA·v²): the road-load equation, as coast-down standards use it (SAE J1263
and J2263, from memory). SI inside; speeds in m/s unless a name says otherwise. It is power at the wheels' rim: what the
gearbox and the axle take is not in it. Still air; a head wind of 3 m/s is some 2 kW at 100 km/h.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, hypot, isfinite, sqrt

from app.workings.orifice import GAS_CONSTANT, KELVIN

GRAVITY = 9.80665
"""m/s², standard gravity (3rd CGPM, 1901)."""
KMH = 1 / 3.6
"""One km/h in m/s."""


class ImpossibleRoad(ValueError):
    """No such car, road or run; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class Load:
    """The car and the road, as stated: nothing here is measured.

    `rotating` is what wheels, shafts and flywheel add to the mass, as a factor of it (1.05 in a middle gear, more in a
    low one; common practice, no source). `grade_percent` is height won over distance along the level. Raises
    ImpossibleRoad.
    """

    mass_kg: float
    drag_area_m2: float
    rolling: float = 0.012
    rotating: float = 1.05
    grade_percent: float = 0.0
    density: float = 1.20

    def __post_init__(self) -> None:
        """Refuse what no car and no road is."""
        figures = (self.mass_kg, self.drag_area_m2, self.rolling, self.rotating, self.grade_percent, self.density)
        if not all(isfinite(one) for one in figures):
            raise ImpossibleRoad("Each of the car's figures has to be a number.")
        if self.mass_kg <= 0 or self.density <= 0 or self.drag_area_m2 < 0 or self.rolling < 0 or self.rotating < 1:
            raise ImpossibleRoad("A car has a mass, air has a density, and nothing rolls or turns for less than none.")

    def force_n(self, speed: float, acceleration: float = 0.0) -> float:
        """What pushes the car at this speed and acceleration (m/s, m/s²), N."""
        return self.rotating * self.mass_kg * acceleration + self.steady_n + self.drag * speed * speed

    def power_w(self, speed: float, acceleration: float = 0.0) -> float:
        """The power at the wheels at this speed and acceleration (m/s, m/s²), W."""
        return speed * self.force_n(speed, acceleration)

    @property
    def steady_n(self) -> float:
        """What does not mind the speed: rolling, and the slope, N."""
        slope = self.grade_percent / 100
        along = hypot(1.0, slope)
        return self.mass_kg * GRAVITY * (self.rolling / along + slope / along)

    @property
    def drag(self) -> float:
        """½·ρ·CdA, N/(m/s)²."""
        return 0.5 * self.density * self.drag_area_m2


def air_density(kpa: float, celsius: float) -> float:
    """Dry air, kg/m³: p/(R·T), R of the U.S. Standard Atmosphere 1976. Raises ImpossibleRoad."""
    kelvin = celsius + KELVIN
    if not (isfinite(kpa) and kpa > 0 and isfinite(kelvin) and kelvin > 0):
        raise ImpossibleRoad("Air has a pressure and a temperature above nothing.")
    return kpa * 1e3 / (GAS_CONSTANT * kelvin)


def mean_power_w(load: Load, at: Sequence[float], speed: Sequence[float]) -> float:
    """Mean power at the wheels over a run, W, from its moments (s) and speeds (m/s).

    By energy: what the car gained, and what rolling, slope and air took, over the time it took. Nothing is
    differentiated, so a coarse log's steps don't matter. Between two samples speed is a straight line, over which the
    integrals of v and v³ are exact. Raises ImpossibleRoad for fewer than two samples or a clock that stands.
    """
    if len(at) != len(speed) or len(at) < 2 or at[-1] <= at[0]:
        raise ImpossibleRoad("A run has two samples at least, and takes time.")
    gained = 0.5 * load.rotating * load.mass_kg * (speed[-1] ** 2 - speed[0] ** 2)
    taken = 0.0
    for n in range(1, len(at)):
        step, a, b = at[n] - at[n - 1], speed[n - 1], speed[n]
        taken += step * (load.steady_n * (a + b) / 2 + load.drag * (a + b) * (a * a + b * b) / 4)
    return (gained + taken) / (at[-1] - at[0])


def coast_down_s(load: Load, fast: float, slow: float) -> float:
    """Seconds a car takes to roll from `fast` to `slow` (m/s) out of gear, in closed form.

    Raises ImpossibleRoad unless fast ≥ slow ≥ 0, and for a slope it rolls down by itself.
    """
    if not (isfinite(fast) and fast >= slow >= 0):
        raise ImpossibleRoad("A car that rolls out gets slower.")
    resting, drag, moved = load.steady_n, load.drag, load.rotating * load.mass_kg
    if fast == slow:
        return 0.0
    if resting <= 0:
        raise ImpossibleRoad("On such a slope the car rolls by itself.")
    if drag == 0:
        return moved * (fast - slow) / resting
    turn = sqrt(drag / resting)
    return moved / sqrt(resting * drag) * (atan(fast * turn) - atan(slow * turn))
