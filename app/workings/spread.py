"""The car's own normal: where a reading sits when all is well, how far it wanders, and how far off one is now.

Median and median absolute deviation, because one reading marked healthy by mistake must not widen the
normal until the next fault hides in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from statistics import median

#: Makes the median absolute deviation of normally spread values their standard deviation: 1/Phi^-1(3/4).
#: Rousseeuw and Croux, "Alternatives to the Median Absolute Deviation", JASA 88 (1993) p. 1273.
CONSISTENCY = 1.4826

#: What a few values still fall short on average, by how many there are; n/(n - 0.8) from ten up.
#: Croux and Rousseeuw, "Time-Efficient Algorithms for Two Highly Robust Estimators of Scale" (1992) p. 414.
FEW = {2: 1.196, 3: 1.495, 4: 1.363, 5: 1.206, 6: 1.200, 7: 1.140, 8: 1.129, 9: 1.107}

EDGE_SPREADS = 2.0
"""Beyond this many spreads a reading is at the edge: 1 healthy reading in 22 is there by chance."""

OUTSIDE_SPREADS = 3.0
"""Beyond this many spreads a reading is outside: 1 healthy reading in 370 is there by chance."""

_ROUNDING = 1e-9  # of a spread, so that a reading exactly on a limit is not pushed over it by its last binary digit
ENOUGH = 3  # values that show a spread of their own


class NothingToLearnFrom(ValueError):
    """No value, or one that is not a number, or a resolution that is not above zero; says which, in a sentence."""


class Where(StrEnum):
    """Where a reading lies against its baseline."""

    INSIDE = "inside"
    EDGE = "edge"
    OUTSIDE = "outside"


@dataclass(frozen=True)
class Baseline:
    """A healthy value and its spread (one robust standard deviation), both in the unit of the values.

    `count` is how many values it was learned from, 0 when typed in. Raises ValueError for a spread not above 0.
    """

    centre: float
    spread: float
    count: int

    def __post_init__(self) -> None:
        """Refuse what nothing can be measured against."""
        if not isfinite(self.centre) or not isfinite(self.spread) or self.spread <= 0:
            raise ValueError("a baseline needs a healthy value and a spread above zero")


@dataclass(frozen=True)
class Placing:
    """How many spreads a reading is from the centre (negative: below it) and the word for that."""

    spreads: float
    where: Where


def robust_spread(values: Sequence[float]) -> float:
    """Estimate the standard deviation from the median absolute deviation: 1.4826 b_n MAD, in the values' unit.

    One value in two may be wild before it gives way. A single value gives 0. The consistency factor is
    Rousseeuw and Croux's (1993), the factor b_n for few values Croux and Rousseeuw's (1992).

    Raises NothingToLearnFrom for no value, or one that is not finite.
    """
    if not values:
        raise NothingToLearnFrom("there is no healthy reading yet to learn from")
    if not all(isfinite(value) for value in values):
        raise NothingToLearnFrom("one of the readings is not a number")
    count = len(values)
    if count == 1:
        return 0.0
    centre = median(values)
    deviation = median(abs(value - centre) for value in values)
    return CONSISTENCY * FEW.get(count, count / (count - 0.8)) * deviation


def learn(values: Sequence[float], resolution: float) -> Baseline:
    """Learn a baseline from healthy values; `resolution` is the least difference the gauge shows, in their unit.

    The spread is never below the resolution: readings that agree exactly show a coarse gauge, not an engine
    that never wanders. With one or two values it is never below twice that, as one value tells where the car
    sits and nothing of how far it wanders, and two may agree by luck (our own judgement, no source).

    Raises NothingToLearnFrom for no value, one that is not finite, or a resolution not above zero.
    """
    if not isfinite(resolution) or resolution <= 0:
        raise NothingToLearnFrom("the least difference the gauge shows has to be above zero")
    measured = robust_spread(values)
    floor = resolution if len(values) >= ENOUGH else 2 * resolution
    return Baseline(centre=median(values), spread=max(measured, floor), count=len(values))


def place(value: float, baseline: Baseline) -> Placing:
    """Say how many spreads a reading lies from its baseline, and whether that is inside, at the edge or outside.

    Inside up to 2 spreads, edge up to 3, outside beyond: the warning and action limits of a Shewhart chart
    (three: NIST/SEMATECH e-Handbook 6.3.2; two: common practice). Three, because a person who is sent looking for
    a leak by chance soon stops looking. Meant for one reading a drive: neighbouring samples of one log move
    together and would cry wolf.

    Raises ValueError for a value that is not finite.
    """
    if not isfinite(value):
        raise ValueError("a reading has to be a number")
    spreads = (value - baseline.centre) / baseline.spread
    if abs(spreads) <= EDGE_SPREADS + _ROUNDING:
        return Placing(spreads, Where.INSIDE)
    return Placing(spreads, Where.EDGE if abs(spreads) <= OUTSIDE_SPREADS + _ROUNDING else Where.OUTSIDE)
