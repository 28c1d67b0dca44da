"""Gas flow through a hole, choked and not, and a few areas."""

import math
from math import hypot, pi, sqrt

GAMMA = 1.4  # air
R_AIR = 287.05287  # J/(kg K), US Standard Atmosphere 1976
_K = (GAMMA - 1) / GAMMA
#: (2/(gamma+1))^(gamma/(gamma-1)), NACA Report 1135 (1953): below it flow no longer minds what is downstream.
CRITICAL_RATIO = math.pow(2 / (GAMMA + 1), GAMMA / (GAMMA - 1))
#: The flow function where it is choked, sqrt(gamma) (2/(gamma+1))^((gamma+1)/(2(gamma-1))).
CHOKED = sqrt(GAMMA) * math.pow(2 / (GAMMA + 1), (GAMMA + 1) / (2 * (GAMMA - 1)))

#: Above this pressure ratio the square root is replaced by a straight line through nought, or two volumes that are
#: nearly level would be joined by an infinitely stiff spring. Usual in lumped models; the width is our choice.
_NEARLY_LEVEL = 0.998


def _subsonic(ratio: float) -> float:
    return sqrt(2 / _K * (math.pow(ratio, 2 / GAMMA) - math.pow(ratio, (GAMMA + 1) / GAMMA)))


_AT_NEARLY_LEVEL = _subsonic(_NEARLY_LEVEL)


def flow_function(ratio: float) -> float:
    """Mass flow sqrt(R T) / (Cd A p) of an isentropic orifice, from the pressure ratio down over up (0 to 1)."""
    if ratio <= CRITICAL_RATIO:
        return CHOKED
    if ratio > _NEARLY_LEVEL:
        return _AT_NEARLY_LEVEL * (1 - ratio) / (1 - _NEARLY_LEVEL)
    return _subsonic(ratio)


def mass_flow(up_kpa: float, down_kpa: float, temp_k: float, cda_m2: float) -> float:
    """Mass flow in kg/s from `up` to `down`, negative when it runs back; `cda_m2` is area times discharge coefficient.

    One temperature for both sides: good enough where neither end is exhaust.
    """
    if up_kpa >= down_kpa:
        return cda_m2 * 1e3 * up_kpa / sqrt(R_AIR * temp_k) * flow_function(down_kpa / up_kpa)
    return -cda_m2 * 1e3 * down_kpa / sqrt(R_AIR * temp_k) * flow_function(up_kpa / down_kpa)


def area(diameter_mm: float) -> float:
    """The area of a round hole, m2."""
    return pi / 4 * (diameter_mm * 1e-3) ** 2


def in_series(first: float, second: float) -> float:
    """Two restrictions one after the other as one: 1/a^2 = 1/a1^2 + 1/a2^2, from equal flows at small differences."""
    if first <= 0 or second <= 0:
        return 0.0
    return first * second / hypot(first, second)
