"""How much sooner heat ages rubber and plastic: Arrhenius."""

from math import exp, isfinite

_GAS_CONSTANT = 8.31446261815324  # J/(mol·K), exact since 2019
_KELVIN = 273.15

ACTIVATION_KJ_MOL = 80.0
"""Activation energy of ageing, kJ/mol: an assumption. No figure for silicone or EPDM hose could be found published."""


class ImpossibleHeat(ValueError):
    """Nothing is at that temperature; the message is a plain sentence."""


def life_ratio(cooler_c: float, hotter_c: float, activation_kj_mol: float = ACTIVATION_KJ_MOL) -> float:
    """How many times as long a part lasts at `cooler_c` as at `hotter_c` (°C): exp[(Ea/R)(1/T1 - 1/T2)].

    The form of ISO 11346 (Arrhenius, or WLF); the activation energy is an assumption. About twice for ten degrees.
    Raises ImpossibleHeat at or below absolute zero.
    """
    first, second = cooler_c + _KELVIN, hotter_c + _KELVIN
    for celsius, kelvin in ((cooler_c, first), (hotter_c, second)):
        if not (isfinite(kelvin) and kelvin > 0):
            raise ImpossibleHeat(f"Nothing is at {celsius:g} °C.")
    return exp(activation_kj_mol * 1e3 / _GAS_CONSTANT * (1 / first - 1 / second))
