"""How big a leak is, from a closed volume that loses its vacuum or its pressure over time: the pressure-change method.

Q = V x the change of pressure over time (pressure-change leak testing, the class of EN 1779; clause not read). Over a
night the air in it keeps the temperature of the place (isothermal); in seconds it has no time to (adiabatic, γ times as
fast). Cooling takes pressure out of a sealed volume as well: what both temperatures explain is taken off first.
"""

from math import pi, sqrt

from app.workings.leak_size import Figure, Gauge, Leak, Untold, spread_over
from app.workings.orifice import GAMMA, GAS_CONSTANT, KELVIN, SHARP_EDGE, K, flow_function

ADIABATIC_UP_TO_S, ISOTHERMAL_FROM_S = 10.0, 600.0
"""Between them the air is part of the way to the temperature of the place. Common practice, no source."""
SHORT_RISE_C, LONG_RISE_C = 5.0, 30.0
"""How far the temperature may have moved where nobody read it: in a test of minutes, and in the hours in which an
engine goes cold. Common practice, no source."""
_STEPS = 48
_LITRE, _MM2 = 1e-3, 1e6


def by_hold(  # noqa: PLR0913, PLR0917 - what a gauge, a watch and a thermometer show
    litres: Figure, before: Gauge, after: Gauge, seconds: Figure, air: Figure, start_c: Figure, rise_c: Figure
) -> Leak:
    """The leak of a closed volume of `litres`, which went from one pressure to another in that time.

    `start_c`: its temperature, and the place's; `rise_c`: how much warmer it was at the end. Raises Untold for one that
    had come to the pressure of the air around, after which nothing tells when.
    """
    fills = before.absolute(before.figure.value, air.value) < air.value

    def one(  # noqa: PLR0913, PLR0917
        volume: float, shown: float, later: float, took: float, around: float, celsius: float, rise: float
    ) -> list[tuple[float, float]]:
        start, end = before.absolute(shown, around), after.absolute(later, around)
        kelvin = celsius + KELVIN
        if (start < around) is not fills or start <= 0 or end <= 0 or took <= 0 or kelvin + rise <= 0:
            raise Untold("The pressures are too near that of the air around, or the time too short, to be told apart.")
        isothermal = _isothermal(volume, start, end * kelvin / (kelvin + rise), took, around, kelvin)
        if seconds.value >= ISOTHERMAL_FROM_S:
            return [isothermal]
        adiabatic = _adiabatic(volume, start, end, took, around, kelvin)
        if seconds.value <= ADIABATIC_UP_TO_S:
            return [adiabatic, isothermal]
        middle = ((isothermal[0] + adiabatic[0]) / 2, (isothermal[1] + adiabatic[1]) / 2)
        return [middle, isothermal, adiabatic]

    return spread_over([litres, before.figure, after.figure, seconds, air, start_c, rise_c], one)


def explained_by_cooling(kpa: float, start_c: float, end_c: float) -> float:
    """How much pressure a sealed volume loses by going from one temperature to the other, kPa: p (1 - T2/T1)."""
    return kpa * (1 - (end_c + KELVIN) / (start_c + KELVIN))


def _isothermal(  # noqa: PLR0913, PLR0917
    volume: float, start: float, end: float, took: float, around: float, kelvin: float
) -> tuple[float, float]:
    """Flow and hole with the air in it at one temperature throughout, which `end` is corrected to."""
    gained = volume * (end - start) / (GAS_CONSTANT * kelvin) * 1e3
    flow = (gained if start < around else -gained) / took
    if flow <= 0:
        return flow, 0.0
    # dm = V dp/(R T); through the hole goes Cd A p/sqrt(R T) psi in a second.
    return flow, _diameter(volume / sqrt(GAS_CONSTANT * kelvin) * _over(start, end, around) / took)


def _adiabatic(  # noqa: PLR0913, PLR0917
    volume: float, start: float, end: float, took: float, around: float, kelvin: float
) -> tuple[float, float]:
    """Flow and hole with no heat from the walls: the air in it warms or cools as it fills or empties."""
    if start < around:
        flow, hole = _isothermal(volume, start, end, took, around, kelvin)
        return flow / GAMMA, hole / sqrt(GAMMA)
    flow = volume * start / (GAS_CONSTANT * kelvin) * (1 - (end / start) ** (1 / GAMMA)) / took * 1e3
    if flow <= 0:
        return flow, 0.0
    return flow, _diameter(volume / (GAMMA * sqrt(GAS_CONSTANT * kelvin)) * _over(start, end, around, cools=K) / took)


def _over(start: float, end: float, around: float, cools: float = 0.0) -> float:
    """∫ dp over what goes through the hole at p, from start to end, both on one side of the air around; SI: 1.

    By the root of the distance to it, in which the last part before it is smooth. `cools`: exponent of the temperature.
    """
    if (end - around) * (start - around) <= 0:
        raise Untold("It had come to the pressure of the air around: read it sooner.")
    side = 1 if start > around else -1
    first, last = sqrt(side * (start - around)), sqrt(side * (end - around))
    total = 0.0
    for step in range(_STEPS):
        root = first + (last - first) * (step + 0.5) / _STEPS
        p = around + side * root * root
        before, behind = (p, around) if side > 0 else (around, p)
        total += 2 * root / (before * flow_function(behind / before) * (p / start) ** (cools / 2))
    return abs(last - first) / _STEPS * total


def _diameter(effective: float) -> float:
    # `effective`: Cd x A in litres per metre of flow, that is 1e-3 m².
    return sqrt(4 / pi * effective * _LITRE / SHARP_EDGE * _MM2)
