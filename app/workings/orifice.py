"""Air through a hole: how much goes through, and the hole that would let that much through.

SI inside; arguments carry their units in their names; pressures are absolute. Air is dry and an ideal gas, and the
hole a sharp edge with no length: of a real leak it gives the *equivalent* hole (a crack some hundredths of a millimetre
wide flows like a pipe and is larger than this says).
"""

from math import isfinite, pi, sqrt

GAMMA = 1.4
"""Ratio of the specific heats of air."""
GAS_CONSTANT = 287.05287
"""J/(kg·K), dry air, U.S. Standard Atmosphere 1976."""
KELVIN = 273.15
SHARP_EDGE = 0.61
"""Discharge coefficient of a sharp-edged hole; common practice, from memory."""

K = (GAMMA - 1) / GAMMA
CRITICAL: float = (2 / (GAMMA + 1)) ** (GAMMA / (GAMMA - 1))
"""Pressure ratio below which the flow no longer minds what is behind the hole: NACA Report 1135, 0.5283."""
CHOKED: float = sqrt(GAMMA) * (2 / (GAMMA + 1)) ** ((GAMMA + 1) / (2 * (GAMMA - 1)))
"""Flow function of choked air, 0.684731: isentropic relations, NACA Report 1135."""


class ImpossibleHole(ValueError):
    """No air flows so; the message is a plain sentence."""


def flow_function(ratio: float) -> float:
    """ψ of the pressure ratio behind/before a hole (0 to 1): ṁ·√(R·T)/(Cd·A·p), isentropic, air.

    Raises ImpossibleHole outside 0 to 1: the air flows the other way then.
    """
    if not 0 <= ratio <= 1:
        raise ImpossibleHole("Air flows from the higher pressure to the lower one.")
    if ratio <= CRITICAL:
        return CHOKED
    return sqrt(2 / K * (ratio ** (2 / GAMMA) - ratio ** ((GAMMA + 1) / GAMMA)))


def flow(diameter_mm: float, before_kpa: float, behind_kpa: float, before_c: float, cd: float = SHARP_EDGE) -> float:
    """Air through a round hole, g/s: ṁ = Cd·A·p/√(R·T)·ψ. Raises ImpossibleHole for what can't be."""
    if not (isfinite(diameter_mm) and diameter_mm >= 0):
        raise ImpossibleHole("A hole has a size of nothing or more.")
    return pi / 4 * (diameter_mm * 1e-3) ** 2 * _flux(before_kpa, behind_kpa, before_c, cd) * 1e3


def hole(flow_gs: float, before_kpa: float, behind_kpa: float, before_c: float, cd: float = SHARP_EDGE) -> float:
    """Diameter of the round hole that lets this much air through, mm; `flow` the other way round.

    Raises ImpossibleHole for no difference of pressure, and for less than no air.
    """
    flux = _flux(before_kpa, behind_kpa, before_c, cd)
    if flux <= 0:
        raise ImpossibleHole("Without a difference of pressure no air flows, whatever the hole.")
    if not (isfinite(flow_gs) and flow_gs >= 0):
        raise ImpossibleHole("Less than no air can't flow.")
    return sqrt(4 / pi * flow_gs * 1e-3 / flux) * 1e3


def _flux(before_kpa: float, behind_kpa: float, before_c: float, cd: float) -> float:
    kelvin = before_c + KELVIN
    if not (isfinite(before_kpa) and before_kpa > 0 and isfinite(kelvin) and kelvin > 0 and 0 < cd <= 1):
        raise ImpossibleHole(
            "Air has a pressure and a temperature above nothing, and a hole passes no more than its size."
        )
    return cd * before_kpa * 1e3 / sqrt(GAS_CONSTANT * kelvin) * flow_function(behind_kpa / before_kpa)
