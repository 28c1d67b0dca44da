"""Control charts of one figure at a time: individuals and moving range, the weighted mean, the cumulative sum.

Formulas and constants: NIST/SEMATECH e-Handbook of Statistical Methods (doi:10.18434/M32189), section 6.3.2. Whatever
unit the values are in, limits and lines come back in the same.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf, isfinite, sqrt
from statistics import fmean

D2 = 1.128
"""A mean moving range of two is this many standard deviations (6.3.2.1, table for n = 2; exactly 2/√π)."""

D4 = 3.267
"""A moving range stays below this many mean ones (6.3.2.1, table for n = 2)."""

WIDTHS = 3.0
"""Standard deviations from the centre to a limit, on every chart here (6.3.2)."""


class NothingToChart(ValueError):
    """Too few values, one that is not finite, or a weight, spread or slack no chart has; says which."""


@dataclass(frozen=True, slots=True)
class Limits:
    """A centre line with its lower and upper limit, in the unit of the values."""

    lower: float
    centre: float
    upper: float

    def holds(self, value: float) -> bool:
        """Whether a value is within; one on a limit still is."""
        return self.lower <= value <= self.upper


def moving_ranges(values: Sequence[float]) -> list[float]:
    """How far each value lies from the one before: one fewer than there are values.

    Raises NothingToChart for fewer than two, or one that is not finite.
    """
    if len(values) < 2:
        raise NothingToChart("a moving range needs two values")
    _require_finite(values)
    return [abs(after - before) for before, after in pairwise(values)]


def moving_range_spread(values: Sequence[float]) -> float:
    """The standard deviation told by the mean moving range, MR/1.128 (6.3.2.2).

    A slow slide hardly widens it, since neighbours stay neighbours: that is what it is for. Raises as moving_ranges.
    """
    return fmean(moving_ranges(values)) / D2


def individuals(values: Sequence[float]) -> Limits:
    """The individuals chart: mean ± 3 MR/1.128 (6.3.2.2). Raises as moving_ranges."""
    reach = WIDTHS * moving_range_spread(values)
    centre = fmean(values)
    return Limits(centre - reach, centre, centre + reach)


def moving_range_limit(values: Sequence[float]) -> float:
    """Above this a step from one value to the next is too great to be chance: 3.267 MR (6.3.2.1). Raises as above."""
    return D4 * fmean(moving_ranges(values))


def ewma(values: Sequence[float], weight: float, start: float) -> list[float]:
    """The exponentially weighted moving average after each value: z = weight x + (1 - weight) z (6.3.2.4).

    `start` is what it stands at before the first, the target or the mean. Raises NothingToChart for a weight that is
    not above 0 and at most 1, or a value that is not finite.
    """
    _require_weight(weight)
    _require_finite([*values, start])
    found, stands = [], start
    for value in values:
        stands = weight * value + (1 - weight) * stands
        found.append(stands)
    return found


def ewma_limits(centre: float, spread: float, weight: float, count: int | None = None) -> Limits:
    """The limits of the weighted mean: centre ± 3 spread √(weight/(2 - weight)) (6.3.2.4).

    With `count`, those that hold after so many values, which are narrower at first: the root's share times
    1 - (1 - weight)^(2 count). (That exact form from memory, after Montgomery, Statistical Quality Control; it is the
    variance of the sum.) Raises NothingToChart for a weight as ewma does, or a spread or count not above 0.
    """
    _require_weight(weight)
    if not isfinite(spread) or spread <= 0 or (count is not None and count < 1):
        raise NothingToChart("limits need a spread and a count above zero")
    begun = 1.0 if count is None else 1 - (1 - weight) ** (2 * count)
    reach = WIDTHS * spread * sqrt(weight / (2 - weight) * begun)
    return Limits(centre - reach, centre, centre + reach)


def cusum(values: Sequence[float], target: float, slack: float, ceiling: float = inf) -> list[tuple[float, float]]:
    """The tabular cumulative sums after each value, (high, low): S = max(0, S ± (x - target) - slack) (6.3.2.3).

    It signals where one of them is greater than its limit h. `ceiling` keeps a sum from growing further, so that a
    long fault is forgotten as soon as a short one. Raises NothingToChart for a slack below zero, a ceiling not above
    zero, or a value that is not finite.
    """
    _require_finite([*values, target, slack])
    if slack < 0 or ceiling <= 0:
        raise NothingToChart("a cumulative sum needs a slack of zero or more and a ceiling above zero")
    return list(_sums(values, target, slack, ceiling))


def _sums(values: Sequence[float], target: float, slack: float, ceiling: float) -> Iterator[tuple[float, float]]:
    high = low = 0.0
    for value in values:
        high = min(max(0.0, high + (value - target) - slack), ceiling)
        low = min(max(0.0, low - (value - target) - slack), ceiling)
        yield high, low


def _require_finite(values: Sequence[float]) -> None:
    if not all(isfinite(value) for value in values):
        raise NothingToChart("one of the values is not a number")


def _require_weight(weight: float) -> None:
    if not 0 < weight <= 1:
        raise NothingToChart("a weight is above 0 and at most 1")
