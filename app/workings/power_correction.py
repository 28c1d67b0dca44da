"""Power corrected to a standard day: what an engine that breathes the air as it comes would have made in other air.

Off by default wherever it is offered, for the reason in `MISLEADS`.
"""

from dataclasses import dataclass
from math import exp, isfinite, sqrt

STANDARD_DRY_KPA = 99.0
"""Dry pressure of the standard day, SAE J1349 (JUN90)."""
VALID_SHARE = 0.07
"""A factor further from 1 than this is no correction any more (SAE J1349's limit, from memory)."""

MISLEADS = (
    "An engine that holds an absolute boost already makes up for thin or warm air, so the factor counts the air twice: "
    "it makes a high or hot day look stronger than it was. (UN Regulation 85 was amended for this reason.)"
)


class ImpossibleDay(ValueError):
    """No such air; the message is a plain sentence."""


@dataclass(frozen=True, slots=True)
class Correction:
    """A factor to multiply power by, and whether it is within what the standard calls a correction."""

    factor: float

    @property
    def valid(self) -> bool:
        """Within 7 % of none."""
        return abs(self.factor - 1) <= VALID_SHARE


def vapour_kpa(celsius: float, humidity_percent: float) -> float:
    """Pressure of the water in the air, kPa: Buck's formula of 1996, from memory. Raises ImpossibleDay."""
    if not (isfinite(celsius) and -60 <= celsius <= 60 and 0 <= humidity_percent <= 100):
        raise ImpossibleDay("Air is between -60 and 60 °C here, and between dry and full of water.")
    full = 0.61121 * exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))
    return full * humidity_percent / 100


def dry_kpa(kpa: float, celsius: float, humidity_percent: float) -> float:
    """What is left of the air's pressure without its water, kPa absolute. Raises ImpossibleDay."""
    dry = kpa - vapour_kpa(celsius, humidity_percent)
    if not (isfinite(dry) and dry > 0):
        raise ImpossibleDay("Air has a pressure above nothing.")
    return dry


def j1349(dry: float, celsius: float) -> Correction:
    """SAE J1349 (JUN90 form, as quoted): 1.18·(99/Pd)·√((T+273)/298) - 0.18; kPa dry and °C.

    For petrol engines without a boost that is held. The 273 (not 273.15) is the standard's own. Raises ImpossibleDay.
    """
    kelvin = _kelvin(dry, celsius)
    return Correction(1.18 * (STANDARD_DRY_KPA / dry) * sqrt(kelvin / 298) - 0.18)


def iso1585(dry: float, celsius: float) -> Correction:
    """ISO 1585 for positive ignition, from memory: (99/ps)^1.2·(T/298)^0.6; kPa dry and °C. Raises ImpossibleDay."""
    kelvin = _kelvin(dry, celsius)
    return Correction(float((STANDARD_DRY_KPA / dry) ** 1.2 * (kelvin / 298) ** 0.6))


def _kelvin(dry: float, celsius: float) -> float:
    if not (isfinite(dry) and dry > 0 and isfinite(celsius) and celsius > -273):
        raise ImpossibleDay("Air has a pressure and a temperature above nothing.")
    return celsius + 273
