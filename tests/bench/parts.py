"""What the moving parts do: engine, compressor, turbine, flap, valve. Pure functions of pressures and positions."""

import math
from math import pi

from tests.bench import constants as c
from tests.bench.gas import GAMMA, R_AIR, mass_flow


def clip(value: float, low: float = 0.0, high: float = 1.0) -> float:
    """The value, held between two limits."""
    return low if value < low else min(value, high)


def engine_air(rpm: float, manifold_kpa: float, exhaust_kpa: float, temp_k: float) -> float:
    """Air the engine swallows, kg/s: a pump of its displacement every two turns, less what exhaust stays behind.

    Residual gas as in the usual pumping model: (r - (p_ex/p_in)^(1/gamma)) / (r - 1); from memory.
    """
    manifold_kpa, exhaust_kpa = max(manifold_kpa, 1.0), max(exhaust_kpa, 1.0)  # the solver's trials may overshoot
    room = (c.COMPRESSION - math.pow(exhaust_kpa / manifold_kpa, 1 / GAMMA)) / (c.COMPRESSION - 1)
    density = 1e3 * manifold_kpa / (R_AIR * temp_k)
    return c.FILLING * max(room, 0.0) * density * c.DISPLACEMENT_M3 * rpm / 120


def torque(air: float, rpm: float, mixture: float, spark: float) -> float:
    """Indicated torque, N m, of this air at this lambda and share of best ignition."""
    off = mixture - 1
    burns = 1 - (c.LEAN_COST if off > 0 else c.RICH_COST) * off * off
    return air * c.HEAT_PER_AIR * c.INDICATED * clip(burns) * spark / (rpm * pi / 30)


def drag(rpm: float) -> float:
    """What friction and accessories take, N m."""
    return c.DRAG_NM + c.DRAG_NM_PER_RPM * rpm


def compressor_out(inlet_kpa: float, rotor_j: float, share: float) -> float:
    """Pressure the compressor holds against no flow, kPa: its head grows with the rotor's energy."""
    return inlet_kpa * math.pow(1 + share * c.HEAD_PER_J * rotor_j, GAMMA / (GAMMA - 1))


def compressor_air(inlet_kpa: float, charge_kpa: float, rotor_j: float, share: float) -> float:
    """Air through the compressor, kg/s: that pressure, behind passages of a fixed size. It may run back."""
    return mass_flow(compressor_out(inlet_kpa, rotor_j, share), charge_kpa, c.AMBIENT_K, c.COMPRESSOR_M2)


def rotor_power(air: float, exhaust: float, exhaust_kpa: float, exhaust_k: float, rotor_j: float) -> float:
    """What the rotor gains, W: the turbine's expansion less the compressor's head and the bearings."""
    made = 0.0
    if exhaust_kpa > c.AMBIENT_KPA and exhaust > 0:
        drop = 1 - math.pow(c.AMBIENT_KPA / exhaust_kpa, (GAMMA - 1) / GAMMA)
        made = c.TURBINE_EFFICIENCY * exhaust * c.CP_EXHAUST * exhaust_k * drop
    taken = abs(air) * c.CP_AIR * c.AMBIENT_K * c.HEAD_PER_J * rotor_j / c.COMPRESSOR_EFFICIENCY
    return made - taken - c.ROTOR_LOSS_PER_S * rotor_j


def flap_lift(actuator_kpa: float, exhaust_kpa: float, spring: float) -> float:
    """Where the wastegate's spring lets it stand, 0 to 1. `spring` is its preload as a share of the healthy one."""
    pushed = actuator_kpa - c.AMBIENT_KPA + c.FLAP_SHARE * (exhaust_kpa - c.AMBIENT_KPA)
    return clip((pushed - spring * c.WASTEGATE_CRACKS_KPA) / c.WASTEGATE_RANGE_KPA)


def vanes_shut(actuator_kpa: float) -> float:
    """How far vacuum has closed a diesel's vanes, 0 to 1."""
    return clip((c.AMBIENT_KPA - actuator_kpa - c.VANES_CRACK_KPA) / c.VANES_RANGE_KPA)


def diverter_lift(charge_kpa: float, inlet_kpa: float, signal_kpa: float, spring_kpa: float) -> float:
    """How far the diverter valve opens, 0 to 1: charge pressure on its seat, the signal over its diaphragm."""
    pushed = c.DIVERTER_FACE * (charge_kpa - inlet_kpa) + inlet_kpa - signal_kpa
    return clip((pushed - spring_kpa) / c.DIVERTER_RANGE_KPA)


def follow(position: float, wanted: float, sticks: float) -> float:
    """Rate at which a part that sticks follows: it does not stir until it is `sticks` behind, 1/s."""
    behind = wanted - position
    if abs(behind) <= sticks:
        return 0.0
    return (behind - sticks if behind > 0 else behind + sticks) / c.VALVE_TIME_S
