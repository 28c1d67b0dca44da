"""A car's boost target: a curve of target pressure against engine speed, and where a pressure lies beside it.

All pressures are kPa absolute, so that height and weather look neither like boost nor like the want of it. Between two
points the target runs straight; beyond the first and the last it stays as it was there (common practice, no source).
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

_ROUNDING_KPA = 1e-9  # what turning units there and back may lose


class Side(StrEnum):
    """Where a pressure lies: above the car's limit, over its target, on it, or under it."""

    LIMIT = "limit"
    OVER = "over"
    ON = "on"
    UNDER = "under"


@dataclass(frozen=True, slots=True)
class Beside:
    """A pressure beside the target. `off_kpa` counts from `target_kpa`, and above the limit from `limit_kpa`."""

    side: Side
    off_kpa: float
    target_kpa: float

    @property
    def is_over(self) -> bool:
        """Whether it is higher than it may be."""
        return self.side in {Side.LIMIT, Side.OVER}


@dataclass(frozen=True, slots=True)
class BoostTarget:
    """`points`: (engine speed in rpm, kPa absolute), at least one, engine speed rising. `tolerance_kpa` either side is
    still on target; above `limit_kpa`, if there is one, nothing is right at any engine speed.

    Raises ValueError for no points, for engine speeds that do not rise, and for a tolerance below nought.
    """

    points: Sequence[tuple[float, float]]
    tolerance_kpa: float
    limit_kpa: float | None = None

    def __post_init__(self) -> None:
        """Refuse what is no curve."""
        speeds = [speed for speed, _ in self.points]
        if not speeds or any(a >= b for a, b in pairwise(speeds)):
            raise ValueError("A target needs points of rising engine speed.")
        if not self.tolerance_kpa >= 0:
            raise ValueError("A tolerance is not below nought.")

    @property
    def highest_kpa(self) -> float:
        """The highest target, kPa absolute."""
        return max(kpa for _, kpa in self.points)

    def at(self, rpm: float | None) -> float:
        """The target at an engine speed in rpm, kPa absolute; the highest where the engine speed is not known."""
        if rpm is None:
            return self.highest_kpa
        n = bisect_right(self.points, rpm, key=lambda point: point[0])
        if n in {0, len(self.points)}:
            return self.points[max(0, n - 1)][1]
        (before, low), (after, high) = self.points[n - 1], self.points[n]
        return low + (high - low) * (rpm - before) / (after - before)

    def beside(self, kpa: float, rpm: float | None) -> Beside:
        """Where a pressure at an engine speed (kPa absolute, rpm or None) lies.

        On the very edge of the tolerance, or at the very limit, it is not over. Without an engine speed it is never
        under either: elsewhere on the curve less may be meant.
        """
        target = self.at(rpm)
        off = kpa - target
        if self.limit_kpa is not None and kpa > self.limit_kpa + _ROUNDING_KPA:
            return Beside(Side.LIMIT, kpa - self.limit_kpa, target)
        if off > self.tolerance_kpa + _ROUNDING_KPA:
            return Beside(Side.OVER, off, target)
        under = rpm is not None and off < -self.tolerance_kpa - _ROUNDING_KPA
        return Beside(Side.UNDER if under else Side.ON, off, target)
